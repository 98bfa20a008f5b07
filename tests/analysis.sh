#!/bin/sh
# Static analysis, which must find nothing: analysis.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# clang-tidy with the short list of .clang-tidy, cppcheck, and gcc's analyzer with more room than it
# takes by itself. What is right and was taken for wrong has a cppcheck-suppress comment at its
# place, or stands here. gcc 12 sees one file at a time and takes what a function of another file sets
# for unset, so it is not asked about that: valgrind is. It loses a block that is put into an array at
# a place that it does not know, and does not see that what is looked for was found before, or that
# where there is room there is a block, and each role has its place; valgrind and the sanitizers find
# no such leak, and nothing read at NULL.
set -eu
build=$1
failed=false

# analysis.sh BUILD TOOL FILE: what one tool says of one file, as those below run it.
one_file() {
    file=$2
    case $1 in
        tidy) clang-tidy --quiet -p "$build" "$file" 2>/dev/null ;;
        analyzer)
            case $file in
                lib/keys/facts.c | lib/book/book.c)
                    less="-Wno-analyzer-malloc-leak -Wno-analyzer-null-dereference" ;;
                lib/run/run.c | lib/wash/wash_log.c | lib/learn/season.c | lib/learn/calibrate.c)
                    less=-Wno-analyzer-malloc-leak ;;
                lib/book/book_file.c | lib/run/jars.c | lib/learn/diagnose.c)
                    less=-Wno-analyzer-null-dereference ;;
                lib/log/file.c) less="-Wno-analyzer-malloc-leak -Wno-analyzer-null-argument" ;;
                *) less= ;;
            esac
            # shellcheck disable=SC2046,SC2086 # flags are words
            gcc -std=c17 -O2 -D_GNU_SOURCE -Ilib -Icli -Ireference \
                $(pkg-config --cflags popt jansson pangocairo) -DJARLINE_VERSION='""' \
                -DJARLINE_LIBDIR='""' -DJARLINE_MODULES='""' -Wall -Wextra -Wconversion -fanalyzer \
                -Wno-missing-field-initializers -Wno-analyzer-use-of-uninitialized-value \
                --param=analyzer-max-enodes-per-program-point=40 \
                --param=analyzer-bb-explosion-factor=30 $less -S "$file" -o /dev/null 2>&1 ;;
    esac >"$build/analysis/$1-$(printf '%s' "$file" | tr / -).log" || true
}

if [ $# -eq 3 ]; then
    one_file "$2" "$3"
    exit 0
fi

report() {
    if [ -s "$build/$2.log" ]; then cat "$build/$2.log"; failed=true; fi
    printf 'static analysis: %-10s %d files, %d findings\n' "$1" "$3" \
        "$(grep -cE '(warning|error)[: ]' "$build/$2.log" || true)"
}

# A tool on every source file, two at a time; what they say file by file, in one log.
two_by_two() {
    rm -rf "$build/analysis"
    mkdir -p "$build/analysis"
    find lib cli -name '*.c' | sort | xargs -P 2 -I FILE "$0" "$build" "$1" FILE
    cat "$build/analysis"/* >"$build/$1.log"
}

count=$(find lib cli -name '*.c' | wc -l)
two_by_two tidy
report clang-tidy tidy "$count"
nice cppcheck --quiet -j 2 --enable=warning,performance,portability --std=c17 --inline-suppr \
    --suppress=missingIncludeSystem -D__GNUC__ -I lib -I cli -I reference -I tests \
    lib cli reference tests >"$build/cppcheck.log" 2>&1 || true
report cppcheck cppcheck "$(find lib cli reference tests -name '*.c' | wc -l)"
two_by_two analyzer
report -fanalyzer analyzer "$count"
if $failed; then exit 1; fi
