#!/bin/sh
# Fuzzes with a second engine, AFL++, where the machine has it: afl.sh SECONDS [TARGET...]
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Builds in build-afl/, and runs two targets at a time for so many seconds each, from the corpus in the
# tree. It changes bytes as it does by itself, not by the mutators of tests/fuzz. What breaks a target is
# build-afl/found/NAME/default/crashes/..., and its copy in tests/fuzz/corpus/NAME makes it a test.
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh
. tests/two.sh

seconds=$1
shift
if ! command -v afl-fuzz >/dev/null || ! command -v afl-clang-fast >/dev/null; then
    printf 'No AFL++ here (Debian: afl++): the second engine is left out.\n'
    exit 0
fi
[ $# -gt 0 ] || set -- rewrite book wash settings amounts log command prompt

out=build-afl
programs=$(printf ' tests/fuzz/fuzz-%s' "$@")
export AFL_QUIET=1 AFL_USE_ASAN=1 AFL_USE_UBSAN=1
# shellcheck disable=SC2086 # one word a program
CC=afl-clang-fast build_some "$out" "$programs" -Db_lundef=false \
    "-Dc_args=-fsanitize=fuzzer-no-link -DNO_MUTATOR"
export AFL_NO_UI=1 AFL_SKIP_CPUFREQ=1 AFL_NO_AFFINITY=1 AFL_I_DONT_CARE_ABOUT_MISSING_CRASHES=1
export ASAN_OPTIONS=abort_on_error=1:detect_leaks=0:symbolize=0
export UBSAN_OPTIONS=halt_on_error=1:abort_on_error=1:symbolize=0

# One target; the line that says how it went.
fuzz() {
    rm -rf "$out/found/$1"
    mkdir -p "$out/found"
    broken=0
    afl-fuzz -V "$seconds" -m none -t 20000 -i "tests/fuzz/corpus/$1" -o "$out/found/$1" \
        -- "$out/tests/fuzz/fuzz-$1" >"$out/$1.log" 2>&1 || broken=$?
    stats=$out/found/$1/default/fuzzer_stats
    [ -f "$stats" ] || { tail -n 20 "$out/$1.log"; return 1; }
    awk -v name="$1" -v seconds="$seconds" '{ of[$1] = $3 }
        END { printf "afl  %-9s %10d executions in %d s, edges %d, %d crashes, %d hangs\n",
                     name, of["execs_done"], seconds, of["edges_found"], of["saved_crashes"], of["saved_hangs"]
              exit of["saved_crashes"] + of["saved_hangs"] > 0 }' "$stats" || return 1
    return $broken
}

two_at_a_time "$@"
