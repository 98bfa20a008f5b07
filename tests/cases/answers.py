"""Every command of README and of the manual pages in a terminal of 24 lines and 80 columns: what was
asked for fits it.

answers.py COMMAND README EXAMPLES MANUAL ANSWERS, where MANUAL is the folder of the manual pages, and
ANSWERS lists each command with the words that its answer begins with, below the long tables, which may
scroll away, and the JSON key of the figure that it exists for.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import csv
import fcntl
import json
import os
import pty
import re
import select
import struct
import subprocess
import sys
import tempfile
import termios

import commands

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "run"))
import prompt  # noqa: E402, a terminal is what it has

LINES, LINES_IN_FULL, COLUMNS, ANSWER_LINES = 24, 48, 80, 12
# Whose answers warn of what they bring about; the cautions of others stand under --why.
CAUTIOUS = ("forecast", "start", "charge", "dilute", "cut", "label", "wash")


def below_long_tables(text, first):
    """The lines from the last that begins so with nothing above it in its block, or None."""
    lines = text.strip("\n").split("\n")
    for at in range(len(lines) - 1, -1, -1):
        if lines[at].startswith(first) and (at == 0 or lines[at - 1] == ""):
            return lines[at:]
    return None


def on_a_terminal(command, settings, folder=None):
    """What a command writes on a terminal."""
    ours, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", LINES, COLUMNS, 0, 0))
    with subprocess.Popen(["sh", "-c", command], env=settings, stdin=subprocess.DEVNULL, stdout=its,
                          stderr=subprocess.DEVNULL, cwd=folder) as process:
        os.close(its)
        written = b""
        try:
            while block := os.read(ours, 65536):
                written += block
        except OSError:  # the end of a terminal
            pass
        process.wait(timeout=60)
    os.close(ours)
    return written.decode("utf-8")


def shown(command, settings):
    """The same in a folder of its own with the season, letters alone."""
    with tempfile.TemporaryDirectory() as folder:
        commands.season(folder, settings["EXAMPLES"])
        commands.make_room(folder, command)
        text = on_a_terminal(command, settings | {"TERM": "xterm"}, folder)
    return re.sub(r"\x1b\[[0-9;]*m|\r", "", text)


def faults_of_weights(settings):
    """A warning is bold and what was assumed is dim on a terminal alone, where that is wanted."""
    command = "printf '#weather,1\nvolume_l,reading_pct,temp_c\n1,40,20\n' | jarline tally -"
    cases = [({"TERM": "xterm"}, True), ({"TERM": "dumb"}, False), ({}, False),
             ({"TERM": "xterm", "NO_COLOR": "1"}, False)]
    for more, set_so in cases:
        text = on_a_terminal(command, settings | more)
        for sign, what in (("\033[1mWarning: ", "a warning is bold"),
                           ("\033[2mAssumed: ", "what was assumed is dim")):
            if (sign in text) != set_so:
                yield f"{more}: that {what} is {not set_so}"
    if "\033" in commands.answer_of(command, settings | {"TERM": "xterm"}):
        yield "an answer in a pipe has more than letters"


def faults_of_progress(settings):
    """What takes longer than a second says how far it is, on a terminal; it is ended when it has."""
    ours, its = pty.openpty()
    shown = b""
    with subprocess.Popen(["jarline", "forecast", "10L@30%", "--monte-carlo", "1000000"], env=settings,
                          stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=its) as process:
        os.close(its)
        while b"% done" not in shown and select.select([ours], [], [], 120)[0]:
            shown += os.read(ours, 100)
        process.kill()
    os.close(ours)
    if b"% done" not in shown:
        yield f"a million draws show no progress: {shown!r}"


def value_at(answer, path):
    """What stands in an answer under keys with dots between them; a number is an element's place."""
    for step in path.split("."):
        answer = answer[int(step)] if step.isdigit() else answer[step]
    return answer


def faults_of_text(text, first, room):
    """What is wrong with an answer for people, in words."""
    lines = below_long_tables(text, first)
    if lines is None:
        yield f"no block begins with '{first}'"
    elif len(lines) > room:
        yield f"{len(lines)} lines from '{first}' on, more than {room}"
    if lines is not None and answer_lines(lines) > ANSWER_LINES:
        yield f"{answer_lines(lines)} lines of answer, more than {ANSWER_LINES}"
    for line in text.split("\n"):
        if len(line) > COLUMNS:
            yield f"{len(line)} columns: {line}"


def is_of_answer(line):
    """Whether a line tells something: a label and what stands behind it, or a row of a table; not a
    heading, and not the titles of columns."""
    cells = re.split(r" {2,}", line.strip())
    number = any(re.match(r"[-±]?\d", cell) for cell in cells)
    return number and (len(cells) > 1 or line.startswith(" ")) or len(cells) == 2 and line[:4].strip() != ""


def answer_lines(lines):
    """How many lines the answer itself has, rows of its tables too; what it rests on is none of them."""
    count = 0
    for line in lines:
        if re.match(r"(Warning|Assum|Caution|Notes$|Next|Written|Bench file|Uncertainty)", line):
            break
        count += is_of_answer(line)
    return count


def faults_of_json(text, path):
    """What is wrong with an answer for programs, in words."""
    try:
        value = value_at(json.loads(text), path)
    except (KeyError, IndexError, ValueError, TypeError) as error:
        yield f"no figure '{path}' in JSON: {error!r}"
    else:
        if not isinstance(value, (int, float, str)):
            yield f"no figure for '{path}'"


def first_figure(lines):
    """The first line that has a figure or a word beside its label: below headings and titles of
    columns, which have none."""
    for line in lines:
        label = re.match(r" *\S+( \S+)* {2,}\S+( \S+)*$", line)
        if re.search(r"\S {2,}(- |-?\d)|^\d", line) or label:
            return line
    return ""


def stands_in(value, line):
    """Whether a figure stands in a line of an answer, as far as its printed digits go."""
    if isinstance(value, str):
        return value in line
    for number in re.findall(r"(?<![\w.])-?\d+(?:\.\d+)?", line):
        decimals = len(number.partition(".")[2])
        if abs(float(number) - value) <= 0.5000001 * 10 ** -decimals:
            return True
    return False


def faults_of_first(text, first, answer, path):
    """What is wrong with the figure that the command exists for: the first line has it."""
    value, lines = value_at(json.loads(answer), path), below_long_tables(text, first)
    if lines is not None and not stands_in(value, first_figure(lines)):
        yield f"{path} = {value} is not in the first line: {first_figure(lines)}"


def long_title(settings):
    """Lines wider than a terminal where a title has 60 characters."""
    title = "A spirit run of apples, pears and quinces from the old garden"[:60]
    change = f"sed -i 's/^#title.*/#title,\"{title}\"/' october.csv november.csv; "
    for command in ("tally october.csv", "tally october.csv november.csv", "history october.csv november.csv",
                    "cut october.csv --suggest", "chart october.csv", "record october.csv 250mL 74.5% 24C",
                    "tally november.csv", "cut november.csv --hearts 3-12 --to 80proof",
                    "chart november.csv", "record november.csv 250mL 104.5proof 75F", "stock house.csv", "account house.csv october.csv november.csv",
                    "calibrate october.csv november.csv"):
        for more in ("", " --why"):
            for line in commands.answer_of(f"{change}jarline {command}{more}", settings).split("\n"):
                if len(line) > COLUMNS:
                    yield f"{command}{more}: {len(line)} columns with a long title: {line}"


def faults_of(row, settings):
    """What is wrong with a command's answers, in words."""
    command = row["command"]
    if not row["first"]:  # a page, or an answer for programs
        return
    in_full = "--uncertainty" in command or "--why" in command
    text = shown(command, settings)
    if command.split()[1] not in CAUTIOUS and re.search(r"^Caution: ", text, re.M):
        yield "a caution, which belongs under --why"
    yield from faults_of_text(text, row["first"], LINES_IN_FULL if in_full else LINES)
    if not row["first"].startswith("Assumed"):  # which stands there in full
        for fault in faults_of_text(shown(command + " --why", settings), row["first"], LINES_IN_FULL):
            yield f"with --why: {fault}"
    if row["key"]:
        answer = commands.answer_of(command + " --json", settings)
        faults = list(faults_of_json(answer, row["key"]))
        yield from faults or faults_of_first(text, row["first"], answer, row["key"])


def main(program, readme, examples, manual, answers):
    """Checks all; the exit status."""
    if not prompt.has_terminals():
        print("no pseudo-terminals here")
        return 77
    settings = commands.settings_for(program, examples)
    with open(answers, encoding="utf-8") as file:
        known = {row["command"]: row for row in csv.DictReader(file)}
    wrong = 0
    for fault in [*faults_of_weights(settings), *faults_of_progress(settings), *long_title(settings)]:
        print(fault)
        wrong += 1
    for command in sorted(set(commands.of_readme(readme)) | set(commands.of_manual(manual))):
        faults = list(faults_of(known[command], settings) if command in known else
                      ["is not listed with the figure that it exists for"])
        for fault in faults:
            print(f"{command}\n    {fault}")
        wrong += len(faults)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:6]))
