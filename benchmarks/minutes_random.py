"""The minutes tier on random sections with plain flaps: what becomes of grids and of single angles.

    nice python -m benchmarks.minutes_random FILE [--grids] [--most N]

200 four-digit sections (camber 0 to 6 %, thickness 9 to 21 %, Re 0.7 to 6 million), two of three with a
plain flap of 12 to 30 % of chord at 0 to 60 degrees, one angle of -4 to 18 degrees each, on the preview
grid. FILE takes one line of JSON a case; cases in it already are not done again, so a run may be stopped at
any time. ``--grids`` makes grids alone, ``--most`` bounds how many are computed now. The table of all cases
in FILE is printed at the end.
"""

from __future__ import annotations

import argparse
import collections
import json
import math
import time
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.random_sections import four_digit
from slowflight.errors import RangeError, SectionError, Unconverged
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import Grid, section_grid
from slowflight.flow.rans.newton import TOLERANCE
from slowflight.flow.rans.sweep import cold_start, levels, marching
from slowflight.wing.flap import PlainFlap, deflect

CASES, SEED = 200, 51


def case(number: int, *, grids: bool) -> dict[str, Any]:
    """Draw, grid and solve one case; its outcome in words."""
    rng = np.random.default_rng((SEED, number))
    section = four_digit(rng.uniform(0.0, 0.06), rng.uniform(0.2, 0.6), rng.uniform(0.09, 0.21))
    reynolds = float(10.0 ** rng.uniform(np.log10(0.7e6), np.log10(6e6)))
    with_flap = rng.random() < 2.0 / 3.0
    chord, flap, alpha = rng.uniform(0.12, 0.3), rng.uniform(0.0, 60.0), rng.uniform(-4.0, 18.0)
    found: dict[str, Any] = {"case": number, "flap": float(flap) if with_flap else None, "alpha": alpha}
    begun = time.process_time()
    try:
        if with_flap:
            section = deflect(section, flap=PlainFlap(chord=float(chord)), angle=math.radians(flap))
    except (SectionError, RangeError) as error:
        return found | {"outcome": "outline refused", "why": str(error)}
    try:
        grid = section_grid(section, reynolds=reynolds, family="preview")
    except SectionError as error:
        return found | {"outcome": "grid refused", "why": str(error)}
    found |= {"outcome": "grid made"} if grids else solved(grid, reynolds, math.radians(alpha))
    return found | {"seconds": time.process_time() - begun}


def solved(grid: Grid, reynolds: float, alpha: float) -> dict[str, Any]:
    """Solve at one angle from nothing."""
    here = marching(grid, reynolds=reynolds)
    try:
        flow = cold_start(levels(grid), here, alpha=alpha, reynolds=reynolds)
    except Unconverged as error:
        return {"outcome": "no answer", "why": str(error)}
    if not flow.converged:
        why = f"residual {flow.residual:.1e} after {flow.steps} steps, needed {TOLERANCE:.0e}"
        return {"outcome": "no answer", "why": why}
    now = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=flow.alpha)
    sane = abs(now.lift) < 4.0 and 0.0 < now.drag < 1.0 and float(np.max(flow.q[:, 3])) > 20.0
    return {"outcome": "solved" if sane else "solved, but strange", "lift": now.lift, "drag": now.drag}


def main() -> None:
    """Run what is missing and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--grids", action="store_true")
    parser.add_argument("--most", type=int, default=CASES)
    asked = parser.parse_args()
    lines = asked.file.read_text().splitlines() if asked.file.exists() else []
    done = {found["case"]: found for found in map(json.loads, lines)}
    for number in [n for n in range(CASES) if n not in done][: asked.most]:
        done[number] = case(number, grids=asked.grids)
        with asked.file.open("a") as out:
            out.write(json.dumps(done[number]) + "\n")
    table: dict[str, collections.Counter[str]] = collections.defaultdict(collections.Counter)
    for found in done.values():
        flap = found["flap"]
        kind = (
            "no flap" if flap is None else f"flap {20 * int(flap // 20)} to {20 * int(flap // 20) + 20} deg"
        )
        table[kind][found["outcome"]] += 1
    for kind, counts in sorted(table.items()):
        print(f"{kind}: " + ", ".join(f"{count} {outcome}" for outcome, count in sorted(counts.items())))
    print(f"{len(done)} of {CASES} cases")


if __name__ == "__main__":
    main()
