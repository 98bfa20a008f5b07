"""Every row of selfcheck is cited in reference/README.md with its tolerance's kind.

tolerances.py COMMAND README

SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import re
import subprocess
import sys


def kinds_in(text):
    """What the list of tolerances calls each kind, by what selfcheck says of it."""
    listed = re.findall(r"^- \*([a-z]+)\*: (.*(?:\n  .*)*)", text, re.M)
    return {kind: re.sub(r"\s+", " ", meaning) for kind, meaning in listed}


def citations(text):
    """The rows of tables and the paragraphs: where a file is cited."""
    for part in re.split(r"\n\n|\n(?=\|)", text):
        yield part.rstrip(" |").rpartition(" | ")[2] if part.startswith("|") else part, part


def fault_of(row, text, kinds):
    """What is wrong with the citation of a row of selfcheck, in words, or None."""
    kind = [name for name, meaning in kinds.items() if meaning.startswith(row["tolerance_from"])]
    if len(kind) != 1:
        return f"'{row['tolerance_from']}' is {len(kind)} kinds of tolerance there, expected 1"
    cited = [tolerance for tolerance, part in citations(text) if f"`{row['table']}.csv`" in part]
    if not any(re.search(rf"\b{kind[0]}: ", tolerance) for tolerance in cited):
        return f"no tolerance of the kind '{kind[0]}:' is cited with it"
    return None


def main(program, readme):
    """Checks all; the exit status."""
    with open(readme, encoding="utf-8") as file:
        text = file.read()
    done = subprocess.run([program, "selfcheck", "--json"], check=True, stdout=subprocess.PIPE,
                          timeout=60)
    wrong = 0
    for row in json.loads(done.stdout)["tables"]:
        fault = fault_of(row, text, kinds_in(text))
        if fault is not None:
            print(f"{row['table']}, {row['quantity']}: {fault}")
            wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
