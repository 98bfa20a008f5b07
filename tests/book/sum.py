#!/usr/bin/env python3
"""Another program sums the columns of drawn books: at every entry, for ethanol and for water, what came in
is what is held and what went out, each as the library has it.

SPDX-License-Identifier: GPL-3.0-or-later

sum.py BOOKS JARLINE [COUNT]
"""
import csv
import json
import os
import subprocess
import sys
import tempfile

FLOWS = ("opening", "received", "collected", "water", "gained", "charged", "removed", "lost")
# Each entry waits for its disk: one that is memory waits less.
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
# At 20 °C, by the formula of OIML R 22 (1975).
ETHANOL_KG_L = 0.78923912329997688


def add(to, more, sign=1):
    return tuple(a + sign * b for a, b in zip(to, more))


class Book:
    """What stands where and what has flowed, from the rows alone."""

    def __init__(self):
        self.held, self.flows, self.did = {}, {f: (0.0, 0.0) for f in FLOWS}, {}

    def steps(self, row):
        """What a row pours where, and which sums it adds to."""
        what, into, source = row["what"], row["into"], row["from"]
        amount = float(row["ethanol_kg"]), float(row["water_kg"])
        if what == "vessel":
            return [], []
        if what == "cancelled":
            pours, sums = self.did[source]
            return ([(place, add((0, 0), a, -1)) for place, a in pours],
                    [(flow, add((0, 0), a, -1)) for flow, a in sums])
        if what == "gauged":
            found = add(amount, self.held.get(source, (0, 0)), -1)
            return [(source, found)], self.found(found)
        if what == "collected" and row["logged_ethanol_kg"]:
            logged = float(row["logged_ethanol_kg"]), float(row["logged_water_kg"])
            return [(into, amount)], [(what, logged)] + self.found(add(amount, logged, -1))
        if what in ("opening", "received", "collected", "water"):
            return [(into, amount)], [(what, amount)]
        out = [(source, add((0, 0), amount, -1))]
        if what == "moved":
            return out + [(into, amount)], []
        if what == "bottled":
            return out + [("lot:" + row["lot"], amount)], []
        return out, [(what, amount)]

    @staticmethod
    def found(by):
        return [("gained", tuple(max(x, 0) for x in by)), ("lost", tuple(max(-x, 0) for x in by))]

    def take(self, row):
        self.did[row["entry"]] = pours, sums = self.steps(row)
        for place, amount in pours:
            self.held[place] = add(self.held.get(place, (0, 0)), amount)
        for flow, amount in sums:
            self.flows[flow] = add(self.flows[flow], amount)

    def sums(self):
        held = (0, 0)
        for amount in self.held.values():
            held = add(held, amount)
        return [held] + [self.flows[f] for f in FLOWS]


def largest(sums):
    return max(1e-3, max(abs(x) for amount in sums for x in amount))


def apart(sums, theirs):
    """How far they are apart, and how far ours are from closing, of the largest term."""
    flat = [x for amount in sums for x in amount]
    held, *flows = sums
    gap = held
    for flow, amount in zip(FLOWS, flows):
        gap = add(gap, amount, 1 if flow in ("charged", "removed", "lost") else -1)
    return max(max(abs(a - b) for a, b in zip(flat, theirs)), *map(abs, gap)) / largest(sums)


def check_stock(jarline, path, book):
    done = subprocess.run([jarline, "stock", path, "--json"], capture_output=True, check=True)
    stock = json.loads(done.stdout)
    theirs = {v["vessel"]: v["pure_alcohol_l"] for v in stock["stock"]}
    theirs |= {"lot:" + lot["lot"]: lot["pure_alcohol_l"] for lot in stock["lots"]}
    return max(abs(kg / ETHANOL_KG_L - theirs.get(place, 0)) for place, (kg, _) in book.held.items())


def main():
    books, jarline, count = sys.argv[1], sys.argv[2], sys.argv[3] if len(sys.argv) > 3 else "12"
    worst = stock = entries = 0
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        listed = subprocess.run([books, folder, count], capture_output=True, text=True, check=True)
        paths = [p for p in listed.stdout.split("\n") if p.startswith(folder)]
        states = {p: {} for p in paths}
        for line in listed.stdout.splitlines():
            if line.startswith(folder):
                path = line
            else:
                number, *figures = line.split()
                states[path][number] = [float(f) for f in figures]
        for path in paths:
            book = Book()
            with open(path, encoding="utf-8") as file:
                for row in csv.DictReader(r for r in file if not r.startswith("#")):
                    book.take(row)
                    entries += 1
                    if row["entry"] in states[path]:
                        worst = max(worst, apart(book.sums(), states[path][row["entry"]]))
            stock = max(stock, check_stock(jarline, path, book))
    print(f"{len(paths)} books, {entries} entries: {worst:.1e} apart at the most, stock {stock:.1e} L")
    return 0 if worst < 1e-12 and stock < 1e-9 and entries > 50 * len(paths) > 0 else 1


if __name__ == "__main__":
    sys.exit(main())
