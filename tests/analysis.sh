#!/bin/sh
# Static analysis, which must find nothing: analysis.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# clang-tidy with the short list of .clang-tidy, cppcheck, and gcc's analyzer. Left out, as a
# whole, are kinds of findings of which those looked at (not all) took what is right for wrong: a result that a called function sets for unset,
# a pointer that it never returns as NULL for NULL, a block that a field holds for lost, a double
# reached through its place in a struct for a char.
set -eu
build=$1
failed=false

report() {
    if [ -s "$build/$2.log" ]; then cat "$build/$2.log"; failed=true; fi
    printf 'static analysis: %-10s %d files, %d findings\n' "$1" "$3" \
        "$(grep -cE '(warning|error)[: ]' "$build/$2.log" || true)"
}

count=$(ls lib/*.c cli/*.c | wc -l)
{ nice clang-tidy --quiet -p "$build" lib/*.c cli/*.c 2>/dev/null || true; } >"$build/tidy.log"
report clang-tidy tidy "$count"
nice cppcheck --quiet --enable=warning,performance,portability --std=c17 --inline-suppr \
    --suppress=missingIncludeSystem --suppress=uninitvar --suppress=legacyUninitvar \
    --suppress=memleak --suppress=invalidPointerCast -D__GNUC__ -I lib -I cli lib cli >"$build/cppcheck.log" 2>&1 || true
report cppcheck cppcheck "$count"
for file in lib/*.c; do
    nice gcc -std=c17 -O2 -D_GNU_SOURCE -Ilib -fanalyzer -Wno-analyzer-null-dereference \
        -Wno-analyzer-malloc-leak -Wall -Wextra -Wconversion -c "$file" -o "$build/analyzed.o" 2>&1
done >"$build/analyzer.log"
report -fanalyzer analyzer "$(ls lib/*.c | wc -l)"
if $failed; then exit 1; fi
