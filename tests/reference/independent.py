#!/usr/bin/python3
"""The figures of maslin-figure against programs that others wrote: python3-iapws for the boiling
point, GNU units for the standard atmosphere and for syrups. Usage: independent.py MASLIN_FIGURE.
Prints each quantity with the number of points and the greatest difference; exit 1 beyond a bound."""

import json
import subprocess
import sys

from iapws.iapws97 import _TSat_P

EARTH_M = 6356766.0  # of the 1976 standard atmosphere: geometric to geopotential height


def figure(*words):
    out = subprocess.run([sys.argv[1], *words, "--json"], capture_output=True, text=True, check=True)
    return json.loads(out.stdout)


def units(have, want):
    out = subprocess.run(["units", "-t", "-d", "12", have, want], capture_output=True, text=True,
                         check=True)
    return float(out.stdout.split()[0])


def boiling(hectopascal):
    ours = figure("boiling", "--pressure", f"{hectopascal} hPa")["temperature_c"]
    return ours - (_TSat_P(hectopascal / 1e4) - 273.15)


def pressure(metres):
    geometric = EARTH_M * metres / (EARTH_M - metres)
    ours = figure("pressure", "--altitude", f"{metres} m")["pressure_hpa"]
    return ours - units(f"stdatmP({geometric} m)", "hPa")


def elevation(percent):
    return figure("syrup", "--solids", f"{percent}")["elevation_k"] - units(
        f"sugar_conc_bpe({percent})", "K")


def density(percent):
    # Theirs is apparent, in air, of three steps' exactness; 1.2 kg of air lift each cubic metre.
    ours = figure("syrup", "--solids", f"{percent}")["density_kg_m3"]
    return ours - 1.2 - units(f"brix({percent})", "kg/m^3")


# Between these theirs goes in straight lines.
TABLED = [0, 5, 10, 15, 20, 25, 30, 35, 40, 44, 48, 50, 54, 58, 60, 62, 64, 65, 66, 68, 70]
CHECKS = [
    ("boiling point, K, IAPWS R7-97 by python3-iapws", boiling, range(300, 1101, 20), 1e-6),
    ("pressure of the standard atmosphere, hPa, by units", pressure, range(-400, 8801, 200), 0.01),
    ("boil of sucrose over water, K, by units", elevation, TABLED, 1e-4),
    ("density of sucrose, kg/m3, by units", density, range(0, 71, 5), 0.35),
]


def main():
    failed = False
    for what, difference, points, bound in CHECKS:
        worst = max((abs(difference(point)) for point in points))
        failed |= not worst <= bound
        print(f"{what}: {len(points)} points, worst {worst:.2g}, bound {bound:g}"
              f"{'' if worst <= bound else '  FAILED'}")
    sys.exit(1 if failed else 0)


main()
