#!/bin/sh
# Runs the cases with the command under valgrind: valgrind.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Without those that draw: the font libraries keep what they allocate, and end with it.
set -eu
build=$(cd "$1" && pwd)
mkdir -p "$build/valgrind"
printf '#!/bin/sh\nexec %s -q --error-exitcode=99 --leak-check=full --show-leak-kinds=definite \\\n  --errors-for-leak-kinds=definite %s "$@"\n' \
    "$(command -v valgrind)" "$build/cli/jarline" >"$build/valgrind/jarline"
chmod +x "$build/valgrind/jarline"
names=$(for file in tests/cli/*.case; do basename "$file"; done |
    grep -vE '^(card|chart|report)')
# shellcheck disable=SC2086 # one word a name
"$build/tests/cli/cases" "$build/valgrind/jarline" examples tests/cli $names
