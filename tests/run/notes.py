#!/usr/bin/env python3
"""Notes come back as they went in, or are refused with a reason; a failed write changes nothing.

SPDX-License-Identifier: GPL-3.0-or-later

notes.py JARLINE
"""
import csv
import fcntl
import io
import json
import os
import re
import subprocess
import sys
import tempfile

KEPT = [b"pear, clean", b'say "ah"', b"=1+1", b"+x", b"-", b"@home", b" =2", b"a;b\tc", b"#5",
        b" blanks ", "\U0001f350 \u05d0\u05d1 \u202e".encode(), b"\xff\xfe caf\xe9", b"'", b'"',
        b"\x1b[31mred", b"x" * 65000]
REFUSED = [b"two\nlines", b"two\rlines", b"x" * 65536]
FAILURES = []


def check(good, what):
    if not good:
        FAILURES.append(what)


def record(jarline, log, *words, **more):
    return subprocess.run([jarline, "record", log, *words], capture_output=True, **more)


def read(path):
    with open(path, "rb") as file:
        return file.read()


def notes(jarline, folder):
    log = os.path.join(folder, "notes.csv")
    subprocess.run([jarline, "start", log], check=True, capture_output=True)
    for n, note in enumerate(KEPT, 1):
        done = record(jarline, log, "500ml", "72.5%", "24C", "--note", note)
        check(done.returncode == 0, f"{note[:30]!r}: {done.stderr[:200]!r}")
    rows = list(csv.reader(io.StringIO(read(log).decode("latin-1"), newline="")))
    rows = [row for row in rows if row[0].isdigit()]
    for note, row in zip(KEPT, rows):
        formula = re.match(rb" *[=+@-]", note) is not None
        check(row[-1].encode("latin-1") == (b" " if formula else b"") + note,
              f"in the file: {note[:30]!r}: {row[-1][:30]!r}")
    jars = json.loads(subprocess.run([jarline, "tally", log, "--json"], check=True,
                                     capture_output=True).stdout)["jars"]
    for note, jar in zip(KEPT, jars):
        text = note.decode("utf-8", "replace")
        check(jar["note"] == text, f"read again: {note[:30]!r}: {jar['note'][:30]!r}")
    before = read(log)
    for note in REFUSED:
        done = record(jarline, log, "500ml", "72.5%", "24C", "--note", note)
        check(done.returncode == 2 and b"Nothing was" in done.stderr or
              b"nothing was" in done.stderr, f"not refused: {note[:30]!r} {done.stderr!r}")
    check(read(log) == before, "a refused note changed the log")


def failures(jarline, folder):
    """Nothing is recorded, and the message says so."""
    log = os.path.join(folder, "run.csv")
    subprocess.run([jarline, "start", log, "--charge", "24L@8.6%"], check=True, capture_output=True)
    record(jarline, log, "500ml", "72.5%", "24C")
    before = read(log)
    jar = ("500ml", "72.5%", "24C")
    limit = f"export GCOV_PREFIX=/proc; ulimit -f 1; trap '' XFSZ; exec {jarline} record {log} 500ml 72.5% 24C --note {'x' * 3000}"
    done = subprocess.run(["sh", "-c", limit], capture_output=True)
    check(done.returncode == 74 and b"Nothing was recorded" in done.stderr,
          f"file too large: {done.returncode} {done.stderr!r}")
    check(read(log) == before, "file too large: the log changed")
    with open(log, "rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        done = record(jarline, log, *jar)
    check(done.returncode == 75 and b"Nothing was recorded" in done.stderr,
          f"busy: {done.returncode} {done.stderr!r}")
    check(read(log) == before, "busy: the log changed")
    with open("/dev/full", "wb") as full:
        done = subprocess.run([jarline, "record", log, *jar], stdout=full, stderr=subprocess.PIPE)
    check(done.returncode == 74 and b"all the same" in done.stderr,
          f"full output: {done.returncode} {done.stderr!r}")
    check(read(log).startswith(before) and read(log).count(b"\n") == before.count(b"\n") + 1,
          "full output: the jar is not in the log")
    for path, code in ((folder, 66), (os.path.join(folder, "none", "run.csv"), 66)):
        done = record(jarline, path, *jar)
        check(done.returncode == code, f"{path}: {done.returncode} {done.stderr!r}")
    link = os.path.join(folder, "link.csv")
    os.symlink("run.csv", link)
    record(jarline, link, *jar)
    record(jarline, link, "--jar", "1", "71%")
    check(os.path.islink(link) and b",71," in read(log), "through a symbolic link")
    os.chmod(log, 0o444)
    os.chmod(folder, 0o755)
    if os.geteuid() == 0:
        done = record(jarline, log, *jar, user=65534, group=65534, extra_groups=[])
    else:
        done = record(jarline, log, *jar)
    check(done.returncode == 73 and b"Nothing was recorded" in done.stderr,
          f"read-only: {done.returncode} {done.stderr!r}")


def main():
    # A folder that another user may enter.
    jarline = os.path.realpath(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        os.chmod(folder, 0o755)
        # Whoever records looks for a bench file in a home that he may enter.
        os.environ["HOME"] = folder
        os.environ.pop("XDG_CONFIG_HOME", None)
        notes(jarline, folder)
        failures(jarline, folder)
    for failure in FAILURES:
        print(failure)
    print(f"{len(KEPT)} notes kept, {len(REFUSED)} refused, writes that fail: "
          f"{len(FAILURES)} failures")
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main())
