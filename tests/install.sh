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
"$command" --help | sed -n 's/^.\{16\}\([a-z][a-z]*\) .*/jarline-\1.1/p' | sort >"$scratch/commands"
find "$scratch" -name 'jarline-*.1' -exec basename {} \; | sort >"$scratch/pages"
diff "$scratch/commands" "$scratch/pages" || fail 'commands (<) and manual pages (>) differ'

# The shared library shows what the header declares and nothing else.
exports=$(nm -D --defined-only "$library" | awk '$2 ~ /[TDRB]/ && $3 !~ /^jl_|^JL_/ { print $3 }')
[ -z "$exports" ] || fail "the library also exports $exports"

# Programs of a few lines, with nothing but pkg-config: no other library by hand.
flags=$(PKG_CONFIG_PATH=$(dirname "$package") PKG_CONFIG_SYSROOT_DIR=$scratch \
    pkg-config --cflags --libs jarline)
use() {
    # shellcheck disable=SC2086 # several flags
    gcc -std=c17 -Wall -Wextra -Wpedantic -Werror -o "$scratch/$1" "examples/$1.c" $flags ||
        fail "$1 does not build with pkg-config"
    program=$scratch/$1
    shift
    LD_LIBRARY_PATH=$(dirname "$library") "$program" "$@"
}
[ "$(use correct)" = '71.21 % vol at 20 °C' ] || fail 'correct.c answers otherwise'
[ "$(wc -l <examples/hearts.c)" -le 40 ] || fail 'hearts.c has more than 40 lines'
"$command" tally examples/spirit-october.csv --json >"$scratch/tally.json"
hearts=$(use hearts examples/spirit-october.csv)
python3 - "$scratch/tally.json" "$hearts" "$("$command" dilute \
    "$(python3 -c 'import json, sys; f = json.load(open(sys.argv[1]))["fractions"]
h = [x for x in f if x["fraction"] == "hearts"][0]
print("%.12gL@%.12g%%" % (h["volume_l"], h["strength_pct"]))' "$scratch/tally.json")" \
    --to 40% --json)" <<'PYTHON' || fail 'hearts.c answers otherwise than tally and dilute'
import json, re, sys
said = [float(x) for x in re.findall(r"[0-9]+\.[0-9]+", sys.argv[2])]
hearts = [x for x in json.load(open(sys.argv[1]))["fractions"] if x["fraction"] == "hearts"][0]
water = json.loads(sys.argv[3])
wanted = [hearts["volume_l"], hearts["strength_pct"], hearts["pure_alcohol_l"],
          water["water_l"], water["water_scale_kg"]]
sys.exit(len(said) != 5 or any(abs(a - b) > 0.0051 for a, b in zip(said, wanted)))
PYTHON

# The same header and library from C++, where there is a compiler for it.
if command -v g++ >/dev/null 2>&1; then
    # shellcheck disable=SC2086 # several flags
    g++ -std=c++11 -Wall -Wextra -Wpedantic -Werror -o "$scratch/header" tests/header.cpp $flags ||
        fail 'a program in C++ does not build with pkg-config'
    LD_LIBRARY_PATH=$(dirname "$library") "$scratch/header" >/dev/null ||
        fail 'a program in C++ with the shared library answers otherwise'
fi

# man finds the pages, and they are written without a mistake that it warns of.
pages=$(dirname "$(dirname "$(find "$scratch" -name jarline.1)")")
for page in jarline $(sed 's/\.1$//' "$scratch/pages") jarline-bench; do
    MANPATH=$pages man -w "$page" >/dev/null 2>&1 || fail "man does not find $page"
    warnings=$(MANPATH=$pages MANWIDTH=80 LC_ALL=C.UTF-8 \
        man --warnings -P cat "$page" 2>&1 >/dev/null)
    [ -z "$warnings" ] || fail "man warns of $page: $warnings"
done

# Libraries that draw end the process where no room is left: refused before they begin.
status=0
(ulimit -v 150000; "$command" report examples/spirit-october.csv -o "$scratch/r.pdf") \
    2>"$scratch/said" || status=$?
[ $status = 71 ] && grep -q 'address space' "$scratch/said" ||
    fail "a picture without room for it is answered otherwise: $status"
status=0
(ulimit -v 8000; "$command" selfcheck) >/dev/null 2>&1 || status=$?
[ $status != 1 ] || fail 'a selfcheck without memory says that a table fails'

# bash-completion looks up a command's file by the command's name.
completion=$(find "$scratch" -path '*/bash-completion/completions/jarline')
# shellcheck disable=SC2016 # for the inner bash
XDG_DATA_DIRS=${completion%/bash-completion/*} bash -c '. /usr/share/bash-completion/bash_completion
    _completion_loader jarline; complete -p jarline' | grep -q _jarline ||
    fail 'bash-completion does not find the completion'
for file in zsh/site-functions/_jarline fish/vendor_completions.d/jarline.fish; do
    [ -n "$(find "$scratch" -path "*/share/$file")" ] || fail "$file is not installed"
done
./tests/completion.sh "$completion" "$(dirname "$command")" || fail 'the completion offers otherwise'

# Every command of README and of the manual pages answers from the installed copy, on the examples that
# are installed.
documents=$(find "$scratch" -type d -path '*/doc/jarline')
for file in examples/*; do
    [ "$file" = examples/first-run.sh ] || cmp "$file" "$documents/$file" || fail "$file is not installed"
done
"$build/tests/cases/cases" "$command" "$documents/examples" tests/cases README.md >"$scratch/readme" ||
    { cat "$scratch/readme"; fail 'a command of README answers otherwise'; }
python3 tests/cases/readme.py "$command" "$documents/README.md" "$documents/examples" ||
    fail 'a command of README is refused by the installed copy'
python3 tests/cases/answers.py "$command" "$documents/README.md" "$documents/examples" "$pages/man1" \
    tests/answers.csv || [ $? -eq 77 ] || fail 'an answer does not fit a screen' # 77: no terminal here

printf 'installed, and used from there\n'
