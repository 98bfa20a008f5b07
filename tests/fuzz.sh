#!/bin/sh
# Fuzzes every target: fuzz.sh SECONDS [--merge] [TARGET...]
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds in build-fuzz/ with clang, AddressSanitizer and UndefinedBehaviorSanitizer, and runs two
# targets at a time for so many seconds each, from the corpus in the tree. A run of up to a minute is a
# test: it begins with the corpus alone and the same seed, and ends after as many executions on every
# machine, so that it does not fail by chance for a change that is not at fault. A longer one draws its
# own, and what it finds new stays in build-fuzz/found. An input that breaks a target is
# build-fuzz/NAME-crash-..., and its copy in tests/fuzz/corpus/NAME makes it a test. --merge then makes
# the corpus of the tree the smallest one that reaches all that was reached.
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh
. tests/two.sh

seconds=$1 merge=false
shift
if [ ! -r /proc/self/maps ]; then
    printf 'No /proc here, which the fuzzers read: they are left out.\n'
    exit 0
fi
if [ "${1:-}" = --merge ]; then merge=true; shift; fi
[ $# -gt 0 ] || set -- log rewrite facts settings wash book command prompt amounts moments \
    quantity gravity numbers learning

out=build-fuzz
programs=$(printf ' tests/fuzz/fuzz-%s' "$@")
# shellcheck disable=SC2086 # one word a program
CC=clang build_some "$out" "$programs" -Db_lundef=false -Db_sanitize=address,undefined \
    "-Dc_args=-fsanitize=fuzzer-no-link"
export ASAN_OPTIONS=detect_leaks=1 UBSAN_OPTIONS=halt_on_error=1

# About two thirds of what two cores do in 12 s.
executions() {
    case $1 in
        learning) echo 1000 ;;
        prompt) echo 700 ;;
        command) echo 5000 ;;
        rewrite) echo 19000 ;;
        amounts | book | numbers | settings) echo 25000 ;;
        gravity) echo 85000 ;;
        quantity) echo 850000 ;;
        moments) echo 2100000 ;;
        *) echo 42000 ;;
    esac
}

# Where new inputs go; and the options of a test or of a longer run.
new_inputs() {
    if [ "$seconds" -le 60 ]; then echo "$out/drawn/$1"; else echo "$out/found/$1"; fi
}

how_drawn() {
    if [ "$seconds" -le 60 ]; then echo "-seed=1 -reload=0 -runs=$(executions "$1")"; fi
}

# Addresses that are drawn anew are compared too, and lead to other inputs.
fixed=
if setarch -R true 2>/dev/null; then fixed='setarch -R'; fi

# One target; the line that says how it went.
fuzz() {
    broken=0
    rm -rf "$out/drawn/$1"
    mkdir -p "$(new_inputs "$1")"
    # shellcheck disable=SC2046,SC2086 # one word an option
    $fixed "$out/tests/fuzz/fuzz-$1" -max_total_time="$seconds" -rss_limit_mb=2048 -timeout=60 \
        $(how_drawn "$1") \
        -print_final_stats=1 -artifact_prefix="$PWD/$out/$1-" \
        -max_len="$(case $1 in
            moments) echo 60 ;; quantity) echo 200 ;; numbers | learning) echo 300 ;; *) echo 4096 ;; esac)" \
        "$(new_inputs "$1")" "tests/fuzz/corpus/$1" >"$out/$1.log" 2>&1 || broken=$?
    awk -v name="$1" -v seconds="$seconds" -v inputs="$(find "tests/fuzz/corpus/$1" -type f | wc -l)" '
        / cov: / { for (i = 1; i < NF; i++) { if ($i == "cov:") cov = $(i + 1)
                                              if ($i == "ft:") ft = $(i + 1) } }
        /stat::number_of_executed_units/ { runs = $2 }
        END { printf "fuzz %-9s %10d executions in at most %d s, cov %5d, ft %6d, %3d inputs in the tree\n",
                     name, runs, seconds, cov, ft, inputs }' "$out/$1.log"
    [ $broken -eq 0 ] || tail -n 60 "$out/$1.log"
    return $broken
}

two_at_a_time "$@"

if $merge; then
    for found in "$out"/found/*; do
        name=$(basename "$found")
        mkdir -p "$out/small/$name"
        rm -f "$out/small/$name"/*
        "$out/tests/fuzz/fuzz-$name" -merge=1 -use_counters=0 "$out/small/$name" "tests/fuzz/corpus/$name" \
            "$found" >"$out/$name.log" 2>&1
        printf '%s: %d inputs\n' "$name" "$(find "$out/small/$name" -type f | wc -l)"
    done
fi
