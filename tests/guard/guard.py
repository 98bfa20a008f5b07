"""Every figure of many answers beside what it was: a guard against change that nobody meant.

guard.py COMMAND EXAMPLES [--write] [--only TEXT]

What is right other tests say, by published values, worked examples and simulated runs, each within what
its source can tell. Here the figures themselves are held, within a millionth, so that a change that
moves one in the fifth digit is seen and meant. `commands` has the lines, which run one behind the other
in a folder with the examples; `figures.tsv` has each figure by its line and its JSON key. A list of more
than three is held by a weighted sum. After a change that was meant, --write writes figures.tsv anew.

A line that begins with ! is refused, and is held by its exit status; "read FILE" holds a file's numbers;
"~" before a line allows a thousandth, for what a search or draws found.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import zlib

FOLDER = os.path.dirname(os.path.abspath(__file__))
SENTENCES = {"assumptions", "warnings", "notes", "cautions", "next", "sources", "assumed", "program"}
NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")


def weight(index):
    return 1 + 0.137 * (index % 11) + 0.0009 * index


def as_number(value):
    """A word stands for its checksum, so that lists of words are summed as numbers are."""
    if isinstance(value, bool) or value is None:
        return {None: 0.0, True: 1.0, False: 2.0}[value]
    if isinstance(value, str):
        return zlib.crc32(value.encode()) % 9973 / 100
    return float(value)


def flatten(value, path, found, scale=None):
    """Figures by their keys; scale: the weight within a list, whose figures are summed."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in SENTENCES:
                flatten(inner, f"{path}.{key}", found, scale)
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            if len(value) > 3 or scale is not None:
                flatten(inner, f"{path}[]", found, (scale or 1) * weight(i))
            else:
                flatten(inner, f"{path}[{i}]", found)
        if not value:
            found[f"{path}[]"] = 0.0
    elif scale is not None:
        found[path] = found.get(path, 0.0) + scale * as_number(value)
    else:
        found[path] = value if isinstance(value, str) and len(value) < 40 else as_number(value)


def figures_of(line, folder, settings):
    """Figures of a line by their keys, or what is wrong with it."""
    refused, line = line.startswith("!"), line.lstrip("!~ ")
    if line.startswith("read "):
        text = open(os.path.join(folder, line[5:])).read()
        rows = [[float(n) for n in NUMBER.findall(row)] for row in text.split("\n")]
        found = {"rows": float(len(rows)), "text": as_number(NUMBER.sub("#", text))}
        for i, row in enumerate(rows):
            for n, number in enumerate(row):
                key = f"number {n + 1}"
                found[key] = found.get(key, 0.0) + weight(i) * number
        return found
    done = subprocess.run(["sh", "-c", f"{line} -j" if line.startswith("jarline") else line], cwd=folder,
                          env=settings, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=120)
    if refused:
        return {"exit": float(done.returncode)}
    if done.returncode not in (0, 1):
        return f"exit status {done.returncode}: {done.stderr.strip()}"
    found = {"exit": float(done.returncode)}
    if done.stdout.startswith("{"):
        flatten(json.loads(done.stdout), "", found)
    return found


def differs(now, then, share):
    if isinstance(now, str) or isinstance(then, str):
        return now != then
    return abs(now - then) > share * abs(then) + 1e-9


def read_figures(path):
    """A line, and below it a tab, each key and its figure."""
    held, of = {}, None
    for row in open(path) if os.path.exists(path) else ():
        if not row.startswith("\t"):
            of = held.setdefault(row.rstrip("\n"), {})
            continue
        _, key, value = row.rstrip("\n").split("\t")
        of[key] = value.strip('"') if value.startswith('"') else float(value)
    return held


def written(value):
    return f'"{value}"' if isinstance(value, str) else f"{value:.10g}"


def main():
    write = "--write" in sys.argv
    only = sys.argv[sys.argv.index("--only") + 1] if "--only" in sys.argv else ""
    command, examples = (os.path.abspath(word) for word in sys.argv[1:3])
    table = os.path.join(FOLDER, "figures.tsv")
    held, rows, wrong, count = read_figures(table), [], 0, 0
    lines = [line.strip() for line in open(os.path.join(FOLDER, "commands"))]
    lines = [line for line in lines if line and not line.startswith("#")]
    with tempfile.TemporaryDirectory() as folder:
        for name in os.listdir(examples):
            if name.endswith(".csv"):
                shutil.copy(os.path.join(examples, name), folder)
        os.mkdir(os.path.join(folder, "bin"))
        os.symlink(command, os.path.join(folder, "bin", "jarline"))
        settings = {"PATH": f"{folder}/bin:/usr/bin:/bin", "HOME": folder, "TZ": "Europe/Berlin",
                    "XDG_CONFIG_HOME": folder, "LC_ALL": "C.UTF-8"}
        for line in lines:
            now = figures_of(line, folder, settings)
            if isinstance(now, str):
                print(f"guard failures: {line}: {now}", flush=True)
                wrong += 1
                continue
            rows += [f"{line}\n"] + [f"\t{key}\t{written(value)}\n" for key, value in now.items()]
            if write or only not in line:
                continue
            if line not in held:
                print(f"guard failures: {line}: not held yet, --write does so", flush=True)
                wrong += 1
            for key, then in held.get(line, {}).items():
                count += 1
                if key not in now or differs(now[key], then, 1e-3 if line.startswith("~") else 1e-6):
                    print(f"guard failures: {line}: {key} is {now.get(key)}, was {then}", flush=True)
                    wrong += 1
    if write:
        with open(table, "w") as f:
            f.writelines(rows)
    print(f"{count} figures of {len(lines)} lines held, {wrong} wrong")
    if wrong and not write:
        print("A change that was meant: tests/guard/guard.py COMMAND EXAMPLES --write, and look at the diff")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
