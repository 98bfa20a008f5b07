"""The questions of "jarline bench --init" at a terminal of 80 columns: above each stands what it is for.

questions.py COMMAND

SPDX-License-Identifier: GPL-3.0-or-later
"""
import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import tempfile
import termios

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "run"))
import prompt  # noqa: E402, a terminal is what it has

CODES = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[=>]|\r")


def session(program, folder):
    """All that a terminal shows: yes or no is answered by a word, the others by Enter."""
    ours, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    done = b""
    refused = False
    settings = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "TERM": "dumb"}
    with subprocess.Popen([program, "bench", "--bench", "b.csv", "--init"], cwd=folder, env=settings,
                          stdin=its, stdout=its, stderr=its, start_new_session=True) as process:
        os.close(its)
        while select.select([ours], [], [], 30)[0]:
            try:
                done += os.read(ours, 65536)
            except OSError:  # the end of a terminal
                break
            if done.endswith(b"): "):
                decision = b" y or n" in done.rpartition(b"\n")[2]
                os.write(ours, (b"y\r" if refused else b"maybe\r") if decision else b"\r")
                refused = refused or decision
        process.wait(timeout=30)
    os.close(ours)
    return CODES.sub("", done.decode("utf-8"))


def faults_of(shown, file):
    """What is wrong with it, in words."""
    lines = shown.split("\n")
    for above, line in zip(lines, lines[1:]):
        if re.match(r"  [a-zA-Z].*\(Enter: ", line) and not re.match(r"\S.*\.$", above) \
                and not above.startswith("  'maybe'"):
            yield f"nothing above '{line.strip()}' says what it is for: {above}"
    yield from (f"{len(line)} columns: {line}" for line in lines if len(line) > 80)
    if shown.count("(Enter: ") != 19:
        yield f"{shown.count('(Enter: ')} questions, expected 18, one of them twice"
    if "'maybe': expected y or n, or Enter." not in shown:
        yield "'maybe' is no refused answer to yes or no"
    if "\nproof,1\n" not in file:
        yield f"y did not become 1: {file}"


def main(program):
    """Checks all; the exit status."""
    if not prompt.has_terminals():
        print("no pseudo-terminals here")
        return 77
    with tempfile.TemporaryDirectory() as folder:
        shown = session(os.path.abspath(program), folder)
        path = os.path.join(folder, "b.csv")
        file = ""
        if os.path.exists(path):
            with open(path, encoding="utf-8") as written:
                file = written.read()
    faults = list(faults_of(shown, file))
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
