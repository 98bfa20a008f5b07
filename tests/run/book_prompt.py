#!/usr/bin/env python3
"""The prompt of a book in a terminal of 80 by 24: every question with what it refuses, each slip met where
it is typed, and in the book only what was meant.

SPDX-License-Identifier: GPL-3.0-or-later

book_prompt.py JARLINE
"""
import csv
import os
import subprocess
import sys
import tempfile

import prompt
from prompt import CODES, FAILURES, check

RUN = ("#jarline,1\n#kind,run\n#charge_l,10\n#charge_strength_pct,30\njar,volume_ml,strength_pct,fraction\n"
       "1,500,80,heads\n2,500,75,hearts\n3,500,70,hearts\n")

MEASURED_RUN = ("jar,volume_ml,strength_pct,fraction\n1,1000,70,hearts\n2,500,60,hearts\n"
                "3,500,20,tails\n")

# What is typed, and what is then on the screen.
TYPED = [
    ("vessel", "no vessel is there yet"),
    ("stock", "Pure alcohol in all"), ("?", "of one word"), ("entries", "No entry is written yet."),
    ("cask", "holds when full"),
    ("90C", "as 50L"), ("0", "as 50L"), ("50", "glass, steel, wood or other"),
    ("clay", "glass, steel, wood or other"), ("wood", "when"),
    ("5", "cannot be read"), ("", "note"), ("first", "-1 vessel"),
    ("", "A word for what happened"), ("vesel", "g: take vessel"), ("g", "name"),
    ("jug", "full"), ("2L", "steel"), ("glass", "when"), ("bought anew", "keep it as the note"),
    ("y", "-2 vessel"),
    ("moved", "from (no vessel holds anything)"), ("back", "what happened"),
    ("opening", "into (cask 0, jug 0 L)"), ("cask-2", "was it cask?"), ("", "into"), ("lot:7", "That is a lot"),
    ("", "name of a vessel"), ("cask", "how much"), ("5", "as 5L@70%"), ("5L@70%mas", "as 5L@70%"),
    ("90L@60%", "has room for 50.0 L"), ("40L@60%", "what it is"), ("", "when"), ("", "note"), ("", "cask        40.0"),
    ("received", "into"), ("jug", "how much"), ("1kg@50%", "from whom"), ("Ann", "what it is"),
    ("low wines", "when"), ("", "note"), ("", "low wines"),
    ("gauged", "which (cask 40, jug"), ("", "A vessel, or a lot"), ("nowhere", "the book has no vessel 'nowhere'."),
    ("cask", "measured"), ("much", "as 48.2L or 44kg"), ("39", "reading"), ("60%mas", "as 44.5% or 89proof"),
    ("x", "as 44.5% or 89proof"), ("60", "temperature"), ("hot", "as 14C or 57F"), ("20", "dissolved"),
    ("x", "Dissolved solids"), ("200", "Dissolved solids"), ("0.9", "distilled sample"), ("x", "distilled sample"),
    ("60%mas", "distilled sample"), ("60", "when"), ("9062-01-01 12:00", "in the future"), ("", "note"),
    ("", "Lost, pure alcohol"),
    ("gauged", "which"), ("cask", "measured"), ("36kg", "reading"), ("60", "temperature"),
    ("none", "as 14C or 57F"), ("", "dissolved"), ("", "when"), ("", "note"), ("", "gauged"),
    ("colected", "g: take collected"), ("g", "which jars"), ("run.csv:nothing", "which jars"),
    ("none.csv:hearts", "which jars"), ("run.csv:hearts", "into"), ("cask", "measured there, L or kg (Enter: as the log has it)"), ("much", "as 48.2L or 44kg"),
    ("", "when"), ("", "note"), ("", "collected"),
    ("moved", "from (cask"), ("cask", "how much"), ("x", "as 2.5L, 800mL or 1.2kg"), ("500", "cask holds"),
    ("0.5", "into"), ("cask", "both vessels"), ("jug", "when"), ("1 Jan 2001 9:00", "y: keep it, late"), ("", "when"),
    ("", "note"), ("", "moved"),
    ("bottled", "from"), ("cask", "bottles"), ("4", "40x700mL"), ("0x700mL", "out of range"), ("400x700mL", "cask holds"),
    ("4x700mL", "lot (Enter: "), ("", "when"), ("", "note"), ("", "bottled"),
    ("removed", "lot:"), ("BOTTLED", "bottles (of 4)"), ("1.5", "A whole number of bottles"), ("9", "bottles"),
    ("2", "to whom"), ("Bob", "when"), ("", "note"), ("", "removed"),
    ("gauged", "which"), ("BOTTLED", "bottles"), ("1", "seldom lost unseen"), ("y", "when"), ("", "note"), ("", "gauged"),
    ("water", "into (cask"), ("cask", "how much"), ("3kg", "when"), ("", "note"), ("", "water"),
    ("charged", "from"), ("cask", "how much"), ("2x2L", "log"), ("run.csv", "when"), ("", "note"), ("", "charged"),
    ("lost", "from"), ("jug", "how much"), ("all", "when"), ("", "note"), ("spilled", "lost"),
    ("moved", "from (cask"), ("jug", "jug is empty"), ("back", "what happened"),
    ("cancelled", "the entry that was wrong"), ("2nd", "2026-31"), ("2026-999", "entry"), ("water", "later entries stand on"),
    ("lost", "why"),
    ("", "The reason stays"), ("it was less", "when"), ("", "cancelled"),
    ("vessel", "name"), ("jug", "jug"), ("back", "what happened"), ("stock", "bottles"),
    ("entries", "cancels "),
]


def numbers_of(book):
    """What happened, by the entry's number."""
    with open(book, newline="", encoding="utf-8") as file:
        rows = [row for row in csv.reader(file) if row and not row[0].startswith("#")]
    return {row[0]: row for row in rows[1:]}


def typed(jarline, folder):
    """One person, one evening."""
    book = os.path.join(folder, "house.csv")
    with open(os.path.join(folder, "run.csv"), "w", encoding="utf-8") as run:
        run.write(RUN)
    t = prompt.Terminal(jarline, book, command="book")
    check("begins with its vessels" in t.page, f"first page: {t.page!r}")
    for text, wanted in TYPED:
        entries = numbers_of(book) if os.path.exists(book) else {}
        named = next((row for row in entries.values() if row[2] == text.lower()), None)
        if text == "BOTTLED":  # its lot
            text = "lot:" + named[17]
        elif named and wanted in ("why", "later entries stand on"):
            text = named[0]
        shown = t.line(text)
        check(wanted in shown, f"{text!r}, wanted {wanted!r}: {shown[-300:]!r}")
    os.write(t.fd, b"quit\r")
    check(t.over() == 0, "quit does not end with 0")
    for line in CODES.sub("\n", t.all).split("\n"):
        check(len(line) <= 80, f"{len(line)} columns: {line!r}")
    got = [row[2] for row in numbers_of(book).values()]
    want = ["vessel", "vessel", "opening", "received", "gauged", "gauged", "collected", "moved", "bottled",
            "removed", "gauged", "water", "charged", "lost", "cancelled"]
    check(got == want, f"the book holds {got}")


def dropped(jarline, folder):
    """Ctrl-C drops the entry, and where nothing is begun it leaves."""
    book = os.path.join(folder, "house.csv")
    before = open(book, "rb").read()
    t = prompt.Terminal(jarline, book, command="book")
    t.line("moved")
    t.line("cask")
    os.write(t.fd, b"\x03")
    shown = t.wait()
    check("was not written" in shown, f"Ctrl-C: {shown!r}")
    os.write(t.fd, b"\x03")
    check(t.over() == 0, "Ctrl-C does not leave")
    check(open(book, "rb").read() == before, "a dropped entry is in the book")


def begun(jarline, folder):
    book = os.path.join(folder, "store.csv")
    for words in (["vessel", "cask-1", "5L", "wood"], ["vessel", "demijohn-3", "10L", "glass"],
                  ["opening", "cask-1", "4.6L@58.2%"]):
        subprocess.run([jarline, "book", book, *words, "--time", "2026-10-01T10:00:00Z"], check=True,
                       capture_output=True)
    with open(os.path.join(folder, "measured.csv"), "w", encoding="utf-8") as file:
        file.write(MEASURED_RUN)
    with open(os.path.join(folder, "bench.csv"), "w", encoding="utf-8") as file:
        file.write("#jarline,1\n#kind,settings\nbottle_l,0.35\n")
    return book


def gauged(t):
    for text in ("gauged", "cask-1", "4.61", "28", "20"):
        shown = t.line(text)
    check("dissolved, g in 100 mL" in shown, f"solids: {shown!r}")
    shown = t.line("")
    check("seldom lost unseen. Was 58 % meant?" in CODES.sub("", shown).replace("\n  ", " "),
          f"an unlikely gauging: {shown!r}")
    check("y: keep what was measured" in shown, f"no choice: {shown!r}")
    shown = t.line("reading 58")
    check("dissolved" in shown and "unseen" not in shown, f"typed anew: {shown!r}")
    for text in ("", "", ""):
        shown = t.line(text)
    check("gauged" in shown and "58.0" in shown, f"written: {shown!r}")


def collected(t):
    for text in ("collected", "measured.csv:hearts", "demijohn-3"):
        shown = t.line(text)
    check("measured there, L or kg (Enter: as the log has it)" in shown, f"not asked: {shown!r}")
    for text in ("1.48", "66.8", "20", "", ""):
        shown = t.line(text)
    check("Pure alcohol by the run's log" in shown, f"not beside the log: {shown!r}")
    for text in ("collected", "measured.csv:tails", "demijohn-3", "", "", ""):
        shown = t.line(text)
    check("run's log" not in shown and "collected" in shown, f"as the log has it: {shown!r}")


def bottled(t):
    for text in ("bottled", "demijohn-3"):
        shown = t.line(text)
    check("bottles (40 of 350 mL, or 40x500mL)" in shown, f"the bench's bottle: {shown!r}")
    for text in ("2", "", "", ""):
        shown = t.line(text)
    check("2 bottles of 350 mL" in shown, f"bottled: {shown!r}")


def measured(jarline, folder):
    """What was measured is asked about where it is unlikely, before it is written."""
    book = begun(jarline, folder)
    t = prompt.Terminal(jarline, book, command="book")
    for entry in (gauged, collected, bottled):
        entry(t)
    t.leave()
    got = [tuple(row[i] for i in (2, 7, 9, 15)) for row in numbers_of(book).values()][3:]
    want = [("gauged", "4.61", "58", ""), ("collected", "1.48", "66.8", ""), ("collected", "", "", ""),
            ("bottled", "", "", "2")]
    check(got == want, f"the book holds {got}")


def full(jarline, folder):
    book = begun(jarline, folder)
    t = prompt.Terminal(jarline, book, command="book")
    prompt.on_a_full_disk(t, book, ("lost", "cask-1", "0.1L", "", ""), "4.50")
    t.leave()


def main(jarline):
    jarline = os.path.realpath(jarline)
    if not prompt.has_terminals():
        print("no pseudo-terminals here")
        return 77
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CONFIG_HOME"] = folder  # no bench file of the person who tests
        folder = os.path.realpath(folder)
        typed(jarline, folder)
        dropped(jarline, folder)
        measured(jarline, folder)
        os.remove(os.path.join(folder, "store.csv"))
        full(jarline, folder)
    for failure in FAILURES:
        print(failure)
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
