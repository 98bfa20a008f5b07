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


def proof_table(settings):
    """US proof of each whole % vol."""
    readings = "".join(f"{pct}%;20C\\n" for pct in range(101))
    answer = commands.answer_of(f"printf '{readings.replace('%', '%%')}' | jarline correct - --json", settings)
    return [row["proof_us"] for row in json.loads(answer)["answers"]]


def in_proof(value, table):
    """A strength in % vol as US proof, between the table's rows; its curve is as straight as that."""
    pct = min(int(value), 99)
    return table[pct] + (value - pct) * (table[pct + 1] - table[pct])


def as_seen(known, text, table):
    """The numbers that a text may have: where it is in proof, strengths so, their differences twice, and
    temperatures in °F."""
    if not re.search(r"\d proof|\bproof +(?:L|proof)|, proof", text):
        return known
    return [*known, *(in_proof(v, table) for v in known if 0 <= v <= 100), *(2 * v for v in known),
            *(1.8 * v + 32 for v in known)]


def is_in(number, known, units=(1, 1000, 1 / 60, 1 / 3600)):
    """Whether a printed number is one of JSON's, as far as its digits go: also mL of its L, minutes and hours
    of its seconds."""
    half = 0.5000001 * 10 ** -len(number.partition(".")[2])
    return any(abs(float(number) - value * factor) <= half
               for value in known for factor in units)


# What draws is asked for letters: a card and a chart without -o, a report as a page of HTML.
DRAWN = re.compile(r"jarline (chart|card|report)\b")
# And what of it neither README nor the manual pages show.
ALSO_DRAWN = ("jarline chart spirit-october.csv spirit-november.csv --together",
              "jarline chart spirit-november.csv --over recovered",
              "jarline chart --forecast 10L@27%", "jarline card dilution --to 80proof --proof",
              "jarline card head --proof", "jarline card correction --temps 10C-30C --step 2.5%",
              "jarline report spirit-october.csv -o run.html",
              "jarline chart spirit-november.csv", "jarline report spirit-november.csv -o run.html",
              "jarline report examples/strip-october.csv -o run.html")


def in_letters(command):
    """The call that makes the same in letters, and the one for JSON."""
    call = re.sub(r" -o (\S+)", "", command)
    if call.startswith("jarline report "):
        return f"{call} -q -o page.html && cat page.html", call + " --json"
    return call, call + " --json"


def words_of_page(html):
    """A page's text without its drawings, one cell or sentence a line, up to its cautions."""
    text = re.sub(r"<style.*?</style>|<(img|source)[^>]*>", "", html, flags=re.S)
    text = re.sub(r"<h2>Cautions.*", "", text, flags=re.S)
    return re.sub(r"<[^>]*>", "\n", text).replace("&#39;", "'")


def without_plots(text):
    """A chart of letters without its axes and what stands on them, which are all set in."""
    return "\n".join(line for line in text.split("\n") if not line.startswith("   "))


def cells_of_card(text):
    """Rows of numbers, of a wide card with those that stand in its further blocks behind them."""
    rows, order = {}, []
    for line in text.split("\n"):
        cells = line.split()
        if not cells or not all(re.fullmatch(r"-?\d+(\.\d+)?|-", cell) for cell in cells):
            continue
        if cells[0] not in rows:
            order.append(cells[0])
            rows[cells[0]] = [cells[0]]
        rows[cells[0]] += cells[1:]
    return [rows[first] for first in order]


def faults_of_card(text, answer):
    """Cells that are not what JSON has there, in words."""
    shown = cells_of_card(text)
    if len(shown) != len(answer["rows"]):
        yield f"{len(shown)} rows, JSON has {len(answer['rows'])}"
    for row, wanted in zip(shown, answer["rows"]):
        for cell, (key, value) in zip(row, wanted.items(), strict=True):
            same = value is None if cell == "-" else value is not None and is_in(cell, [value], (1,))
            if not same:
                yield f"{key}: {cell}, JSON has {value}"


def faults_of_drawn(command, settings, table):
    """What a card, a chart or a page says otherwise than its JSON, in words."""
    call, programs = in_letters(command)
    text, answer = commands.answer_of(call, settings), json.loads(commands.answer_of(programs, settings))
    if call.startswith("jarline card "):
        yield from faults_of_card(text, answer)
        return
    text = words_of_page(text) if "cat page.html" in call else without_plots(text)
    known = as_seen(list(numbers_in(answer)), text, table)
    found = 0
    for number, line in figures_of(text):
        found += 1
        if not is_in(number, known):
            yield f"{number} is not in JSON: {line}"
    if found < 3:
        yield f"{found} figures, expected some"


LISTS = {"assumptions": "Assumptions", "notes": "Notes", "cautions": "Cautions"}


def listed(text, title):
    """The sentences below a title of --why, without the ends of their lines."""
    found = re.search(rf"^{title}(?:\. .*)?\n((?:[- ] .*\n)+)", text + "\n", re.M)
    items = re.split(r"^- ", found[1], flags=re.M)[1:] if found else []
    return [re.sub(r"\s+", " ", item).strip() for item in items]


def faults_of_why(command, answer, settings):
    """Sentences that --why or JSON has alone, in words; a remark stands below the answer, and in no list."""
    text = commands.answer_of(command + " --why", settings)
    whole = re.sub(r"\s+", " ", text)
    for key, title in LISTS.items():
        wanted = [re.sub(r"\s+", " ", one).strip() for one in answer.get(key, [])]
        yield from (f"JSON alone has: {one}" for one in wanted if one not in whole)
        yield from (f"--why alone has: {one}" for one in listed(text, title)
                    if one not in wanted)


def main(program, readme, examples, manual):
    """Checks all; the exit status."""
    settings = commands.settings_for(program, examples)
    table = proof_table(settings)
    wrong = 0
    shown = set(commands.of_readme(readme)) | set(commands.of_manual(manual))
    for command in sorted({c for c in shown if DRAWN.match(c)} | set(ALSO_DRAWN)):
        for fault in faults_of_drawn(command, settings, table):
            print(f"{command}\n    {fault}")
            wrong += 1
    for command in sorted(shown | set(BESIDE)):
        if DRAWN.match(command) or "--json" in command:
            continue
        text = commands.answer_of(command, settings)
        try:
            answer = json.loads(commands.answer_of(command + " --json", settings))
        except ValueError:
            continue  # a prompt, or refused: nothing is answered
        known = as_seen(list(numbers_in(answer)), text, table)
        faults = [f"{number} is not in JSON: {line}" for number, line in figures_of(text)
                  if not is_in(number, known)]
        for fault in [*faults, *faults_of_why(command, answer, settings)]:
            print(f"{command}\n    {fault}")
            wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
