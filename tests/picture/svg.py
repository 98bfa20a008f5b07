#!/usr/bin/env python3
"""Reads an SVG chart's text back and says which figures of its log it does not have.

SPDX-License-Identifier: GPL-3.0-or-later

svg.py RUN.svg TALLY.json"""
import json
import subprocess
import sys
import xml.etree.ElementTree as tree

SVG = "{http://www.w3.org/2000/svg}"
root = tree.parse(sys.argv[1]).getroot()
tally = json.load(open(sys.argv[2], encoding="utf-8"))
texts = ["".join(t.itertext()) for t in root.iter(SVG + "text")]
described = root.find(SVG + "desc").text
total, jars = tally["total"], tally["jars"]
hearts = next(f for f in tally["fractions"] if f["fraction"] == "hearts")

def proof(pct):
    return json.loads(subprocess.check_output(["jarline", "spirit", f"{pct}%", "--json"]))["proof_us"]


def same(pct):
    return pct


in_proof = jars[0]["reading_proof"] is not None
seen, unit, at = (proof, "proof", "60 °F") if in_proof else (same, "% vol", "20 °C")
wanted = [tally["title"]] + [jar["jar"] for jar in jars]
for words in wanted:
    if words not in texts:
        print("no text", words)
sums = "%.2f L at 20 °C · %.2f L of pure alcohol" % (total["volume_l"], total["pure_alcohol_l"])
for where, name in ((" ".join(texts), "the texts"), (described, "the description")):
    if sums not in where:
        print(name, "lack", sums)
for words in ("At %s: %.1f to %.1f %s" % (at, seen(jars[0]["strength_pct"]),
                                           seen(jars[-1]["strength_pct"]), unit),
              "%.2f L at %.1f %s" % (hearts["volume_l"], seen(hearts["strength_pct"]), unit)):
    if words not in described:
        print("the description lacks", words)
if root.get("role") != "img" or root.find(SVG + "title").text != tally["title"]:
    print("no role, or another title")
print(len(texts), "texts")
