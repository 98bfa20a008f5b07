#!/bin/sh
# Runs the unit tests and the cases with the command under valgrind, side by side: valgrind.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Without the cases that draw: the font libraries keep what they allocate, and end with it.
set -eu
build=$(cd "$1" && pwd)
check="$(command -v valgrind) -q --error-exitcode=99 --leak-check=full --show-leak-kinds=definite \
    --errors-for-leak-kinds=definite"
mkdir -p "$build/valgrind"
printf '#!/bin/sh\nexec %s %s "$@"\n' "$check" "$build/cli/jarline" >"$build/valgrind/jarline"
chmod +x "$build/valgrind/jarline"

(cd "$build" && $check tests/units >valgrind/units.log 2>&1) &
units=$!
failed=false
names=$(for file in tests/cases/*.case; do basename "$file"; done |
    grep -vE '^(card|chart|report)')
# shellcheck disable=SC2086 # one word a name
"$build/tests/cases/cases" "$build/valgrind/jarline" examples tests/cases $names || failed=true
wait $units || failed=true
grep -A 4 -E '^(==|Run Summary)' "$build/valgrind/units.log"
if $failed; then exit 1; fi
