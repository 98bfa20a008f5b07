#!/usr/bin/env python3
"""The prompt in a terminal of 80 by 24, as a person with wet hands meets it: a clean run, and every
slip that is known, in a log of % and °C and in one of proof and °F. After each the log holds what was
meant, in at most two more Enters, and nothing else. Also over terminals without colour or cursor, and
from a pipe.

SPDX-License-Identifier: GPL-3.0-or-later

prompt.py JARLINE [NAME...]
"""
import csv
import fcntl
import os
import pty
import re
import resource
import select
import signal
import struct
import subprocess
import sys
import tempfile
import termios
import time

FAILURES = []
CODES = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[=>]|\r")

ZONE = "UTC"  # of what runs in a terminal


def check(good, what):
    if not good:
        FAILURES.append(what)


class Units:
    """What a jar is typed and written as."""

    def __init__(self, proof):
        self.proof = proof
        self.start = ["--proof"] if proof else []
        self.reading = "reading_proof" if proof else "reading_pct"
        self.scale = "proof" if proof else "%"
        self.temp, self.head, self.boiler = (
            ("temp_f", "head_f", "boiler_f") if proof else ("temp_c", "head_c", "boiler_c"))

    def number(self, value):
        return f"{value:.1f}".rstrip("0").rstrip(".")

    def of_pct(self, pct):
        return self.number(2 * pct if self.proof else pct)

    def of_c(self, celsius):
        return self.number(celsius * 1.8 + 32 if self.proof else celsius)


class Terminal:
    """jarline record LOG, or another command of a file, in a terminal; what it shows is kept."""

    def __init__(self, jarline, log, term="xterm-256color", command="record"):
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            os.environ.update(TERM=term, LC_ALL="C.UTF-8", TZ=ZONE, INPUTRC="/dev/null")
            os.environ.pop("COLUMNS", None)
            os.chdir(os.path.dirname(log))
            os.execv(jarline, [jarline, command, os.path.basename(log)])
        self.resize(24, 80)
        self.enters = 0
        self.raw = self.all = ""
        self.page = self.wait()

    def resize(self, rows, columns):
        fcntl.ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def read(self, seconds):
        ready, _, _ = select.select([self.fd], [], [], seconds)
        if not ready:
            return False
        try:
            part = os.read(self.fd, 65536).decode("utf-8", "replace")
        except OSError:
            part = ""
        self.raw += part
        self.all += part
        return part != ""

    def wait(self, end=": ", seconds=15):
        """What is shown up to the next question."""
        until = time.monotonic() + seconds
        while not CODES.sub("", self.raw).endswith(end):
            if time.monotonic() > until or not self.read(max(0, until - time.monotonic())):
                check(False, f"waited for {end!r}, got {self.raw[-300:]!r}")
                break
        shown, self.raw = CODES.sub("", self.raw), ""
        return shown

    def line(self, text="", end=": "):
        """Types a line, and waits for the next question."""
        self.enters += 1
        os.write(self.fd, text.encode() + b"\r")
        return self.wait(end)

    def jar(self, u, pct, *, volume="", temp="", head="", boiler=""):
        """One question after the other; returns what is shown after the last."""
        self.line(volume)
        self.line(u.of_pct(pct))
        for text in (temp, head, boiler):
            shown = self.line(text)
        return shown

    def over(self, seconds=10):
        until = time.monotonic() + seconds
        pid = status = 0
        while pid == 0 and time.monotonic() < until:
            self.read(0.01)
            pid, status = os.waitpid(self.pid, os.WNOHANG)
        if pid == 0:
            os.kill(self.pid, signal.SIGKILL)
            _, status = os.waitpid(self.pid, 0)
        os.close(self.fd)
        return status

    def leave(self):
        os.write(self.fd, b"quit\r")
        check(self.over() == 0, "quit does not end with 0")

    def kill(self):
        os.kill(self.pid, signal.SIGKILL)
        self.over()


def on_a_full_disk(t, file, lines, done):
    """A write that fails is said and changes nothing; when there is room it is typed again."""
    before = open(file, "rb").read()
    resource.prlimit(t.pid, resource.RLIMIT_FSIZE, (len(before), -1))
    for text in lines:
        shown = t.line(text)
    check("File too large. Nothing was" in shown.replace("\n", " "), f"a full disk: {shown[-300:]!r}")
    check(open(file, "rb").read() == before, "a full disk: the file changed")
    resource.prlimit(t.pid, resource.RLIMIT_FSIZE, (-1, -1))
    for text in lines:
        shown = t.line(text)
    check(done in shown, f"there is room again: {shown[-300:]!r}")
    check(open(file, "rb").read().startswith(before), "there is room again: other bytes changed")


def rows_of(log):
    """The rows that are jars and count, by number; the facts."""
    header, jars, facts = None, {}, []
    with open(log, newline="", encoding="utf-8") as file:
        for row in csv.reader(file):
            if row and row[0] == "#undone":
                del jars[row[1]]
            elif row and row[0].startswith("#"):
                facts.append(row)
            elif header is None:
                header = row
            else:
                jars[row[0]] = dict(zip(header, row))
    return jars, facts


def figures(u, jar):
    return tuple(float(jar[name]) if jar[name] else None
                 for name in ("volume_ml", u.reading, u.temp, u.head, u.boiler))


def wanted(u, pct, volume=250, temp=21, head=86.5, boiler=91):
    return tuple(float(text) for text in (volume, u.of_pct(pct), u.of_c(temp), u.of_c(head),
                                          u.of_c(boiler)))


def near(got, want):
    return all(a is not None and abs(a - b) < 1e-6 for a, b in zip(got, want))


class Session:
    """A log with three jars, and a prompt on it."""

    def __init__(self, jarline, folder, u, name):
        self.jarline, self.u, self.name = jarline, u, name
        self.log = os.path.join(folder, name.replace(" ", "-") + (".proof.csv" if u.proof else ".csv"))
        subprocess.run([jarline, "start", self.log, "--charge", "10L@27.3%", "--jar-size", "250ml"]
                       + u.start, check=True, capture_output=True)
        with open(self.log, encoding="utf-8") as file:
            self.pct = [round(float(line.split(",")[2]), 1) for line in file
                        if line.startswith("#expect,")][1:]
        self.want = {}
        self.order = None  # of the rows, where it is not that of the jars
        self.t = Terminal(jarline, self.log)
        for n in range(3):
            self.line_of_jar(self.pct[n])
        self.t.enters = 0

    def line_of_jar(self, pct, **other):
        u = self.u
        self.t.line(f"250 {u.of_pct(pct)} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
        self.meant(pct, **other)

    def meant(self, pct, jar=None, **other):
        self.want[str(len(self.want) + 1) if jar is None else jar] = wanted(self.u, pct, **other)

    def up_to(self, which):
        """Types a fourth jar up to a figure of it."""
        u = self.u
        self.meant(self.pct[3])
        for question in ("volume", "reading", "temp", "head", "boiler"):
            if question == which:
                return
            self.t.line(u.of_pct(self.pct[3]) if question == "reading" else "")

    def check(self, more):
        """Enters beyond the five of a clean jar; then the log."""
        what = f"{self.name} ({self.u.reading})"
        self.t.leave()
        jars, _ = rows_of(self.log)
        order = self.order or list(self.want)
        check(list(jars) == order, f"{what}: jars {list(jars)}, not {order}")
        for name, want in self.want.items():
            got = figures(self.u, jars[name]) if name in jars else ()
            check(len(got) == len(want) and near(got, want), f"{what}: jar {name} {got}, not {want}")
        check(self.t.enters <= more, f"{what}: {self.t.enters} Enters, not {more}")
        return jars


# ---- slips -------------------------------------------------------------------------------------


def a_point_left_out(s):
    s.up_to("reading")
    shown = s.t.line(s.u.number(float(s.u.of_pct(s.pct[3])) * 10))
    check("meant?" in shown and "g: take" in shown, f"no guess: {shown!r}")
    for text in ("g", "", "", ""):
        s.t.line(text)
    s.check(5 + 1)


def another_digit(s):
    s.up_to("reading")
    good = s.u.of_pct(s.pct[3])
    bad = good[0] + "0" + good[2:] if s.u.proof else "5" + good[1:]
    shown = s.t.line(bad)
    check(f"reading {bad} " in shown and "The jar before had" in shown, f"why is not said: {shown!r}")
    check(f"y: keep {bad}" in shown, f"no choice: {shown!r}")
    shown = s.t.line("")  # Enter never keeps it
    check("reading, " in shown, f"not asked again: {shown!r}")
    for text in (good, "", "", ""):
        s.t.line(text)
    s.check(5 + 2)


def the_other_degrees(s):
    s.up_to("temp")
    typed, unit = ("21", "°C") if s.u.proof else ("69.8", "°F")
    shown = s.t.line(typed)
    check(f"{typed} {unit} meant?" in shown, f"other degrees are not named: {shown!r}")
    for text in ("g", "", ""):
        s.t.line(text)
    s.check(5 + 1)


def a_head_in_the_other_degrees(s):
    s.up_to("head")
    typed, unit = ("86.5", "°C") if s.u.proof else ("187.7", "°F")
    shown = s.t.line(typed)
    check(f"{typed} {unit} meant?" in shown, f"other degrees are not named: {shown!r}")
    for text in ("g", ""):
        s.t.line(text)
    s.check(5 + 1)


def a_boiler_without_its_tens(s):
    s.up_to("boiler")
    good = s.u.of_c(91)
    shown = s.t.line("0.4")
    check("boiler 0.4 " in shown, f"not doubted: {shown!r}")
    s.t.line("")
    s.t.line(good)
    s.check(5 + 2)


def a_boiler_below_the_head(s):
    s.up_to("boiler")
    shown = s.t.line(s.u.of_c(86.5 - 1))
    check("boiler is warmer" in shown or "The jar before had" in shown, f"not doubted: {shown!r}")
    s.t.line(s.u.of_c(91))  # another figure may be typed at once
    s.check(5 + 1)


def too_much_for_a_jar(s):
    s.up_to("volume")
    shown = s.t.line("4000")
    check("volume 4000 mL?" in shown, f"not doubted: {shown!r}")
    s.t.line("")
    for text in ("250", s.u.of_pct(s.pct[3]), "", "", ""):
        s.t.line(text)
    s.check(5 + 2)


def a_jar_typed_twice(s):
    """Within its minute; it may be another jar all the same."""
    figures = f"250 {s.u.of_pct(s.pct[3])} {s.u.of_c(21)} {s.u.of_c(86.5)} {s.u.of_c(91)}"
    s.t.line(figures)
    shown = s.t.line(figures)
    told = " ".join(CODES.sub("", shown).split())
    check("as if recorded twice. y: another jar; Ctrl-C: drop it" in told, f"not asked: {shown!r}")
    shown = s.t.line("y")
    check("Jar 5 recorded" in shown, f"not kept: {shown!r}")


def a_doubted_figure_that_is_true(s):
    s.meant(s.pct[3], volume=4000)
    s.t.line("4000")
    s.t.line("y")
    for text in (s.u.of_pct(s.pct[3]), "", ""):
        s.t.line(text)
    s.t.line("", end="250): ")
    # Far on in the run, where nothing is expected any more.
    s.check(5 + 1)


def the_wrong_jar_s_number(s):
    """Jar 2 was corrected, and jar 3 was meant."""
    s.t.line("jar 2 " + s.u.of_pct(s.pct[2] - 0.5))
    s.t.enters = 0
    s.t.line("jar 2 " + s.u.of_pct(s.pct[1]))
    s.t.line("jar 3 " + s.u.of_pct(s.pct[2] - 0.5))
    s.want["3"] = wanted(s.u, s.pct[2] - 0.5)
    s.check(2)


def a_time_of_a_jar(s):
    """As --time; and the last words do not break at the terminal's edge."""
    later = time.strftime("%H:%M", time.localtime(time.time() + 7200))
    shown = s.t.line("jar 2 time " + later)
    check("It is only" in shown, f"a time to come is not doubted: {shown!r}")
    s.t.line("y")
    jars = s.check(2)
    check(jars["2"]["time"][11:16] == later, f"time {jars['2']['time']}, not {later}")
    check(all(len(row) <= 80 for row in CODES.sub("", s.t.all).split("All jars are")[-1].splitlines()[1:]),
          "the last words are too wide")


def a_jar_that_is_none(s):
    good = s.u.of_pct(s.pct[2] - 0.5)
    shown = s.t.line("jar 33 " + good)
    check("has no jar 33" in shown, f"not said: {shown!r}")
    s.t.line("jar 3 " + good)
    s.want["3"] = wanted(s.u, s.pct[2] - 0.5)
    s.check(2)


def another_jar_in_the_place_of_one_that_is_corrected(s):
    s.t.line("jar 2")
    s.t.line("jar 3")
    for text in ("", s.u.of_pct(s.pct[2] - 0.5), "", "", ""):
        s.t.line(text)
    s.want["3"] = wanted(s.u, s.pct[2] - 0.5)
    s.check(5 + 2)


def a_correction_between_two_figures(s):
    s.up_to("temp")
    shown = s.t.line("jar 1 " + s.u.of_pct(s.pct[0] - 0.4))
    s.want["1"] = wanted(s.u, s.pct[0] - 0.4)
    check("temperature, " in shown, f"the question is not asked again: {shown!r}")
    for text in ("", "", ""):
        s.t.line(text)
    s.check(5 + 1)


def a_correction_that_changes_nothing(s):
    s.t.line("jar 2")
    for _ in range(5):
        shown = s.t.line("")
    check("Nothing was changed." in shown, f"a correction of nothing: {shown!r}")
    s.check(6)


def two_notes_of_the_last_jar(s):
    s.t.line("note sweet")
    s.t.line("note oily, later")
    jars = s.check(2)
    check(jars["3"]["note"] == "sweet; oily, later", f"two notes: {jars['3']['note']!r}")


def undone_twice(s):
    s.t.line("undo")
    s.t.line("undo")
    del s.want["3"], s.want["2"]
    s.check(2)


def undone_between_two_figures(s):
    s.up_to("temp")
    shown = s.t.line("undo")
    check("undoes a jar that is recorded" in shown, f"not asked: {shown!r}")
    s.t.line("")
    for text in ("", "", ""):
        s.t.line(text)
    s.check(5 + 2)


def goes_on_at(s, what, shown, left):
    """Asked for that figure again, with as many more to come, which stay as they are offered."""
    check(f"{what}, " in shown, f"not back at the {what}: {shown!r}")
    for _ in range(left):
        s.t.line("")
    s.check(5 + 2)


def the_question_before(s):
    """Its answer leads back to where it was."""
    s.up_to("head")
    s.t.line("back")
    shown = s.t.line(s.u.of_c(22))
    s.want["4"] = wanted(s.u, s.pct[3], temp=22)
    goes_on_at(s, "head", shown, 2)


def a_figure_by_its_name(s):
    """Some questions before; what is doubted is asked about."""
    s.up_to("boiler")
    shown = s.t.line("reading " + s.u.of_pct(20))
    check("y: keep" in shown, f"not doubted: {shown!r}")
    shown = s.t.line(s.u.of_pct(s.pct[3] - 0.2))
    s.want["4"] = wanted(s.u, s.pct[3] - 0.2)
    goes_on_at(s, "boiler", shown, 1)


def a_figure_by_its_name_at_a_doubt(s):
    s.up_to("head")
    shown = s.t.line(s.u.of_c(50))
    check("y: keep" in shown, f"not doubted: {shown!r}")
    shown = s.t.line("volume 200")
    s.want["4"] = wanted(s.u, s.pct[3], volume=200)
    goes_on_at(s, "head", shown, 2)


def undone_where_a_moment_is_asked_for(s):
    """The jar that waits for its moment goes on waiting, and is not recorded by the word."""
    s.t.line("time 00:00")
    shown = s.t.line(f"250 {s.u.of_pct(s.pct[3])} {s.u.of_c(21)} {s.u.of_c(86.5)} {s.u.of_c(91)}")
    check("when was it full" in shown, f"not asked: {shown!r}")
    told = " ".join(CODES.sub("", shown).split())
    check("That is earlier than jar 3 (" in told and "'jar 3 time 9:40' corrects it." in told,
          f"the jar before is not doubted too: {shown!r}")
    s.t.line("undo")
    shown = s.t.line("y")
    check("Jar 3 undone" in shown and "when was it full" in shown and "recorded:" not in shown,
          f"not both undone and asked again: {shown!r}")
    shown = s.t.line("y")
    check("Jar 3 recorded" in shown, f"not recorded: {shown!r}")
    s.meant(s.pct[3], jar="3")
    s.check(5)


def the_head_of_the_jar_before(s):
    """Typed as the next jar's volume: what it may be is said, and goes where it belongs."""
    if s.u.proof:
        return s.t.leave()
    s.t.line(f"250 {s.u.of_pct(s.pct[3])} 21")
    shown = " ".join(s.t.line("83,4").split())
    check("If it is jar 4's head: 'jar 4 head 83.4'." in shown, f"not asked about: {shown!r}")
    shown = s.t.line("jar 4 head 83,4")
    check("Jar 4 corrected" in shown and "type it again" in shown, f"not corrected: {shown!r}")
    s.t.line("")
    s.t.leave()
    check(of_row(last_row(s), "head_c") == [83.4], f"{last_row(s)}")


def undone_where_a_jar_is_put_in(s):
    """Which jar goes is said, and the jar that is being put in goes on."""
    u = s.u
    s.t.line("2a")
    shown = s.t.line("undo")
    check("undoes a jar that is recorded, jar 3:" in shown, f"not asked: {shown!r}")
    shown = s.t.line("")
    check("Jar 2a, volume" in shown, f"jar 2a does not go on: {shown!r}")
    for text in ("150", u.of_pct(s.pct[1] - 0.3), "", "", "", ""):
        s.t.line(text)
    s.want["2a"] = wanted(u, s.pct[1] - 0.3, volume=150)
    s.check(5 + 4)


def undone_where_a_jar_is_corrected(s):
    s.t.line("jar 2")
    shown = s.t.line("undo")
    check("undoes a jar that is recorded, jar 3:" in shown, f"not asked: {shown!r}")
    shown = s.t.line("y")
    check("Jar 3 undone" in shown and "Jar 2 again" in shown, f"not undone: {shown!r}")
    del s.want["3"]
    os.write(s.t.fd, b"\x03")
    s.t.wait()
    s.check(3)


def a_small_first_jar(s):
    """Enter takes the size of the jars that are expected."""
    u = s.u
    for _ in range(3):
        s.t.line("undo")
    shown = s.t.line(f"50 {u.of_pct(s.pct[0])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("volume, mL (Enter: 250)" in shown, f"another size is offered: {shown!r}")
    for text in ("", u.of_pct(s.pct[0]), "", "", ""):
        shown = s.t.line(text)
    s.want = {"1": wanted(u, s.pct[0], volume=50), "2": wanted(u, s.pct[0])}
    s.check(3 + 6)


def a_forgotten_jar(s):
    """Jar 2a, between two figures of jar 4; its time is not now's."""
    u = s.u
    s.up_to("temp")
    want = list(s.want.items())
    s.want = dict(want[:2] + [("2a", wanted(u, s.pct[1] - 0.3, volume=150))] + want[2:])
    shown = s.t.line(f"2a 150 {u.of_pct(s.pct[1] - 0.3)} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("when was it full?" in shown, f"its time is not asked for: {shown!r}")
    shown = s.t.line("")
    check("Jar 2a recorded" in shown and "temperature, " in shown, f"jar 4 does not go on: {shown!r}")
    for text in ("", "", ""):
        s.t.line(text)
    s.order = ["1", "2", "3", "2a", "4"]
    jars = s.check(5 + 2)
    check(jars["2a"]["time"] == "", f"time {jars['2a']['time']!r}")


def a_forgotten_jar_figure_by_figure(s):
    """Its own five Enters, and its name and time."""
    u = s.u
    shown = s.t.line("2a")
    check("Jar 2a, volume, mL (Enter: 250)" in shown, f"not asked for: {shown!r}")
    for text in ("150", u.of_pct(s.pct[1] - 0.3), "", "", "", ""):
        shown = s.t.line(text)
    s.want["2a"] = wanted(u, s.pct[1] - 0.3, volume=150)
    check("Jar 2a recorded" in shown, f"not recorded: {shown!r}")
    s.check(5 + 2)


def a_forgotten_jar_in_one_line(s):
    u = s.u
    shown = s.t.line(f"2a 150 {u.of_pct(s.pct[1] - 0.3)} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("when was it full?" in shown, f"its time is not asked for: {shown!r}")
    s.t.line("")
    s.want["2a"] = wanted(u, s.pct[1] - 0.3, volume=150)
    s.check(2)


def a_number_that_is_free_again(s):
    """Undone, and typed anew: what is on the tape stays."""
    s.t.line("undo")
    s.t.line(f"250 {s.u.of_pct(s.pct[2])} {s.u.of_c(21)} {s.u.of_c(86.5)} {s.u.of_c(91)}")
    s.check(2)


def killed_in_the_middle(s):
    s.up_to("head")
    s.t.kill()
    s.t = Terminal(s.jarline, s.log)
    check("Jar 4" in s.t.page, f"jar 4 is not asked again: {s.t.page!r}")
    s.t.jar(s.u, s.pct[3])
    s.check(5)


def interrupted_in_the_middle(s):
    s.up_to("head")
    os.write(s.t.fd, b"\x03")
    shown = s.t.wait("250): ")
    check("not recorded" in shown and "Jar 4" in shown, f"jar 4 is not asked again: {shown!r}")
    s.t.enters = 0
    s.t.jar(s.u, s.pct[3])
    s.check(5)


def ended_in_the_middle(s):
    s.up_to("temp")
    os.write(s.t.fd, b"\x04")
    check(s.t.over() == 0, "Ctrl-D does not end with 0")
    s.t = Terminal(s.jarline, s.log)
    s.t.jar(s.u, s.pct[3])
    s.check(5)


def resized_in_the_middle(s):
    s.up_to("reading")
    s.t.resize(40, 100)
    os.kill(s.t.pid, signal.SIGWINCH)
    good = s.u.of_pct(s.pct[3])
    os.write(s.t.fd, good[:2].encode())
    time.sleep(0.05)
    s.t.resize(24, 60)
    os.kill(s.t.pid, signal.SIGWINCH)
    s.t.line(good[2:])
    for text in ("", "", ""):
        s.t.line(text)
    s.check(5)


def three_jars_pasted(s):
    u = s.u
    lines = []
    for n in (3, 4, 5):
        lines.append(f"250ml {u.of_pct(s.pct[n])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)} pasted {n}")
        s.meant(s.pct[n])
    os.write(s.t.fd, "\r".join(lines).encode() + b"\r")
    while "Jar 7" not in s.t.wait("250): "):
        pass
    jars = s.check(0)
    check(jars["6"]["note"] == "pasted 5", f"note {jars['6']['note']!r}")


def a_jar_typed_at_a_doubt(s):
    """It waits for the doubt's end, and answers no other question in between."""
    u = s.u
    s.t.line("8")
    shown = s.t.line(f"250 {u.of_pct(s.pct[3])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("That waits until this is answered." in shown, f"not said: {shown!r}")
    shown = s.t.line("left")
    check("Left in the boiler" in shown, f"left: {shown!r}")
    shown = s.t.line("245")
    check("245 L? Of the charge only 9.25 L is left." in shown, f"not doubted: {shown!r}")
    for text in ("9.2", u.of_pct(40)):
        shown = s.t.line(text)
    charged = "54.5 proof" if u.proof else "27.3 % vol"
    check(f"The charge had {charged}." in shown, f"not doubted: {shown!r}")
    for text in (u.of_pct(24), u.of_c(20)):
        shown = s.t.line(text)
    check("Recorded: what is left" in shown, f"not recorded: {shown!r}")
    shown = s.t.line("undo")
    check("undoes a jar that is recorded, jar 3" in shown, f"not asked: {shown!r}")
    s.t.line("")
    shown = s.t.line("")
    check("Jar 4 recorded" in shown, f"it did not wait: {shown!r}")
    s.meant(s.pct[3])
    s.check(11)


def a_slip_in_a_paste(s):
    """Only a person answers; the lines behind it wait."""
    u = s.u
    lines = []
    for n in (3, 4, 5):
        volume = 2500 if n == 4 else 250
        lines.append(f"{volume} {u.of_pct(s.pct[n])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
        s.meant(s.pct[n])
    os.write(s.t.fd, "\r".join(lines).encode() + b"\r")
    while "y: keep" not in s.t.wait():
        pass
    shown = s.t.line("g", end="250): ")
    while "Jar 7" not in shown:
        shown = s.t.wait("250): ")
    s.check(1)


def a_figure_too_many(s):
    s.up_to("boiler")
    good = s.u.of_c(91)
    shown = s.t.line(f"{good} {good} smooth")
    check("more than is asked for" in shown and "boiler, " in shown, f"not refused: {shown!r}")
    s.t.line(good + " smooth")
    jars = s.check(5 + 1)
    check(jars["4"]["note"] == "smooth", f"note {jars['4']['note']!r}")


def a_line_at_the_wrong_question(s):
    """A whole jar typed where its volume had been taken already."""
    u = s.u
    s.up_to("reading")
    shown = s.t.line(f"250 {u.of_pct(s.pct[3])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("reading 250 " in shown, f"not refused: {shown!r}")
    check(rows_of(s.log)[0].keys() == {"1", "2", "3"}, "it was taken all the same")
    s.t.line(f"{u.of_pct(s.pct[3])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    s.check(1 + 2)


def a_whole_jar_at_a_later_question(s):
    """By the volume's unit it is the jar typed anew."""
    u = s.u
    unit = "proof" if u.proof else "%"
    s.up_to("temp")
    shown = s.t.line(f"250 ml {u.of_pct(s.pct[3])} {unit} {u.of_c(21)}, {u.of_c(86.5)}, {u.of_c(91)}", end="250): ")
    check("typed anew" in shown, f"not said: {shown!r}")
    s.check(2 + 1)


def a_jar_that_comes_later(s):
    """Its time is when it is typed, and not when the prompt stood there."""
    time.sleep(2.2)
    begun = int(time.time()) - 1  # the clock that a program asks for seconds may lag by milliseconds
    s.line_of_jar(s.pct[3])
    jars = s.check(1)
    stamp = time.strptime(jars["4"]["time"][:19], "%Y-%m-%dT%H:%M:%S")
    check(time.mktime(stamp) >= begun, f"{jars['4']['time']}, {begun}")


def commas_between_figures(s):
    u = s.u
    s.t.line(f"250, {u.of_pct(s.pct[3])}, {u.of_c(21)}, {u.of_c(86.5)}, {u.of_c(91)} smooth, clean")
    s.meant(s.pct[3])
    jars = s.check(1)
    check(jars["4"]["note"] == "smooth, clean", f"note {jars['4']['note']!r}")


def half_a_volume(s):
    s.up_to("volume")
    shown = s.t.line("86.5")  # the head's, one question too early
    check("The jar before had 250 mL" in shown, f"not doubted: {shown!r}")
    s.t.line("")
    for text in ("", s.u.of_pct(s.pct[3]), "", "", ""):
        s.t.line(text)
    s.check(5 + 2)


def words_are_no_notes(s):
    u = s.u
    s.up_to("boiler")
    for word in ("?", "table", "rest", "cut", "note warm", "time 00:00", "time nonsense"):
        s.t.line(word)
    s.t.line('91 "undo"' if not u.proof else u.of_c(91) + ' "undo"')
    shown = s.t.raw
    if "when was it full" in shown:
        s.t.line("y")
    jars = rows_of(s.log)[0]
    if "4" not in jars:  # the time lies before the start: asked about
        s.t.line("y")
    jars = s.check(99)
    check(jars["4"]["note"] == "undo", f"note {jars['4']['note']!r}")
    check(jars["4"]["time"][11:16] == "00:00", f"time {jars['4']['time']!r}")


def a_fraction_from_now_on(s):
    s.t.line("cut hearts")
    s.line_of_jar(s.pct[3])
    s.line_of_jar(s.pct[4])
    jars = s.check(99)
    check([jars[n]["fraction"] for n in "345"] == ["", "hearts", "hearts"], "fractions are not marked")


def what_is_left(s):
    s.t.line("left")
    shown = s.t.line("")
    check("needed here, in L" in shown, f"not refused: {shown!r}")
    shown = s.t.line("?")
    check("Left in the boiler" in shown and "undo" in shown, f"no words: {shown!r}")
    s.t.line("5.4")
    for slip, why in (("spout", "'spout' belongs to a jar"), ("-0.3", "-0.3 is below the scale")):
        shown = s.t.line(slip)
        check(why in " ".join(shown.split()) and shown.endswith("reading, %s: " % s.u.scale),
              f"{slip}: {shown!r}")
    for text in ("table", "3" if s.u.proof else "1.5", s.u.of_c(22)):
        s.t.line(text)
    s.check(4 + 3 + 2)  # a word, slips, another word
    facts = {row[0]: row[1] for row in rows_of(s.log)[1]}
    check(abs(float(facts["#left_l"]) - 5.4) < 1e-9, f"left: {facts}")


def a_rest_below_water(s):
    """Refused where it is typed; the volume stays, and the reading may be typed anew."""
    s.t.line("left")
    shown = s.t.line(f"5.4 0 {s.u.of_c(30)}")
    check("is below water" in shown and "temperature, " in shown, f"not refused: {shown!r}")
    s.t.line("reading 6" if s.u.proof else "reading 3")
    shown = s.t.line(s.u.of_c(30))
    check("Recorded: what is left" in shown, f"not recorded: {shown!r}")
    s.check(2 + 2)
    shown = s.t = Terminal(s.jarline, s.log)
    shown = s.t.line(f"left 5.5 {'3' if s.u.proof else '1.5'} {s.u.of_c(22)}")
    check("Recorded: what is left" in shown, f"not recorded in one line: {shown!r}")
    s.t.leave()
    facts = {row[0]: row[1] for row in rows_of(s.log)[1]}
    check(abs(float(facts["#left_l"]) - 5.5) < 1e-9, f"left: {facts}")


def a_bare_time(s):
    """The first after the jar before, on the clock of the log."""
    jars, _ = rows_of(s.log)
    before = jars["3"]["time"]
    later = time.strftime("%H:%M", time.localtime(time.time() + 7200))
    shown = s.t.line("time " + later)
    check("It is only" in shown, f"a time to come is not doubted where it is typed: {shown!r}")
    check(re.search(r"\(1[12]\d min since jar 3\)", shown), f"not since the moment given: {shown!r}")
    s.t.line("time " + before[11:16])
    s.line_of_jar(s.pct[3])
    jars = s.check(3)
    check(jars["4"]["time"][:16] == before[:16], f"{jars['4']['time']} after {before}")


def another_prompt_s_jar(s):
    u = s.u
    other = Terminal(s.jarline, s.log)
    other.jar(u, s.pct[3])
    other.leave()
    shown = s.t.line("undo")
    check("Meanwhile came jar 4" in shown, f"not asked: {shown!r}")
    s.t.line("")
    s.meant(s.pct[3])
    s.check(2)


def another_prompt_s_note(s):
    """A note follows the one that the jar has by now."""
    other = Terminal(s.jarline, s.log)
    other.line("note sweet")
    other.leave()
    s.t.line("note oily")
    jars = s.check(2)
    check(jars["3"]["note"] == "sweet; oily", f"a note was lost: {jars['3']['note']!r}")


def another_run_in_its_place(s):
    """The log was replaced meanwhile: nothing goes into it unasked."""
    s.up_to("boiler")
    os.rename(s.log, s.log + ".old")
    subprocess.run([s.jarline, "start", s.log, "--title", "another", "--charge", "8L@30%"] + s.u.start,
                   check=True, capture_output=True)
    shown = s.t.line("")
    check("of another run" in shown and "another" in shown, f"not asked: {shown!r}")
    os.write(s.t.fd, b"\r")
    check(s.t.over() == 0, "it does not leave")
    check(rows_of(s.log)[0] == {}, "a jar went into the other run")
    check(list(rows_of(s.log + ".old")[0]) == ["1", "2", "3"], "a jar was lost")


def last_row(s):
    jars, _ = rows_of(s.log)
    return jars[list(jars)[-1]]


def of_row(row, *names):
    return [float(row[name]) if row.get(name) else None for name in names]


def a_jar_that_was_weighed(s):
    """By its unit; the next is asked for the same way, its empty jar offered."""
    u = s.u
    shown = s.t.line("420g")
    check("weight of the empty jar, g" in shown, f"not asked for: {shown!r}")
    s.t.line("184")
    for text in (u.of_pct(s.pct[3]), "", "", ""):
        shown = s.t.line(text)
    check("Jar 5" in shown and "weight, g (jar 4: 420; 350mL: by volume)" in shown, f"not asked for: {shown!r}")
    row = last_row(s)
    check(of_row(row, "volume_ml", "weight_g", "empty_g") == [None, 420, 184], f"{row}")
    check(s.t.enters == 6, f"{s.t.enters} Enters")
    shown = s.t.line(f"42 184 {u.of_pct(s.pct[4])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("weight 42 g" in shown and "g: take 420 g" in shown, f"not doubted: {shown!r}")
    shown = s.t.line("g")  # the others of the line follow
    check("Jar 5 recorded" in shown, f"not recorded: {shown!r}")
    check(of_row(last_row(s), "weight_g", "empty_g") == [420, 184], f"{last_row(s)}")
    shown = s.t.line("250ml")
    check("reading, " in shown, f"not by volume again: {shown!r}")
    s.t.leave()


def bare_figures_with_an_option(s):
    u = s.u
    shown = s.t.line(f"250 {u.of_pct(s.pct[3])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)} --note 'pear, clean' --taken 5ml")
    check("Jar 4 recorded" in shown, f"not recorded: {shown!r}")
    s.meant(s.pct[3])
    shown = s.t.line("jar 4 --note apple")
    jars = s.check(2)
    check(jars["4"]["note"] == "apple" and jars["4"]["taken_ml"] == "5", f"{jars['4']}")


def an_empty_jar_that_weighs_more(s):
    s.t.line("420g")
    shown = s.t.line("481")
    check("The full jar weighs 420 g" in shown, f"not refused: {shown!r}")
    s.t.line("184")
    for text in (s.u.of_pct(s.pct[3]), "", "", ""):
        s.t.line(text)
    check(of_row(last_row(s), "weight_g", "empty_g") == [420, 184], f"{last_row(s)}")
    check(s.t.enters == 7, f"{s.t.enters} Enters")
    s.t.leave()


def a_jar_in_the_command_s_words(s):
    """With options, in any order; what is doubted is asked about."""
    u = s.u
    unit = "proof" if u.proof else "%"
    head = "187.7F" if u.proof else "86.5C"
    shown = s.t.line(f'--empty 184g {u.of_pct(s.pct[3])}{unit} 420g 21C --head {head} --note "pear, clean"')
    check("Jar 4 recorded" in shown, f"not recorded: {shown!r}")
    row = last_row(s)
    check(of_row(row, "weight_g", "empty_g", u.temp) == [420, 184, float(u.of_c(21))], f"{row}")
    check(row["note"] == "pear, clean" and row[u.boiler] == "", f"{row}")
    shown = s.t.line(f"{u.of_pct(20)}{unit} 420g 21C --empty 184g")
    check("y: keep" in shown, f"not doubted: {shown!r}")
    shown = s.t.line(u.of_pct(s.pct[4]))
    check("Jar 5 recorded" in shown, f"not recorded: {shown!r}")
    shown = s.t.line("420g --hed 3")
    check("was it --head" in shown and "Jar 6" in shown, f"not refused: {shown!r}")
    check(list(rows_of(s.log)[0]) == ["1", "2", "3", "4", "5"], "not five jars")
    s.t.leave()


def a_reading_at_the_spout(s):
    """Typed at the reading's question; the next jars are asked for it too, until it is said again."""
    u = s.u
    s.t.line("")
    shown = s.t.line(f"spout {u.of_pct(s.pct[3])}@{u.of_c(22)}")
    check("temperature of the jar, " in shown, f"not taken: {shown!r}")
    for text in ("", "", ""):
        shown = s.t.line(text)
    check("Jar 4 recorded" in shown and "at the spout" in shown, f"not said: {shown!r}")
    row = last_row(s)
    spout, temp = ("spout_proof", "spout_temp_f") if u.proof else ("spout_pct", "spout_temp_c")
    check(of_row(row, spout, temp, u.temp) == [float(u.of_pct(s.pct[3])), float(u.of_c(22)), float(u.of_c(21))],
          f"{row}")
    s.t.line("")
    shown = s.t.line(u.of_pct(20))
    check("reading at the spout " in shown and "y: keep" in shown, f"not doubted: {shown!r}")
    s.t.line(u.of_pct(s.pct[4]))
    for text in ("", "", "", ""):
        shown = s.t.line(text)
    check("Jar 5 recorded" in shown, f"not recorded: {shown!r}")
    check(of_row(last_row(s), spout) == [float(u.of_pct(s.pct[4]))], f"{last_row(s)}")
    s.t.line("spout")
    s.t.line("")
    shown = s.t.line(f"{u.of_pct(s.pct[5])} {u.of_c(21)} {u.of_c(86.5)} {u.of_c(91)}")
    check("Jar 6 recorded" in shown, f"not recorded: {shown!r}")
    check(of_row(last_row(s), u.reading, spout) == [float(u.of_pct(s.pct[5])), None], f"{last_row(s)}")
    s.t.leave()


def a_spout_behind_the_reading(s):
    """It takes the place of what was typed, and the figures behind it are asked for again."""
    u = s.u
    s.line_of_jar(s.pct[3])
    s.t.enters = 0
    for text in ("250", u.of_pct(s.pct[3] - 1)):
        s.t.line(text)
    shown = s.t.line(f"spout {u.of_pct(s.pct[4])}@{u.of_c(21)}")
    check("temperature of the jar" in shown, f"not taken: {shown!r}")
    for text in ("", "", ""):
        shown = s.t.line(text)
    check(all(len(row) <= 80 for row in CODES.sub("", shown).splitlines()), f"too wide: {shown!r}")
    s.t.leave()
    row = last_row(s)
    got = of_row(row, u.reading, "spout_proof" if u.proof else "spout_pct")
    check(got == [None, float(u.of_pct(s.pct[4]))], f"the jar has {got}")
    check(s.t.enters <= 5 + 2, f"{s.t.enters} Enters")


def a_weight_corrected(s):
    s.t.line("420g 184 " + " ".join([s.u.of_pct(s.pct[3]), s.u.of_c(21), s.u.of_c(86.5), s.u.of_c(91)]))
    s.t.enters = 0
    s.t.line("jar 4 424g")
    check(of_row(last_row(s), "weight_g", "empty_g") == [424, 184], f"{last_row(s)}")
    s.t.line("jar 4 --taken 20ml")
    check(of_row(last_row(s), "taken_ml") == [20], f"{last_row(s)}")
    check(s.t.enters == 2, f"{s.t.enters} Enters")
    s.t.leave()


SLIPS = [a_jar_that_was_weighed, an_empty_jar_that_weighs_more, a_jar_in_the_command_s_words,
         a_reading_at_the_spout, a_spout_behind_the_reading, bare_figures_with_an_option, a_weight_corrected, a_point_left_out, another_digit, the_other_degrees, a_head_in_the_other_degrees,
         a_boiler_without_its_tens, a_boiler_below_the_head, too_much_for_a_jar,
         a_jar_typed_twice, a_doubted_figure_that_is_true, the_wrong_jar_s_number, a_time_of_a_jar, a_jar_that_is_none,
         a_correction_between_two_figures, a_correction_that_changes_nothing, two_notes_of_the_last_jar,
         undone_twice, undone_between_two_figures, undone_where_a_moment_is_asked_for,
         the_head_of_the_jar_before,
         undone_where_a_jar_is_put_in, undone_where_a_jar_is_corrected, a_small_first_jar,
         a_forgotten_jar, a_forgotten_jar_in_one_line, a_number_that_is_free_again,
         the_question_before, a_figure_by_its_name, a_figure_by_its_name_at_a_doubt,
         a_forgotten_jar_figure_by_figure, another_jar_in_the_place_of_one_that_is_corrected, killed_in_the_middle, interrupted_in_the_middle, ended_in_the_middle,
         resized_in_the_middle, three_jars_pasted, a_slip_in_a_paste, a_jar_typed_at_a_doubt, a_figure_too_many,
         a_line_at_the_wrong_question, a_whole_jar_at_a_later_question, commas_between_figures,
         a_jar_that_comes_later, half_a_volume, words_are_no_notes,
         a_fraction_from_now_on, what_is_left, a_rest_below_water, a_bare_time, another_prompt_s_jar,
         another_prompt_s_note, another_run_in_its_place]

# ---- other sessions ----------------------------------------------------------------------------


def clean_run(jarline, folder, u, term):
    """Twelve jars, five Enters each; every page fits the terminal."""
    log = os.path.join(folder, f"clean-{term}-{u.reading}.csv")
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%", "--jar-size", "250ml"] + u.start,
                   check=True, capture_output=True)
    with open(log, encoding="utf-8") as file:
        pct = [round(float(line.split(",")[2]) + 0.3, 1) for line in file if line.startswith("#expect,")]
    t = Terminal(jarline, log, term)
    shown = t.page
    for n in range(12):
        t.enters = 0
        first = {"volume": "250", "temp": u.of_c(21), "head": u.of_c(86.5), "boiler": u.of_c(91)}
        after = t.jar(u, pct[n], **(first if n == 0 else {}))
        check(t.enters <= 5, f"{t.enters} Enters for jar {n + 1}")
        check(f"Jar {n + 1} recorded" in after, f"jar {n + 1} is not acknowledged: {after!r}")
        shown += after
    shown += t.line("table") + t.line("?")
    t.leave()
    lines = shown.split("\n")
    check(all(len(line) <= 80 for line in lines),
          f"a line of more than 80 columns: {[line for line in lines if len(line) > 80]}")
    if term == "dumb":
        check("\x1b" not in t.all, f"control codes on a terminal that has none: {t.all[:200]!r}")
    jars, _ = rows_of(log)
    check(list(jars) == [str(n) for n in range(1, 13)], f"jars {list(jars)}")
    for n in range(12):
        check(near(figures(u, jars[str(n + 1)]), wanted(u, pct[n])), f"clean: jar {n + 1}")


def table_in_pages(jarline, folder, u):
    """A log of forty jars fits its terminal page by page."""
    log = os.path.join(folder, "forty.csv")
    with open(log, "w", encoding="utf-8") as file:
        file.write("#jarline,1\njar,volume_ml,reading_pct,temp_c\n")
        for n in range(40):
            file.write(f"{n + 1},100,{80 - n},20\n")
    t = Terminal(jarline, log)
    first = t.line("table")
    check(len(first.split("\n")) <= 24 and "next jars" in first, f"no page: {first!r}")
    second, third = t.line(""), t.line("")
    check(" 40 " in third and "next jars" in second, f"not all: {third!r}")
    t.leave()


def read_only(jarline, folder):
    log = os.path.join(folder, "read-only.csv")
    subprocess.run([jarline, "start", log], check=True, capture_output=True)
    os.chmod(log, 0o444)
    os.chmod(folder, 0o755)
    other = {"user": 65534} if os.geteuid() == 0 else {}  # root may write all
    try:
        done = subprocess.run([jarline, "record", log], input=b"250\n70\n20\n-\n-\n",
                              capture_output=True, **other)
    except PermissionError:
        return
    check(done.returncode == 73, f"read-only: {done.returncode} {done.stderr!r}")
    check(done.stdout == b"", f"read-only: asked all the same: {done.stdout!r}")


def piped(jarline, folder):
    log = os.path.join(folder, "piped.csv")
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%", "--jar-size", "250ml"], check=True,
                   capture_output=True)
    given = b"250\n74.5\n21\n86.5\nclean\n" b"\n73\n\n\n" b"jar 1 74\nundo\n"
    done = subprocess.run([jarline, "record", log], input=given, capture_output=True)
    check(done.returncode == 0, f"piped: {done.returncode} {done.stderr.decode()}")
    check(done.stdout.count(b"recorded") == 2, "piped: two jars acknowledged")
    jars = rows_of(log)[0]
    check(list(jars) == ["1"] and jars["1"]["reading_pct"] == "74" and jars["1"]["note"] == "clean",
          f"piped: {jars}")
    for given, code in ((b"250\n725\n21\n\n250\n73\n21\n\n", 65), (b"250\n73\n", 65),
                        (b"250\n7\0\n21\n\n\n", 65), (b"", 0), (b"jar 7\n250 73 21\n", 65)):
        done = subprocess.run([jarline, "record", log], input=given, capture_output=True)
        check(done.returncode == code, f"piped {given!r}: {done.returncode}")
        check(list(rows_of(log)[0]) == ["1"], f"piped {given!r}: a jar was recorded")
    # Lines in the words of the command: those above a bad one stand.
    lines = b"250ml 73% 21C --head 86C\n" b"420g 72.5% 21C --empty 184g --note 'pear, clean'\n" b"250ml 72%\n" \
            b"250ml 71% 20C\n"
    for words, done in ((["-"], ["1", "2", "3"]), ([], ["1", "2", "3", "4", "5"])):
        done_so = subprocess.run([jarline, "record", log] + words, input=lines, capture_output=True)
        check(done_so.returncode == 65 and b"line 3 of the input" in done_so.stderr, f"{done_so.stderr!r}")
        check(done_so.stdout.count(b"recorded") == 2 and list(rows_of(log)[0]) == done,
              f"lines: {list(rows_of(log)[0])} {done_so.stdout!r}")
    check(rows_of(log)[0]["3"]["note"] == "pear, clean" and rows_of(log)[0]["3"]["weight_g"] == "420",
          f"{rows_of(log)[0]['3']}")
    subprocess.run([jarline, "record", log], input=b"undo\nundo\nundo\nundo\n", capture_output=True)
    # A doubted figure is recorded, and said.
    done = subprocess.run([jarline, "record", log], input=b"250 53 21 86\n", capture_output=True)
    check(done.returncode == 0 and b"The jar before had 74 %" in done.stderr, f"{done.stderr!r}")
    check(rows_of(log)[0].keys() >= {"1"} and len(rows_of(log)[0]) == 2, "the doubted jar is lost")


def full(jarline, folder):
    log = os.path.join(folder, "full.csv")
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%"], check=True, capture_output=True)
    t = Terminal(jarline, log)
    on_a_full_disk(t, log, ("250 75 21 86.5 91",), "Jar 1 recorded")
    t.leave()


def what_follows(jarline, folder):
    """Leaving the prompt, the command that follows: of a strip run its low wines, else the cut."""
    for charge, words in (("24L@7.1%", "'jarline forecast next.csv:low-wines' forecasts"),
                          ("10L@27%", "'jarline cut next.csv --suggest' shows")):
        log = os.path.join(folder, "next.csv")
        subprocess.run([jarline, "start", log, "--charge", charge], check=True, capture_output=True)
        t = Terminal(jarline, log)
        t.line("500 45.5 20 - -" if charge[0] == "2" else "250 72 20 - -")
        os.write(t.fd, b"quit\r")
        check(t.over() == 0, "quit does not end with 0")
        shown = " ".join(CODES.sub("", t.raw).split())
        check(words in shown, f"what follows {charge}: {shown[-300:]!r}")
        os.remove(log)


def has_terminals():
    try:
        for fd in os.openpty():
            os.close(fd)
    except OSError:
        return False
    return True


def live_at_noon():
    """So that no time two hours on or back falls on another day, and 23:57 is to come."""
    global ZONE
    ZONE = os.environ["TZ"] = f"NOON{time.gmtime().tm_hour - 12:+d}"
    time.tzset()


def main():
    jarline = os.path.realpath(sys.argv[1])
    names = sys.argv[2:]
    if not has_terminals():
        print("no pseudo-terminals here")
        return 77
    live_at_noon()
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CONFIG_HOME"] = folder  # no bench file of the person who tests
        for u in (Units(False), Units(True)):
            for slip in SLIPS:
                name = slip.__name__.replace("_", " ")
                if not names or name in names:
                    before = len(FAILURES)
                    slip(Session(jarline, folder, u, name))
                    for i in range(before, len(FAILURES)):
                        FAILURES[i] = f"{name} ({u.reading}): {FAILURES[i]}"
        if not names:
            for term in ("xterm-256color", "vt100", "dumb"):
                clean_run(jarline, folder, Units(False), term)
            clean_run(jarline, folder, Units(True), "xterm-256color")
            table_in_pages(jarline, folder, Units(False))
            read_only(jarline, folder)
            full(jarline, folder)
            piped(jarline, folder)
            what_follows(jarline, folder)
    for failure in FAILURES:
        print(failure)
    print(f"{len(SLIPS)} slips in two logs, clean runs in three terminals, a pipe: "
          f"{len(FAILURES)} failures in {time.monotonic() - begun:.0f} s")
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main())
