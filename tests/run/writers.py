#!/usr/bin/env python3
"""Two writers record 1,000 jars each into one log while a reader totals it.

SPDX-License-Identifier: GPL-3.0-or-later

writers.py JARLINE [JARS]
"""
import csv
import fcntl
import json
import os
import subprocess
import sys
import tempfile
import threading
import time


def write_jars(jarline, log, jars, name, acknowledged, failures):
    for n in range(jars):
        done = subprocess.run([jarline, "record", log, "500ml", "72.5%", "24C", "--json",
                               "--note", f"{name} {n}, \"quoted\""], capture_output=True)
        if done.returncode != 0:
            failures.append(f"{name} {n}: {done.returncode} {done.stderr.decode()}")
            return
        acknowledged.append((int(json.loads(done.stdout)["jar"]), f"{name} {n}, \"quoted\""))


def read_until(jarline, log, stop, reads, failures):
    """Every total must be of whole jars, and never fewer than before."""
    before = 0
    while not stop.is_set():
        done = subprocess.run([jarline, "tally", log, "--totals", "--json"], capture_output=True)
        if done.returncode != 0 and b"none has been recorded yet" in done.stderr:
            continue  # the first jar is still to come
        if done.returncode != 0 or done.stderr:
            failures.append(f"reader: {done.returncode} {done.stderr.decode()}")
            return
        jars = json.loads(done.stdout)["total"]["jars_count"]
        if jars < before:
            failures.append(f"reader: {jars} jars after {before}")
        before = jars
        reads.append(jars)


def read_while_a_row_is_written(jarline, folder, failures):
    """A reader that comes while half a row is in the file waits for the other half."""
    log = os.path.join(folder, "HALF.csv")
    subprocess.run([jarline, "start", log, "--charge", "24L@8.6%"], check=True, capture_output=True)
    subprocess.run([jarline, "record", log, "500ml", "72.5%", "24C"], check=True,
                   capture_output=True)
    with open(log, "rb") as file:
        row = file.readlines()[-1]
    with open(log, "ab", buffering=0) as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        second = b"2" + row[1:]
        file.write(second[:7])
        reader = subprocess.Popen([jarline, "tally", log, "--totals", "--json"],
                                  stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        time.sleep(0.2)
        file.write(second[7:])
    out, err = reader.communicate()
    if err or json.loads(out)["total"]["jars_count"] != 2:
        failures.append(f"half a row was read: {err.decode()}")
    os.remove(log)


def main():
    jarline = os.path.realpath(sys.argv[1])
    jars = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    acknowledged, failures, reads, stop = [], [], [], threading.Event()
    with tempfile.TemporaryDirectory() as folder:
        read_while_a_row_is_written(jarline, folder, failures)
        log = os.path.join(folder, "RUN.csv")
        subprocess.run([jarline, "start", log, "--charge", "24L@8.6%"], check=True,
                       capture_output=True)
        reader = threading.Thread(target=read_until, args=(jarline, log, stop, reads, failures))
        writers = [threading.Thread(target=write_jars,
                                    args=(jarline, log, jars, name, acknowledged, failures))
                   for name in ("one", "two")]
        for thread in writers + [reader]:
            thread.start()
        for thread in writers:
            thread.join()
        stop.set()
        reader.join()
        with open(log, newline="", encoding="utf-8") as file:
            rows = [row for row in csv.reader(file) if not row[0].startswith("#")]
        left = sorted(os.listdir(folder))
    header, rows = rows[0], rows[1:]
    found = {(int(row[0]), row[header.index("note")]) for row in rows}
    if any(len(row) != len(header) for row in rows):
        failures.append("a torn row")
    if len(rows) != 2 * jars or len({number for number, _ in found}) != 2 * jars:
        failures.append(f"{len(rows)} jars, {len(found)} numbers; expected {2 * jars} of each")
    if found != set(acknowledged):
        failures.append("the log does not hold what was acknowledged")
    if left != ["RUN.csv"]:
        failures.append(f"left behind: {left}")
    for failure in failures:
        print(failure)
    print(f"2 writers, {len(acknowledged)} jars acknowledged, {len(rows)} in the log, read "
          f"{len(reads)} times meanwhile: {len(failures)} failures")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
