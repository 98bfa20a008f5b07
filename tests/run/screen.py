#!/usr/bin/env python3
"""The prompt on the screen of tmux, 80 by 24: what a person sees after each line.

SPDX-License-Identifier: GPL-3.0-or-later

screen.py JARLINE
"""
import os
import shutil
import subprocess
import sys
import tempfile
import time

SOCKET = f"jarline-{os.getpid()}"
FAILURES = []


def tmux(*words):
    return subprocess.run(["tmux", "-L", SOCKET, "-f", "/dev/null", *words], check=True,
                          capture_output=True, text=True).stdout


def screen():
    return tmux("capture-pane", "-p", "-t", "still").rstrip("\n")


def see(text, what, seconds=15):
    """Waits for a text on the last lines, where the eye is."""
    end = time.monotonic() + seconds
    while text not in "\n".join(screen().split("\n")[-6:]):
        if time.monotonic() > end:
            FAILURES.append(f"{what}: no {text!r} in\n{screen()}")
            return
        time.sleep(0.02)


def line(text, then):
    tmux("send-keys", "-t", "still", "-l", text)
    tmux("send-keys", "-t", "still", "Enter")
    see(then, repr(text))


def session(jarline, folder):
    log = os.path.join(folder, "run.csv")
    subprocess.run([jarline, "start", log, "--charge", "10L@27.3%", "--jar-size", "250ml"], check=True,
                   capture_output=True)
    tmux("new-session", "-d", "-s", "still", "-x", "80", "-y", "24", "-c", folder, jarline, "record",
         "run.csv")
    see("Jar 1, volume, mL", "the first question")
    for text, then in (("250", "reading, %:"), ("745", "Was 74.5 % meant?"), ("g", "temperature, °C:"),
                       ("75", "Was 75 °F meant?"), ("", "temperature, °C:"), ("24", "head, °C"),
                       ("185", "185 °F"), ("g", "boiler, °C"), ("0.4", "y: keep 0.4 °C"),
                       ("", "boiler, °C"), ("90.5 pear", "Jar 2")):
        line(text, then)
    tmux("resize-window", "-t", "still", "-x", "100", "-y", "40")
    line("250 74 24 85.5 90.7", "Jar 3")
    tmux("resize-window", "-t", "still", "-x", "80", "-y", "24")
    tmux("set-buffer", "250 73.5 24 85.8 90.9\n250 73 24 86 91.2\n250 72.5 24 86.3 91.4\n")
    tmux("paste-buffer", "-p", "-t", "still")
    see("Jar 6", "a paste of three jars")
    line("undo", "Jar 5")
    line("250", "reading, % (jar 4: 73)")
    tmux("send-keys", "-t", "still", "C-c")
    see("Jar 5", "Ctrl-C")
    line("table", "Pure alcohol")
    tmux("send-keys", "-t", "still", "-l", "quit")
    tmux("send-keys", "-t", "still", "Enter")
    with open(log, encoding="utf-8") as file:
        rows = [row.split(",")[2:7] for row in file.read().split("boiler_c,fraction,note\n")[1].split("\n")
                if row and not row.startswith("#")]
    want = [["250", "74.5", "24", "85", "90.5"], ["250", "74", "24", "85.5", "90.7"],
            ["250", "73.5", "24", "85.8", "90.9"], ["250", "73", "24", "86", "91.2"],
            ["250", "72.5", "24", "86.3", "91.4"]]  # the last one is taken back below it
    if rows != want:
        FAILURES.append(f"the log has {rows}")


def main():
    jarline = os.path.realpath(sys.argv[1])
    if shutil.which("tmux") is None:
        print("no tmux here")
        return 77
    os.environ.update(LC_ALL="C.UTF-8", TZ="UTC", INPUTRC="/dev/null")
    with tempfile.TemporaryDirectory() as folder:
        try:
            session(jarline, folder)
        finally:
            subprocess.run(["tmux", "-L", SOCKET, "kill-server"], check=False, capture_output=True)
    for failure in FAILURES:
        print(failure)
    print(f"the prompt on a screen of tmux: {len(FAILURES)} failures")
    return 1 if FAILURES else 0


if __name__ == "__main__":
    sys.exit(main())
