"""Small faults in lib/, one at a time, and whether the quick tests notice.

SPDX-License-Identifier: GPL-3.0-or-later

A mutant is one change of one token or line: a constant, a comparison, a sign, a logical operator, a
call or an error check left out, an fsync left out. Mutants are drawn by a seed, as many from a file
as it has of all places. Each is built in a copy of the tree: one file compiled without much
optimization, one program linked. The unit tests of the touched folder come first, then all units,
the guard of figures, the cases, those of the folder first, then the pictures and allocations that
fail; the first failure ends it. What does not compile does not count. A test that takes more than
three times as long as it does without the fault has noticed it.

Results stand in FOLDER/results.tsv: the same call goes on where it was ended, --again judges the
survivors anew. A survivor that cannot be noticed, since it changes nothing that anyone could see,
stands in equivalent.tsv with its reason. known.tsv holds faults made by hand which once no test
noticed: --known makes each of them, and each must be noticed.
"""
import argparse
import concurrent.futures
import hashlib
import math
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import threading

TOKEN = re.compile(
    r'(?P<skip>/\*.*?\*/|//[^\n]*|^[ \t]*#(?:[^\n]*\\\n)*[^\n]*|"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])*\')'
    r'|(?P<word>[A-Za-z_][A-Za-z0-9_]*)'
    r'|(?P<number>(?:\d+\.\d*|\.\d+|\d+)(?:[eE][+-]?\d+)?)(?![A-Za-z0-9_.])'
    r'|(?P<op><=|>=|==|!=|&&|\|\||\+\+|--|->|\+=|-=|<<|>>|[-+*/<>!])', re.S | re.M)
SWAP = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "==", "&&": "||", "||": "&&",
        "+": "-", "-": "+", "*": "/", "/": "*", "+=": "-=", "-=": "+="}
CALL = re.compile(r'^[ \t]+(?:\(void\) ?)?[a-z_][a-z0-9_]*\([^;{}]*\);$', re.M)
CHECK = re.compile(r'^[ \t]+if \((?:status|bad)[^;{}\n]*\) return [^;]*;$', re.M)
SYNC = re.compile(r'\bf(?:data)?sync\(([^()]*)\)')


def swaps(text):
    """Places of operators and constants: begin, end, replacement, name. Pointers and prefixes, which
    look like operators and are none, mostly do not compile and do not count then."""
    for m in TOKEN.finditer(text):
        begin, end = m.span()
        if m.group("op"):
            op, before = m.group("op"), text[:begin].rstrip()[-1:]
            if op == "!":
                yield begin, end, "", "not"
            elif op in SWAP and text[begin - 1:begin] == " " and text[end:end + 1] == " ":
                yield begin, end, SWAP[op], f"{op} for {SWAP[op]}"
            elif op == "-" and before in "(,=?:" and text[end:end + 1].isalnum():
                yield begin, end, "", "sign"
        elif m.group("number"):
            number = m.group("number")
            if re.fullmatch(r"\d+", number):
                yield begin, end, str(int(number) + 1), f"{number} + 1"
            else:
                yield begin, end, repr(float(number) * 1.01 + (float(number) == 0)), f"{number} x 1.01"


def places(path, text):
    found = [(b, e, new, what) for b, e, new, what in swaps(text)]
    body = text.find("\n}")
    for pattern, what in ((CALL, "call left out"), (CHECK, "check left out")):
        for m in pattern.finditer(text):
            if m.start() > 0 and body >= 0:
                found.append((m.start(), m.end(), "    ;", what))
    for m in SYNC.finditer(text):
        found.append((m.start(), m.end(), "0", "sync left out"))
    return [(path,) + f for f in found]


def identity(mutant, text):
    path, begin, end, new, what = mutant
    line_begin = text.rfind("\n", 0, begin) + 1
    line_end = text.find("\n", end)
    line = text[line_begin:line_end].strip()
    nth = text[:line_begin].count("\n" + text[line_begin:line_end])
    key = f"{path}\t{what}\t{line}\t{begin - line_begin}\t{nth}"
    return hashlib.sha256(key.encode()).hexdigest()[:12], text[:begin].count("\n") + 1, line


# The cases that say most of a folder, before all others.
CASES = {"text": "correct times blend", "spirit": "spirit correct dilute", "keys": "keys bench",
         "uncertainty": "uncertainty forecast", "still": "boil forecast charge", "log": "trust record",
         "run": "tally record cut", "wash": "wash charge", "learn": "rest forecast calibrate",
         "book": "book"}
SLOWEST = ("calibrate", "book", "uncertainty")


class Worker:
    """A copy of the tree with a build of its own."""

    seconds = {}  # CPU of a suite without a fault
    measuring = threading.Lock()

    def __init__(self, folder, number):
        self.tree = os.path.join(folder, f"tree-{number}")
        self.build = os.path.join(folder, f"build-{number}")
        self.cpu_s = 0
        os.makedirs(self.tree, exist_ok=True)
        listing = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=True)
        for name in listing.stdout.split("\n"):
            target = os.path.join(self.tree, name)
            if name and os.path.exists(name) and not (
                    os.path.exists(target) and open(target, "rb").read() == open(name, "rb").read()):
                os.makedirs(os.path.dirname(target) or ".", exist_ok=True)
                shutil.copy2(name, target)
                os.utime(target)
        if not os.path.exists(os.path.join(self.build, "build.ninja")):
            subprocess.run(["meson", "setup", self.build, self.tree, "-Doptimization=1", "-Ddebug=false"],
                           check=True, stdout=subprocess.DEVNULL)
        if not self.make(self.UNITS) or not self.make(self.COMMAND):
            sys.exit("the tree without a fault does not build")

    UNITS = ["tests/units"]
    MEMORY = ["tests/memory"]
    COMMAND = ["tests/cases/cases", "tests/picture/pictures", "cli/jarline", "cli/jarline-drawing.so",
               "cli/jarline-prompt.so", "tests/crash/crash-shim.so"]

    def make(self, targets):
        running = subprocess.Popen(["ninja", "-C", self.build] + targets, stdout=subprocess.DEVNULL,
                                   stderr=subprocess.STDOUT)
        return self.ended(running) == 0

    def ended(self, running):
        """The status of a program that ends; what it took of a processor is added up."""
        _, running.returncode, used = os.wait4(running.pid, 0)
        self.used_s = used.ru_utime + used.ru_stime
        self.cpu_s += self.used_s
        return running.returncode

    def suites(self, path, slow):
        """Name, program, what it is built from: the likeliest to notice and the cheapest first."""
        if slow:
            script, *names = slow.split()
            folder = "crash" if script == "crash" else "run"
            shim = [f"{self.build}/tests/crash/crash-shim.so"] if script == "crash" else []
            yield slow, ["/usr/bin/python3", f"{self.tree}/tests/{folder}/{script}.py",
                         f"{self.build}/cli/jarline"] + shim + names, self.COMMAND
            return
        side, folder = path.split("/")[:2]
        every = re.findall(r"SUITE\((\w+)\) \\", open(f"{self.tree}/tests/suites.h").read())
        own = [name for name in every if os.path.exists(f"{self.tree}/tests/{folder}/test_{name}.c")]
        rest = [name for name in every if name not in own]
        for name, part in ((f"units of {folder}", own), ("units", rest)):
            if side == "lib" and part:
                yield name, [f"{self.build}/tests/units"] + part, self.UNITS
        yield "guard", ["/usr/bin/python3", f"{self.tree}/tests/guard/guard.py",
                        f"{self.build}/cli/jarline", f"{self.tree}/examples"], self.COMMAND
        cases = [f"{self.build}/tests/cases/cases", f"{self.build}/cli/jarline",
                 f"{self.tree}/examples", f"{self.tree}/tests/cases"]
        every = [n[:-5] for n in os.listdir(f"{self.tree}/tests/cases") if n.endswith(".case")] + ["README"]
        first = [n for n in CASES.get(folder, "").split() if n in every]
        later = sorted((n for n in every if n not in first), key=lambda n: (n in SLOWEST, n))
        for part in filter(None, (first, later)):
            yield f"cases {part[0]}...", cases + [n + "." for n in part], self.COMMAND
        yield "pictures", [f"{self.build}/tests/picture/pictures"], self.COMMAND
        if side == "lib":
            yield "memory", [f"{self.build}/tests/memory"], self.MEMORY

    def passes(self, command, limit_s):
        """Whether a suite passes; ended at its first failure, or when its time is over."""
        def limits():
            os.setsid()
            cpu = int(limit_s) + 1
            resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu))
            resource.setrlimit(resource.RLIMIT_AS, (1 << 32, 1 << 32))

        running = subprocess.Popen(command, cwd=self.build, stdin=subprocess.DEVNULL,
                                   stdout=subprocess.PIPE, stderr=subprocess.STDOUT, preexec_fn=limits)
        end = threading.Timer(8 * limit_s + 30, os.killpg, (running.pid, signal.SIGKILL))
        end.start()
        good = all(b" failures:" not in line for line in running.stdout)
        if not good:
            os.killpg(running.pid, signal.SIGKILL)
        status = self.ended(running)
        end.cancel()
        running.stdout.close()
        return good and status == 0

    def limit(self, command, needed):
        """Three times what all of a program's suites take without a fault, which is looked at once; a
        command that a case runs ends in a moment."""
        case = command[0].endswith("/cases")
        whole = command if "python" in command[0] else command[:4 if case else 1]
        key = " ".join(os.path.basename(word) for word in whole)
        with Worker.measuring:
            if key not in Worker.seconds:
                if not self.make(needed) or not self.passes(whole, 1000):
                    sys.exit(f"fails without a fault: {' '.join(whole)}")
                Worker.seconds[key] = self.used_s
            return 20 if case else 3 * Worker.seconds[key] + 2

    def judge(self, path, text, changed, slow=""):
        """The suite that noticed, "" for a survivor, None for what does not compile."""
        target = os.path.join(self.tree, path)
        suites = [(*suite, self.limit(*suite[1:])) for suite in self.suites(path, slow)]
        try:
            with open(target, "w") as f:
                f.write(changed)
            built = None
            for name, command, needed, limit_s in suites:
                if built is not needed and not self.make(needed):
                    return None
                built = needed
                if not self.passes(command, limit_s):
                    return name
            return ""
        finally:
            with open(target, "w") as f:
                f.write(text)


def draw(files, wanted, seed):
    """As many of each file as it has of all places, at least one."""
    everything = {path: places(path, text) for path, text in files.items()}
    total = sum(len(found) for found in everything.values())
    chooser = random.Random(seed)
    drawn = []
    for path in sorted(everything):
        share = max(1, round(wanted * len(everything[path]) / total)) if everything[path] else 0
        drawn += chooser.sample(everything[path], min(2 * share, len(everything[path])))[:share]
    chooser.shuffle(drawn)
    return drawn[:wanted]


def load(path):
    known = {}
    if os.path.exists(path):
        for line in open(path):
            cells = line.rstrip("\n").split("\t")
            if len(cells) > 1 and not line.startswith("#"):
                known[cells[0]] = cells[1:]
    return known


def is_enough(noticed, total):
    """92 %; of a small draw, what that would give in more than one of forty draws."""
    if total >= 250:
        return noticed / total >= 0.92
    chance = sum(math.comb(total, k) * 0.92**k * 0.08 ** (total - k) for k in range(noticed + 1))
    return chance > 1 / 40


def report(drawn, files, results, equivalent):
    by_file, survivors = {}, []
    for mutant in drawn:
        key, line, text = identity(mutant, files[mutant[0]])
        if key not in results or results[key][0] == "does not compile":
            continue
        noticed = results[key][0] not in ("", "survived")
        if not noticed and key in equivalent:
            continue
        counts = by_file.setdefault(mutant[0], [0, 0])
        counts[0] += noticed
        counts[1] += 1
        if not noticed:
            survivors.append(f"{key} {mutant[0]}:{line}: {mutant[4]}: {text}")
    for path in sorted(by_file):
        print(f"{path:40} {by_file[path][0]:4} of {by_file[path][1]:4} noticed")
    for line in survivors:
        print("survived", line)
    noticed = sum(c[0] for c in by_file.values())
    total = sum(c[1] for c in by_file.values())
    seconds = [float(row[-1].split()[0]) for row in results.values() if row[-1].endswith(" s")]
    if seconds:
        print(f"{sum(seconds) / len(seconds):.1f} s of a processor for each of {len(seconds)}")
    print(f"mutation: {noticed} of {total} small faults noticed, {100 * noticed / max(total, 1):.1f} %")
    return is_enough(noticed, total)


def in_parallel(workers, todo, one):
    def work(n):
        for thing in todo[n::len(workers)]:
            one(workers[n], thing)

    with concurrent.futures.ThreadPoolExecutor(max(1, len(workers))) as pool:
        list(pool.map(work, range(len(workers))))


def known_rows(only):
    """The faults of known.tsv that hold a text: file, in the source, fault, slow suite."""
    path = os.path.join(os.path.dirname(__file__), "known.tsv")
    rows = [line.rstrip("\n").split("\t") for line in open(path) if not line.startswith("#")]
    return [(row[0], *(words.replace("\\n", "\n") for words in row[1:3]), row[3] if len(row) > 3 else "")
            for row in rows if only in "\t".join(row)]


def known_stand(tree):
    """Whether each fault can be made: its line stands in the source, once."""
    lost = [f"{path}: {old}" for path, old, _, _ in known_rows("")
            if open(os.path.join(tree, path)).read().count(old) != 1]
    for line in lost:
        print("known.tsv: not once in the source:", line)
    return not lost


def known_faults(options):
    """Every fault of known.tsv that holds TEXT; whether all are noticed."""
    todo = known_rows(options.only)
    wrong = []

    def one(worker, row):
        path, old, new, slow = row
        text = open(os.path.join(worker.tree, path)).read()
        if text.count(old) != 1:
            noticed = f"stands {text.count(old)} times in the file"
        else:
            noticed = worker.judge(path, text, text.replace(old, new), slow)
            noticed = "does not compile" if noticed is None else noticed
        good = noticed != "" and not noticed.startswith(("does", "stands"))
        print(f"{'noticed by ' + noticed if good else 'NOT NOTICED ' + noticed}: {path}: {old} -> {new}",
              flush=True)
        if not good:
            wrong.append(row)

    in_parallel([Worker(options.folder, n) for n in range(options.workers)], todo, one)
    print(f"known faults: {len(todo) - len(wrong)} of {len(todo)} noticed")
    return not wrong


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--only", default="", help="files whose path holds this text")
    parser.add_argument("--again", action="store_true", help="judge survivors of earlier calls anew")
    parser.add_argument("--known", action="store_true", help="the faults of known.tsv in their place")
    parser.add_argument("--stand", metavar="TREE", help="whether those faults can still be made in a tree")
    options = parser.parse_args()
    if options.stand:
        return 0 if known_stand(options.stand) else 1
    options.folder = os.path.abspath(options.folder)
    os.makedirs(options.folder, exist_ok=True)
    if options.known:
        return 0 if known_faults(options) else 1
    listing = subprocess.run(["git", "ls-files", "lib/*.c"], capture_output=True, text=True, check=True)
    files = {p: open(p).read() for p in listing.stdout.split() if options.only in p}
    drawn = draw(files, options.count, options.seed)
    log = os.path.join(options.folder, "results.tsv")
    results = {key: row for key, row in load(log).items() if not (options.again and row[0] == "survived")}
    equivalent = load(os.path.join(os.path.dirname(__file__), "equivalent.tsv"))
    todo = [m for m in drawn if identity(m, files[m[0]])[0] not in results]

    def one(worker, mutant):
        path, begin, end, new, what = mutant
        text = files[path]
        key, line, words = identity(mutant, text)
        began_s = worker.cpu_s
        noticed = worker.judge(path, text, text[:begin] + new + text[end:])
        word = "does not compile" if noticed is None else noticed or "survived"
        words = " ".join(words.split())
        with open(log, "a") as f:
            f.write(f"{key}\t{word}\t{path}:{line}\t{what}\t{words}\t{worker.cpu_s - began_s:.1f} s\n")

    in_parallel([Worker(options.folder, n) for n in range(options.workers if todo else 0)], todo, one)
    return 0 if report(drawn, files, load(log), equivalent) else 1


if __name__ == "__main__":
    sys.exit(main())
