#!/bin/sh
# A release: the tarball of the commit builds, passes and installs to a prefix; built twice, in folders
# of other names, it gives the same bytes. release.sh BUILD
#
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh
build=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
fail() {
    printf 'release: %s\n' "$1"
    exit 1
}

if [ -e .git ] && command -v git >/dev/null; then
    meson dist -C "$build" --no-tests --formats gztar --allow-dirty >"$scratch/log" 2>&1 || {
        cat "$scratch/log"
        fail 'meson dist makes no tarball'
    }
    tarball=$(ls -t "$build"/meson-dist/jarline-*.tar.gz | head -n 1)
else
    printf 'release: no git here, so the tree itself stands for the tarball\n'
    tarball=$scratch/tree.tar.gz
    tar -czf "$tarball" --exclude='./build*' --transform 's,^\.,jarline,' .
fi

# unpack_and_build FOLDER BUILD
unpack_and_build() {
    mkdir -p "$scratch/$1"
    tar -C "$scratch/$1" --strip-components 1 -xzf "$tarball"
    (cd "$scratch/$1" && CC=gcc build_in "$2" -Dwerror=true --prefix="$scratch/prefix") ||
        fail 'the tarball does not build'
}

unpack_and_build one build
unpack_and_build another/place out
same=0
for file in cli/jarline cli/jarline-drawing.so cli/jarline-prompt.so \
    "$(cd "$scratch/one/build" && find lib -type f -name 'libjarline.so.*')"; do
    cmp "$scratch/one/build/$file" "$scratch/another/place/out/$file" ||
        fail "$file depends on the folder it is built in"
    same=$((same + 1))
done
printf 'release: %s of %s files the same from two folders\n' "$same" "$same"

meson test -C "$scratch/one/build" --no-rebuild --quiet --print-errorlogs --no-suite slow ||
    fail 'the tarball does not pass'
meson install -C "$scratch/one/build" --no-rebuild --quiet >"$scratch/log" 2>&1 || {
    cat "$scratch/log"
    fail 'the tarball does not install'
}
mv "$scratch/another/place/examples" "$scratch/examples"
rm -rf "$scratch/one" "$scratch/another"

# From the prefix alone: the program, the module that draws, the library.
PATH=$scratch/prefix/bin:$PATH
jarline chart "$scratch/examples/spirit-october.csv" -o "$scratch/run.png" ||
    fail 'the installed command does not draw'
[ -s "$scratch/run.png" ] || fail 'the installed command draws nothing'
package=$(find "$scratch/prefix" -name jarline.pc)
# shellcheck disable=SC2046 # several flags
gcc "$scratch/examples/correct.c" -o "$scratch/correct" \
    $(PKG_CONFIG_PATH=$(dirname "$package") pkg-config --cflags --libs jarline) ||
    fail 'the example does not build with pkg-config'
answer=$(LD_LIBRARY_PATH=$(dirname "$(dirname "$package")") "$scratch/correct")
[ "$answer" = '71.21 % vol at 20 °C' ] || fail "the example answers $answer"
printf 'release: %s builds, passes, and works from a prefix\n' "$(basename "$tarball")"
