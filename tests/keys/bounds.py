#!/usr/bin/env python3
"""Every key at its bounds and just beyond, through every option and every file that may hold it: all
readers and writers agree: bounds.py JARLINE LIST, LIST prints the table of keys

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import subprocess
import sys
import tempfile

jarline, lister = (os.path.realpath(path) for path in sys.argv[1:3])
NUMBER, SHARE, CUT, AMOUNT, SCHEDULE = range(5)
RUN, STILL, INSTRUMENTS, CHARGE, WASH, BOOK, RUN_END, SINGLY = 1, 2, 4, 8, 16, 32, 256, 512
# As an option writes a value in the unit of its kind, by jl_kind.
UNITS = ["l", "kg", "%", "C", "C", "W", "s", "kPa", "m", "", "%", "", "J/K"]
JARS = "jar,volume_ml,reading_pct,temp_c\n1,50,70,20\n2,50,69,20\n3,50,68,20\n4,50,66,20\n"
# What reads a log: each refuses the same keys, with the same line.
READERS = [["tally", "RUN"], ["tally", "--rest", "RUN"], ["history", "RUN"], ["cut", "RUN", "--suggest"],
           ["report", "RUN", "--force", "-o", "report.html"], ["chart", "RUN"], ["calibrate", "RUN"],
           ["record", "RUN", "50ml", "65%", "20C"]]
wrong, calls = [], 0


class Key:
    def __init__(self, line):
        (self.name, form, least, most, where, self.option, kind, low, high, self.range) = line.split("\t")
        self.form, self.where, self.kind = int(form), int(where), int(kind)
        self.file = [float(least), float(most)]
        self.word = [float(low), float(high)]

    def is_number(self):
        return self.form in (NUMBER, SHARE)

    def may(self, place):
        return self.where & place != 0


def run(*words):
    global calls
    calls += 1
    # The cases look for leaks; here that would be half of the time.
    return subprocess.run([jarline, *words], capture_output=True, stdin=subprocess.DEVNULL, text=True,
                          env={"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8", "TZ": "UTC",
                               "ASAN_OPTIONS": "detect_leaks=0"})


def check(what, good, shown=""):
    if not good:
        wrong.append(what)
        print("wrong: %s: %s" % (what, str(shown).strip()))


def write(path, text):
    with open(path, "w", encoding="utf-8") as to:
        to.write(text)


def ends(bounds):
    """Each bound, and a value just beyond it."""
    for sign, bound in zip((-1, 1), bounds):
        step = max(abs(bound) * 1e-6, 1e-8 if bound == 0 else 0)
        yield repr(bound), False
        yield repr(bound + sign * step), True


def texts(key):
    """Rules and schedules as options and files have them, and whether they are beyond."""
    yield "none", False
    for least, most, form in ((0, 100, "%.7g%% of charge"), (0, 1e6, "%.8gl")):
        yield form % least, False
        yield form % most, False
        yield form % (most * 1.00001), True
    if key.form == CUT:
        for form in ("%gC head", "%gC boiler"):
            yield form % 120, False
            yield form % 120.01, True
            yield form % -1, True
        yield "0%", False
        yield "100%", False
        yield "100.1%", True


def values(key, bounds):
    if key.is_number():
        return list(ends(bounds))
    if key.form == SCHEDULE:
        return [("0@1h,1000@2L", False), ("1001@1h", True), ("-1@1h", True), ("1@-2L", True)]
    return list(texts(key)) if key.form in (CUT, AMOUNT) else []


def refused_in_file(key, result, path, line):
    return (result.returncode == 65 and "%s:%d" % (path, line) in result.stderr and
            (not key.is_number() or key.range in result.stderr))


def cell(value):
    return '"%s"' % value if "," in value else value


# A reading needs its temperature, a volume its strength: what stands beside a key in a log.
BESIDE = {"left_l": "#left_strength_pct,1\n", "left_strength_pct": "#left_l,1\n",
          "left_reading_pct": "#left_l,1\n#left_temp_c,20\n",
          "left_temp_c": "#left_l,1\n#left_strength_pct,1\n",
          "feints_l": "#feints_strength_pct,30\n", "feints_strength_pct": "#feints_l,1\n",
          "charge_l": "#charge_strength_pct,30\n", "charge_strength_pct": "#charge_l,1\n"}


def in_log(key, value, beyond):
    charge = "" if key.may(CHARGE) else "#charge_l,1\n#charge_strength_pct,30\n"
    text = "#jarline,1\n#%s,%s\n%s%s%s" % (key.name, cell(value), charge, BESIDE.get(key.name, ""), JARS)
    for words in READERS:
        write("run.csv", text)
        result = run(*["run.csv" if word == "RUN" else word for word in words])
        what = "%s of a log with #%s,%s" % (words[0], key.name, value)
        if beyond:
            check(what, refused_in_file(key, result, "run.csv", 2), result.stderr)
            with open("run.csv", encoding="utf-8") as log:
                check(what + " changes nothing", log.read() == text)
        else:
            check(what, "run.csv:2" not in result.stderr and "run.csv:3" not in result.stderr, result.stderr)
            check(what + " knows the key", "is no fact that is known" not in result.stdout)


def in_file(key, value, beyond):
    readers = {STILL: [["forecast", "1L@30%", "--jar-size", "50ml", "--still"],
                       ["start", "new.csv", "--charge", "1L@30%", "--still"],
                       ["chart", "--forecast", "1L@30%", "--still"]],
               INSTRUMENTS: [["correct", "50%", "--at", "20C", "--bench"],
                             ["spirit", "1L@50%@20C", "--uncertainty", "--bench"],
                             ["start", "new.csv", "--bench"]],
               CHARGE: [["forecast", "--charge-from"], ["charge", "--boiler-size", "2000000L", "--charge-from"]]}
    own = "# a comment\n%s,%s\n%s" % (key.name, cell(value), BESIDE.get(key.name, "").replace("#", ""))
    charge = "" if key.name in ("charge_l", "charge_strength_pct") else "charge_l,1\ncharge_strength_pct,30\n"
    for place, commands in readers.items():
        for words in commands if key.may(place) else []:
            if "--jar-size" in words and key.name == "jar_l":
                words = [word for word in words if word not in ("--jar-size", "50ml")]
            if os.path.exists("new.csv"):
                os.remove("new.csv")
            write("file.csv", own + (charge if place == CHARGE else ""))
            result = run(*words, "file.csv")
            what = "%s with a file of %s,%s" % (words[0], key.name, value)
            if beyond:
                check(what, refused_in_file(key, result, "file.csv", 2), result.stderr)
                check(what + " writes nothing", not os.path.exists("new.csv"))
            else:
                check(what, result.returncode != 65, result.stderr)


OTHERS = {BOOK: ("book", "entry,time,what,from,into,kind,volume_l,strength_pct,note,ethanol_kg,water_kg\n"
                 "2026-1,2026-10-02T18:00:00+02:00,vessel,,a,glass,5,,,0,0\n"
                 "2026-2,2026-10-02T18:01:00+02:00,opening,,a,,1,50,,0.39461956164998844,0.53\n",
                 [["stock", "FILE"], ["account", "FILE"], ["book", "FILE", "lost", "a", "0.1L"]]),
          WASH: ("wash", "time,gravity\n2026-10-02T18:00:00+02:00,1.060\n2026-10-09T18:00:00+02:00,1.000\n"
                 "2026-10-14T18:00:00+02:00,1.000\n", [["wash", "FILE"]])}


def in_other_logs(key, value, beyond):
    for place, (kind, rows, commands) in OTHERS.items():
        text = "#jarline,1\n#kind,%s\n#%s,%s\n%s" % (kind, key.name, cell(value), rows)
        for words in commands if key.may(place) else []:
            write("other.csv", text)
            result = run(*["other.csv" if word == "FILE" else word for word in words])
            what = "%s with a %s of #%s,%s" % (words[0], kind, key.name, value)
            if beyond:
                check(what, refused_in_file(key, result, "other.csv", 3), result.stderr)
                with open("other.csv", encoding="utf-8") as log:
                    check(what + " changes nothing", log.read() == text)
            else:
                check(what, result.returncode in (0, 1), result.stderr)
                check(what + " knows the key", "is no fact that is known" not in result.stdout)


def option_word(key, value):
    if not key.is_number():
        return value
    share = key.form == SHARE or key.kind == 10
    return "%.12g%s" % (float(value) * (100 if share else 1), "%" if share else UNITS[key.kind])


def log_holds(key, value):
    """Whether start has written the key, in a unit that means what the option said."""
    with open("new.csv", encoding="utf-8") as log:
        rows = [line.strip().split(",", 1)[1] for line in log if line.startswith("#%s," % key.name)]
    if len(rows) != 1:
        return False
    if not key.is_number():
        return True
    low, high = key.word
    wanted = key.file[0] + (float(value) - low) * (key.file[1] - key.file[0]) / (high - low)
    return abs(float(rows[0]) - wanted) <= 1e-9 * max(1, abs(wanted))


def by_option(key, value, beyond):
    word = option_word(key, value)
    if os.path.exists("new.csv"):
        os.remove("new.csv")
    charge = ["--charge", "1L@30%"] + ([] if key.name == "jar_l" else ["--jar-size", "50ml"])
    result = run("start", "new.csv", *charge, "--%s=%s" % (key.option, word))
    what = "start --%s %s" % (key.option, word)
    if beyond:
        check(what, result.returncode == 2 and "--" + key.option in result.stderr and
              (not key.is_number() or key.range in result.stderr or "out of range" in result.stderr), result.stderr)
        check(what + " writes nothing", not os.path.exists("new.csv"))
        return
    # A still that never boils, or a charge below its element, has no run: not the key's fault.
    check(what, result.returncode in (0, 1) and "expected %s" % key.range not in result.stderr, result.stderr)
    if result.returncode != 0:
        return
    check(what + " writes the key", log_holds(key, value))
    with open("new.csv", "a", encoding="utf-8") as log:
        log.write("".join("%d,,50,%d,20,,,,\n" % (jar, 71 - jar) for jar in range(1, 5)))
    for words in (["tally", "--rest", "new.csv"], ["history", "new.csv"], ["record", "new.csv", "50ml", "65%", "20C"]):
        read = run(*words)
        check("%s after %s" % (words[0], what), read.returncode == 0 or "new.csv:" not in read.stderr and
              words[0] == "tally", read.stderr)


def end_of_run(key, value, beyond):
    """What record states of the end of a run."""
    beside = {"left_l": ["--left-strength=1%"], "left_strength_pct": ["--left=1L"],
              "left_reading_pct": ["--left=1L", "--left-temp=20C"],
              "left_temp_c": ["--left=1L", "--left-strength=1%"]}[key.name]
    write("run.csv", "#jarline,1\n" + JARS)
    result = run("record", "run.csv", "--%s=%s" % (key.option, option_word(key, value)), *beside)
    what = "record --%s %s" % (key.option, option_word(key, value))
    check(what, result.returncode == (2 if beyond else 0), result.stderr)
    check("tally after " + what, run("tally", "run.csv").returncode == 0)


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    table = subprocess.run([lister], capture_output=True, text=True, check=True).stdout
    keys = [Key(line) for line in table.splitlines()]
    for key in keys:
        for value, beyond in values(key, key.file):
            if key.may(RUN):
                in_log(key, value, beyond)
            in_other_logs(key, value, beyond)
            if key.may(STILL | INSTRUMENTS | CHARGE):
                in_file(key, value, beyond)
        for value, beyond in values(key, key.word):
            if key.option and key.may(STILL | INSTRUMENTS) and not key.may(SINGLY):
                by_option(key, value, beyond)
            if key.may(RUN_END):
                end_of_run(key, value, beyond)
print("%d keys, %d calls, %d wrong" % (len(keys), calls, len(wrong)))
sys.exit(1 if wrong or calls < 500 else 0)
