"""Grids of the minutes tier about random wings with flaps of their own: made, or refused and why.

    nice python -m benchmarks.minutes_bodies FILE [--most N]

500 four-digit wings and flaps of 12 to 35 % of chord at -5 to 45 degrees. One half hangs as external airfoils
do, with gaps of 0.5 to 6 % of chord and overlaps of -3 to 6 %, the other half at a gap of 0.5 to 2.5 % and an
overlap of -1 to 2 % (common practice for slotted flaps, no source). FILE takes one line of JSON a case; cases
in it already are not done again. The table of all cases in FILE is printed at the end.
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
from slowflight.errors import InputError
from slowflight.flow.rans.bodies_grid import quality
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.wing.elements import Element, Elements, arranged
from slowflight.wing.section import Section

CASES, SEED = 500, 77
LEAST_OVER_DISTANCE = 1.1  # of the gap over the distance of a flap that begins behind the tail


def placed(
    main: Section, flap: Section, *, chord: float, gap: float, overlap: float, angle: float
) -> Elements:
    """Hang a flap below the tail so that gap and overlap come out as asked for, by bisection of its height.

    A flap that begins behind the tail has a gap of that distance at least.
    """
    tail, tail_y = 0.5 * (main.x[0] + main.x[-1]), 0.5 * (main.y[0] + main.y[-1])
    gap = max(gap, -LEAST_OVER_DISTANCE * overlap)

    def at(below: float) -> tuple[Element, Element]:
        wing = Element(name="main", section=main)
        hung = Element(name="flap", section=flap, chord=chord, axis_y=-below, angle=angle)
        ahead = float(np.min(hung.outline[0]))
        shifted = Element(
            name="flap",
            section=flap,
            chord=chord,
            axis_x=float(tail - overlap - ahead),
            axis_y=-below,
            angle=angle,
        )
        return wing, shifted

    x, y = Element(name="flap", section=flap, chord=chord, angle=angle).outline
    low, high = float(y[np.argmin(x)] - tail_y), 0.6  # from its nose as high as the tail
    for _ in range(40):
        middle = 0.5 * (low + high)
        try:
            near = arranged(*at(middle)).gap
        except InputError:
            near = -1.0
        low, high = (middle, high) if near is None or near < gap else (low, middle)
    return arranged(*at(high))


def case(number: int) -> dict[str, Any]:
    """Draw and grid one case; its outcome in words."""
    rng = np.random.default_rng((SEED, number))
    main = four_digit(rng.uniform(0.0, 0.05), rng.uniform(0.3, 0.5), rng.uniform(0.1, 0.18))
    flap = four_digit(rng.uniform(0.0, 0.04), rng.uniform(0.3, 0.5), rng.uniform(0.1, 0.18))
    chord, angle = float(rng.uniform(0.12, 0.35)), math.radians(rng.uniform(-5.0, 45.0))
    hung = rng.random() < 0.5
    gap = float(rng.uniform(0.005, 0.06 if hung else 0.025))
    overlap = float(rng.uniform(-0.03, 0.06) if hung else rng.uniform(-0.01, 0.02))
    reynolds = float(10.0 ** rng.uniform(np.log10(0.7e6), np.log10(6e6)))
    found: dict[str, Any] = {
        "case": number, "flap": chord, "droop": math.degrees(angle), "gap": gap, "overlap": overlap,
    }  # fmt: skip
    begun = time.process_time()
    try:
        elements = placed(main, flap, chord=chord, gap=gap, overlap=overlap, angle=angle)
    except InputError as error:
        return found | {"outcome": "arrangement refused", "why": str(error)}
    found["gap"] = elements.gap
    try:
        grid = bodies_grid(elements, reynolds=reynolds, family="preview")
    except InputError as error:
        return found | {"outcome": "grid refused", "why": str(error)}
    seen = quality(grid)
    return found | {
        "outcome": "grid made", "sine": seen.least_sine, "growth": seen.most_growth,
        "seconds": time.process_time() - begun,
    }  # fmt: skip


def main() -> None:
    """Run what is missing and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--most", type=int, default=CASES)
    asked = parser.parse_args()
    lines = asked.file.read_text().splitlines() if asked.file.exists() else []
    done = {found["case"]: found for found in map(json.loads, lines)}
    left = [k for k in range(CASES) if k not in done][: asked.most]
    with asked.file.open("a") as out:
        for number in left:
            done[number] = case(number)
            out.write(json.dumps(done[number]) + "\n")
            out.flush()
    counted = collections.Counter(found["outcome"] for found in done.values())
    for outcome, count in counted.most_common():
        print(f"{outcome:24} {count:4} of {len(done)}")
    made = [found for found in done.values() if found["outcome"] == "grid made"]
    if made:
        sines, growth = (np.array([f[k] for f in made]) for k in ("sine", "growth"))
        print(f"sharpest corner, sine: least {sines.min():.2f}, median {np.median(sines):.2f}")
        print(f"growth outward: median {np.median(growth):.1f}, most {growth.max():.1f}")
    for found in done.values():
        if found["outcome"] != "grid made":
            print(found["case"], found["why"])


if __name__ == "__main__":
    main()
