# Fuzzes the targets that are named, two side by side, by the function fuzz of the script that sources
# this, which writes into $out. Sourced by fuzz.sh and afl.sh.
#
# SPDX-License-Identifier: GPL-3.0-or-later

# Fails behind the last one where one has failed.
two_at_a_time() {
    failed=false
    while [ $# -gt 0 ]; do
        fuzz "$1" >"$out/$1.says" & first=$!
        second=
        if [ $# -gt 1 ]; then fuzz "$2" >"$out/$2.says" & second=$!; fi
        wait $first || failed=true
        cat "$out/$1.says"
        if [ -n "$second" ]; then
            wait $second || failed=true
            cat "$out/$2.says"
            shift
        fi
        shift
    done
    if $failed; then return 1; fi
}
