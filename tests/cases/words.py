"""One word for one thing, in every text that a user reads.

words.py COMMAND README EXAMPLES MANUAL WORDS, where MANUAL is the folder of the manual pages as they
are installed, and a line of WORDS has an expression of what is wrong, a tab, and what stands instead.
Pages and pictures are made and read; of messages and prompts, which no list of commands brings up, the
texts in the sources are read.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import glob
import os
import re
import subprocess
import sys

import commands


TOKEN = re.compile(r'/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\])*\'|#\s*include[^\n]*', re.S)
ESCAPED = re.compile(r"\\(x[0-9a-f]{2}|.)")

# Pages and pictures: commands that make a file, and the file.
MADE = [("jarline report spirit-october.csv -o page.html", "page.html"),
        ("jarline report spirit-november.csv -o page.html --to 42% --bottle 700mL", "page.html"),
        ("jarline account book-autumn.csv spirit-october.csv -o page.html", "page.html"),
        ("jarline chart spirit-october.csv -o run.svg", "run.svg"),
        ("jarline chart --forecast 10L@27% -o run.svg", "run.svg"),
        ("jarline chart spirit-october.csv spirit-november.csv -o run.svg", "run.svg"),
        ("jarline chart spirit-october.csv spirit-november.csv --over recovered -o run.svg", "run.svg"),
        ("jarline label spirit-october.csv -o page.svg", "page.svg"),
        ("jarline card correction --temps 10C-30C -o card.txt", "card.txt"),
        ("jarline card dilution --to 40% --bottle 700mL -o card.txt", "card.txt"),
        ("jarline card boil --altitude 650m -o card.txt", "card.txt"),
        ("jarline report spirit-october.csv -o page.pdf --to 42% --bottle 500mL", "page.pdf"),
        ("jarline report spirit-november.csv -o page.pdf", "page.pdf"),
        ("jarline card correction --temps 50F-90F --proof -o page.pdf", "page.pdf"),
        ("jarline card dilution --to 40% --bottle 700mL -o page.pdf", "page.pdf"),
        ("jarline card head --altitude 650m -o page.pdf", "page.pdf"),
        ("jarline label spirit-october.csv -o page.pdf", "page.pdf"),
        ("jarline label book-autumn.csv:lot:2026-1 --name Apple -o page.pdf", "page.pdf"),
        ("jarline account book-autumn.csv spirit-october.csv -o page.pdf", "page.pdf"),
        ("jarline chart spirit-october.csv spirit-november.csv --together -o page.pdf", "page.pdf"),
        ("jarline chart strip-october.csv -o page.pdf", "page.pdf"),
        ("jarline chart spirit-october.csv --follow -o page.html", "page.html")]


def literals(path):
    """The texts in a source file, each with its line; those side by side are one."""
    with open(path, encoding="utf-8") as file:
        source = file.read()
    text, line, end = "", 0, 0
    for found in TOKEN.finditer(source):
        if not found.group().startswith('"'):
            continue
        more = ESCAPED.sub(lambda e: {"n": "\n", '"': '"'}.get(e.group(1), " "), found.group()[1:-1])
        if source[end:found.start()].strip():
            yield line, text
            text, line = "", source.count("\n", 0, found.start()) + 1
        text += more
        end = found.end()
    yield line, text


def sources(root):
    """Names and texts of what stands in the sources for people: not keys, nor units."""
    for pattern in ("cli/**/*.c", "cli/**/*.h", "lib/**/*.c", "lib/keys/*.h", "reference/check*.c"):
        for path in sorted(glob.glob(os.path.join(root, pattern), recursive=True)):
            for line, text in literals(path):
                if not re.fullmatch(r"[a-z0-9_]*", text):
                    yield f"{os.path.relpath(path, root)}:{line}", text


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
    for name in [""] + re.findall(r"^.{16}([a-z]+) ", commands.answer_of("jarline --help", settings), re.M):
        yield f"help {name}", commands.answer_of(f"jarline help {name}", settings)
    for command, made in MADE:
        reader = f"pdftotext -layout {made} -" if made.endswith(".pdf") else f"cat {made}"
        text = commands.answer_of(f"{command} >log; {reader}", settings)
        if not text:
            sys.exit(f"{command}: nothing was made")
        yield command, re.sub(r"<style.*?</style>|<[^>]*>", "", text)
    yield from sources(os.path.dirname(readme))
    known = set(commands.of_readme(readme)) | set(commands.of_manual(manual))
    for command in sorted(known):
        for more in ("", " --why", " --json"):
            yield command + more, commands.answer_of(command + more, settings)


def faults_of_warnings(root):
    """Warnings of more than one sentence, in words."""
    call = re.compile(r'\bshow_warning\(\s*\w+,((?:"(?:\\.|[^"\\])*"|[^;"])*)\);')
    for path in sorted(glob.glob(os.path.join(root, "cli", "**", "*.c"), recursive=True)):
        with open(path, encoding="utf-8") as file:
            source = re.sub(r'"\s*\n\s*"', "", file.read())
        for found in call.finditer(source):
            for text in re.findall(r'"((?:\\.|[^"\\])*)"', found[1]):
                if re.search(r"[.?!] [A-Z%]", text):
                    yield f"{os.path.relpath(path, root)}: a warning of several sentences: {text}"


def main(program, readme, examples, manual, words):
    """Checks all; the exit status."""
    with open(words, encoding="utf-8") as file:
        rows = [line.rstrip("\n").split("\t") for line in file if line.strip() and line[0] != "#"]
    wrong = 0
    for fault in faults_of_warnings(os.path.dirname(os.path.abspath(readme))):
        print(fault)
        wrong += 1
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
