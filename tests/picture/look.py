#!/usr/bin/env python3
"""Makes every picture that the program can make and measures it; keeps them for eyes to look at.

SPDX-License-Identifier: GPL-3.0-or-later

look.py JARLINE EXAMPLES [--keep FOLDER] [--dpi N,N] [--one WORDS]

Measured of each page, as a PDF has it: words on one another, words beyond the page, lines through words,
words cut, the smallest type and the thinnest stroke. Of an SVG its bytes, its smallest type, words cut, and
the least contrast of a text on white. --keep: sheets of several beside each other, in colour and in grey (sheet-*.png), which is
what must be looked at, and pages of HTML as a telephone and a wide screen show them (shot-*.png, where Chromium is);
with --dpi every page as PNG too, as 100,300. --one: only those whose name has these words in it."""
import os
import re
import shutil
import struct
import subprocess
import sys
import tempfile
import zlib

# Common practice, no source, where none is named.
TYPE_LEAST_PT = 6.0  # the small print of a label; an A5 page of many columns has the smallest
REPORT_LEAST_PT = 6.7  # the litres below an axis; notes have 7
PANEL_LEAST_PT = 60  # of a report's strength, from 0 to 100 % or 200 proof
TYPE_LEAST_PX = 9.5  # of a chart of 800 px
STROKE_LEAST_PT = 0.4  # two dots of 300 in an inch have 0.48
CONTRAST_LEAST = 4.5  # WCAG 2.2, 1.4.3
PHONE_PX = 375
SVG_MOST = 30000  # bytes: a chart is sent with a letter

# ---- Runs to draw ----


def run_log(path, jars, *, facts=(), size_l=None, expect=0, last_pct=16.0, columns="head"):
    size_l = size_l or 4.4 / jars
    with open(path, "w", encoding="utf-8") as to:
        to.write("#jarline,1\n#kind,run\n")
        for key, value in facts:
            to.write(f'#{key},"{value}"\n')
        for i in range(1, expect + 1):
            to.write(f"#expect,{i * size_l:.3f},{79 - 60 * (i / expect) ** 2:.1f},{84 + 14 * (i / expect) ** 2:.1f}\n")
        to.write("jar,volume_l,reading_pct,temp_c,head_c,fraction,note\n" if columns == "head"
                 else "jar,volume_l,reading_pct,temp_c,fraction\n")
        for i in range(1, jars + 1):
            share = (i - 0.5) / jars
            pct = 78 - (78 - last_pct) * share ** 2.2
            fraction = ("foreshots" if share < 0.02 or i == 1 and jars > 2 else "heads" if share < 0.08
                        else "hearts" if share < 0.55 else "tails")
            head = f"{84.5 + 14 * share ** 1.8:.1f}," if columns == "head" else ""
            note = (",pears" if i == 2 else ",") if columns == "head" else ""
            to.write(f"{i},{size_l:.3f},{pct:.1f},22.5,{head}{fraction}{note}\n")


CHARGE = (("charge_l", "10"), ("charge_strength_pct", "27.3"))
HEAD = (("title", "Spirit run, March"), ("started", "2026-03-14T09:05:00+01:00"), *CHARGE, ("power_w", "1000"))


def make_logs(jarline, examples, folder):
    def at(name):
        return os.path.join(folder, name)

    october = os.path.join(examples, "spirit-october.csv")
    run_log(at("jars-1.csv"), 1, facts=HEAD, size_l=0.25, last_pct=78)
    run_log(at("jars-3.csv"), 3, facts=HEAD, size_l=1.4)
    run_log(at("jars-22.csv"), 22, facts=HEAD, expect=22)
    run_log(at("jars-60.csv"), 60, facts=HEAD)
    run_log(at("small.csv"), 8, facts=(("title", "A trial of 0.4 L"), ("charge_l", "1"), ("charge_strength_pct", "27")),
            size_l=0.05)
    run_log(at("large.csv"), 40, facts=(("title", "A large still"), ("charge_l", "900"), ("charge_strength_pct", "28")),
            size_l=10)
    run_log(at("no-charge.csv"), 12, facts=(("title", "No charge stated"),), columns="none")
    run_log(at("long-name.csv"), 14, facts=(
        ("title", "Second distillation of the October cider low wines with the feints of September and of August"),
        *HEAD[1:], ("feints", "1.5L@45%")))
    subprocess.run([jarline, "start", at("stages.csv"), "--charge", "10L@27%", "--power", "1kW", "--stages", "1"],
                   check=True, stdout=subprocess.DEVNULL)
    with open(october, encoding="utf-8") as all_rows:
        rows = all_rows.read().splitlines()
    head = [row for row in rows if not row.startswith("#left")]
    first = next(i for i, row in enumerate(head) if row.startswith("jar,"))
    for name, extra in (("running.csv", "#stages,1\n"), ("no-stages.csv", "")):
        with open(at(name), "w", encoding="utf-8") as to:
            to.write("\n".join(head[:1]) + "\n" + extra + "\n".join(head[1:first + 9]) + "\n")
    with open(at("long-notes.csv"), "w", encoding="utf-8") as to:
        to.write("#jarline,1\n#kind,run\n#title,A long evening\n#charge_l,12\n#charge_strength_pct,28\n")
        to.write("jar,volume_ml,reading_pct,temp_c,head_c,boiler_c,fraction,note\n")
        note = "the nose of this jar was of pears and of wet cardboard and it lay long on the tongue"
        for i in range(1, 41):
            to.write(f"{i},120,{82 - i * 1.5:.1f},22,{84 + i / 4},{90 + i / 5},"
                     f"{'heads' if i < 5 else 'hearts' if i < 20 else 'tails'},{note if i % 3 == 0 else ''}\n")
    with open(at("proof.csv"), "w", encoding="utf-8") as to:
        to.write("#jarline,1\n#kind,settings\n#proof,1\n#house,Hill Farm\n")


# What is made: name, words of the command behind it, endings; each chart on a small paper and for a telephone too.
def pictures(examples, folder):
    for name, words, endings in pictures_of(examples, folder):
        yield name, words, endings
        if words[0] == "chart" and "png" in endings:
            yield f"{name}-a5", [*words, "--paper", "a5"], ("pdf",)
            yield f"{name}-phone", [*words, "--width", str(PHONE_PX)], ("png",)


def pictures_of(examples, folder):
    def at(name):
        return os.path.join(folder, name)

    october, november = (os.path.join(examples, f"spirit-{m}.csv") for m in ("october", "november"))
    strip, book = os.path.join(examples, "strip-october.csv"), os.path.join(examples, "book-autumn.csv")
    chart = ("svg", "pdf", "png")
    logs = ("jars-1 jars-3 jars-22 jars-60 small large no-charge long-name stages running no-stages long-notes").split()
    for name in logs:
        yield f"chart-{name}", ["chart", at(name + ".csv")], chart
    for name, log in (("october", october), ("november", november), ("strip", strip)):
        yield f"chart-{name}", ["chart", log], chart
    yield "chart-letter", ["chart", october, "--paper", "letter"], ("pdf",)
    yield "chart-expected", ["chart", october, "--forecast"], chart
    yield "chart-expected-stages", ["chart", at("running.csv"), "--forecast"], chart
    yield "chart-forecast", ["chart", "--forecast", "10L@27%", "--power", "1kW"], chart
    yield "chart-forecast-feints", ["chart", "--forecast", "20L@12%", "--stages", "3", "--reflux", "2"], chart
    some = [october, november, at("jars-22.csv"), at("small.csv"), at("long-name.csv"), at("running.csv")]
    many = some + [at(f"{n}.csv") for n in ("jars-60", "jars-3")]
    for count in (2, 6):
        yield f"chart-beside-{count}", ["chart", *some[:count]], chart
        yield f"chart-together-{count}", ["chart", "--together", *some[:count]], chart
    yield "chart-together-8", ["chart", "--together", *many], chart
    yield "chart-recovered", ["chart", "--over", "recovered", october, november, at("jars-22.csv")], chart
    yield "chart-beside-24", ["chart", *(some * 4)], chart
    for paper in ("a4", "a5", "letter"):
        size = ["--paper", paper]
        page = ("pdf", "html") if paper == "a4" else ("pdf",)
        yield f"report-{paper}", ["report", october, "--bottle", "700mL", *size], page
        yield f"report-long-{paper}", ["report", at("long-notes.csv"), *size], page
        yield f"account-{paper}", ["account", book, october, *size], page
        for units in ("pct", "proof"):
            proof = ["--proof"] if units == "proof" else []
            temps = "50F-90F" if proof else "10C-30C"
            to = "80proof" if proof else "40%"
            fine = ["--low", "80proof", "--high", "190proof", "--step", "5proof"] if proof else ["--step", "2.5%"]
            finest = ["--low", "80proof", "--high", "190proof", "--step", "2proof"] if proof else ["--step", "1%"]
            for name, words in (("correction", ["--temps", temps]), ("correction-fine", ["--temps", temps, *fine]),
                                ("correction-finest", ["--temps", temps, *finest]),
                                ("dilution", ["--to", to]), ("dilution-bottle", ["--to", to, "--bottle", "700mL"]),
                                ("boil", ["--altitude", "650m"]), ("head", ["--altitude", "650m"])):
                yield (f"card-{name}-{units}-{paper}", ["card", name.split("-")[0], *words, *proof, *size], ("pdf",))
        yield f"label-jars-{paper}", ["label", october, "--jars", "1-20", *size], ("pdf",)
        yield f"label-lot-{paper}", ["label", book + ":lot:2026-1", "--name", "Apples", "--words",
                                     "Two runs, one copper pot", *size], ("pdf",)
    for name in ("jars-1", "jars-3", "jars-22", "jars-60", "running", "no-charge", "long-name"):
        yield f"report-{name}", ["report", at(name + ".csv")], ("pdf",)
    yield "report-proof", ["report", november, "--bench", at("proof.csv")], ("pdf",)
    yield "follow", ["chart", at("running.csv"), "--follow", "--hours", "0.0001"], ("svg", "html")
    yield "label-blank", ["label", "--jars", "1-24"], ("pdf", "svg")


# ---- What a PDF says ----


def streams_of(pdf):
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", open(pdf, "rb").read(), re.S):
        try:
            text = zlib.decompressobj().decompress(stream)
        except zlib.error:
            continue
        if b" cm" in text[:400] or b"\nBT" in text:
            yield text.decode("latin-1")


# Of the content of a page as cairo writes it: type sizes, stroke widths, lines from place to place.
def drawn_in(content):
    types, strokes, paths = [], [], []
    number = r"-?[\d.]+"
    width, at, path, colour = 1.0, None, [], ()
    for m in re.finditer(rf"({number}) ({number}) ({number}) ({number}) {number} {number} Tm|({number}) w\b|"
                         rf"({number}) ({number}) ([ml])\b|\b(S|f|n|W)\b|"
                         rf"({number}) ({number}) ({number}) RG", content):
        g = m.groups()
        if g[0] is not None:
            types.append(abs(float(g[3])))
        elif g[4] is not None:
            width = float(g[4])
        elif g[5] is not None:
            here = float(g[5]), float(g[6])
            if g[7] == "l" and at:
                path.append((at, here))
            at = here
        elif g[8] is not None:
            if g[8] == "S" and path:
                strokes.append(width)
                paths += [(a, b, colour) for a, b in path]
            path = []
        elif g[9] is not None:
            colour = tuple(map(float, g[9:12]))
    return types, strokes, paths


def words_of(pdf):
    """Pages of (width, height, [(left, top, right, bottom, word)])."""
    said = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True, text=True).stdout
    pages = []
    for line in said.splitlines():
        page = re.search(r'<page width="([\d.]+)" height="([\d.]+)"', line)
        word = re.search(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>', line)
        if page:
            pages.append((float(page[1]), float(page[2]), []))
        elif word:
            pages[-1][2].append((*map(float, word.groups()[:4]), word[5]))
    return pages


def on_another(words):
    hair = 0.4
    for i, a in enumerate(words):
        for b in words[:i]:
            if (a[0] < b[2] - hair and b[0] < a[2] - hair and a[1] < b[3] - hair and b[1] < a[3] - hair):
                yield f"'{a[4]}' on '{b[4]}'"


def crosses(a, b, word):
    """Whether a line goes through the letters of a word, whose box has room above and below them."""
    left, top, right, bottom = word[0] + 0.5, word[1] + 0.3 * (word[3] - word[1]), word[2] - 0.5, word[1] + 0.78 * (word[3] - word[1])
    if right <= left:
        return False
    t0, t1 = 0.0, 1.0
    for p, d, low, high in ((a[0], b[0] - a[0], left, right), (a[1], b[1] - a[1], top, bottom)):
        if abs(d) < 1e-9:
            if not low < p < high:
                return False
            continue
        near, far = sorted(((low - p) / d, (high - p) / d))
        t0, t1 = max(t0, near), min(t1, far)
    return t0 < t1


def struck(words, paths):
    for a, b, colour in paths:
        if colour and min(colour) > 0.5:  # the grid may pass behind; a band's hatching is clipped
            continue
        for word in words:
            if crosses(a, b, word):
                yield f"a line through '{word[4]}'"


def parted(words):
    """Numbers that end a line, where the next begins with their unit, and not with that of a row of numbers."""
    for a, b, c in zip(words, words[1:], words[2:]):
        if re.match(r"\d", c[4]):
            continue
        below = a[3] <= b[1] + 1 < a[3] + (a[3] - a[1]) and b[0] < a[0]
        if below and re.fullmatch(r"\(?[-+−±]?\d[\d.,]*", a[4]) and re.match(r"(%|°|mL|L|kg|g|W|kWh|kPa|min)\b|%|°", b[4]):
            yield f"'{a[4]}' parted from '{b[4]}'"


def panel_h(words):
    """From the middle of the top of a strength's axis, 200 proof or 100 %, to that of the 0 below it."""
    for top in sorted((w for w in words if w[4] in ("100", "200")), key=lambda w: w[4], reverse=True):
        for low in words:
            if low[4] == "0" and abs(low[2] - top[2]) < 0.5 and low[1] > top[1]:
                return low[1] - top[1]
    return None


def apart(words):
    """From unit to unit of a head, where there are five."""
    units = [w for w in words if w[4] in ("g", "mL", "L")]
    rows = [sorted(w[2] for w in units if abs(w[1] - first[1]) < 0.5) for first in units]
    ends = next((row for row in rows if len(row) == 5), [])
    return [b - a for a, b in zip(ends, ends[1:])]


# ---- Measuring ----


class Measures:
    def __init__(self):
        self.faults, self.rows = [], []

    def fault(self, name, what):
        self.faults.append(f"{name}: {what}")

    def pdf(self, name, path):
        types, strokes = [], []
        pages, drawn = words_of(path), [drawn_in(s) for s in streams_of(path)]
        drawn = [d for d in drawn if d[0]]
        count = dict(on=0, out=0, cut=0, struck=0)
        for number, (width, height, words) in enumerate(pages):
            where = name if len(pages) == 1 else f"{name} page {number + 1}"
            for said in on_another(words):
                count["on"] += 1
                self.fault(where, said)
            for said in parted(words):
                self.fault(where, said)
            if name.startswith("report-") and number == 0 and (panel_h(words) or 100) < PANEL_LEAST_PT:
                self.fault(where, f"a panel of {panel_h(words):.0f} pt")
            if "dilution-bottle" in name and not (apart(words) and max(apart(words)) < 1.7 * min(apart(words))):
                self.fault(where, f"columns {[round(w) for w in apart(words)]} pt wide")
            for left, top, right, bottom, word in words:
                if left < 0 or top < 0 or right > width or bottom > height:
                    count["out"] += 1
                    self.fault(where, f"'{word}' leaves the page")
            if len(drawn) != len(pages):
                self.fault(where, f"lines of {len(drawn)} pages were found, of {len(pages)}")
            else:
                for said in set(struck(words, drawn[number][2])):
                    count["struck"] += 1
                    self.fault(where, said)
        # Letters that are cut away stand in the PDF, all of them where their mark is.
        for letters in re.findall(r"ActualText <feff([0-9a-f]+)>", "".join(streams_of(path))):
            text = bytes.fromhex(letters).decode("utf-16-be")
            if text.strip() not in ("", "fi", "fl", "ff", "ffi", "ffl"):  # nor ligatures
                count["cut"] += 1
                self.fault(name, f"'{text}' is cut")
        for t, s, _ in drawn:
            types += t
            strokes += s
        if min(types) < (REPORT_LEAST_PT if name.startswith("report-") else TYPE_LEAST_PT):
            self.fault(name, f"type of {min(types):.2f} pt")
        if strokes and min(strokes) < STROKE_LEAST_PT:
            self.fault(name, f"a stroke of {min(strokes):.2f} pt")
        self.rows.append((name, len(pages), f"{min(types):.1f}", f"{min(strokes or [0]):.2f}", count["on"], count["out"],
                          count["cut"], count["struck"]))

    def svg(self, name, path):
        text = open(path, encoding="utf-8").read()
        least = min(float(v) for v in re.findall(r'font-size="([\d.]+)"', text))
        unit = "pt" if re.search(r'<svg[^>]* width="[\d.]+pt"', text) else "px"
        if least < (TYPE_LEAST_PX if unit == "px" else TYPE_LEAST_PT):
            self.fault(name, f"SVG: type of {least} {unit}")
        if len(text.encode()) > SVG_MOST and "24" not in name and "60" not in name:
            self.fault(name, f"SVG: {len(text.encode())} bytes")
        inks = re.findall(r'<text[^>]*? fill="#(\w\w)(\w\w)(\w\w)"', text)
        for ink in set(inks):
            got = contrast([int(v, 16) for v in ink], [255] * 3)
            if got < CONTRAST_LEAST:
                self.fault(name, f"SVG: text of #{''.join(ink)} has a contrast of {got:.1f}")
        dots = re.search(r'id="dotted".*? d="([^"]*)"', text, re.S)
        rows = re.findall(r"M[\d.]+ ([\d.]+)h0", dots[1]) if dots else []
        if len({rows.count(row) for row in rows}) > 1:
            self.fault(name, "SVG: dots closer in one row than in the next")
        if "…" in re.sub(r"<desc.*?</desc>|<title.*?</title>", "", text, flags=re.S):
            self.fault(name, "SVG: words cut")


    def png(self, name, path):
        width, = struct.unpack(">I", open(path, "rb").read(24)[16:20])
        if name.endswith("-phone") and width != PHONE_PX:
            self.fault(name, f"PNG: {width} pixels across")


def contrast(a, b):
    def luminance(colour):
        linear = [v / 255 / 12.92 if v <= 10 else ((v / 255 + 0.055) / 1.055) ** 2.4 for v in colour]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(a), luminance(b)))
    return (high + 0.05) / (low + 0.05)


# ---- For eyes ----


def pixels_of(pdf_page, number, width, grey):
    """(width, height, rows of RGB) of a page, so many pixels wide."""
    words = ["pdftoppm", "-f", str(number), "-l", str(number), "-scale-to-x", str(width), "-scale-to-y", "-1"]
    data = subprocess.run([*words, *(["-gray"] if grey else []), pdf_page], check=True, capture_output=True).stdout
    m = re.match(rb"P([56])\s+(\d+)\s+(\d+)\s+255\s", data)
    w, h, body = int(m[2]), int(m[3]), data[m.end():]
    if m[1] == b"5":
        body = b"".join(bytes((v,)) * 3 for v in body)
    return w, h, [body[i * 3 * w:(i + 1) * 3 * w] for i in range(h)]


def png(path, width, rows):
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    raw = zlib.compress(b"".join(b"\0" + row for row in rows), 6)
    with open(path, "wb") as to:
        to.write(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", width, len(rows), 8, 2, 0, 0, 0)) +
                 chunk(b"IDAT", raw) + chunk(b"IEND", b""))


def sheet(path, pages, across):
    """Pages beside each other."""
    gap, rows = 10, []
    for i in range(0, len(pages), across):
        beside = pages[i:i + across]
        height = max(h for _, h, _ in beside)
        for y in range(height):
            rows.append(b"".join((r[y] if y < h else b"\xc0" * 3 * w) + b"\x80" * 3 * gap for w, h, r in beside))
        rows += [b"\x80" * 3 * gap] * gap
    wide = max(len(row) for row in rows) // 3
    png(path, wide, [row + b"\x80" * (3 * wide - len(row)) for row in rows])


def shots(name, path, to):
    """Of a page as a telephone and a wide screen show it. A window is no narrower than 500, so a frame is."""
    if not shutil.which("chromium"):
        return
    for width, height in ((375, 3000), (1280, 1800)):
        with tempfile.NamedTemporaryFile("w", suffix=".html") as frame:
            frame.write(f'<body style="margin:0"><iframe src="file://{os.path.abspath(path)}" '
                        f'style="border:0;width:{width}px;height:{height}px"></iframe>')
            frame.flush()
            subprocess.run(["chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
                            f"--window-size={max(width, 500)},{height}",
                            f"--screenshot={os.path.join(to, f'shot-{name}-{width}.png')}", f"file://{frame.name}"],
                           stderr=subprocess.DEVNULL, check=False)


def keep(made, to, resolutions):
    groups = {}
    for name, path, ending in made:
        shutil.copy(path, to)
        if ending == "html":
            shots(name, path, to)
        if ending != "pdf":
            continue
        for dpi in resolutions:
            for grey in (False, True):
                subprocess.run(["pdftoppm", "-png", "-r", dpi, *(["-gray"] if grey else []), path,
                                os.path.join(to, f"{name}-{dpi}{'-grey' if grey else ''}")], check=True)
        for number in range(1, len(words_of(path)) + 1):
            groups.setdefault(name.split("-")[0], []).append((path, number))
    for group, pages in groups.items():
        wide = 800 if group == "chart" else 620
        for grey in (False, True):
            for i in range(0, len(pages), 6):
                sheet(os.path.join(to, f"sheet-{group}-{i // 6}{'-grey' if grey else ''}.png"),
                      [pixels_of(p, n, wide, grey) for p, n in pages[i:i + 6]], 2 if group == "chart" else 3)


def main():
    jarline, examples = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2])
    options = dict(zip(sys.argv[3::2], sys.argv[4::2]))
    measures, made = Measures(), []
    with tempfile.TemporaryDirectory() as folder:
        make_logs(jarline, examples, folder)
        for name, words, endings in pictures(examples, folder):
            if options.get("--one", "") not in name:
                continue
            for ending in endings:
                path = os.path.join(folder, f"{name}.{ending}")
                said = subprocess.run([jarline, *words, "-o", path, "-q"], capture_output=True, text=True)
                if not os.path.exists(path):
                    measures.fault(name, f"not made: {said.stderr.strip()}")
                    continue
                made.append((name, path, ending))
                if ending == "pdf":
                    measures.pdf(name, path)
                elif ending == "svg":
                    measures.svg(name, path)
                elif ending == "png":
                    measures.png(name, path)
        if "--keep" in options:
            os.makedirs(options["--keep"], exist_ok=True)
            keep(made, options["--keep"], options["--dpi"].split(",") if "--dpi" in options else [])
    print(f"{'picture':34} pages type stroke on out cut struck")
    for row in measures.rows:
        print(f"{row[0]:34} {row[1]:5} {row[2]:>4} {row[3]:>6} {row[4]:2} {row[5]:3} {row[6]:3} {row[7]:6}")
    print("\n".join(measures.faults))
    print(f"{len(made)} pictures, {len(measures.faults)} faults")
    return 1 if measures.faults else 0


sys.exit(main())
