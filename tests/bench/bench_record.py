#!/usr/bin/env python3
"""One jar recorded, as a whole process: on a memory disk and on a real one, in short and long logs.

SPDX-License-Identifier: GPL-3.0-or-later

bench_record.py BENCH_PROCESS JARLINE FOLDER

Why the bars are where they are (common practice, no source, where none is named):
- 32 MiB: fifty times the log of 10,000 jars (0.6 MB).
- 6 times a tally of the same log: each of its deeds (the log read; made again; read as it will be;
  written; what is wrong looked for; the rest of the run learnt) may take as long as one tally. 10 times
  where the still is unknown, since the last two then try every kind of still.
- 5 times as long for 4 times the jars: what grows linearly, and a quarter for chance; what grows with the
  square takes 16 times as long.
"""
import datetime
import json
import os
import random
import subprocess
import sys
import tempfile
import time

HEAD = "#jarline,1\n#charge_l,24\n#charge_strength_pct,8.6\n" \
       "jar,time,volume_ml,reading_pct,temp_c,head_c,fraction,note\n"


def write_log(path, jars):
    with open(path, "w") as log:
        log.write(HEAD)
        for n in range(1, jars + 1):
            log.write(f"{n},2026-11-21T10:{n // 60 % 60:02}:{n % 60:02}+01:00,500,"
                      f"{70 - n % 400 / 10:.1f},{20 + n % 50 / 10:.1f},79.2,,\"clean, round\"\n")


def rows_of_a_run(jarline, reflux, size_ml):
    """The jars of a run as it is forecast, read by a hand and instruments as they are."""
    forecast = json.loads(subprocess.run(
        [jarline, "forecast", "24L@30%", "--stages", "2", "--reflux", reflux, "--power", "2kW",
         "--jar-size", f"{size_ml}mL", "--json"], check=True, capture_output=True).stdout)
    hand = random.Random(20261121)
    start = datetime.datetime.fromisoformat("2026-11-21T09:30:00+01:00")
    rows = []
    for n, jar in enumerate(forecast["jars"], 1):
        full = start + datetime.timedelta(seconds=jar["elapsed_s"] + hand.uniform(-10, 10))
        rows.append(f"{n},{full.isoformat(timespec='seconds')},"
                    f"{1000 * jar['volume_l'] + hand.gauss(0, 1):.0f},"
                    f"{2 * (jar['strength_pct'] + hand.gauss(0, 0.25)) // 1 / 2:.1f},20,"
                    f"{jar['head_c'] + hand.uniform(-0.25, 0.25):.1f},,\n")
    return rows


def write_run(path, facts, rows):
    with open(path, "w") as log:
        log.write("#jarline,1\n#charge_l,24\n#charge_strength_pct,30\n#power_w,2000\n" + facts)
        log.write("jar,time,volume_ml,reading_pct,temp_c,head_c,fraction,note\n" + "".join(rows))


def facts_learnt(jarline, folder, log):
    """What calibrate learns of the run's own still."""
    still = os.path.join(folder, "still.csv")
    subprocess.run([jarline, "calibrate", "-f", "-o", still, log], check=True,
                   stdout=subprocess.DEVNULL)
    with open(still) as settings:
        return "".join("#" + line for line in settings if line.startswith(("learnt", "stages", "reflux")))


def least_s(command, rounds):
    best = float("inf")
    for _ in range(rounds):
        begin = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        best = min(best, time.perf_counter() - begin)
    return best


def busy_s(command):
    """What a process takes of the processor: beside others its time on the clock says little."""
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise RuntimeError(command)
    return used.ru_utime + used.ru_stime


def against_tally(jarline, record, log, write, what, bar):
    totals = seconds = float("inf")
    for _ in range(21):
        write()
        totals = min(totals, busy_s([jarline, "tally", log, "--totals"]))
        seconds = min(seconds, busy_s(record))
    print(f"record against tally --totals, {what}: {seconds / totals:.2f} times as long (bar <= {bar})")
    return seconds / totals > bar


def rest_figures(jarline, folder, jars, size_ml):
    log = os.path.join(folder, "RUN.csv")
    much, little = (rows_of_a_run(jarline, reflux, size_ml) for reflux in ("1", "0.15"))
    facts = []
    for rows in much, little:
        write_run(log, "", rows[:60])
        facts.append(facts_learnt(jarline, folder, log))
    learnt, ambiguous = facts
    worst = False
    for still, facts, rows, bar in (
            ("learnt", learnt, much, 6), ("said", "#stages,2\n#reflux,1\n", much, 6),
            ("learnt, its stages ambiguous", ambiguous, little, 6),
            ("learnt, and another's jars", learnt, little, 6),
            ("ambiguous, and another's jars", ambiguous, much, 6),
            ("unknown", "", much, 10), ("unknown, with little reflux", "", little, 10)):
        _, moment, volume, reading, temp = rows[jars].split(",")[:5]
        jar = [jarline, "record", log, volume + "ml", reading + "%", temp + "C", "--time", moment]
        worst |= against_tally(jarline, jar, log, lambda: write_run(log, facts, rows[:jars]),
                               f"{jars} jars, a still that is {still}", bar)
    return worst


def main():
    bench, jarline, real = (os.path.realpath(path) for path in sys.argv[1:4])
    worst = 0
    for place, disk in (("/dev/shm", "memory disk"), (real, "disk")):
        if not os.path.isdir(place):
            continue
        with tempfile.TemporaryDirectory(dir=place) as folder:
            log = os.path.join(folder, "RUN.csv")
            record = [jarline, "record", log, "500ml", "72.5%", "24C"]
            for jars in (60, 10000):
                worst |= against_tally(jarline, record, log, lambda: write_log(log, jars),
                                       f"{jars} jars, {disk}", 6)
                if place == real:  # memory is the same on both
                    worst |= subprocess.run([bench, f"peak memory of record, {jars} jars", "0", "32"]
                                            + record).returncode
    # The rest of a still whose stages many weights share, and of one that the jars contradict, is learnt
    # from many points.
    with tempfile.TemporaryDirectory(dir="/dev/shm" if os.path.isdir("/dev/shm") else None) as folder:
        for jars, size_ml in ((60, 100), (8, 300)):
            worst |= rest_figures(jarline, folder, jars, size_ml)
    # What a process costs left out.
    with tempfile.TemporaryDirectory() as folder:
        log = os.path.join(folder, "RUN.csv")
        record = [jarline, "record", log, "500ml", "72.5%", "24C"]
        floor = least_s(["/bin/true"], 21)
        seconds = []
        for jars in (50000, 200000):
            write_log(log, jars)
            seconds.append(least_s(record, 7) - floor)
    ratio = seconds[1] / seconds[0]
    print(f"record, 200,000 jars against 50,000: {ratio:.2f} times as long (bar <= 5)")
    return worst | (ratio > 5)


if __name__ == "__main__":
    sys.exit(main())
