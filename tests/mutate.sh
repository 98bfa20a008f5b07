#!/bin/sh
# Small faults in lib/, one at a time: do the quick tests notice? Prints the score by file and every
# survivor; fails below 92 %, or, of fewer than 250, where 92 % would seldom give so few. Ended and
# called again it goes on where it was.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/mutate.sh [--count N] [--seed N] [--workers N] [--only TEXT] [--again]    60 faults by default
# ./tests/mutate.sh --known [--only TEXT]    the faults of tests/mutate/known.tsv, each to be noticed
set -eu
cd "$(dirname "$0")/.."
exec python3 tests/mutate/mutate.py build-mutate "$@"
