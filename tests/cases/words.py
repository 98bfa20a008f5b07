"""One word for one thing, in every text that a user reads.

words.py COMMAND README EXAMPLES MANUAL WORDS, where MANUAL is the folder of the manual pages as they
are installed, and a line of WORDS has an expression of what is wrong, a tab, and what stands instead.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import glob
import os
import re
import subprocess
import sys

import commands


def texts(program, readme, examples, manual):
    """Names of all texts, and the texts."""
    settings = commands.settings_for(program, examples)
    with open(readme, encoding="utf-8") as file:
        yield "README.md", file.read()
    with open(os.path.join(examples, "README.md"), encoding="utf-8") as file:
        yield "examples/README.md", file.read()
    for page in sorted(glob.glob(os.path.join(manual, "*.[15]"))):
        with open(page, encoding="utf-8") as file:
            yield os.path.basename(page), commands.plain(file.read())
    for name in [""] + re.findall(r"^  ([a-z]+) ", commands.answer_of("jarline --help", settings), re.M):
        yield f"help {name}", commands.answer_of(f"jarline help {name}", settings)
    known = set(commands.of_readme(readme)) | set(commands.of_manual(manual))
    for command in sorted(known):
        for more in ("", " --why", " --json"):
            yield command + more, commands.answer_of(command + more, settings)


def main(program, readme, examples, manual, words):
    """Checks all; the exit status."""
    with open(words, encoding="utf-8") as file:
        rows = [line.rstrip("\n").split("\t") for line in file if line.strip() and line[0] != "#"]
    wrong = 0
    for name, text in texts(program, readme, examples, manual):
        for expression, instead in rows:
            for line in text.split("\n"):
                found = re.search(expression, line)
                if found:
                    print(f"{name}: '{found.group()}', expected {instead}\n    {line.strip()[:150]}")
                    wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:6]))
