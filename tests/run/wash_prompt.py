#!/usr/bin/env python3
"""The prompt of a wash's log in a terminal of 80 by 24, and from a pipe: what was meant is in the log,
each slip is met where it is typed, and nothing else is written.

SPDX-License-Identifier: GPL-3.0-or-later

wash_prompt.py JARLINE
"""
import csv
import os
import subprocess
import sys
import tempfile

import prompt
from prompt import CODES, FAILURES, check


def rows_of(log):
    """The rows below the header."""
    with open(log, newline="", encoding="utf-8") as file:
        rows = [row for row in csv.reader(file) if row and not row[0].startswith("#")]
    return [dict(zip(rows[0], row)) for row in rows[1:]]


def begun(jarline, folder, name):
    log = os.path.join(folder, name)
    subprocess.run([jarline, "start", log, "--wash", "25L", "--add", "6kg sugar", "--time",
                    "2026-11-20T10:00:00Z"], check=True, capture_output=True)
    return log


def typed(jarline, folder):
    """A person with wet hands."""
    log = begun(jarline, folder, "wash.csv")
    t = prompt.Terminal(jarline, log)
    check("Gravity (Enter: a step, or what went in)" in t.page, f"first page: {t.page!r}")
    t.line("time 2026-11-21 10:00")
    shown = t.line("90")
    check("'90': expected its unit: 90pts, which is 1.090" in shown, f"90: {shown!r}")
    t.line("1090")
    shown = t.line("70")
    check("0 to 40 °C" in shown and "g: take 70F" in shown, f"70: {shown!r}")
    shown = t.line("g")
    check("Recorded" in shown and "last 1.090" in shown, f"recorded: {shown!r}")
    t.line("time 2026-11-23 10:00")
    shown = t.line("1.050 21 works hard")
    check("Strength by now" in shown, f"strength: {shown!r}")
    shown = t.line("1.060")
    check("no fermentation raises it" in shown and "y: keep 1.060" in shown, f"rise: {shown!r}")
    t.line("")
    t.line("time 2026-11-24 10:00")
    t.line("1.040")
    t.line("")
    shown = t.line("")
    check("step (degas" in shown, f"step: {shown!r}")
    shown = t.line("settle")
    check("Enter: 48 h" in shown, f"usual wait: {shown!r}")
    t.line("")
    t.line("step racked")
    shown = t.line("step rest 3")
    check("as 24h or 2d" in shown, f"a wait without its unit: {shown!r}")
    t.line("")
    shown = t.line("1,024")
    check("A step is a word" in shown, f"a number as a step: {shown!r}")
    shown = t.line("setle")
    check("Was settle meant?" in shown and "g: take settle" in shown, f"a step with a slip: {shown!r}")
    shown = t.line("")
    check("step (degas" in shown, f"typed again: {shown!r}")
    shown = t.line("rest")
    check("it takes" in shown, f"a step of one's own: {shown!r}")
    shown = t.line("3")
    check("back:" in shown and "another step, or none" in shown, f"the way out: {shown!r}")
    t.line("")
    t.line("back")
    t.line("back")
    shown = t.line("step stired")
    check("Was stirred meant?" in shown and "Gravity" in shown, f"step with a slip: {shown!r}")
    t.line("time 23:57")
    t.line("step pitched")
    shown = t.line("undo")
    check("Undone" in shown and "pitched" in shown and "Gravity" in shown, f"undo: {shown!r}")
    t.line("stirred")
    t.line("time 23:58")
    t.line("add 500g sugar")
    t.line("add 4kg molasses")
    shown = t.line("?")
    check("step settle 4d" in shown and "Enter: a step" in shown, f"help: {shown!r}")
    t.leave()
    for line in CODES.sub("\n", t.all).split("\n"):
        check(len(line) <= 80, f"{len(line)} columns: {line!r}")
    rows = rows_of(log)
    got = [(r["gravity"], r["temp_c"][:4], r["step"], r["add"], r["note"]) for r in rows[1:]]
    want = [("1.090", "21.1", "", "", ""), ("1.050", "21", "", "", "works hard"), ("1.040", "", "", "", ""),
            ("", "", "settle", "", ""), ("", "", "racked", "", ""), ("", "", "stirred", "", ""),
            ("", "", "", "500g sugar", "")]
    check(got == want, f"the log holds {got}")
    check(rows[-1]["time"][11:16] == "23:58", f"time: {rows[-1]}")


# What is typed, and what is then on the screen.
EACH = [
    ("back", "This is the first question."), ("time 2026-11-21 10:00", "This row is of 2026-11-21 10:00."),
    ("1.080", "temperature"), ("20", "Recorded"), ("time 2026-11-23 10:00", "This row is of"), ("note works", "Gravity"), ("1.070", "temperature"),
    ("35", "The reading before had 20.0 °C."), ("", "temperature"), ("35", "y: keep 35.0 °C"), ("y", "Recorded"),
    ("", "step (degas"), ("", "what went in"), ("plums", "Expected an amount"), ("", "Nothing was recorded"),
    ("", "step (degas"), ("settle", "Enter: 48 h"), ("24", "g: take 24h"), ("g", "Logged waits are over"),
    ("", "step (degas"), ("clear", "Enter: 24 h"), ("2d", "Logged waits are over"),
    ("", "step (degas"), ("", "what went in"), ("1kg sugar", "Strength when all has fermented"),
    ("it stands", "A gravity from 0.970"),
]


def each_question(jarline, folder):
    """Every question with a slip at it."""
    log = begun(jarline, folder, "each.csv")
    t = prompt.Terminal(jarline, log)
    for text, wanted in EACH:
        shown = t.line(text)
        check(wanted in shown, f"{text!r}, wanted {wanted!r}: {shown[-300:]!r}")
    t.leave()
    got = [(r["gravity"], r["temp_c"], r["step"], r["duration"], r["add"], r["note"]) for r in rows_of(log)[1:]]
    want = [("1.080", "20", "", "", "", ""), ("1.070", "35", "", "", "", "works"),
            ("", "", "settle", "24h", "", ""), ("", "", "clear", "2d", "", ""), ("", "", "", "", "1kg sugar", "")]
    check(got == want, f"the log holds {got}")


def dropped(jarline, folder):
    """Ctrl-C drops the row, and where nothing is begun it leaves."""
    log = begun(jarline, folder, "dropped.csv")
    t = prompt.Terminal(jarline, log)
    t.line("1.080")
    os.write(t.fd, b"\x03")
    t.wait()
    os.write(t.fd, b"\x03")
    check(t.over() == 0, "Ctrl-C does not leave")
    check(len(rows_of(log)) == 1, "a dropped row is in the log")


def full(jarline, folder):
    log = begun(jarline, folder, "full.csv")
    t = prompt.Terminal(jarline, log)
    prompt.on_a_full_disk(t, log, ("1.080 20",), "1.080")
    t.leave()
    check(len(rows_of(log)) == 2, f"the log holds {rows_of(log)}")


def piped(jarline, folder):
    """Lines of a pipe; the first that is no answer ends it."""
    log = begun(jarline, folder, "piped.csv")
    done = subprocess.run([jarline, "record", log], input=b"1.090 21\nstep degas\n1.2x 21\n1.010 20\n",
                          capture_output=True)
    check(done.returncode == 65, f"a pipe ends with {done.returncode}")
    check(b"line 3 of the input" in done.stderr, f"a pipe says {done.stderr}")
    check(len(rows_of(log)) == 3, f"a pipe wrote {rows_of(log)}")


def main(jarline):
    jarline = os.path.realpath(jarline)
    if not prompt.has_terminals():
        print("no pseudo-terminals here")
        return 77
    prompt.live_at_noon()
    for test in (typed, each_question, dropped, full, piped):
        with tempfile.TemporaryDirectory() as folder:
            test(jarline, os.path.realpath(folder))
    for failure in FAILURES:
        print(failure)
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
