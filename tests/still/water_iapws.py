"""Recomputes the water tables of reference/ by IAPWS-95: water_iapws.py FOLDER.

SPDX-License-Identifier: GPL-3.0-or-later

The library is held to these files by its own tests; this holds the files to the formulation, as
Debian's python3-iapws computes it. Exit status 77 (skipped) where that is not installed.
"""
import csv
import sys

try:
    from iapws import IAPWS95
except ImportError:
    print("python3-iapws is not installed")
    sys.exit(77)

ATMOSPHERE_MPA = 0.101325
ZERO_C = 273.15
failures = 0
compared = 0


def compare(where, got, printed):
    """A printed figure is right to half of its last digit, and a little for the iteration."""
    global failures, compared
    decimals = len(printed.partition(".")[2])
    compared += 1
    if not abs(got - float(printed)) <= 0.6 * 10.0**-decimals:
        failures += 1
        print(f"{where}: printed {printed}, IAPWS-95 gives {got:.{decimals + 2}f}")


def rows(folder, name):
    with open(f"{folder}/{name}.csv", encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def check_density(folder):
    for row in rows(folder, "water-density-iapws95"):
        water = IAPWS95(T=float(row["temp_c"]) + ZERO_C, P=ATMOSPHERE_MPA)
        compare(f"density at {row['temp_c']} C", water.rho, row["density_kg_m3"])


def check_saturation(folder):
    for row in rows(folder, "water-saturation-iapws95"):
        kelvin = float(row["temp_c"]) + ZERO_C
        liquid, vapour = IAPWS95(T=kelvin, x=0), IAPWS95(T=kelvin, x=1)
        at = f"saturation at {row['temp_c']} C"
        compare(f"{at}, pressure", liquid.P * 1e6, row["pressure_pa"])
        compare(f"{at}, density", liquid.rho, row["liquid_density_kg_m3"])
        compare(f"{at}, latent heat", vapour.h - liquid.h, row["latent_heat_kj_kg"])
        compare(f"{at}, heat capacity", liquid.cp, row["liquid_cp_kj_kg_k"])


check_density(sys.argv[1])
check_saturation(sys.argv[1])
print(f"{compared} figures compared, {failures} apart")
sys.exit(1 if failures or not compared else 0)
