"""A study of rows of vanes: 12 stations x 5 heights x 26 angles on NACA 4412, on all cores.

Computed through the study engine as ``positions`` does it, every result kept on disk. The first rows are
computed once beforehand so that importing and compiling do not count. Beside the time: processor time of one
row over that of factoring a dense system of the same size for each of its angles.

Usage: ``python benchmarks/row_study.py [stations [heights]]``
"""

from __future__ import annotations

import math
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from scipy.linalg import lu_factor
from threadpoolctl import threadpool_limits

from slowflight.study.pool import stream, usable_cores
from slowflight.study.section_case import SectionCase
from slowflight.study.store import RunStore
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD = 1.5
ANGLES = tuple(float(a) for a in range(-4, 22))
UNKNOWNS = 217  # speeds at the stations of one section and its wake


def case(station: float, height: float) -> SectionCase:
    """One row's lift curve."""
    row = VaneRow(
        station=station,
        height=height,
        length=3.0 * height,
        pitch=8.0 * height,
        gap=2.5 * height,
        incidence=math.radians(15.0),
    )
    return SectionCase(
        section=naca_section("4412"), chord=CHORD, reynolds_at_unit_lift=2e6, angles_deg=ANGLES, rows=(row,)
    )


def factoring() -> float:
    """Time of one dense factorization of that size [s]."""
    matrix = np.random.default_rng(1).normal(size=(UNKNOWNS, UNKNOWNS))
    with threadpool_limits(limits=1):
        lu_factor(matrix)
        begin = time.perf_counter()
        for _ in range(50):
            lu_factor(matrix)
        return (time.perf_counter() - begin) / 50


def main() -> None:
    stations, heights = (int(v) for v in (sys.argv[1:] + ["12", "5"][len(sys.argv) - 1 :]))
    cores = usable_cores()
    cases = [
        case(float(x), float(h))
        for x in np.linspace(0.05, 0.32, stations)
        for h in np.linspace(2e-3, 6e-3, heights)
    ]
    with tempfile.TemporaryDirectory() as folder:
        store = RunStore(Path(folder))
        begin = time.process_time()
        case(0.41, 4e-3).compute()
        cases[0].compute()
        print(
            f"one row in this process: {time.process_time() - begin:.1f} s with whatever has to be compiled"
        )
        begin = time.process_time()
        cases[-1].compute()
        alone = time.process_time() - begin
        begin, answered, points = time.perf_counter(), 0, 0
        for _, result in stream(cases, store, workers=cores):
            answered += sum(p["converged"] for p in result["points"])
            points += len(result["points"])
        took = time.perf_counter() - begin
    lu = factoring()
    print(f"{len(cases)} rows x {len(ANGLES)} angles on {cores} cores: {took:.1f} s, workers' start included")
    print(f"{answered} of {points} angles answered")
    print(f"one row: {alone:.2f} s; {alone / (len(ANGLES) * lu):.0f} dense factorizations an angle")


if __name__ == "__main__":
    main()
