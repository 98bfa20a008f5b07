#!/bin/sh
# All measurements as one table: table.sh BUILD_OF_BENCH JARLINE SOURCE
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# A row is a figure, its floor measured in the same run, their ratio, and the bar it is held to. Exit
# status 1 when a bar is not met.
set -u
bench=$1 jarline=$2 source=$3
picture=$bench/chart.svg
worst=0
row() {
    program=$1
    shift
    "$bench/bench_$program" "$@" || worst=1
}

printf '\n%-46s %12s %12s %8s  %s\n' figure measured floor ratio bar
row correct
row forecast
row uncertainty
row learning
row tally
row book
row process 'jarline correct (floor: /bin/true)' 5 16 "$jarline" correct 72.5% --at 24C
row process 'jarline forecast (floor: /bin/true)' 30 0 "$jarline" forecast 10L@35% \
    --stages 8 --reflux 3 --congeners
row process 'chart of 22 jars as SVG (floor: /bin/true)' 100 0 "$jarline" chart \
    "$source/examples/spirit-november.csv" -o "$picture" --force
if [ -x /usr/bin/python3 ]; then
    /usr/bin/python3 "$(dirname "$0")/bench_record.py" "$bench/bench_process" "$jarline" "$bench" ||
        worst=1
fi
row chart "$jarline"
row growth "$jarline"
row year "$jarline"
exit $worst
