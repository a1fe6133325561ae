"""Invented pictures of tufts whose truth is known: yarn on a lit skin with ribs, rivets, grain and blur."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageDraw

from slowflight.flights.tufts.in_picture import TuftInPicture

SIZE = (480, 320)
FINE = 3  # drawn so many times larger, so that lines are smooth


def rows_of_tufts(stations: int = 3, rows: int = 5, *, tilt: float = 0.1) -> tuple[TuftInPicture, ...]:
    """Stations A, B, C across the picture, rows 1, 2, ... down it; attached flow runs down, aslant."""
    found = []
    for station in range(stations):
        for row in range(rows):
            x, y = 80.0 + 150.0 * station, 30.0 + 52.0 * row
            found.append(
                TuftInPicture(
                    name=f"{'ABC'[station]}{row + 1}",
                    base=(x, y),
                    tip=(x + 34.0 * math.sin(tilt), y + 34.0 * math.cos(tilt)),
                )
            )
    return tuple(found)


def draw(
    tufts: Sequence[TuftInPicture],
    angles: Sequence[float],
    *,
    seed: int = 0,
    light_yarn: bool = False,
    grain: float = 0.02,
    smear: Sequence[float] | None = None,
    curl: float = 0.15,
) -> Image.Image:
    """Draw a frame.

    Parameters
    ----------
    tufts : sequence of TuftInPicture
    angles : sequence of float
        Of each from its attached direction [rad]; NaN draws none.
    seed : int, optional
        Of grain and curl.
    light_yarn : bool, optional
        Light on a dark skin.
    grain : float, optional
        Scatter of the camera's pixels, of full white [-].
    smear : sequence of float, optional
        Angle that each sweeps while the shutter is open [rad].
    curl : float, optional
        By how much yarn bends over its length [rad].
    """
    random = np.random.default_rng(seed)
    width, height = SIZE
    skin, yarn = (0.75, 0.12) if not light_yarn else (0.22, 0.92)
    rows, columns = np.indices((height, width)) / np.array([height, width]).reshape(2, 1, 1)
    ground = skin * (0.8 + 0.25 * columns + 0.1 * np.sin(3.0 * rows))
    # Ribs are broad and faint; rivets are dots.
    ground -= 0.05 * np.exp(-(((columns * 6.0) % 1.0 - 0.5) ** 2) / 0.02)
    gray = ground
    for place, (tuft, angle) in enumerate(zip(tufts, angles, strict=True)):
        if math.isfinite(angle):
            sweep = 0.0 if smear is None else smear[place]
            bend = curl * random.standard_normal()
            _lay(gray, tuft, angle, sweep=sweep, bend=bend, yarn=yarn)
    for _ in range(60):
        x, y = random.integers(5, width - 5), random.integers(5, height - 5)
        gray[y - 1 : y + 1, x - 1 : x + 1] -= 0.15
    gray = gray + grain * random.standard_normal(gray.shape)
    return Image.fromarray((255.0 * np.clip(gray, 0.0, 1.0)).astype(np.uint8)).convert("RGB")


def _lay(
    gray: np.ndarray, tuft: TuftInPicture, angle: float, *, sweep: float, bend: float, yarn: float
) -> None:
    """Draw one tuft into the picture, larger than it is and then brought down, as a lens would."""
    reach = math.ceil(tuft.length) + 4
    left, top = int(tuft.base[0]) - reach, int(tuft.base[1]) - reach
    side = 2 * reach + 1
    fine = np.zeros((side, side))
    turns = np.linspace(-0.5, 0.5, 9) * sweep if sweep else np.zeros(1)
    for turn in turns:
        sheet = Image.new("L", (side * FINE, side * FINE), 0)
        points = []
        for share in np.linspace(0.0, 1.0, 9):
            direction = tuft.direction + angle + turn + bend * (share - 0.5)
            points.append(
                (
                    FINE * (tuft.base[0] - left + share * tuft.length * math.cos(direction)),
                    FINE * (tuft.base[1] - top + share * tuft.length * math.sin(direction)),
                )
            )
        ImageDraw.Draw(sheet).line(points, fill=255, width=round(2.6 * FINE))
        fine += np.asarray(sheet.reduce(FINE), dtype=float) / 255.0 / turns.size
    height, width = gray.shape
    rows, columns = slice(max(top, 0), min(top + side, height)), slice(max(left, 0), min(left + side, width))
    part = fine[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
    gray[rows, columns] = gray[rows, columns] * (1.0 - part) + yarn * part
