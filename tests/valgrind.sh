#!/bin/sh
# Runs the unit tests and the cases with the command under valgrind, two side by side: valgrind.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Without the files of cases that draw, as the font libraries take most of the time, and of those that
# close standard streams, which valgrind has then for its own. A signal for a file that grows too large
# would end valgrind itself.
set -eu
build=$(cd "$1" && pwd)
check="$(command -v valgrind) -q --vgdb=no --error-exitcode=99 --leak-check=full --show-leak-kinds=definite \
    --errors-for-leak-kinds=definite --suppressions=$PWD/tests/cases/drawing.supp"
export CASE_SECONDS=900 # a calibration takes minutes here

# valgrind.sh BUILD FILE: one file of cases, or the unit tests, as the loop below runs them.
one() {
    case $1 in
        *.case) "$build/tests/cases/cases" "$build/valgrind/jarline" examples tests/cases "$1" ;;
        *) cd "$build" && $check tests/units ;;
    esac >"$build/valgrind/$1.log" 2>&1 || printf '%s under valgrind: failed\n' "$1" >>"$build/valgrind/$1.log"
}

if [ $# -eq 2 ]; then
    one "$2"
    exit 0
fi

rm -rf "$build/valgrind"
mkdir -p "$build/valgrind"
printf '#!/bin/sh\ntrap "" XFSZ\nexec %s %s "$@"\n' "$check" "$build/cli/jarline" >"$build/valgrind/jarline"
chmod +x "$build/valgrind/jarline"
{
    printf 'book.case\ncalibrate.case\nunits\n' # the longest first
    find tests/cases -name '*.case' -exec basename {} \; |
        grep -vE '^(card|chart|report|outputs|trust|book|calibrate)\.' | sort
} >"$build/valgrind/files"
xargs -P 2 -I FILE "$0" "$build" FILE <"$build/valgrind/files"

failed=false
while read -r file; do
    if ! tail -n 1 "$build/valgrind/$file.log" | grep -q 'under valgrind: failed'; then continue; fi
    cat "$build/valgrind/$file.log"
    failed=true
done <"$build/valgrind/files"
grep -A 4 -E '^(==|Run Summary)' "$build/valgrind/units.log"
if $failed; then exit 1; fi
printf 'valgrind: %d files of cases, and the unit tests\n' "$(grep -c case "$build/valgrind/files")"
