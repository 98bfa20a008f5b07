#!/bin/sh
# Builds Jarline in build/, installing what is missing, and does the main job on an example log.
#
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh
needs_install "$NEEDS_BUILD"
build_in build

PATH=$PWD/build/cli:$PATH
show() {
    printf '\n$ jarline %s\n\n' "$*"
    jarline "$@"
}

# What one command finds goes on to the next in a file.
made=build/first-run
rm -rf "$made"
mkdir "$made"
show wash --log examples/wash-september.csv --kind sugar --now 2026-10-01T09:00:00+02:00 \
    --volume 74l --distilled 200ml --reading 6.7% --at 17C --write "$made/wash.csv"
show charge --charge-from "$made/wash.csv" --boiler 30l --mark 24l --sediment 2l \
    --carry 8l --empty-mass 9kg --write "$made/load.csv"
show tally examples/spirit-october.csv
show correct 72.5% --at 24C
show dilute 3.2L@72.5%@24C --to 42% --bottle 700ml
printf '\nThe command is build/cli/jarline; "ninja -C build install" installs it.\n'
