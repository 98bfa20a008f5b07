#!/bin/sh
# Installs a build into a scratch folder and uses it from there: install.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/.."
build=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    printf 'install: %s\n' "$1"
    exit 1
}

DESTDIR=$scratch meson install -C "$build" --no-rebuild --quiet >"$scratch/log" 2>&1 || {
    cat "$scratch/log"
    fail 'meson install failed'
}
command=$(find "$scratch" -type f -path '*/bin/jarline')
library=$(find "$scratch" -type f -name 'libjarline.so.*')
package=$(find "$scratch" -type f -name jarline.pc)

"$build/cli/jarline" selfcheck --json >"$scratch/built.json"
(cd / && "$command" selfcheck --json) >"$scratch/installed.json"
cmp "$scratch/built.json" "$scratch/installed.json" || fail 'selfcheck answers otherwise'

# Every command has a manual page, and every page a command.
"$command" --help | awk '/^  / { print "jarline-" $1 ".1" }' | sort >"$scratch/commands"
find "$scratch" -name 'jarline-*.1' -exec basename {} \; | sort >"$scratch/pages"
diff "$scratch/commands" "$scratch/pages" || fail 'commands (<) and manual pages (>) differ'

# The shared library shows what the header declares and nothing else.
exports=$(nm -D --defined-only "$library" | awk '$2 ~ /[TDRB]/ && $3 !~ /^jl_|^JL_/ { print $3 }')
[ -z "$exports" ] || fail "the library also exports $exports"

# A program of ten lines, with nothing but pkg-config.
flags=$(PKG_CONFIG_PATH=$(dirname "$package") PKG_CONFIG_SYSROOT_DIR=$scratch \
    pkg-config --cflags --libs jarline)
# shellcheck disable=SC2086 # several flags
gcc -std=c17 -Wall -Wextra -Wpedantic -Werror -o "$scratch/use" examples/correct.c $flags ||
    fail 'a program does not build with pkg-config'
[ "$(LD_LIBRARY_PATH=$(dirname "$library") "$scratch/use")" = '71.21 % vol at 20 °C' ] ||
    fail 'a program with the shared library answers otherwise'

# man finds the pages, and they are written without a mistake that it warns of.
pages=$(dirname "$(dirname "$(find "$scratch" -name jarline.1)")")
for page in jarline $(sed 's/\.1$//' "$scratch/pages") jarline-instruments; do
    MANPATH=$pages man -w "$page" >/dev/null 2>&1 || fail "man does not find $page"
    warnings=$(MANPATH=$pages MANWIDTH=80 LC_ALL=C.UTF-8 \
        man --warnings -P cat "$page" 2>&1 >/dev/null)
    [ -z "$warnings" ] || fail "man warns of $page: $warnings"
done

# bash-completion looks up a command's file by the command's name.
completion=$(find "$scratch" -path '*/bash-completion/completions/jarline')
# shellcheck disable=SC2016 # for the inner bash
XDG_DATA_DIRS=${completion%/bash-completion/*} bash -c '. /usr/share/bash-completion/bash_completion
    _completion_loader jarline; complete -p jarline' | grep -q _jarline ||
    fail 'bash-completion does not find the completion'
./tests/completion.sh "$completion" "$(dirname "$command")" || fail 'the completion offers otherwise'

printf 'installed, and used from there\n'
