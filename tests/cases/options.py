"""One option means one thing in every command, stands in its manual page, and has its one letter.

options.py COMMAND MANUAL, where MANUAL is the folder of the pages as they are installed.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import re
import subprocess
import sys

LETTERS = {"help": "h", "json": "j", "output": "o", "force": "f", "quiet": "q", "version": "V"}
OPTION = re.compile(r"^  (?:-([a-zA-Z]), |    )--([a-z][a-z-]*)(?:=(\S+))?")


def printed(program, *words):
    """Standard output of a call that has to succeed."""
    return subprocess.run([program, *words], check=True, stdout=subprocess.PIPE, timeout=60).stdout.decode()


def commands_of(program):
    """All commands, as help lists them."""
    return re.findall(r"^.{16}([a-z]+) ", printed(program, "--help"), re.M)


def options_of(program, command):
    """Letter, name and argument of each option, "" where there is none."""
    for line in printed(program, "help", command).split("\n"):
        found = OPTION.match(line)
        if found:
            yield tuple(part or "" for part in found.groups())


def page_of(manual, name):
    """A manual page without what only sets its letters."""
    with open(os.path.join(manual, name), encoding="utf-8") as file:
        return re.sub(r"\\f[RBPI]", "", file.read().replace("\\-", "-"))


def names_in_manual(manual, command):
    """All options in a command's page, in the page of all commands, and, where it sends its reader
    there, in forecast's."""
    text = page_of(manual, f"jarline-{command}.1")
    if ".BR jarline-forecast (1)" in text:
        text += page_of(manual, "jarline-forecast.1")
    return set(re.findall(r"--([a-z][a-z-]*)", text + page_of(manual, "jarline.1")))


def main(program, manual):
    """Checks all; the exit status."""
    faults, kinds = [], {}
    for command in commands_of(program):
        known = names_in_manual(manual, command)
        faults += [f"help {command}: {len(line)} columns: {line}" for line in
                   printed(program, "help", command).split("\n") if len(line) > 80]
        if printed(program, command, "-V") != printed(program, "-V"):
            faults.append(f"{command} -V does not say the version")
        for letter, name, argument in options_of(program, command):
            first = kinds.setdefault(name, (argument, command))
            if first[0] != argument:
                faults.append(f"--{name} takes '{argument}' in {command}, '{first[0]}' in {first[1]}")
            if letter != LETTERS.get(name, ""):
                faults.append(f"{command}: the letter of --{name} is '{letter}'")
            if name not in known:
                faults.append(f"jarline-{command}.1 has no --{name}")
    for letter in "hV":
        if not printed(program, "-" + letter).startswith("jarline "):
            faults.append(f"-{letter} says nothing")
    faults += [f"no command has --{name}" for name in LETTERS if name not in kinds]
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:3]))
