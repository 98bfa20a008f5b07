"""Every command of README, block by block, in one folder that holds the examples alone: as one goes on
who reads it from the top.

readme.py COMMAND README EXAMPLES

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import re
import subprocess
import sys
import tempfile

import commands

# What README says was made before, by the commands that it names.
MADE = ("jarline calibrate examples/spirit-october.csv examples/spirit-november.csv -o pot.csv",)


def commands_of(readme):
    """All of them, also those that stand without their answers."""
    inside = False
    with open(readme, encoding="utf-8") as file:
        for line in file:
            if line.startswith("```"):
                inside = not inside
            elif inside and re.match(r"(\$ )?jarline ", line):
                yield re.sub(r"^\$ |\s+# .*", "", line.strip())


def main(program, readme, examples):
    """Runs all; the exit status."""
    wrong = count = 0
    with tempfile.TemporaryDirectory() as folder:
        settings = commands.settings_for(program, examples) | {"HOME": folder, "XDG_CONFIG_HOME": folder}
        os.symlink(os.path.abspath(examples), os.path.join(folder, "examples"))
        for command in (*MADE, *commands_of(readme)):
            commands.make_room(folder, command)
            done = subprocess.run(["sh", "-c", command], cwd=folder, env=settings, input=b"\n" * 30,
                                  stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=60,
                                  check=False)
            count += 1
            if done.returncode != 0:
                print(f"{command}\n    exit status {done.returncode}: {done.stderr.decode()}")
                wrong += 1
    if count < 40:
        print(f"{count} commands, expected some 45")
        wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
