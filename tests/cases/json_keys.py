"""A key of JSON means one thing: in all sources and in all answers it is of one form and in one unit.

json_keys.py COMMAND README EXAMPLES MANUAL

SPDX-License-Identifier: GPL-3.0-or-later
"""
import collections
import glob
import json
import os
import re
import sys

import agree
import commands

TEXT = r'"((?:\\.|[^"\\])*)"'
KEY = r'"([a-z][a-z0-9_]*)"'
# What a call shows, its key, and where it stands behind it, its unit.
SHOWN = [(rf"\bshow_number\(\s*\w+,\s*{KEY},(?:[^;\"]|{TEXT})*?,\s*{TEXT}\);", "number"),
         (rf"\bshow_text\(\s*\w+,\s*{KEY},", "text"),
         (rf"\bshow_truth\(\s*\w+,\s*{KEY},", "truth"),
         (rf"\bshow_group\(\s*\w+,\s*{KEY},", "object"),
         (rf"\b(?:show_figures_in_line|show_sum)\(\s*\w+,\s*&?\w+,\s*{KEY},", "object"),
         (rf"\b(?:show_table|show_whole_table)\(\s*\w+,\s*{KEY},", "list of objects")]
# A figure or a column: key, label, unit.
LISTED = re.compile(rf"\{{{KEY},\s*(?:NULL|{TEXT}|[^\",{{}}]+),\s*{TEXT},\s*(?:EXACT|\d)")
# What programs rest on: none of these goes away.
KEPT = ("strength_pct proof_us mass_pct density_kg_m3 volume_l pure_alcohol_l contraction_l water_kg "
        "water_scale_kg water_l boil_c vapour_pct x y fractions total recovery_pct jars jar cumulative_l "
        "cumulative_pct boiler_c head_c elapsed_s left_in_boiler energy_kwh coolant_l duration_s assumptions "
        "notes cautions warnings not_recovered_l stock vessel since lots lot bottles bottle_l account "
        "opening_l received_l collected_l gained_l charged_l removed_l lost_l closing_l "
        "opening_proof_gallons distilling left_l value low high hearts_end_at hearts_end_at_low "
        "hearts_end_at_high stop_at stop_at_low stop_at_high").split()
# The units that an ending of a key has.
ENDINGS = {"_l": {"L"}, "_ml": {"mL"}, "_hl": {"hL"}, "_kg": {"kg"}, "_g": {"g"}, "_c": {"°C"},
           "_f": {"°F"}, "_kpa": {"kPa"}, "_kwh": {"kWh"}, "_mm": {"mm"}, "_s": {"s"},
           "_d": {"days", "d"}, "_h": {"h"}, "_kg_m3": {"kg/m³"}, "_pct": {"%", "% vol", "% mas", "°P"}, "_proof": {"proof"}}
# The same unit in more words.
SAME = {"L, 20 °C": "L", "% of the charge": "%", "at 60 °F": "proof gallons (US)",
        "US proof gallons (60 °F)": "proof gallons (US)", "L so far": "L", "20/20 °C": "SG"}


def of_sources(root):
    """Key, form and unit ("": none is said) of what the sources show, with the file."""
    for path in sorted(glob.glob(os.path.join(root, "cli", "**", "*.c"), recursive=True)):
        with open(path, encoding="utf-8") as file:
            source = re.sub(r'"\s*\n\s*"', "", file.read())
        name = os.path.relpath(path, root)
        for pattern, form in SHOWN:
            for found in re.finditer(pattern, source):
                yield found[1], form, found[found.lastindex] if form == "number" else "", name
        for found in LISTED.finditer(source):
            yield found[1], "", found[3], name


def form_of(value):
    """What a value of JSON is."""
    if isinstance(value, list):
        return "list of " + ("/".join(sorted({form_of(one) + "s" for one in value})) or "objects")
    return {dict: "object", str: "text", bool: "truth"}.get(type(value), "number")


def of_answer(value):
    """Key and form of all that an answer has."""
    if isinstance(value, dict):
        for key, part in value.items():
            if part is not None and part != []:
                yield key, form_of(part)
            yield from of_answer(part)
    elif isinstance(value, list):
        for part in value:
            yield from of_answer(part)


def of_answers(program, readme, examples, manual):
    """Key, form and command of what is answered to the commands that are shown."""
    settings = commands.settings_for(program, examples)
    shown = {*commands.of_readme(readme), *commands.of_manual(manual), *agree.BESIDE, *agree.ALSO_DRAWN}
    for command in sorted(shown):
        text = commands.answer_of(command if "--json" in command else command + " --json", settings)
        try:
            answer = json.loads(text)
        except ValueError:
            continue  # a prompt, or refused: nothing is answered
        for key, form in of_answer(answer):
            yield key, form, "", command


def faults_of_endings(units):
    """Keys whose ending says another unit than they are shown in, in words."""
    for key, found in sorted(units.items()):
        ending = max((end for end in ENDINGS if key.endswith(end)), key=len, default="")
        for unit, where in found.items():
            if ending and "_per_" not in key and unit not in ENDINGS[ending]:
                yield f"'{key}' is in {unit}: {where}"


def main(program, readme, examples, manual):
    """Checks all; the exit status."""
    root = os.path.dirname(os.path.abspath(readme))
    forms, units = collections.defaultdict(dict), collections.defaultdict(dict)
    for key, form, unit, where in [*of_sources(root), *of_answers(program, readme, examples, manual)]:
        if form:
            forms[key].setdefault(form, where)
        if unit:
            units[key].setdefault(SAME.get(unit, unit), where)
    wrong = 0
    for kinds, name in ((forms, "forms"), (units, "units")):
        for key, found in sorted(kinds.items()):
            if len(found) > 1:
                print(f"'{key}' has {len(found)} {name}: {found}")
                wrong += 1
    for key in KEPT:
        if key not in forms and key not in units:
            print(f"no answer has '{key}'")
            wrong += 1
    for fault in faults_of_endings(units):
        print(fault)
        wrong += 1
    if len(forms) < 300:
        print(f"{len(forms)} keys found, expected some 400")
        wrong += 1
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
