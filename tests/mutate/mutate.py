"""Small faults in lib/, one at a time, and whether the quick tests notice.

SPDX-License-Identifier: GPL-3.0-or-later

A mutant is one change of one token or line: a constant, a comparison, a sign, a logical operator, a
call or an error check left out, an fsync left out. Mutants are drawn by a seed, as many from a file as
it has of all places. Each is built in a copy of the tree and run against the unit tests, then the
cases, then the pictures; the first that fails has noticed it. What does not compile does not count.
Results stand in FOLDER/results.tsv: the same call goes on where it was ended. A survivor that cannot
be noticed, since it changes nothing that anyone could see, stands in equivalent.tsv with its reason.
"""
import argparse
import concurrent.futures
import hashlib
import os
import random
import re
import shutil
import subprocess
import sys

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


class Worker:
    """A copy of the tree with a build of its own."""

    def __init__(self, folder, number):
        self.tree = os.path.join(folder, f"tree-{number}")
        self.build = os.path.join(folder, f"build-{number}")
        if not os.path.isdir(self.tree):
            os.makedirs(self.tree)
        listing = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=True)
        for name in listing.stdout.split("\n"):
            target = os.path.join(self.tree, name)
            if name and os.path.exists(name) and not (
                    os.path.exists(target) and open(target, "rb").read() == open(name, "rb").read()):
                os.makedirs(os.path.dirname(target) or ".", exist_ok=True)
                shutil.copy2(name, target)
                os.utime(target)
        if not os.path.exists(os.path.join(self.build, "build.ninja")):
            subprocess.run(["meson", "setup", self.build, self.tree], check=True,
                           stdout=subprocess.DEVNULL)
        if not self.make():
            sys.exit("the tree without a fault does not build")

    def make(self):
        done = subprocess.run(["ninja", "-C", self.build, "tests/units", "tests/cases/cases",
                               "tests/picture/pictures", "cli/jarline", "cli/jarline-drawing.so",
                               "cli/jarline-prompt.so"],
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        return done.returncode == 0

    def suites(self):
        yield "units", [f"{self.build}/tests/units"]
        yield "cases", [f"{self.build}/tests/cases/cases", f"{self.build}/cli/jarline",
                        f"{self.tree}/examples", f"{self.tree}/tests/cases"]
        yield "pictures", [f"{self.build}/tests/picture/pictures"]

    def judge(self, mutant, text):
        """The suite that noticed, "" for a survivor, None for what does not compile."""
        path, begin, end, new, _ = mutant
        target = os.path.join(self.tree, path)
        try:
            with open(target, "w") as f:
                f.write(text[:begin] + new + text[end:])
            if not self.make():
                return None
            for name, command in self.suites():
                try:
                    done = subprocess.run(command, cwd=self.build, stdin=subprocess.DEVNULL,
                                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                                          timeout=180)
                    if done.returncode != 0 or b" failures:" in done.stdout:
                        return name
                except subprocess.TimeoutExpired:
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
    return drawn


def load(path):
    known = {}
    if os.path.exists(path):
        for line in open(path):
            cells = line.rstrip("\n").split("\t")
            if len(cells) > 1 and not line.startswith("#"):
                known[cells[0]] = cells[1:]
    return known


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
    print(f"mutation: {noticed} of {total} small faults noticed, {100 * noticed / max(total, 1):.1f} %")
    return total == 0 or noticed / total >= 0.92


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=os.cpu_count())
    parser.add_argument("--only", default="", help="files whose path holds this text")
    options = parser.parse_args()
    listing = subprocess.run(["git", "ls-files", "lib/*.c"], capture_output=True, text=True, check=True)
    files = {p: open(p).read() for p in listing.stdout.split() if options.only in p}
    drawn = draw(files, options.count, options.seed)
    options.folder = os.path.abspath(options.folder)
    os.makedirs(options.folder, exist_ok=True)
    log = os.path.join(options.folder, "results.tsv")
    results = load(log)
    equivalent = load(os.path.join(os.path.dirname(__file__), "equivalent.tsv"))
    todo = [m for m in drawn if identity(m, files[m[0]])[0] not in results]
    workers = [Worker(options.folder, n) for n in range(options.workers if todo else 0)]

    def work(n):
        for mutant in todo[n::len(workers)]:
            key, line, text = identity(mutant, files[mutant[0]])
            noticed = workers[n].judge(mutant, files[mutant[0]])
            word = "does not compile" if noticed is None else noticed or "survived"
            with open(log, "a") as f:
                f.write(f"{key}\t{word}\t{mutant[0]}:{line}\t{mutant[4]}\t{text}\n")

    with concurrent.futures.ThreadPoolExecutor(max(1, len(workers))) as pool:
        list(pool.map(work, range(len(workers))))
    return 0 if report(drawn, files, load(log), equivalent) else 1


if __name__ == "__main__":
    sys.exit(main())
