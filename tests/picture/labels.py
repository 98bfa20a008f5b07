#!/usr/bin/env python3
"""Reads a sheet of labels back: where its boxes lie, and that each word stands in one.

SPDX-License-Identifier: GPL-3.0-or-later

labels.py SHEET.pdf ROWS COLUMNS TOP SIDE GAP_ROWS GAP_COLUMNS (mm)

The first page's boxes are what the PDF draws as rectangles; they are held to the margins, to the gaps and to
one another, and not to a sum of ours."""
import re
import subprocess
import sys
import zlib

POINTS_PER_MM = 72 / 25.4
NEAR_MM = 0.2


def boxes_of(path):
    """(left, top, right, bottom) in mm, of the frames that are drawn."""
    page = open(path, "rb").read()
    found, height = set(), float(re.search(rb"/MediaBox \[ ?0 0 [\d.]+ ([\d.]+)", page)[1])
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", page, re.S):
        try:
            text = zlib.decompressobj().decompress(stream)
        except zlib.error:
            continue
        flipped = re.search(rb"1 0 0 -1 0 ([\d.]+) cm", text)
        for x, y, w, h in re.findall(rb"([-\d.]+) ([-\d.]+) ([-\d.]+) ([-\d.]+) re S", text):
            x, y, w, h = float(x), float(y), float(w), float(h)
            top, bottom = min(y, y + h), max(y, y + h)
            if not flipped:
                top, bottom = height - bottom, height - top
            found.add(tuple(v / POINTS_PER_MM for v in (x, top, x + w, bottom)))
    return sorted(found, key=lambda b: (round(b[1]), b[0]))


def words_of(path):
    said = subprocess.run(["pdftotext", "-l", "1", "-bbox", path, "-"], check=True, capture_output=True, text=True)
    size = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', said.stdout)
    words = re.findall(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)</word>', said.stdout)
    return ([float(v) / POINTS_PER_MM for v in size.groups()],
            [([float(v) / POINTS_PER_MM for v in w[:4]], w[4]) for w in words])


def faults(path, rows, columns, top, side, gap_rows, gap_columns):
    boxes = boxes_of(path)
    (width, height), words = words_of(path)
    if len(boxes) != rows * columns:
        yield f"{len(boxes)} boxes"
        return
    grid = [boxes[i * columns:(i + 1) * columns] for i in range(rows)]
    for row in grid:
        yield from apart("left margin", row[0][0], side)
        yield from apart("right margin", width - row[-1][2], side)
        for a, b in zip(row, row[1:]):
            yield from apart("between columns", b[0] - a[2], gap_columns)
            yield from apart("widths", b[2] - b[0], a[2] - a[0])
    for column in zip(*grid):
        yield from apart("upper margin", column[0][1], top)
        yield from apart("lower margin", height - column[-1][3], top)
        for a, b in zip(column, column[1:]):
            yield from apart("between rows", b[1] - a[3], gap_rows)
            yield from apart("heights", b[3] - b[1], a[3] - a[1])
    for (left, upper, right, lower), word in words:
        if not any(b[0] <= left and b[1] <= upper and right <= b[2] and lower <= b[3] for b in boxes):
            yield f"'{word}' leaves its label"
        if "…" in word:
            yield f"'{word}' is cut"
    if len(words) < rows * columns:
        yield "hardly any words"


def apart(what, is_mm, wanted_mm):
    if abs(is_mm - wanted_mm) > NEAR_MM:
        yield f"{what}: {is_mm:.2f} mm, not {wanted_mm:.2f}"


path, rows, columns, *lengths = sys.argv[1:]
wrong = list(faults(path, int(rows), int(columns), *map(float, lengths)))
print("\n".join(wrong) or f"{rows} x {columns} labels in their places")
sys.exit(1 if wrong else 0)
