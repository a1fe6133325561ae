"""Rankings of rows that published tests report, beside what the seconds tier makes of such rows.

None of the tested sections has coordinates in an open source, so the rows stand on NACA 4415 instead
(Reynolds number 2 million, tripped): only the order can be compared, not the size.

Usage: ``python benchmarks/row_march_rankings.py``
"""

from __future__ import annotations

import math
from dataclasses import replace

from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD = 1.0
ROW = VaneRow(station=0.2, height=7e-3, length=20e-3, pitch=42e-3, gap=10e-3, incidence=math.radians(15.0))
ANGLES = [float(a) for a in range(0, 25, 2)]


def curve(*rows: VaneRow) -> LiftCurve:
    """The section with rows on it."""
    return lift_curve(
        naca_section("4415"), reynolds=2e6, angles_deg=ANGLES, transition=(0.03, 0.05), vane_rows=rows,
        chord_m=CHORD,
    )  # fmt: skip


def told(name: str, found: LiftCurve) -> None:
    """Print maximum lift, its angle, and drag at 4 degrees."""
    top, at = found.cl_max, found.alpha_cl_max_deg
    words = "no maximum up to 24 deg" if top is None or at is None else f"{top:.3f} at {at:.1f} deg"
    fixed = next(p for p in found.points if p.alpha_deg == 16.0)
    drag = next(p for p in found.points if p.alpha_deg == 4.0)
    lift = "none" if fixed.cl is None else f"{fixed.cl:.3f}"
    print(f"{name:34s} {words:26s} lift at 16 deg {lift}; drag at 4 deg {drag.cd:.5f}", flush=True)


def main() -> None:
    told("clean", curve())
    for station in (0.2, 0.3, 0.4, 0.5):
        told(f"station {station:g}", curve(replace(ROW, station=station)))
    for heights in (4.0, 5.0, 6.0, 8.0, 10.0, 14.0):
        told(f"pitch {heights:g} heights", curve(replace(ROW, pitch=heights * ROW.height, gap=5e-3)))
    for shape in ("rectangular", "trapezoidal", "ogival", "triangular"):
        told(shape, curve(replace(ROW, shape=shape)))
    told("co-rotating, pitch 4 heights", curve(replace(ROW, arrangement="co-rotating", pitch=28e-3)))
    told("opened upstream", curve(replace(ROW, opening="upstream", gap=20e-3)))
    for degrees in (10.0, 15.0, 20.0, 30.0):
        told(f"incidence {degrees:g} deg", curve(replace(ROW, incidence=math.radians(degrees), gap=5e-3)))
    for height in (2e-3, 4e-3, 7e-3, 10e-3):
        row = replace(ROW, height=height, length=3.0 * height, pitch=6.0 * height, gap=1.4 * height)
        told(f"height {1e3 * height:g} mm", curve(row))


if __name__ == "__main__":
    main()
