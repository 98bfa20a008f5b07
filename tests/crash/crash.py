#!/usr/bin/env python3
"""Spoils every file call of the commands that write a run log or a book, one after the other.

SPDX-License-Identifier: GPL-3.0-or-later

crash.py JARLINE SHIM [--long | SCENARIO...]

A clean run of a scenario gives the states that its log goes through. Then each file call is made to
fail, to do half, or to be the last one. After each of these points the folder must hold one of those
states, at least the one that was acknowledged on standard output; as the process left it, as a power
cut leaves it when only what was fsynced is on the disk, as one leaves it when the names got ahead of
the bytes, and as one leaves it when bytes got there at once but no file was cut shorter yet. In each
the log must parse and take another jar. A call that a signal interrupts is called again, and all goes
on as if nothing had been.
"""
import multiprocessing
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile

HOWS = ["enospc", "eio", "stuck", "short", "kill", "tear", "signal"]
INTERRUPTED = ("open", "write", "read", "pread", "fsync", "ftruncate", "flock")
# A time has always the same length, so that a torn row compares too.
TIME = re.compile(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:Z|[+-]\d\d:\d\d)")
ACK = re.compile(rb"^(?:Jar \d+[a-z]? (?:recorded|corrected|undone)|Recorded|Started|Written: RUN|"
                 rb"Entry +\d{4}-\d+ \w+)", re.M)

OURS = b"""#jarline,1
#title,crash
#charge_l,24
#charge_strength_pct,8.6
jar,time,volume_ml,reading_pct,temp_c,head_c,fraction,note
1,2026-11-21T10:00:00+01:00,500,78.1,21,78.9,,"pear, clean"
2,2026-11-21T10:12:00+01:00,500,76.0,22,79.2,,
3,2026-11-21T10:25:00+01:00,500,74.2,23,79.6,heads,=1+1
"""
TORN = OURS + b"4,2026-11-21T10:38:00+01:00,500,72."
UNNUMBERED = b"Volume_ml;Reading_pct;Temp_c\r\n500;78,1;21\r\n500;76,0;22"
HAND_MADE = b"Jar;Volume_ml;Reading_pct;Temp_c\r\n1;500;78,1;21\r\n2;500;76,0;22"

JAR = ["record", "RUN.csv", "500ml", "72.5%", "24C", "--time", "2026-11-21T10:40:00+01:00"]
PROMPT = b"500ml\n72.5%\n24C\n\n" b"500 71 24 79 clean\n" b"2a 500 75 22 79\n" b"undo\n"

BOOK = b"""#jarline,1
#kind,book
entry,time,what,from,into,receiver,kind,volume_l,weight_kg,reading_pct,reading_proof,strength_pct,\
strength_proof,temp_c,solids_g_100ml,bottles,bottle_ml,lot,run,late,note,ethanol_kg,water_kg
2026-1,2026-11-20T10:00:00+01:00,vessel,,a,,glass,10,,,,,,,,,,,,,,0,0
2026-2,2026-11-20T10:05:00+01:00,opening,,a,,spirit,5,,,,70,,,,,,,,,"pear, clean",2.76233693154992954,\
1.66547073108698496
"""
BOOK_TORN = BOOK + b"2026-3,2026-11-20T10:06:00+01:00,lost,a,,,,0.1"
BOOK_SAVED = BOOK.replace(b",", b";").replace(b"\n", b"\r\n").replace(b"#jarline;1\r\n", b"")[:-2]
LOST = ["book", "RUN.csv", "lost", "a", "0.5L", "--time", "2026-11-21T10:40:00+01:00"]
BOOK_PROMPT = (b"lost a 0.5L\n" b"water a 0.3kg\n" b"gauged a 4.7 65 20\n\n\n\n")

WASH = b"""#jarline,1
#kind,wash
#wash_l,25
time,gravity,temp_c,step,duration,add,note
2026-11-20T10:00:00+01:00,,,,,6kg sugar,
2026-11-20T10:10:00+01:00,1.090,21,,,,"pitched, 25 L"
"""
WASH_TORN = WASH + b"2026-11-21T09:00:00+01:00,1.0"
WASH_HAND_MADE = b"Time;Gravity;temp_c\r\n2026-11-20T10:00:00+01:00;1,090;21"
GRAVITY = ["record", "RUN.csv", "1.031", "22C", "--time", "2026-11-21T10:40:00+01:00"]
WASH_PROMPT = (b"time 2026-11-21 10:40\n" b"1.031 22 slower\n" b"time 2026-11-22 10:40\n" b"step degas\n")

BENCH = ["bench", "--bench", "RUN.csv", "--set", "power_w=2000"]

LINES = b"652g 72% 24C --empty 184g --note 'pear, clean'\n" b"500ml --spout 69%@24C\n"

# name: log before, the command, standard input
SCENARIOS = {
    "start": (None, ["start", "RUN.csv", "--charge", "24L@8.6%", "--title", "crash"], b""),
    "record": (OURS, JAR + ["--note", "still, pear"], b""),
    "record-after-torn": (TORN, JAR, b""),
    "record-hand-made": (HAND_MADE, JAR[:5], b""),
    "record-new-column": (HAND_MADE, JAR[:5] + ["--head", "79.9C"], b""),
    "insert": (OURS, ["record", "RUN.csv", "--jar", "2a", "400ml", "75%", "22C"], b""),
    "insert-unnumbered": (UNNUMBERED, ["record", "RUN.csv", "--jar", "1a", "400ml", "75%", "22C"],
                          b""),
    "record-after-undo": (OURS + b"#undone,3,\n", JAR, b""),
    "weight": (OURS, ["record", "RUN.csv", "352g", "72%", "22C", "--empty", "184g"], b""),
    "spout-hand-made": (HAND_MADE, ["record", "RUN.csv", "500ml", "--spout", "73%@22C"], b""),
    "weight-hand-made": (HAND_MADE, ["record", "RUN.csv", "352g", "72%", "22C", "--empty", "184g"], b""),
    "spout": (OURS, ["record", "RUN.csv", "500ml", "--spout", "73%@22C"], b""),
    "lines": (OURS, ["record", "RUN.csv", "-"], LINES),
    "undo-again": (OURS, ["record", "RUN.csv", "-"], b"undo\n" b"500ml 75% 22C\n"),
    "insert-undone": (OURS + b"#undone,2,\n",
                      ["record", "RUN.csv", "--jar", "2", "400ml", "75%", "22C"], b""),
    "taken": (OURS, ["record", "RUN.csv", "--jar", "2", "--taken", "20ml"], b""),
    "charge": (OURS, ["record", "RUN.csv", "--charge", "23.5L@8.4%"], b""),
    "resume": (OURS, ["record", "RUN.csv", "--resume"], b""),
    "undo-one": (OURS, ["record", "RUN.csv", "--undo", "2"], b""),
    "undo": (OURS, ["record", "RUN.csv", "--undo"], b""),
    "mend": (OURS, ["record", "RUN.csv", "--jar", "2", "75.5%", "--note", "a, b"], b""),
    "left": (OURS, ["record", "RUN.csv", "--left", "18L", "--left-strength", "2.1%"], b""),
    "left-reading": (OURS, ["record", "RUN.csv", "--left", "18L", "--left-reading", "2.3%",
                            "--left-temp", "22C"], b""),
    "left-again": (OURS + b"#left_l,17\n#left_strength_pct,2\n",
                   ["record", "RUN.csv", "--left", "18L", "--left-reading", "2.3%",
                    "--left-temp", "22C"], b""),
    "cut-save": (OURS, ["cut", "RUN.csv", "--heads", "1", "--hearts", "2-", "--save"], b""),
    "prompt": (OURS, ["record", "RUN.csv"], PROMPT),
    "book-new": (None, ["book", "RUN.csv", "vessel", "a", "10L", "glass", "--time",
                        "2026-11-20T10:40:00+01:00"], b""),
    "book": (BOOK, LOST + ["--note", "at the funnel, =1"], b""),
    "book-after-torn": (BOOK_TORN, LOST, b""),
    "book-saved": (BOOK_SAVED, LOST, b""),
    "book-cancelled": (BOOK, ["book", "RUN.csv", "cancelled", "2026-2", "--because", "slip",
                              "--time", "2026-11-21T10:40:00+01:00"], b""),
    "book-dilute": (BOOK, ["dilute", "RUN.csv:a", "--to", "40%", "--do", "--time",
                           "2026-11-21T10:40:00+01:00"], b""),
    "book-prompt": (BOOK, ["book", "RUN.csv"], BOOK_PROMPT),
    "wash-new": (None, ["start", "RUN.csv", "--wash", "25L", "--add", "6kg sugar", "--time",
                        "2026-11-20T10:00:00+01:00"], b""),
    "wash": (WASH, GRAVITY + ["--note", "slower, =1"], b""),
    "wash-after-torn": (WASH_TORN, GRAVITY, b""),
    "wash-new-column": (WASH_HAND_MADE, ["record", "RUN.csv", "--add", "1kg sugar", "--time",
                                         "2026-11-21T10:40:00+01:00"], b""),
    "wash-prompt": (WASH, ["record", "RUN.csv"], WASH_PROMPT),
    "bench-new": (None, BENCH, b""),
    "bench-set": (b"# mine\npower_w,1500\nstill,Pot\nstages,2\n", BENCH, b""),
}
LONG = ["lines", "undo-again"]  # each line is a jar of its own: with --full
# How often the log is opened: once for a change, twice before where an amount of it is taken; with lines and
# at the prompt of a run or a wash three times before the first question, at that of a book twice; twice for
# each entry; and at the prompt of a run or a wash once to look for another log in its place. To undo, and to
# go on after a stop, it is
# looked into first, and a bench file for the stills that it has.
OPENS = {"start": 0, "undo": 2, "resume": 2, "undo-one": 2, "bench-set": 2, "wash-prompt": 3 + 2 * 2 + 1, "wash-new": 0, "bench-new": 0, "prompt": 3 + 2 * 4 + 1, "lines": 3 + 2 * 2,
         "undo-again": 3 + 2 * 2, "book-new": 1, "book-dilute": 3, "book-prompt": 2 + 2 * 3}
# One append each: the file that took the row may have another name by the time that it is looked at.
APPENDS = ("record", "insert", "insert-undone", "record-after-undo", "undo", "undo-one", "left", "left-reading", "book", "book-dilute", "wash")


def still(data):
    return None if data is None else TIME.sub(b"2026-11-21T00:00:00+00:00", data)


def is_begun(log, whole):
    """Whether a log ends within the last row of another; half a time is not still."""
    row = log.rfind(b"\n") + 1
    digits = re.compile(rb"\d")
    return (whole.startswith(log[:row]) and
            digits.sub(b"0", whole[row:]).startswith(digits.sub(b"0", log[row:])))


def read(path):
    try:
        with open(path, "rb") as file:
            return file.read()
    except FileNotFoundError:
        return None


class Bench:
    """A folder with a log in it, and a shadow of it on the disk."""

    def __init__(self, top, before):
        self.folder = os.path.join(top, "folder")
        self.shadow = os.path.join(top, "shadow")
        self.trace = os.path.join(top, "trace")
        for path in (self.folder, self.shadow):
            shutil.rmtree(path, ignore_errors=True)
        os.makedirs(self.folder)
        for data in ("data", "ahead"):
            os.makedirs(os.path.join(self.shadow, data))
        if os.path.exists(self.trace):
            os.remove(self.trace)
        self.put("by.txt", b"a bystander\n")
        if before is not None:
            self.put("RUN.csv", before)
        with open(os.path.join(self.shadow, "names"), "w") as names:
            for name in os.listdir(self.folder):
                inode = os.stat(os.path.join(self.folder, name)).st_ino
                names.write(f"{inode} {name}\n")

    def put(self, name, data):
        path = os.path.join(self.folder, name)
        with open(path, "wb") as file:
            file.write(data)
        for data in ("data", "ahead"):
            shutil.copy(path, os.path.join(self.shadow, data, str(os.stat(path).st_ino)))

    def run(self, jarline, words, given, shim=None, at=0, how=""):
        env = dict(os.environ, LC_ALL="C.UTF-8", TZ="UTC")
        if shim:
            env.update(LD_PRELOAD=shim, CRASH_FOLDER=self.folder, CRASH_SHADOW=self.shadow,
                       CRASH_TRACE=self.trace, CRASH_AT=str(at), CRASH_HOW=how)
        done = subprocess.run([jarline] + words, input=given, cwd=self.folder, env=env,
                              capture_output=True, timeout=60)
        return done.returncode, done.stdout, done.stderr

    def files(self):
        return {name: read(os.path.join(self.folder, name)) for name in os.listdir(self.folder)}

    def after_power_cut(self, names_ahead, data="data"):
        """The files as they would be found."""
        found = {}
        if names_ahead:
            entries = [(os.stat(os.path.join(self.folder, n)).st_ino, n)
                       for n in os.listdir(self.folder)]
        else:
            with open(os.path.join(self.shadow, "names")) as names:
                entries = [line.rstrip("\n").split(" ", 1) for line in names]
        for inode, name in entries:
            if name not in (".", ".."):
                found[name] = read(os.path.join(self.shadow, data, str(inode))) or b""
        return found

    def become(self, files):
        for name in os.listdir(self.folder):
            os.remove(os.path.join(self.folder, name))
        for name, data in files.items():
            with open(os.path.join(self.folder, name), "wb") as file:
                file.write(data)


class Scenario:
    def __init__(self, name, top, jarline, shim):
        self.name, self.top, self.jarline, self.shim = name, top, jarline, shim
        self.before, self.words, self.given = SCENARIOS[name]
        self.states = [still(self.before)]
        self.points = 0
        self.failures = []
        self.went_on = {}
        self.learn()

    def learn(self):
        """The states of the log, one for each acknowledgement, from clean runs."""
        bench = Bench(self.top, self.before)
        code, out, err = bench.run(self.jarline, self.words, self.given, self.shim)
        self.acks = len(ACK.findall(out))
        if code != 0 or self.acks == 0:
            sys.exit(f"{self.name}: a clean run ended with {code}\n{out.decode()}{err.decode()}")
        with open(bench.trace) as lines:
            self.calls = [line.split() for line in lines]
        opens = sum(call[1] == "open" and call[3] == "RUN.csv" for call in self.calls)
        if opens != OPENS.get(self.name, 1):
            self.failures.append(f"the log was opened {opens} times")
        last_sync = max(i for i, call in enumerate(self.calls) if call[1] == "fsync")
        if self.acks == 1 and any(call[2] != "0" for call in self.calls[:last_sync + 1]):
            self.failures.append("something stood on standard output before the last fsync")
        for line in range(1, self.given.count(b"\n")):
            part = b"".join(self.given.splitlines(keepends=True)[:line])
            bench = Bench(self.top, self.before)
            bench.run(self.jarline, self.words, part)
            state = still(bench.files()["RUN.csv"])
            if state != self.states[-1]:
                self.states.append(state)
        bench = Bench(self.top, self.before)
        bench.run(self.jarline, self.words, self.given)
        self.states.append(still(bench.files()["RUN.csv"]))
        if len(self.states) != self.acks + 1:
            self.failures.append(f"{self.acks} acknowledgements, {len(self.states) - 1} changes")
        self.whole = {"record-after-torn": OURS, "book-after-torn": BOOK,
                      "wash-after-torn": WASH}.get(self.name)
        # The order of calls may differ in a later run, their number may grow after a failure.
        self.last = len(self.calls) + 1

    def log_is_good(self, log, acks, torn_allowed, taken_back=False):
        log = still(log)
        if taken_back:  # what was said to be nothing is nothing
            return log in (self.states[acks], still(self.whole))
        for k in range(acks, len(self.states)):
            state = self.states[k]
            if log == state:
                return True
            after = self.states[k + 1] if k + 1 < len(self.states) else None
            if torn_allowed and None not in (state, after, log) and log.startswith(state):
                if is_begun(log, after):
                    return True
        # The torn row is out already, the new one not yet in.
        if self.whole is not None and acks == 0:
            return log == still(self.whole) or (
                torn_allowed and log is not None and log.startswith(still(self.whole))
                and is_begun(log, self.states[-1]))
        return False

    def others_are_good(self, files, killed):
        for name, data in files.items():
            if name == "RUN.csv" or (name == "by.txt" and data == b"a bystander\n"):
                continue
            if killed and re.fullmatch(r"\.RUN\.csv(\.torn-\d)?\.new-\d+", name):
                continue
            if self.whole is not None and name == "RUN.csv.torn-1" and data == self.before[len(self.whole):]:
                continue
            return f"{name} holds {data!r}"
        return None if files.get("by.txt") is not None else "by.txt is gone"

    def is_book(self):
        return self.name.startswith("book")

    def is_wash(self):
        return self.name.startswith("wash")

    def goes_on(self, bench, files):
        """As tried: most points leave a folder that another has left before."""
        folder = frozenset((re.sub(r"new-\d+", "new", name), still(data)) for name, data in files.items())
        if folder not in self.went_on:
            self.went_on[folder] = self.tried_to_go_on(bench, files)
        return self.went_on[folder]

    def tried_to_go_on(self, bench, files):
        """The log parses as it is, and takes another jar, or the book another entry."""
        bench.become(files)
        if "RUN.csv" not in files:
            code, _, err = bench.run(self.jarline, self.words, self.given)
            return None if code == 0 else f"cannot be done again: {err.decode()}"
        if self.words == BENCH:
            code, out, err = bench.run(self.jarline, BENCH, b"")
            return None if code == 0 and ACK.search(out) else f"no other change: {err.decode()}"
        look = "stock" if self.is_book() else "wash" if self.is_wash() else "tally"
        code, _, err = bench.run(self.jarline, [look, "RUN.csv", "--json"], b"")
        # A wash that has not finished, or has one gravity, is no reason to say no.
        if code != 0 and self.before is not None and not (self.is_wash() and code == 1):
            return f"the log does not parse: {err.decode()}"
        more = (["book", "RUN.csv", "vessel", "more", "1L", "glass"] if self.is_book() else
                ["record", "RUN.csv", "1.002", "20C", "--time", "2026-11-29T10:40:00+01:00"]
                if self.is_wash() else JAR)
        code, out, err = bench.run(self.jarline, more, b"")
        if code != 0 or not ACK.search(out):
            return f"the log takes no other jar: {err.decode()}"
        return None

    def check(self, bench, kind, files, acks, killed, uncertain, stuck):
        log = files.get("RUN.csv")
        torn_allowed = killed or uncertain or kind != "process"
        taken_back = (kind == "power cut, bytes ahead" and not killed and not uncertain and not stuck and
                      acks < self.acks)
        if not self.log_is_good(log, acks, torn_allowed, taken_back):
            return f"{acks} acknowledged, the log holds {log!r}"
        wrong = self.others_are_good(files, killed or stuck or kind != "process")
        return wrong or self.goes_on(bench, files)

    def after_bytes(self, at):
        """Whether a call is an fsync, or one of the two that look at the file after it."""
        names = [call[1] for call in self.calls[:at]]
        return (names[-1] == "fsync" or names[-2:] == ["fsync", "fstat"] or
                names[-3:-1] == ["fsync", "fstat"] and names[-1].startswith("stat"))

    def moved(self):
        """The row is on the disk under another name: that must be said."""
        at = max(i for i, call in enumerate(self.calls) if call[1] == "fsync") + 1
        bench = Bench(self.top, self.before)
        code, out, err = bench.run(self.jarline, self.words, self.given, self.shim, at, "moved")
        self.points += 1
        if code != 75 or not re.search(b"may have been (recorded|written)", err) or ACK.search(out):
            self.failures.append(f"moved after its fsync: ended with {code}: {err.decode()}")
        if still(bench.files().get("MOVED.csv")) != self.states[-1]:
            self.failures.append("moved after its fsync: the row is not there")

    def in_an_old_file_system(self):
        """Where no rename can refuse to replace, a new file is made all the same, and never over another."""
        for before in (None, OURS):
            bench = Bench(self.top, before)
            self.points += 1
            code, _, err = bench.run(self.jarline, self.words, self.given, self.shim, 0, "old")
            files = bench.files()
            good = (code == 0 and still(files["RUN.csv"]) == self.states[-1] if before is None else
                    code == 73 and files["RUN.csv"] == before)
            if not good or len(files) != 2:
                self.failures.append(f"old file system: ended with {code}: {files} {err.decode()}")

    def of_another_group(self):
        """A new file in an old one's place keeps its rights; where its group cannot be kept, another
        group gets none."""
        for how, wanted in (("", 0o664), ("foreign", 0o604)):
            bench = Bench(self.top, self.before)
            log = os.path.join(bench.folder, "RUN.csv")
            os.chmod(log, 0o664)
            self.points += 1
            code, _, err = bench.run(self.jarline, self.words, self.given, self.shim, 0, how)
            mode = os.stat(log).st_mode & 0o7777
            if code != 0 or mode != wanted:
                self.failures.append(f"{how or 'own'} group: ended with {code}, rights {mode:o}: {err.decode()}")

    def point(self, at, how):
        bench = Bench(self.top, self.before)
        code, out, err = bench.run(self.jarline, self.words, self.given, self.shim, at, how)
        acks = len(ACK.findall(out))
        killed = code == -signal.SIGKILL
        if how == "signal" and (code != 0 or acks != self.acks):
            return [f"ended with {code} after {acks} of {self.acks} acknowledgements: {err.decode()}"]
        if killed != (how in ("kill", "tear")) and how != "tear" and at < self.last:
            return [f"ended with {code}"]
        if not killed and code not in (0, 66, 73, 74, 75):
            return [f"ended with {code}: {err.decode()}"]
        # The prompt reads the log again for its next question.
        whole = acks == self.acks
        if not killed and (code == 0) != whole and not (whole and self.name.endswith("prompt")):
            return [f"ended with {code} after {acks} of {self.acks} acknowledgements"]
        if code not in (0, -signal.SIGKILL) and not err.startswith(b"jarline "):
            return ["failed without a message"]
        made_beside = at < self.last and self.calls[at - 1][3].startswith(".RUN.csv.") and self.before
        if made_beside and how in ("enospc", "eio") and b"a new file beside it cannot be made" not in err:
            return [f"blames the file: {err.decode()}"]
        # A new book is said before its first entry is shown: then it is there.
        if self.name == "book-new" and b"New book: " in err:
            acks = max(acks, 1)
        uncertain = b"may have been" in err
        if uncertain and how != "stuck" and not self.after_bytes(at):
            return [f"uncertain: {err.decode()}"]
        kinds = {"process": bench.files(), "power cut": bench.after_power_cut(False),
                 "power cut, names ahead": bench.after_power_cut(True),
                 "power cut, bytes ahead": bench.after_power_cut(False, "ahead")}
        failures = []
        for kind, files in kinds.items():
            wrong = self.check(bench, kind, files, acks, killed, uncertain, how == "stuck")
            if wrong:
                failures.append(f"{kind}: {wrong}")
        return failures

    def run(self):
        for at in range(1, self.last + 1):
            for how in HOWS:
                name = self.calls[at - 1][1] if at < self.last else "end"
                if how in ("short", "tear") and name not in ("write", "read", "pread"):
                    continue
                if how == "tear" and name != "write":
                    continue
                if how == "signal" and name not in INTERRUPTED:
                    continue
                self.points += 1
                for wrong in self.point(at, how):
                    self.failures.append(f"call {at} ({name}), {how}: {wrong}")
        if self.name in APPENDS:
            self.moved()
        if self.name == "mend":
            self.of_another_group()
        if self.name == "start":
            self.in_an_old_file_system()
        return self.failures


def read_on(top, jarline, shim):
    """A reader goes on after a signal too, and asks again for the lock that keeps writers out; it shows
    nothing of a file that cannot be read to its end."""
    def run(at, how="signal"):
        bench = Bench(top, OURS)
        code, out, _ = bench.run(jarline, ["tally", "RUN.csv", "--json"], b"", shim, at, how)
        with open(bench.trace) as lines:
            return code, out, [line.split()[1] for line in lines]

    clean = run(0)
    failures = [] if "flock" in clean[2] else ["a reader takes no lock"]
    lock = clean[2].index("flock") + 1 if not failures else 0
    waits = [at for at, call in enumerate(clean[2], 1) if call == "read" or at == lock]
    for at in waits:
        code, out, calls = run(at)
        if (code, out, len(calls)) != (*clean[:2], len(clean[2]) + 1):
            failures.append(f"call {at}, signal: ended with {code}, {len(calls)} calls")
        code, out, _ = run(at, "eio")
        if at != lock and (code, out) != (74, b""):
            failures.append(f"call {at}, eio: ended with {code}: {out}")
    return len(waits), failures


def tried(of):
    name, jarline, shim = of
    with tempfile.TemporaryDirectory() as top:
        if name == "read":
            points, failures = read_on(os.path.realpath(top), jarline, shim)
            return f"read: {points} points, {len(failures)} failures", points, failures
        scenario = Scenario(name, os.path.realpath(top), jarline, shim)
        failures = scenario.run()
        told = f"{name}: {len(scenario.calls)} calls, {scenario.points} points, {len(failures)} failures"
        return told, scenario.points, failures


def main():
    if not os.path.isdir("/proc/self/fd"):
        print("no /proc here, by which the shim names open files")
        return 77  # skipped
    jarline, shim = (os.path.realpath(path) for path in sys.argv[1:3])
    names = sys.argv[3:] or ["read"] + [name for name in SCENARIOS if name not in LONG]
    names = LONG if names == ["--long"] else names
    points = failed = 0
    # What is typed at a prompt takes longest, and would keep one processor alone at the end.
    names = sorted(names, key=lambda name: -len(SCENARIOS[name][2]) if name in SCENARIOS else 0)
    with multiprocessing.Pool(len(os.sched_getaffinity(0))) as workers:
        for told, at, failures in workers.imap(tried, [(name, jarline, shim) for name in names], 1):
            points += at
            failed += len(failures)
            print(told)
            for wrong in failures[:20]:
                print("  " + wrong)
    print(f"{points} points, each as the process left it and after three kinds of power cut: "
          f"{failed} failures")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
