#!/usr/bin/env python3
"""Records a run while it is followed: every jar is drawn, and no reader sees half a picture.

SPDX-License-Identifier: GPL-3.0-or-later

follow.py JARLINE"""
import os
import re
import subprocess
import sys
import tempfile
import threading
import time

JARS = 20
jarline = os.path.abspath(sys.argv[1])
failures = []


def fail(*words):
    failures.append(" ".join(str(w) for w in words))


def wait_until(true, what):
    end = time.monotonic() + 30
    while not true():
        if time.monotonic() > end:
            fail("never came:", what)
            return False
        time.sleep(0.002)
    return True


class Reader(threading.Thread):
    """Reads a picture over and over and keeps what it saw of it."""

    def __init__(self, path, begin, end):
        super().__init__()
        self.path, self.begin, self.end = path, begin, end
        self.over = False
        self.read = 0
        self.files = set()

    def run(self):
        while not self.over:
            try:
                with open(self.path, encoding="utf-8") as file:
                    self.files.add(os.fstat(file.fileno()).st_ino)
                    text = file.read()
            except FileNotFoundError:
                text = None
            if text is not None:
                self.read += 1
                if not text.startswith(self.begin) or not text.endswith(self.end):
                    fail("half a picture of", len(text), "characters:", self.path)
            time.sleep(0.001)


def jars_in(path):
    """As the picture's own words have them."""
    try:
        with open(path, encoding="utf-8") as file:
            found = re.search(r"(\d+) jars? ·", file.read())
            return int(found.group(1)) if found else 0
    except FileNotFoundError:
        return -1


def follow(folder, ending, begin, end):
    log, picture = os.path.join(folder, ending + ".csv"), os.path.join(folder, "run." + ending)
    subprocess.run([jarline, "start", log, "--charge", "10L@27%", "--power", "1kW"], check=True,
                   stdout=subprocess.DEVNULL)
    following = subprocess.Popen([jarline, "chart", log, "--follow", "-o", picture],
                                 stdout=subprocess.PIPE, text=True)
    first = following.stdout.readline()
    if "never left alone" not in first:
        fail("no caution in", first)
    reader = Reader(picture, begin, end)
    reader.start()
    for jar in range(1, JARS + 1):
        subprocess.run([jarline, "record", log, "200mL", "%g%%" % (78 - 2.5 * jar), "20C"],
                       check=True, stdout=subprocess.DEVNULL)
        if not wait_until(lambda: jars_in(picture) == jar, "jar %d in %s" % (jar, picture)):
            break
    renewed = open(picture, encoding="utf-8").read()
    subprocess.run([jarline, "record", log, "--left", "5L", "--left-strength", "1%"],
                   check=True, stdout=subprocess.DEVNULL)
    said = following.communicate(timeout=30)[0]
    reader.over = True
    reader.join()
    last = open(picture, encoding="utf-8").read()
    if following.returncode != 0:
        fail("exit status", following.returncode)
    drawn = int(re.search(r"Drawn (\d+) times", said).group(1))
    closing = 1 if renewed != last else 0
    if drawn != 1 + JARS + closing:
        fail(ending, "was drawn", drawn, "times, not once and for", JARS, "jars and the end")
    if "A running still is never left alone." not in last:
        fail("no caution in", picture)
    if ending == "html" and ("http-equiv" in last or "http-equiv=\"refresh\"" not in renewed):
        fail("the page of a closed run renews itself, or that of an open one does not")
    if "<script" in last:
        fail("a script in", picture)
    if [name for name in os.listdir(folder) if name not in ("svg.csv", "html.csv", "run.svg",
                                                            "run.html")]:
        fail("left behind:", os.listdir(folder))
    print("%s: drawn %d times, read %d times, never in half" % (ending, drawn, reader.read))


with tempfile.TemporaryDirectory() as folder:
    follow(folder, "svg", "<?xml", "</svg>\n")
    follow(folder, "html", "<!DOCTYPE html>", "</html>\n")
for failure in failures:
    print(failure)
sys.exit(len(failures) > 0)
