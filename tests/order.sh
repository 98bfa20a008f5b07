#!/bin/sh
# The house has one order: in lib/ and in cli/ a file uses only files above it in the meson.build of
# its side, and lib/ uses nothing of cli/. Names each include that points up.
#
# SPDX-License-Identifier: GPL-3.0-or-later
#
# ./tests/order.sh [FOLDER]    FOLDER: of the tree, this one by default
set -eu
cd "${1:-$(dirname "$0")/..}"
python3 - <<'PYTHON'
import os, re, sys

def listed(side):
    """Places of the files in the side's meson.build, as NAME without its ending."""
    text = open(side + "/meson.build").read()
    return {name[:-2]: place for place, name in
            enumerate(dict.fromkeys(re.findall(r"'([a-z_/]+\.c)'", text)))}

up, looked = [], 0
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
for line in up:
    print(line)
print(f"order: {looked} includes, {len(up)} of them point up")
sys.exit(1 if up else 0)
PYTHON
