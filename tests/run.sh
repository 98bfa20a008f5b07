#!/bin/sh
# Builds with gcc and with clang, warnings as errors, and runs every test.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/run.sh [--coverage] [--full]
#   --coverage  also builds in build-coverage/ and reports the lines that the tests reach:
#               of lib/ all but those that are marked, and 95 % of the branches, of cli/ 98 % and 87 %
#   --full      also runs the benchmarks, units and cases under valgrind, a release from its tarball, and
#               the suite for 32-bit Arm; fuzzes 2 minutes a target in place of 12 seconds; runs the
#               suite with gcc's sanitizers, and there looks for leaks of the commands too; fuzzes with a
#               second engine where there is one; makes 60 small faults and those that are known;
#               completes at the prompts of zsh and fish; looks at pages in a browser; and analyses
#               the code
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
patience=3

# step NAME COMMAND...: runs it; what it took, and whether it failed, stands in build/steps.
failed=false
: >build/steps
step() {
    name=$1 began=$(date +%s) said=ok
    shift
    printf '\n%s\n' "$name"
    "$@" || said=FAILED failed=true
    printf '%-50s %6s %5d s\n' "$name" $said $(($(date +%s) - began)) >>build/steps
}

first_run() {
    ./examples/first-run.sh >build/first-run.log 2>&1 || { cat build/first-run.log; return 1; }
}

step 'Order' ./tests/order.sh
step 'First run' first_run
step 'Tests, clang with sanitizers' meson test -C build-clang --no-rebuild --print-errorlogs -t $patience \
    --no-suite process
# To look for leaks takes two fifths of a process that does little else, and the texts are those that the
# build with gcc is asked for: both with --full, below.
step 'Commands, clang with sanitizers' env ASAN_OPTIONS="$ASAN_OPTIONS:detect_leaks=0" \
    meson test -C build-clang --no-rebuild --print-errorlogs -t $patience --suite process \
    --no-suite texts
step 'Tests, gcc' meson test -C build --no-rebuild --print-errorlogs -t $patience --setup all
step 'An installed copy' ./tests/install.sh build
CC=clang build_some build-tsan tests/threads -Db_sanitize=thread -Db_lundef=false
step 'Threads, under ThreadSanitizer' build-tsan/tests/threads
if $full; then seconds=120; else seconds=12; fi # a minute and a half for all, two by two
step 'Fuzzing' ./tests/fuzz.sh $seconds
if $full; then
    step 'Fuzzing, a second engine' ./tests/afl.sh 120
    step 'Known faults' ./tests/mutate.sh --known
    step 'Faults drawn' ./tests/mutate.sh --count 60
    CC=gcc build_in build-gcc -Db_sanitize=address,undefined
    step 'Tests, gcc with sanitizers' meson test -C build-gcc --no-rebuild --print-errorlogs -t $patience
    step 'Analysis' ./tests/analysis.sh build
    step 'Benchmarks' meson test -C build --no-rebuild -t $patience --benchmark
    step 'Valgrind' ./tests/valgrind.sh build
    step 'A release' ./tests/release.sh build
    step '32-bit Arm' ./tests/arm.sh
    step 'A screen' python3 tests/run/screen.py build/cli/jarline
    step 'Long runs that break off' \
        python3 tests/crash/crash.py build/cli/jarline build/tests/crash/crash-shim.so --long
    step 'A browser' python3 tests/picture/browser.py build/cli/jarline examples
    step 'Pages looked at' python3 tests/picture/look.py build/cli/jarline examples
    step 'Other shells' python3 tests/shells.py build/cli cli/completion
    step 'Books summed' python3 tests/book/sum.py build/tests/books build/cli/jarline 2000
fi

if $coverage; then
    # Threads count too: without atomic counters some end below 0.
    build_in build-coverage -Db_coverage=true -Dbuildtype=debug -Dc_args=-fprofile-update=atomic
    find build-coverage -name '*.gcda' -delete
    meson test -C build-coverage --no-rebuild --quiet -t $patience --setup all || failed=true
    gcovr --root . --filter cli/ --exclude cli/man/ --print-summary --fail-under-line 98 --fail-under-branch 87 \
        build-coverage || failed=true
    # Only as the library has it: benchmarks, which are not run here, have inline functions of its header too.
    gcovr --root . --filter lib/ --print-summary --fail-under-line 100 --fail-under-branch 95 \
        build-coverage/lib || failed=true
    printf 'Not reached, and why:\n'
    grep -rn GCOVR_EXCL lib cli || true
fi

printf '\nSteps\n'
cat build/steps

# What the CUnit executables said, those with a summary last.
python3 -c '
import json
tests = [json.loads(line) for line in open("build/meson-logs/testlog-all.json", encoding="utf-8")]
tests = [(test["name"], test["result"], test.get("stdout", "") + test.get("stderr", "")) for test in tests]
for name, result, said in sorted(tests, key=lambda test: "Run Summary" in test[2]):
    if "cunit" in name:
        print("\n%s: %s\n%s" % (name, result, said))
' || failed=true
if $failed; then exit 1; fi
