#!/bin/sh
# Runs the unit tests and the cases with the command under valgrind, side by side: valgrind.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Without the files of cases that draw: the font libraries take most of the time.
set -eu
build=$(cd "$1" && pwd)
check="$(command -v valgrind) -q --error-exitcode=99 --leak-check=full --show-leak-kinds=definite \
    --errors-for-leak-kinds=definite --suppressions=$PWD/tests/cases/drawing.supp"
export CASE_SECONDS=900 # a calibration takes minutes here
mkdir -p "$build/valgrind"
printf '#!/bin/sh\nexec %s %s "$@"\n' "$check" "$build/cli/jarline" >"$build/valgrind/jarline"
chmod +x "$build/valgrind/jarline"

# The cases whose files match, or do not with -v; those that compute longest beside the rest.
cases() {
    # shellcheck disable=SC2046 # one word a name
    "$build/tests/cases/cases" "$build/valgrind/jarline" examples tests/cases \
        $(ls tests/cases | grep "\\.case$" |
            grep -vE '^(card|chart|report)' | sort | grep -E "$@" '^(calibrate|forecast|rest|uncertainty)')
}

failed=false
{
    cases >"$build/valgrind/long.log" 2>&1 || echo failed >>"$build/valgrind/long.log"
} &
long=$!
(cd "$build" && $check tests/units >valgrind/units.log 2>&1) || failed=true
cases -v || failed=true
wait $long
cat "$build/valgrind/long.log"
if [ "$(tail -n 1 "$build/valgrind/long.log")" = failed ]; then failed=true; fi
grep -A 4 -E '^(==|Run Summary)' "$build/valgrind/units.log"
if $failed; then exit 1; fi
