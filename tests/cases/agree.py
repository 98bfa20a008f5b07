"""Text and JSON have the same figures: each number that an answer prints for people stands in JSON too.

agree.py COMMAND README EXAMPLES MANUAL

SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import re
import sys

import commands

# What is no figure of its own: a moment, a time of day, a range of jars or of entries, a name.
NO_FIGURE = re.compile(r"\d{4}-\d\d-\d\d\S*|\d+:\d\d|\b\d+-[\d,-]+|\b\d+-(?=\s)|\S+@\S+|\S+\.csv\S*|20/20|"
                       r"\b(?:lot:)?20\d\d-\d+\b|k = 2|in about \d+ min|\d+ h \d+ min|[^\s\d]+-\d+\b|\b95 %|"
                       r"(?:at|,|next|\() ?\d[\d.]* ?(?:°[CF]|%|L)|(?<![\d.])\d+ °[CF]|\s\d+%$|\d[\d.]*e-\d+")


# What README and the manual pages show only with the files that one has.
BESIDE = ("jarline bench --bench b.csv --set power_w=2000 --set jar_l=0.35; jarline bench --bench b.csv",
          "jarline bench --bench b.csv --check-thermometer 99.2C --pressure 985hPa")


def numbers_in(value):
    """All numbers of an answer in JSON, and those in its texts."""
    if isinstance(value, dict):
        for part in value.values():
            yield from numbers_in(part)
    elif isinstance(value, list):
        for part in value:
            yield from numbers_in(part)
    elif isinstance(value, str):
        yield from (float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", value))
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield value


def figures_of(text):
    """The numbers that an answer prints for people, above its sentences."""
    for line in text.split("\n"):
        if re.match(r"(Assumed|Warning|Caution|Next|Written|Assumptions)\b", line):
            return
        for number in re.findall(r"(?<![\w.])[-+]?\d+(?:\.\d+)?(?![\w.]*\w)", NO_FIGURE.sub(" ", line)):
            yield number, line


def is_in(number, known):
    """Whether a printed number is one of JSON's, as far as its digits go: also mL of its L, minutes and hours
    of its seconds."""
    half = 0.5000001 * 10 ** -len(number.partition(".")[2])
    return any(abs(float(number) - value * factor) <= half
               for value in known for factor in (1, 1000, 1 / 60, 1 / 3600))


def main(program, readme, examples, manual):
    """Checks all; the exit status."""
    settings = commands.settings_for(program, examples)
    wrong = 0
    for command in sorted(set(commands.of_readme(readme)) | set(commands.of_manual(manual)) | set(BESIDE)):
        if re.match(r"jarline (chart|card|report)\b", command) or "--json" in command:
            continue  # pictures and pages; cards have their own test
        text = commands.answer_of(command, settings)
        try:
            answer = json.loads(commands.answer_of(command + " --json", settings))
        except ValueError:
            continue  # a prompt, or refused: nothing is answered
        known = list(numbers_in(answer))
        for number, line in figures_of(text):
            if not is_in(number, known):
                print(f"{command}\n    {number} is not in JSON: {line}")
                wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
