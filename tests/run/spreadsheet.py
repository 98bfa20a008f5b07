#!/usr/bin/env python3
"""A real spreadsheet opens each run log and book of the examples and saves it; tally and account give the
same answer.

SPDX-License-Identifier: GPL-3.0-or-later

spreadsheet.py JARLINE EXAMPLES

LibreOffice, headless. Saved with commas, and with semicolons and decimal commas as a German one
does. A log with notes that look like formulas is among them, and so is one that goes on afterwards.
"""
import json
import os
import shutil
import subprocess
import sys
import tempfile

GERMAN = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>de-DE</value></prop></item></oor:items>
"""
# Column separator, text mark, UTF-8, first line, formats of columns, language: tokens of LibreOffice's
# CSV filter. Read as English; numbers written as shown.
READ_AS = "CSV:44,34,76,1,,1033"
WRITE_AS = "csv:Text - txt - csv (StarCalc):{},34,76,1,,0,false,true"


def save(source, folder, name, separator, german):
    profile = os.path.join(folder, "profile-" + name)
    os.makedirs(os.path.join(profile, "user"), exist_ok=True)
    if german:
        with open(os.path.join(profile, "user", "registrymodifications.xcu"), "w") as file:
            file.write(GERMAN)
    out = os.path.join(folder, name)
    subprocess.run(["soffice", "--headless", f"-env:UserInstallation=file://{profile}",
                    f"--infilter={READ_AS}", "--convert-to", WRITE_AS.format(ord(separator)),
                    "--outdir", out, source], check=True, capture_output=True, timeout=300)
    return os.path.join(out, os.path.basename(source))


def is_book(log):
    with open(log, encoding="utf-8-sig") as file:
        return "kind" in (text := file.read(200)) and "book" in text


def answer(jarline, log):
    done = subprocess.run([jarline, "account" if is_book(log) else "tally", log, "--json"],
                          capture_output=True)
    if done.returncode != 0:
        return done.stderr.decode()
    result = json.loads(done.stdout)
    for where in ("log", "next"):
        result.pop(where, None)
    return result


def entry_for(log):
    """What the command is asked to write into a file next."""
    if is_book(log):
        return ["book", log, "gauged", "cask-1", "3.65L", "53.2%", "12C", "--time",
                "2027-01-01T10:00:00Z"]
    proof = b"proof" in open(log, "rb").read()
    return ["record", log, "250ml"] + (["120proof", "68F"] if proof else ["60%", "20C"])


def difference(a, b, path=""):
    """Where two answers differ; a spreadsheet shows numbers to some ten digits."""
    if isinstance(a, dict) and isinstance(b, dict):
        return next((d for key in sorted(set(a) | set(b))
                     if (d := difference(a.get(key), b.get(key), f"{path}.{key}"))), None)
    if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        return next((d for n, (x, y) in enumerate(zip(a, b))
                     if (d := difference(x, y, f"{path}[{n}]"))), None)
    if isinstance(a, (int, float)) and isinstance(b, (int, float)):
        return None if abs(a - b) <= 1e-9 * max(1, abs(a)) else f"{path}: {a} {b}"
    return None if a == b else f"{path}: {a!r} {b!r}"


def make_own(jarline, folder):
    """A log of ours with notes that a spreadsheet could take for something else."""
    log = os.path.join(folder, "own.csv")
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%", "--title", "=late, pears"],
                   check=True, capture_output=True)
    for note in ("=1+1", "@home", "-rough", "+ sweet", "a;b, \"c\"", "\U0001f350 \u05d0\u05d1"):
        subprocess.run([jarline, "record", log, "250ml", "72.5%", "24C", "--head", "86.25C", "--note",
                        note], check=True, capture_output=True)
    subprocess.run([jarline, "record", log, "--undo"], check=True, capture_output=True)
    return log


def make_remarked(examples, folder):
    """The book with a remark of its owner between two entries."""
    path = os.path.join(folder, "remarked.csv")
    with open(os.path.join(examples, "book-autumn.csv"), encoding="utf-8") as book:
        lines = book.readlines()
    with open(path, "w", encoding="utf-8") as book:
        book.writelines(lines[:9] + ["# counted with Ann\n"] + lines[9:])
    return path


def main():
    jarline = os.path.realpath(sys.argv[1])
    examples = os.path.realpath(sys.argv[2])
    if shutil.which("soffice") is None:
        print("LibreOffice is not installed: skipped")
        return 77
    failures, saved = [], 0
    with tempfile.TemporaryDirectory() as folder:
        logs = [make_own(jarline, folder), make_remarked(examples, folder)]
        for name in sorted(os.listdir(examples)):
            path = os.path.join(examples, name)
            if name.endswith(".csv") and not isinstance(answer(jarline, path), str):
                logs.append(path)
        for log in logs:
            with open(log, "rb") as file:
                if b";" in file.read().split(b"\n")[0]:
                    continue  # a spreadsheet saved it already
            before = answer(jarline, log)
            for name, separator, german in (("commas", ",", False), ("semicolons", ";", True)):
                again = save(log, folder, name, separator, german)
                saved += 1
                wrong = difference(before, answer(jarline, again))
                if wrong:
                    failures.append(f"{os.path.basename(log)}, {name}: {wrong}")
                with open(again, "rb") as file:
                    saved_bytes = file.read()
                done = subprocess.run([jarline] + entry_for(again), capture_output=True)
                with open(again, "rb") as file:
                    if is_book(again) and not file.read().startswith(saved_bytes):
                        failures.append(f"{os.path.basename(log)}, {name}: its rows changed")
                if done.returncode != 0 or isinstance(answer(jarline, again), str):
                    failures.append(f"{os.path.basename(log)}, {name}: does not go on: "
                                    f"{done.stderr.decode()}")
    for failure in failures:
        print(failure)
    print(f"{len(logs)} logs, saved {saved} times by a spreadsheet: {len(failures)} failures")
    return 1 if failures or saved == 0 else 0


if __name__ == "__main__":
    sys.exit(main())
