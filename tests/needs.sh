# What a build and the tests need, how to get it, and the build itself. Sourced by first-run.sh and
# run.sh.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# A line is "Debian's package  check  what it is". A check looks for the thing and not for the
# package, so that it holds on any system, and costs nothing when there is nothing to do:
#   command:NAME  a program         module:NAME  a pkg-config module
#   header:NAME   a C header        python:NAME  a module of the system's python3
#   path:NAME     a file
#   file:PATH     a file
#   asan:NAME     a compiler that links AddressSanitizer

NEEDS_BUILD='
gcc             command:gcc        C compiler
libc6-dev       header:stdio.h     C library, development files
meson           command:meson      build system, 1.0 or newer
ninja-build     command:ninja      build tool
pkg-config      command:pkg-config finds libraries
libgsl-dev      module:gsl         GNU Scientific Library, development files
libcsv-dev      header:csv.h       libcsv, development files
libpopt-dev     module:popt        popt, development files
libjansson-dev  module:jansson     jansson, development files
libcairo2-dev   module:cairo       cairo, development files
libpango1.0-dev module:pangocairo  pango, development files
libreadline-dev module:readline    readline, development files
libcunit1-dev   module:cunit       CUnit, development files
'

NEEDS_TESTS='
clang           command:clang      second C compiler
g++             command:g++        C++ compiler (optional elsewhere)
libclang-rt-14-dev asan:clang      its sanitizers
poppler-utils   command:pdftotext  reads PDF files
fonts-dejavu-core command:fc-list  fonts of the Latin, Greek and Cyrillic scripts
man-db          command:man        finds and shows manual pages
bash-completion path:/usr/share/bash-completion/bash_completion  completion for bash
locales         file:/usr/share/i18n/locales/tr_TR  sources of locales
python3-iapws   python:iapws       density of water by IAPWS-95 (optional elsewhere)
'

NEEDS_FULL='
clang-tidy      command:clang-tidy static analysis
cppcheck        command:cppcheck   static analysis
valgrind        command:valgrind   memory checker
tmux            command:tmux       a screen
chromium        command:chromium   a browser
tidy            command:tidy       checks HTML
zsh             command:zsh        a shell that completes
fish            command:fish       another
libreoffice-calc command:soffice   a spreadsheet
'

NEEDS_ARM='
debootstrap     command:debootstrap  unpacks Debian
gcc-arm-linux-gnueabihf command:arm-linux-gnueabihf-gcc  C compiler for 32-bit Arm
libc6-dev-armhf-cross path:/usr/arm-linux-gnueabihf/include/stdio.h  its C library
qemu-user-static command:qemu-arm-static  runs programs of another machine
'

NEEDS_COVERAGE='
gcovr           command:gcovr      coverage report
'

need_is_there() {
    case $1 in
        command:*) command -v "${1#*:}" ;;
        module:*) pkg-config --exists "${1#*:}" ;;
        path:*) [ -e "${1#*:}" ] ;;
        file:*) test -e "${1#*:}" ;;
        header:*) printf '#include <%s>\n' "${1#*:}" | gcc -E -x c - ;;
        python:*) /usr/bin/python3 -c "import ${1#*:}" ;;
        asan:*) printf 'int main(void) { return 0; }\n' |
            "${1#*:}" -fsanitize=address,undefined -x c - -o /dev/null ;;
    esac >/dev/null 2>&1
}

# The lines of the lists given whose check fails.
needs_missing() {
    printf '%s\n' "$@" | while read -r package check what; do
        [ -z "$package" ] || need_is_there "$check" || printf '%s|%s\n' "$package" "$what"
    done
}

# Makes sure that everything in the lists given is there, or says what to install and returns 1.
needs_install() {
    missing=$(needs_missing "$@")
    [ -n "$missing" ] || return 0
    packages=$(printf '%s\n' "$missing" | cut -d '|' -f 1 | tr '\n' ' ')
    if ! command -v apt-get >/dev/null; then
        printf 'Install these with the package manager of this system and run this again:\n' >&2
        printf '%s\n' "$missing" | awk -F '|' '{ printf "  %-50s (Debian: %s)\n", $2, $1 }' >&2
        return 1
    fi
    as_root=
    if [ "$(id -u)" -ne 0 ]; then
        as_root=sudo
        if ! command -v sudo >/dev/null; then
            printf 'Run this as root, then this script again:\n  apt-get install %s\n' "$packages" >&2
            return 1
        fi
    fi
    printf 'Installing %s\n' "$packages"
    # shellcheck disable=SC2086 # one word a package
    {
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq update &&
            $as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq -y \
                --no-install-recommends install $packages
    } >/dev/null || return 1
    missing=$(needs_missing "$@")
    [ -z "$missing" ] && return 0
    printf 'Still missing after the installation:\n%s\n' "$missing" >&2
    return 1
}

# build_in FOLDER OPTION...: builds, with these options also in a folder that is there already.
# Quiet unless it fails.
build_in() {
    folder=$1
    shift
    build_some "$folder" "" "$@"
}

# build_some FOLDER TARGETS OPTION...: the same, of some targets only.
build_some() {
    folder=$1 targets=$2
    shift 2
    mkdir -p "$folder"
    if [ ! -f "$folder/build.ninja" ]; then
        printf 'Building in %s\n' "$folder"
        set -- setup "$folder" "$@"
    elif [ $# -gt 0 ]; then
        set -- configure "$folder" "$@"
    else
        set -- --version
    fi
    # shellcheck disable=SC2086 # one word a target
    { meson "$@" && ninja -C "$folder" $targets; } >"$folder/build.log" 2>&1 && return 0
    cat "$folder/build.log" >&2
    return 1
}
