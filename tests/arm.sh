#!/bin/sh
# Builds for 32-bit Arm, which a small board in a shed is, and runs the suite under emulation.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/arm.sh
#
# A folder of Debian's armhf libraries is unpacked once into build-sysroot/ (needs root, as debootstrap
# does). The tests of the meson suite "process" start processes, which an emulator cannot follow: the
# cases run natively and call the command through it. tests/cases/years.case holds what would fail where
# time or offsets have 32 bits.
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh

sysroot=$PWD/build-sysroot
triplet=arm-linux-gnueabihf
if [ "$(id -u)" -ne 0 ] && [ ! -f "$sysroot/complete" ]; then
    printf '32-bit Arm: not run, only root can unpack its libraries\n'
    exit 0
fi
needs_install "$NEEDS_BUILD" "$NEEDS_ARM"

# What the build needs, of the other machine.
libraries() {
    printf '%s\n' "$NEEDS_BUILD" | awk '$1 ~ /^lib.*-dev$/ { print $1 }'
    echo fonts-dejavu-core
}

unpack_sysroot() {
    suite=$(. /etc/os-release && echo "$VERSION_CODENAME")
    rm -rf "$sysroot"
    mkdir -p "$sysroot"
    debootstrap --foreign --arch=armhf --variant=minbase \
        --include="$(libraries | paste -sd, -)" "$suite" "$sysroot"
    for package in "$sysroot"/var/cache/apt/archives/*.deb; do
        dpkg-deb --fsys-tarfile "$package" | tar -C "$sysroot" --keep-directory-symlink -xf -
    done
    # The emulator looks here first, so programs of the other machine must not stand in the way.
    for folder in bin sbin usr/bin usr/sbin var tmp proc sys dev debootstrap; do
        rm -rf "${sysroot:?}/$folder"
    done
    find "$sysroot" -type l -lname '/*' | while read -r link; do
        to=$(realpath -m --relative-to="$(dirname "$link")" "$sysroot$(readlink "$link")")
        ln -sfn "$to" "$link"
    done
    touch "$sysroot/complete"
}

if [ ! -f "$sysroot/complete" ]; then
    printf 'Unpacking the armhf libraries\n'
    mkdir -p build-armhf
    unpack_sysroot >build-armhf/sysroot.log 2>&1 || {
        tail -n 20 build-armhf/sysroot.log
        exit 1
    }
fi

mkdir -p build-armhf
cat >build-armhf/cross.ini <<CROSS
[binaries]
c = ['$triplet-gcc', '--sysroot=$sysroot']
ar = '$triplet-ar'
strip = '$triplet-strip'
pkgconfig = 'pkg-config'
exe_wrapper = ['qemu-arm-static', '-L', '$sysroot']

[properties]
sys_root = '$sysroot'
pkg_config_libdir = ['$sysroot/usr/lib/$triplet/pkgconfig', '$sysroot/usr/share/pkgconfig']

[host_machine]
system = 'linux'
cpu_family = 'arm'
cpu = 'armv7l'
endian = 'little'
CROSS
if [ -f build-armhf/build.ninja ]; then
    build_in build-armhf
else
    build_in build-armhf --cross-file build-armhf/cross.ini -Dwerror=true
fi

# No call that has a form for 64-bit time or offsets is taken in its old form.
old=$("$triplet-nm" -D --undefined-only build-armhf/cli/jarline |
    sed 's/@.*//' | awk '$2 ~ /^(time|clock_gettime|localtime_r|gmtime_r|mktime|open|fopen|fstat|stat|lstat|lseek|pread|ftruncate|mkstemp)$/ { print $2 }')
if [ -n "$old" ]; then
    printf '32-bit Arm: calls with 32-bit time or offsets: %s\n' "$old"
    exit 1
fi

meson test -C build-armhf --no-rebuild --print-errorlogs --timeout-multiplier 10 \
    --no-suite process --no-suite slow
printf '#!/bin/sh\nexec qemu-arm-static -L %s %s "$@"\n' "$sysroot" \
    "$PWD/build-armhf/cli/jarline" >build-armhf/jarline
chmod +x build-armhf/jarline
[ -x build/tests/cases/cases ] || build_in build
{ echo README.md; find tests/cases -name '*.case' -exec basename {} \; | sort; } |
    xargs -P 2 -n 1 build/tests/cases/cases build-armhf/jarline examples tests/cases >build-armhf/cases.log ||
    { cat build-armhf/cases.log; exit 1; }
printf '\n32-bit Arm: the suite passes, with 64-bit time and file offsets\n'
