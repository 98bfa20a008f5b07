"""The commands that README and the manual pages show, and a folder in which they can be called.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import datetime
import glob
import os
import re
import shutil
import subprocess
import tempfile

# What the pages call the files of the example season.
NAMES = {"spirit-october.csv": ("october.csv", "autumn.csv", "run.csv"),
         "spirit-november.csv": ("november.csv",),
         "charge-october.csv": ("charge.csv", "wash.csv", "load.csv"),
         "book-autumn.csv": ("house.csv",)}


def of_readme(readme):
    """What stands behind "$ " in the blocks marked "console"."""
    inside = False
    for line in open(readme, encoding="utf-8"):
        if line.startswith("```"):
            inside = line.strip() == "```console"
        elif inside and line.startswith("$ jarline "):
            yield line[2:].strip()


def plain(roff):
    """The text of a manual page without what only sets its letters."""
    for sign, text in {"\\-": "-", "\\(dq": '"', "\\(de": "°", "\\(+-": "±", "\\&": "", "\\e": "\\",
                       "\\(lq": '"', "\\(rq": '"', "\\(~a": "ã"}.items():
        roff = roff.replace(sign, text)
    return re.sub(r"\\f[RBPI]", "", roff)


def of_manual(manual):
    """The commands under EXAMPLES in all pages."""
    for page in sorted(glob.glob(os.path.join(manual, "*.[15]"))):
        with open(page, encoding="utf-8") as file:
            examples = file.read().partition("\n.SH EXAMPLES\n")[2].partition("\n.SH ")[0]
        for line in re.findall(r"^\.TP\n\.B (jarline .*)$", examples, re.M):
            yield plain(line)


def season(folder, examples):
    """Fills a folder with the example season under all the names that the pages have for it."""
    os.symlink(examples, os.path.join(folder, "examples"))
    for path in glob.glob(os.path.join(examples, "*.csv")):
        name = os.path.basename(path)
        for new in (name,) + NAMES.get(name, ()):
            shutil.copy(path, os.path.join(folder, new))
    with open(os.path.join(folder, "pot.csv"), "w", encoding="utf-8") as file:
        file.write("stages,1\n")


def go_on(path):
    """Makes a log one of a run that goes on: five jars, the last full eight minutes ago."""
    with open(path, encoding="utf-8") as log:
        lines = [line for line in log if not re.match(r"([6-9]|1\d|2\d),|#left", line)]
    moment = r"\d{4}-\d\d-\d\dT[\d:]{8}[+-]\d\d:\d\d"
    last = [time for line in lines for time in re.findall(moment, line)][-1]
    ago = datetime.datetime.now(datetime.timezone.utc) - datetime.timedelta(minutes=8)
    later = ago - datetime.datetime.fromisoformat(last)

    def shifted(time):
        return (datetime.datetime.fromisoformat(time.group()) + later).isoformat(timespec="seconds")

    with open(path, "w", encoding="utf-8") as log:
        log.writelines(re.sub(moment, shifted, line) for line in lines)


def make_room(folder, command):
    """Sets the folder up: a file that is begun or written is not there, a log that is recorded into
    goes on."""
    begun = set()
    for words in (part.split() for part in command.split("; ")):
        new = words[words.index("-o") + 1:words.index("-o") + 2] if "-o" in words else []
        new += words[2:3] if words[1] == "start" else []
        for path in (os.path.join(folder, name) for name in new):
            begun.add(path)
            if os.path.exists(path):
                os.remove(path)
        path = os.path.join(folder, words[2]) if words[1] == "record" else ""
        if path not in begun and os.path.exists(path) and "8a" not in words:
            go_on(path)


def answer_of(command, settings):
    """Standard output of a command line in a folder of its own; its exit status is not looked at."""
    with tempfile.TemporaryDirectory() as folder:
        season(folder, settings["EXAMPLES"])
        make_room(folder, command)
        done = subprocess.run(["sh", "-c", command], cwd=folder, env=settings, stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=120, check=False)
    return done.stdout.decode("utf-8")


def settings_for(program, examples):
    """The surroundings in which a command says the same everywhere."""
    leaks = os.path.join(os.path.dirname(os.path.abspath(__file__)), "leaks.supp")
    return {"PATH": os.path.dirname(os.path.abspath(program)) + ":" + os.environ["PATH"],
            "LSAN_OPTIONS": f"suppressions={leaks}:print_suppressions=0",
            "LC_ALL": "C.UTF-8", "TZ": "UTC", "EXAMPLES": os.path.abspath(examples)}
