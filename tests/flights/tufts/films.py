"""An invented slow-down filmed: reversal creeps forward from the trailing edge as speed falls."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np

from slowflight.flights.tufts.states import ATTACHED, REVERSED, UNSTEADY
from tests.flights.tufts.drawn import draw, rows_of_tufts

DEGREE = math.pi / 180.0
# Mean direction, wag and smear while the shutter is open, by state [deg]: well inside the limits.
MOTION = {ATTACHED: (4.0, 6.0, 3.0), UNSTEADY: (32.0, 22.0, 25.0), REVERSED: (150.0, 30.0, 20.0)}


def film(
    folder: Path,
    states: Callable[[float, str], str],
    *,
    seconds: float,
    rate: float = 12.0,
    seed: int = 1,
    light_yarn: bool = False,
) -> Path:
    """Write numbered frames of tufts that are in these states at these times."""
    folder.mkdir(parents=True)
    tufts = rows_of_tufts()
    random = np.random.default_rng(seed)
    aside = {tuft.name: random.choice([-1.0, 1.0]) for tuft in tufts}
    for number in range(round(seconds * rate)):
        angles, smear = [], []
        for tuft in tufts:
            mean, wag, swept = MOTION[states(number / rate, tuft.name)]
            angles.append(DEGREE * (aside[tuft.name] * mean + wag * random.standard_normal()))
            smear.append(DEGREE * swept * abs(random.standard_normal()))
        picture = draw(tufts, angles, seed=seed + number, smear=smear, light_yarn=light_yarn)
        picture.save(folder / f"frame-{number}.png")
    return folder


def places_text() -> str:
    """Return the table of places as the page saves it."""
    lines = [
        f"{one.name},{one.base[0]:.1f},{one.base[1]:.1f},{one.tip[0]:.1f},{one.tip[1]:.1f}"
        for one in rows_of_tufts()
    ]
    return "\n".join(["tuft,base x,base y,tip x,tip y", *lines, ""])
