#!/bin/sh
# Small faults in lib/, one at a time: do the quick tests notice? Prints the score by file and every
# survivor; fails below 92 %. Ended and called again it goes on where it was.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/mutate.sh [--count N] [--seed N] [--workers N] [--only TEXT]    60 faults by default
set -eu
cd "$(dirname "$0")/.."
exec python3 tests/mutate/mutate.py build-mutate "$@"
