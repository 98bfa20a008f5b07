#!/bin/sh
# Installs a build into a scratch folder and uses it from there: install.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
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

cat >"$scratch/use.c" <<'PROGRAM'
#include <jarline.h>
#include <stdio.h>
int main(void) {
    double strength_pct;
    if (jl_strength_pct(0.5, JL_STRENGTH_C, &strength_pct) != JL_OK) return 1;
    printf("%.2f\n", strength_pct);
    return 0;
}
PROGRAM
flags=$(PKG_CONFIG_PATH=$(dirname "$package") PKG_CONFIG_SYSROOT_DIR=$scratch \
    pkg-config --cflags --libs jarline)
# shellcheck disable=SC2086 # several flags
gcc -std=c17 -Wall -Wextra -Wpedantic -Werror -o "$scratch/use" "$scratch/use.c" $flags ||
    fail 'a program does not build with pkg-config'
[ "$(LD_LIBRARY_PATH=$(dirname "$library") "$scratch/use")" = 57.89 ] ||
    fail 'a program with the shared library answers otherwise'
printf 'installed, and used from there\n'
