#!/usr/bin/env python3
"""The prompt in a terminal of 80 by 24: ten jars, a correction, an undo, Ctrl-C, kill -9, taken up
again. Also over a serial line without colour, and with its input from a pipe.

SPDX-License-Identifier: GPL-3.0-or-later

prompt.py JARLINE
"""
import fcntl
import json
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time

FAILURES = []


def check(good, what):
    if not good:
        FAILURES.append(what)


class Terminal:
    """jarline record LOG in a terminal; what it shows is kept."""

    def __init__(self, jarline, log, term):
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM=term, LC_ALL="C.UTF-8", TZ="UTC", INPUTRC="/dev/null")
            os.environ.pop("COLUMNS", None)
            os.execv(jarline, [jarline, "record", log])
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.shown = ""

    def wait_for(self, text, seconds=10):
        """Shown since the last call, up to the text."""
        end = time.monotonic() + seconds
        while text not in self.shown:
            ready, _, _ = select.select([self.fd], [], [], max(0, end - time.monotonic()))
            if not ready:
                check(False, f"waited for {text!r}, got {self.shown[-300:]!r}")
                return self.take(len(self.shown))
            try:
                self.shown += os.read(self.fd, 4096).decode("utf-8", "replace")
            except OSError:
                check(False, f"ended before {text!r}: {self.shown[-300:]!r}")
                return self.take(len(self.shown))
        return self.take(self.shown.index(text) + len(text))

    def take(self, length):
        part, self.shown = self.shown[:length], self.shown[length:]
        return part

    def type(self, text):
        os.write(self.fd, text.encode())

    def answer(self, question, text):
        self.wait_for(question)
        self.type(text + "\r")

    def jar(self, *, volume="", reading, temp="", head="", boiler=None, note=""):
        self.answer("? for help): ", volume)
        self.answer("reading, %", str(reading))
        self.answer("temperature, C", temp)
        self.answer("head, C", head)
        if boiler is not None:
            self.answer("boiler, C", boiler)
        self.answer("note: ", note)
        return self.wait_for("recorded")

    def end(self, seconds=10):
        end = time.monotonic() + seconds
        pid = status = 0
        while pid == 0 and time.monotonic() < end:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            time.sleep(0.01)
        if pid == 0:
            os.kill(self.pid, signal.SIGKILL)
            _, status = os.waitpid(self.pid, 0)
        os.close(self.fd)
        return status


def jars_of(jarline, log):
    done = subprocess.run([jarline, "tally", log, "--json"], capture_output=True, check=True)
    return {jar["jar"]: jar for jar in json.loads(done.stdout)["jars"]}


def forecast_of(log):
    """Strengths to expect, jar by jar."""
    with open(log) as file:
        rows = [line.strip().split(",") for line in file if line.startswith("#expect,")]
    return [float(row[2]) for row in rows]


def start(jarline, folder, name):
    log = os.path.join(folder, name)
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%", "--jar-size", "250ml"], check=True,
                   capture_output=True)
    return log


def session(jarline, folder, term):
    log = start(jarline, folder, term + ".csv")
    readings = [round(pct + 0.3, 1) for pct in forecast_of(log)]
    t = Terminal(jarline, log, term)
    t.jar(volume="250", reading=readings[1], temp="21", head="86.5", boiler="-", note="=pear, clean")
    for n in range(2, 10):
        t.jar(reading=readings[n])
    # A figure that cannot be, then one that is far off: said, and asked again.
    t.answer("? for help): ", "")
    t.answer("reading, %", "725")
    t.wait_for("meant?")
    t.answer("reading, %", "32.5")
    t.answer("temperature, C", "")
    t.answer("head, C", "-")
    t.answer("note: ", "")
    t.wait_for("look again")
    t.answer("all the same?", "250")
    t.answer("all the same?", "n")
    t.wait_for("not recorded")
    t.jar(volume="0.25L", reading=f"{readings[10]}%", temp="70F", head="87C")
    # A correction, an undo, and the last jar again.
    t.answer("? for help): ", "jar 3")
    t.answer("volume, ml [250]", "")
    t.answer(f"reading, % [{readings[3]:g}]", str(readings[3] - 0.5))
    t.answer("temperature, C [21]", "")
    t.answer("head, C", "")
    t.answer("boiler, C", "")
    t.answer("note: ", "mended")
    t.wait_for("Jar 3 mended")
    t.answer("? for help): ", "undo")
    t.wait_for("Jar 10 taken back")
    t.jar(reading=readings[10] - 0.5)
    # Ctrl-C drops the jar that is begun.
    t.answer("? for help): ", "999")
    t.wait_for("reading, %")
    t.type("\x03")
    t.wait_for("not recorded")
    # kill -9 in the middle of the next one.
    t.answer("? for help): ", "888")
    t.wait_for("reading, %")
    os.kill(t.pid, signal.SIGKILL)
    t.end()
    before = jars_of(jarline, log)
    # Taken up again.
    t = Terminal(jarline, log, term)
    page = t.wait_for("? for help): ")
    check("11 " in page and f"{readings[10] - 0.5:.1f}" in page, f"the last jar is not shown: {page!r}")
    lines = page.replace("\r", "").split("\n")
    check(len(lines) <= 24, f"{len(lines)} lines on a page of 24")
    check(all(len(re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", line)) <= 80 for line in lines),
          "a line of more than 80 columns")
    check("\x1b[3" not in page and "\x1b[0;3" not in page, "colour")
    if term == "dumb":
        check("\x1b" not in page, "control codes on a terminal that has none")
    t.type("250\r")
    for question, text in (("reading, %", str(readings[11])), ("temperature, C", ""), ("head, C", ""),
                           ("note: ", "after the kill")):
        t.answer(question, text)
    t.wait_for("Jar 12 recorded")
    t.answer("? for help): ", "quit")
    check(t.end() == 0, "quit does not end with 0")
    after = jars_of(jarline, log)
    check(sorted(after) == [1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12], f"jars {sorted(after)}")
    check({n: jar for n, jar in after.items() if n != 12} == before, "a jar changed by the kill")
    check(after[1]["note"] == "=pear, clean", f"note {after[1]['note']!r}")
    check(abs(after[3]["reading_pct"] - readings[3] + 0.5) < 1e-9 and after[3]["note"] == "mended", "jar 3 is not mended")
    check(after[2]["temp_c"] == 21 and after[2]["head_c"] == 86.5, "offered values were not taken")
    check(after[11]["temp_c"] == 21, "the last jar's values were not offered")


def piped(jarline, folder):
    log = start(jarline, folder, "piped.csv")
    given = b"250\n74.5\n21\n86.5\n\nclean\n\n73\n\n\n\njar 1\n\n74\n\n\n\n\nundo\n"
    done = subprocess.run([jarline, "record", log], input=given, capture_output=True)
    check(done.returncode == 0, f"piped: {done.returncode} {done.stderr.decode()}")
    check(done.stdout.count(b"recorded") == 2, "piped: two jars acknowledged")
    jars = jars_of(jarline, log)
    check(sorted(jars) == [1] and jars[1]["reading_pct"] == 74, f"piped: {jars}")
    for given, code in ((b"250\n725\n21\n\n\n250\n73\n21\n\n\n", 65), (b"250\n73\n", 65),
                        (b"250\n7\0\n21\n\n\n", 65), (b"", 0)):
        done = subprocess.run([jarline, "record", log], input=given, capture_output=True)
        check(done.returncode == code, f"piped {given!r}: {done.returncode}")
        check(sorted(jars_of(jarline, log)) == [1], f"piped {given!r}: a jar was recorded")


def has_terminals():
    try:
        for fd in os.openpty():
            os.close(fd)
    except OSError:
        return False
    return True


def main():
    jarline = os.path.realpath(sys.argv[1])
    if not has_terminals():
        print("no pseudo-terminals here")
        return 77
    with tempfile.TemporaryDirectory() as folder:
        for term in ("xterm-256color", "vt100", "dumb"):
            session(jarline, folder, term)
        piped(jarline, folder)
    for failure in FAILURES:
        print(failure)
    print(f"the prompt in three terminals and from a pipe: {len(FAILURES)} failures")
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main())
