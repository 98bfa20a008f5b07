#!/usr/bin/env python3
"""The same numbers under every locale, and times that go on under every clock:
places.py JARLINE EXAMPLES [CLOCK], the last a library that sets the clock off

SPDX-License-Identifier: GPL-3.0-or-later

Locales are made here with localedef, German and Turkish, in UTF-8 and in their 8-bit character sets:
one has a decimal comma, the other an i without a dot. Ends with 77 (skipped) where they cannot be made.
"""
import datetime
import json
import os
import re
import subprocess
import sys
import tempfile

jarline, examples = sys.argv[1:3]
clock = os.path.realpath(sys.argv[3]) if len(sys.argv) > 3 else None
LOCALES = {"de_DE.UTF-8": ("de_DE", "UTF-8"), "de_DE": ("de_DE", "ISO-8859-1"),
           "tr_TR.UTF-8": ("tr_TR", "UTF-8"), "tr_TR": ("tr_TR", "ISO-8859-9"), "C": None}
LOG = os.path.join(examples, "spirit-october.csv")
COMMANDS = [
    ["tally", LOG],
    ["correct", "72.5%", "--at", "24C"],
    ["dilute", "3.2L@72%", "--to", "40%"],
    ["spirit", "2IMPGAL@40%"],  # an I that Turkish would not make an i
    ["wash", "--og", "1.062", "--fg", "0.996"],
    ["wash", "SHOUTED", "--time", "2026-09-22T09:00:00+02:00"],
]
wrong = []


def run(words, **env):
    place = {"PATH": os.environ["PATH"], "TZ": "UTC", "LC_ALL": "C.UTF-8"}
    for name in ("ASAN_OPTIONS", "UBSAN_OPTIONS", "TMPDIR"):
        if name in os.environ:
            place[name] = os.environ[name]
    place.update(env)
    return subprocess.run([jarline] + words, env=place, capture_output=True, stdin=subprocess.DEVNULL)


def check(fact, good, shown=""):
    if not good:
        wrong.append(fact)
        print("wrong: %s %s" % (fact, shown))


def numbers(text):
    # kg/m³ is written kg/m3 without UTF-8
    return re.findall(rb"\d+(?:[.,]\d+)*", text.replace(b"m3", b""))


def shouted(folder):
    """A gravity log whose header is in capitals."""
    path = os.path.join(folder, "gravity.csv")
    with open(path, "w", encoding="ascii") as log:
        log.write("TIME,GRAVITY,TEMP_C\n2026-09-10T08:00:00+02:00,1.062,21\n"
                  "2026-09-16T08:00:00+02:00,0.998,20\n2026-09-21T08:00:00+02:00,0.998,20\n")
    return path


def locales(folder):
    compared = 0
    COMMANDS[-1][2] = shouted(folder)
    for words in COMMANDS:
        for extra in ([], ["--json"]):
            want = run(words + extra)
            for name in LOCALES:
                got = run(words + extra, LC_ALL=name, LOCPATH=folder)
                same = got.stdout == want.stdout if extra else numbers(got.stdout) == numbers(want.stdout)
                check("%s in %s" % (" ".join(words + extra), name),
                      same and got.returncode == want.returncode, got.stderr)
                if ".UTF-8" not in name and not extra:
                    check("%s in %s without UTF-8" % (words[0], name), b"\xc2" not in got.stdout)
                compared += 1
    return compared


def record(log, *words, tz="Europe/Berlin"):
    return run(["record", log, "500ml", "72.5%", "24C", *words], TZ=tz)


def times(log):
    with open(log, encoding="utf-8") as lines:
        return [line.split(",")[1] for line in lines if re.match(r"\d+,", line)]


def clock_set_back(folder):
    """The clock of the machine itself is set back by two hours during a run, and forward again."""
    log = os.path.join(folder, "clock.csv")
    run(["start", log, "--charge", "24L@8.6%"])
    said = [json.loads(run(["record", log, "500ml", "72.5%", "24C", "--json"], LD_PRELOAD=clock,
                           CLOCK_OFF_S=off).stdout) for off in ("0", "-7200", "-7190", "60")]
    stands = [datetime.datetime.fromisoformat(time) for time in times(log)]
    check("the second jar has the time that the clock showed",
          datetime.timedelta(hours=1.9) < stands[0] - stands[1] < datetime.timedelta(hours=2.1), stands)
    check("a clock that goes back is said once",
          [", earlier than jar" in " ".join(answer.get("warnings", [])) for answer in said] ==
          [False, True, False, False], said)
    check("the jars stay in their order", [answer["jar"] for answer in said] == ["1", "2", "3", "4"])
    check("and all count", json.loads(run(["tally", log, "--json"]).stdout)["total"]["jars_count"] == 4)


def clocks(folder):
    log = os.path.join(folder, "run.csv")
    run(["start", log])
    # 25 October 2026: 02:30 stands twice in Berlin, an hour apart.
    for when in ("2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00", "2026-10-25T03:10"):
        check("a jar at " + when, record(log, "--time", when).returncode == 0)
    check("the hour that stands twice is kept apart by its offset",
          times(log)[:2] == ["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"], times(log))
    check("a time of the clock gets the offset of its day",
          times(log)[2:] == ["2026-10-25T03:10:00+01:00"], times(log))
    # Back by an hour: the jar is written behind the others, and the answer says that its time is not.
    back = record(log, "--time", "2026-10-25T02:10:00+01:00")
    said = json.loads(record(log, "--time", "2026-10-25T02:05:00+01:00", "--json").stdout)
    check("a clock set back is said", b"Look again at jar 4: time" in back.stdout, back.stdout.decode())
    jars = json.loads(run(["tally", log, "--json"]).stdout)["total"]["jars_count"]
    check("every jar counts, in the order of the file", jars == 5 and said["jar"] == "5", jars)
    if clock is not None:
        clock_set_back(folder)
    # Another place, half an hour off; the same moments, the same answers.
    want = run(["tally", log, "--json"]).stdout
    for tz in ("Asia/Kolkata", "America/St_Johns", "Pacific/Auckland", "Nowhere/Atall"):
        check("tally under " + tz, run(["tally", log, "--json"], TZ=tz).stdout == want)
        chart = run(["report", log, "--json"], TZ=tz)
        check("report under " + tz, chart.stdout == run(["report", log, "--json"]).stdout)


with tempfile.TemporaryDirectory() as folder:
    for name, source in LOCALES.items():
        made = source is None or subprocess.run(
            ["localedef", "--no-archive", "-i", source[0], "-f", source[1], os.path.join(folder, name)],
            capture_output=True).returncode == 0
        if not made:
            print("locales cannot be made here")
            sys.exit(77)
    compared = locales(folder)
    clocks(folder)
print("%d answers in %d locales have the numbers of C.UTF-8, %d clocks" %
      (compared, len(LOCALES), 5 if clock is None else 6))
sys.exit(1 if wrong else 0)
