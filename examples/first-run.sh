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
show wash examples/wash-september.csv --fermented sugar --time 2026-10-01T09:00:00+02:00 \
    --volume 74L --distilled 200mL --reading 6.7% --at 17C -o "$made/wash.csv"
show charge --charge-from "$made/wash.csv" --boiler-size 30L --mark 24L --sediment 2L \
    --carry 8L --empty-mass 9kg -o "$made/load.csv"
show forecast --charge-from "$made/load.csv" --power 2kW --jar-size 1L
log=examples/spirit-october.csv

printf 'Last night'"'"'s jars stand in %s, an invented run.\n' "$log"
show correct 72.5% --at 24C
show tally "$log"
show blend "$log:hearts"
# The hearts, as blend shows them.
show dilute 2.2355L@70.28% --to 42% --bottle 500mL
show chart "$log" -o "$made/spirit-october.svg"
show chart "$log" examples/spirit-november.csv examples/strip-october.csv \
    -o "$made/season.pdf"
show report "$log" --to 42% --bottle 500mL -o "$made/spirit-october.pdf"
show report "$log" --to 42% --bottle 500mL -o "$made/spirit-october.html"
show chart --forecast 10L@27.3% --power 1kW --jar-size 250mL -o "$made/plan.svg"
show card correction --temps 10C-30C -o "$made/correction.pdf"
show card dilution --to 42% --bottle 500mL -o "$made/dilution.pdf"
show card boil --altitude 650m -o "$made/boiling.pdf"
printf '\nPictures and pages are in %s.\n' "$made"
printf '\nThe command is build/cli/jarline; "ninja -C build install" installs it.\n'
