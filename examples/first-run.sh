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

show correct 72.5% --at 24C
show dilute 3.2L@72.5%@24C --to 42% --bottle 700ml
printf '\nThe command is build/cli/jarline; "ninja -C build install" installs it.\n'
