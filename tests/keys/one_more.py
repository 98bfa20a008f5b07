#!/usr/bin/env python3
"""A build with one line more in the table of keys: the key is an option, is read and written, stands in
the manual pages and in the completion: one_more.py SOURCE

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import re
import subprocess
import sys
import tempfile

source = os.path.realpath(sys.argv[1])
LINE = '''KEY(VENT, "vent", "_c", JL_TEMPERATURE, 10, 30, "10 to 30 °C", "21", JL_AS_NUMBER,
    JL_IN_RUN | JL_IN_STILL, "21C", JL_COMMON_PRACTICE, "vent-temp", "TEMP", "temperature of the vent")
'''
wrong = []


def check(what, good, shown=""):
    if not good:
        wrong.append(what)
        print("wrong: %s: %s" % (what, shown))


def must(*words, **more):
    done = subprocess.run(words, capture_output=True, text=True, **more)
    if done.returncode != 0:
        print(done.stdout[-2000:], done.stderr[-2000:])
        sys.exit(1)
    return done.stdout


def build(folder):
    line = os.path.join(folder, "line.h")
    with open(line, "w", encoding="utf-8") as to:
        to.write(LINE)
    must("meson", "setup", "build", source, "-Dc_args=-DJL_KEY_MORE=<%s>" % line, cwd=folder)
    must("ninja", "-C", "build", "cli/jarline", "cli/jarline-forecast.1", "cli/jarline-tally.1", cwd=folder)
    return os.path.join(folder, "build/cli")


def option_and_writer(jarline):
    check("help", "--vent-temp=TEMP" in must(jarline, "forecast", "--help"))
    must(jarline, "start", "run.csv", "--charge", "10L@30%", "--vent-temp", "25C")
    with open("run.csv", encoding="utf-8") as log:
        check("start writes it", "#vent_c,25\n" in log.read())
    refused = subprocess.run([jarline, "forecast", "10L@30%", "--vent-temp", "31C"], capture_output=True, text=True)
    check("the option's range", refused.returncode == 2 and "10 to 30 °C" in refused.stderr, refused.stderr)
    told = must(jarline, "forecast", "10L@30%", "--json")
    check("the default stands among the assumptions", "vent temp 21 °C" in told)


def reader(jarline):
    told = must(jarline, "record", "run.csv", "500ml", "72.5%", "24C") + must(jarline, "tally", "run.csv")
    check("a log's reader knows it", "vent_c" not in told, told)
    with open("still.csv", "w", encoding="utf-8") as still:
        still.write("vent_f,68\n")
    told = must(jarline, "forecast", "10L@30%", "--still", "still.csv", "--json")
    check("a file's reader", "From still.csv: vent temp 20 °C" in told)
    for file, text, words in (("still.csv", "vent_c,31\n", ["forecast", "10L@30%", "--still", "still.csv"]),
                              ("bad.csv", "#vent_c,31\njar,volume_ml,strength_pct\n1,500,70\n", ["tally", "bad.csv"])):
        with open(file, "w", encoding="utf-8") as to:
            to.write(text)
        refused = subprocess.run([jarline] + words, capture_output=True, text=True)
        check("the range in " + file, refused.returncode == 65 and file + ":1" in refused.stderr and
              "10 to 30 °C, as vent_c,21" in refused.stderr, refused.stderr)


def calibrated(jarline):
    with open(os.path.join(source, "examples/spirit-october.csv"), encoding="utf-8") as log:
        text = log.read()
    with open("fit.csv", "w", encoding="utf-8") as to:
        to.write(text.replace("#power_w", "#vent_c,22\n#power_w"))
    must(jarline, "calibrate", "--stages", "2", "-o", "learnt.csv", "fit.csv")
    with open("learnt.csv", encoding="utf-8") as still:
        check("calibrate's file carries it", "vent_c,22\n" in still.read())


def pages(folder):
    with open(os.path.join(folder, "jarline-forecast.1"), encoding="utf-8") as page:
        text = page.read()
    check("the option's page", re.search(r"\.BI \\-\\-vent\\-temp \" TEMP\"\ntemperature of the vent; 10 to 30", text))
    check("the keys of a still's file", ".BR vent_c ,\n" in text)
    with open(os.path.join(folder, "jarline-tally.1"), encoding="utf-8") as page:
        check("the keys of a run log", ".B vent_c\n" in page.read())


def completion(folder):
    script = os.path.join(source, "cli/completion/jarline")
    if not os.path.exists("/usr/share/bash-completion/bash_completion"):
        print("completion was not looked at: there is no bash-completion here")
        return
    offered = must("bash", "-c", '. /usr/share/bash-completion/bash_completion; . "$1"; compopt() { :; }; '
                   'COMP_WORDS=(jarline forecast --vent); COMP_CWORD=2; COMP_LINE="jarline forecast --vent"; '
                   'COMP_POINT=${#COMP_LINE}; COMP_TYPE=9; _jarline; echo "${COMPREPLY[@]}"', "-", script,
                   env={"PATH": folder + ":" + os.environ["PATH"], "LC_ALL": "C.UTF-8"})
    check("completion", "--vent-temp=" in offered, offered)


with tempfile.TemporaryDirectory() as folder:
    cli = build(folder)
    os.chdir(folder)
    jarline = os.path.join(cli, "jarline")
    option_and_writer(jarline)
    reader(jarline)
    calibrated(jarline)
    pages(cli)
    completion(cli)
print("one key more: %d wrong" % len(wrong))
sys.exit(1 if wrong else 0)
