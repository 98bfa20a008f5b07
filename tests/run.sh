#!/bin/sh
# Builds with gcc and with clang, warnings as errors, and runs every test.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/run.sh [--coverage] [--full]
#   --coverage  also builds in build-coverage/ and reports the lines that the tests reach:
#               of lib/ all but those that are marked, and 95 % of the branches, of cli/ 98 % and 87 %
#   --full      also runs the benchmarks, units and cases under valgrind, a release from its tarball, and
#               the suite for 32-bit Arm; fuzzes 5 minutes a target in place of 17 seconds; runs the
#               suite with gcc's sanitizers; fuzzes with a second engine where there is one; makes
#               60 small faults and those that are known; completes at the prompts of zsh and fish; looks at pages in a
#               browser; and analyses the code
#
# build/ is what a user has: gcc, optimized. build-clang/ carries AddressSanitizer and
# UndefinedBehaviorSanitizer. The last lines are the summaries of the CUnit executables.
set -eu
cd "$(dirname "$0")/.."
. tests/needs.sh

coverage=false full=false
for option in "$@"; do
    case $option in
        --coverage) coverage=true ;;
        --full) full=true ;;
        *) printf 'usage: %s [--coverage] [--full]\n' "$0" >&2; exit 2 ;;
    esac
done

needs_install "$NEEDS_BUILD" "$NEEDS_TESTS"
if $full; then needs_install "$NEEDS_FULL"; fi
if $coverage; then needs_install "$NEEDS_COVERAGE"; fi

sanitize=-Db_sanitize=address,undefined
if [ ! -r /proc/self/maps ]; then
    printf 'No /proc here, which AddressSanitizer reads: the clang build goes without it.\n'
    sanitize=-Db_sanitize=none
fi
export ASAN_OPTIONS=detect_stack_use_after_return=1:abort_on_error=0
export UBSAN_OPTIONS=print_stacktrace=1:halt_on_error=1

printf 'Building with gcc and with clang\n'
CC=gcc build_in build -Dwerror=true
CC=clang build_in build-clang -Dwerror=true -Db_lundef=false "$sanitize"

# A test's limit is for one that hangs: where processes start slowly, it has three times as long.
patience='-t 3'

failed=false
printf '\nOrder\n'
./tests/order.sh || failed=true
printf '\nFirst run\n'
./examples/first-run.sh >build/first-run.log 2>&1 || { cat build/first-run.log; failed=true; }

printf '\nTests, clang with sanitizers\n'
meson test -C build-clang --no-rebuild --print-errorlogs $patience || failed=true
printf '\nTests, gcc\n'
meson test -C build --no-rebuild --print-errorlogs $patience --setup all --no-suite cunit || failed=true
./tests/install.sh build || failed=true

printf '\nWhat breaks\n'
build/tests/memory | tail -n 1
CC=clang build_some build-tsan tests/threads -Db_sanitize=thread -Db_lundef=false
printf 'under ThreadSanitizer: '
build-tsan/tests/threads || failed=true
if $full; then seconds=300; else seconds=17; fi # two minutes for all, two by two
./tests/fuzz.sh $seconds || failed=true
if $full; then
    ./tests/afl.sh 300 || failed=true
    ./tests/mutate.sh --known || failed=true
    ./tests/mutate.sh --count 60 || failed=true
    CC=gcc build_in build-gcc -Db_sanitize=address,undefined
    meson test -C build-gcc --no-rebuild --print-errorlogs $patience || failed=true
    ./tests/analysis.sh build || failed=true
    meson test -C build --no-rebuild $patience --benchmark || failed=true
    ./tests/valgrind.sh build || failed=true
    ./tests/release.sh build || failed=true
    ./tests/arm.sh || failed=true
    python3 tests/run/screen.py build/cli/jarline || failed=true
    python3 tests/crash/crash.py build/cli/jarline build/tests/crash/crash-shim.so --long || failed=true
    python3 tests/picture/browser.py build/cli/jarline examples || failed=true
    python3 tests/picture/look.py build/cli/jarline examples || failed=true
    python3 tests/shells.py build/cli cli/completion || failed=true
    python3 tests/book/sum.py build/tests/books build/cli/jarline 2000 || failed=true
fi

if $coverage; then
    # Threads count too: without atomic counters some end below 0.
    build_in build-coverage -Db_coverage=true -Dbuildtype=debug -Dc_args=-fprofile-update=atomic
    find build-coverage -name '*.gcda' -delete
    meson test -C build-coverage --no-rebuild --quiet $patience --setup all || failed=true
    gcovr --root . --filter cli/ --exclude cli/man/ --print-summary --fail-under-line 98 --fail-under-branch 87 \
        build-coverage || failed=true
    # Only as the library has it: benchmarks, which are not run here, have inline functions of its header too.
    gcovr --root . --filter lib/ --print-summary --fail-under-line 100 --fail-under-branch 95 \
        build-coverage/lib || failed=true
    printf 'Not reached, and why:\n'
    grep -rn GCOVR_EXCL lib cli || true
fi

# The CUnit executables, whichever there are, each with its own summary.
meson introspect build --tests | python3 -c '
import json, shlex, sys
for test in json.load(sys.stdin):
    if any(suite.endswith(":cunit") for suite in test["suite"]):
        print(shlex.join(test["cmd"]))
' >build/cunit-tests
while read -r command; do
    printf '\n%s\n' "${command%% *}"
    (cd build && eval "$command") </dev/null || [ $? -eq 77 ] || failed=true # 77: left out here
    printf '\n'
done <build/cunit-tests
if $failed; then exit 1; fi
