#!/bin/sh
# The house has one order: in lib/ and in cli/ a file uses only files above it in the meson.build of
# its side, and lib/ uses nothing of cli/. Names each include that points up, and each symbol that an
# object of build/ takes from one below it. A function fits a screen: names each that is longer.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/order.sh [FOLDER]    FOLDER: of the tree, this one by default; without a build includes alone
set -eu
cd "${1:-$(dirname "$0")/..}"
python3 - <<'PYTHON'
import glob, os, re, subprocess, sys

def listed(side):
    """Places of the files in the side's meson.build, as NAME without its ending."""
    text = open(side + "/meson.build").read()
    return {name[:-2]: place for place, name in
            enumerate(dict.fromkeys(re.findall(r"'([a-z_/]+\.c)'", text)))}

def symbols(objects):
    """What each object defines for others, and what it takes from them."""
    lines = subprocess.run(["nm", "-A", *objects], capture_output=True, text=True, check=True)
    for line in lines.stdout.splitlines():
        path, _, entry = line.partition(".c.o:")
        kind, symbol = entry.split()[-2:]
        yield os.path.basename(path), kind, symbol

LONGEST = 54

def functions(path):
    """Each function of a file as clang-format sets it: its first line's number, its name, its lines."""
    lines, begun = open(path).read().splitlines(), None
    for number, line in enumerate(lines):
        if begun is None and line.endswith(") {"):
            begun = number
            while lines[begun].startswith(" "):
                begun -= 1
        elif begun is not None and line == "}":
            yield begun + 1, re.search(r"(\w+)\(", lines[begun]).group(1), number - begun + 1
            begun = None

long, lengths = [], []
for side in ("lib", "cli", "reference"):
    for path in sorted(glob.glob(side + "/**/*.c", recursive=True)):
        for line, name, length in functions(path):
            lengths.append(length)
            if length > LONGEST:
                long.append(f"{path}:{line}: {name} has {length} lines; expected at most {LONGEST}")

up, looked, linked = [], 0, 0
for side in ("lib", "cli"):
    place = listed(side)
    for folder, _, names in os.walk(side):
        for name in sorted(names):
            if not name.endswith((".c", ".h")):
                continue
            path = os.path.join(folder, name)
            me = os.path.relpath(path, side)[:-2]
            if name.endswith(".c") and me not in place:
                up.append(f"{path}: is not in {side}/meson.build")
            for number, line in enumerate(open(path), 1):
                found = re.match(r'#include "([^"]+)\.h"', line)
                if not found:
                    continue
                other = found.group(1)
                looked += 1
                if other == me or other == "jarline":
                    continue
                if os.path.exists(f"{side}/{other}.h"):
                    if other in place and place[other] > place.get(me, len(place)):
                        up.append(f"{path}:{number}: {other}.h stands below {me}")
                elif side == "lib" or not os.path.exists(f"lib/{other}.h") and \
                        not os.path.exists(f"reference/{other}.h"):
                    up.append(f"{path}:{number}: {other}.h is not of {side}/")
    # A header that others share, as jarline.h, hides a use from the includes, but not from the linker.
    of = {name.replace("/", "_"): name for name in place}
    objects = glob.glob(f"build/{side}/lib*.a.p/*.c.o")
    found = [entry for entry in symbols(objects) if entry[0] in of] if objects else []
    home = {symbol: of[name] for name, kind, symbol in found if kind in "TDRB"}
    for name, kind, symbol in found:
        if kind == "U" and symbol in home:
            linked += 1
            if place[home[symbol]] > place[of[name]]:
                up.append(f"{side}/{of[name]}.c: takes {symbol} from {home[symbol]}.c, below it")
for line in up + long:
    print(line)
print(f"order: {looked} includes and {linked} links, {len(up)} of them point up; {len(lengths)} functions, "
      f"{sum(lengths) / len(lengths):.1f} lines on average, {max(lengths)} at the most")
sys.exit(1 if up or long else 0)
PYTHON
