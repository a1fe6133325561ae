"""Daylight under the nose gauge, by feeler gauge, taken off the drawn section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from slowflight import units
from slowflight.errors import RangeError
from slowflight.wing.curve import arc_length, outline_curve
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

# Beyond the outermost reading the correction fades out over this [m].
FADE_M = 0.030
# Daylight beyond this is another wing, not a correction [m].
WIDEST_M = 0.006
FEWEST = 3


@dataclass(frozen=True, kw_only=True)
class Daylight:
    """One reading.

    Parameters
    ----------
    side : str
        ``"upper"`` or ``"lower"``.
    along_skin : float
        From the foremost point along the drawn outline [m].
    gap : float
        Between card and skin, square to the outline [m].
    """

    side: str
    along_skin: float
    gap: float


def corrected_outline(section: Section, *, chord: float, readings: Sequence[Daylight]) -> FloatArray:
    """Move a drawn outline inward by the daylight under a gauge cut to it.

    Parameters
    ----------
    section : Section
        As the gauge was drawn.
    chord : float
        [m]
    readings : sequence of Daylight
        Three or more; a place where the card touches is a reading of zero.

    Returns
    -------
    FloatArray
        From the lower trailing edge over the nose to the upper one [m], shape (n, 2).

    Raises
    ------
    RangeError
        Where there are too few readings, one is negative or too wide, or lies beyond the section.

    Notes
    -----
    Between readings the daylight is a shape-preserving cubic over the way along the skin (Fritsch and
    Carlson, SIAM Journal on Numerical Analysis 17, 1980); beyond the outermost it fades to nothing over 30
    mm. A card only shows where the wing is too small: where it rocks on a bump, measure the section afresh.
    """
    if len(readings) < FEWEST:
        raise RangeError(where="gauge readings", found=f"{len(readings)}", needed="three or more")
    curve = outline_curve(section)
    foremost = float(curve.knots[int(np.argmin(section.x))])
    fine = np.linspace(foremost - 0.01, foremost + 0.01, 2001)
    foremost = float(fine[int(np.argmin(curve.at(fine)[:, 0]))])
    ends = {
        "lower": chord * abs(arc_length(curve, start=foremost, end=float(curve.knots[0]))),
        "upper": chord * abs(arc_length(curve, start=foremost, end=float(curve.knots[-1]))),
    }
    table: dict[float, float] = {}
    for reading in readings:
        named = f"gauge reading at {units.format_length(reading.along_skin, 'mm')} on the {reading.side} side"
        if not 0.0 <= reading.gap <= WIDEST_M:
            raise RangeError(
                where=named, found=units.format_length(reading.gap, "mm", decimals=2), needed="0 to 6 mm",
                fix="measure the section afresh where the card does not fit at all",
            )  # fmt: skip
        if not 0.0 <= reading.along_skin < ends[reading.side] - FADE_M:
            raise RangeError(
                where=named,
                found="a place beyond the gauge",
                needed="a distance along the skin from the nose",
            )
        table[reading.along_skin * (1.0 if reading.side == "upper" else -1.0)] = reading.gap
    at = np.array(sorted(table))
    gaps = np.array([table[place] for place in at])
    at = np.concatenate(([at[0] - FADE_M], at, [at[-1] + FADE_M]))
    daylight = PchipInterpolator(at, np.concatenate(([0.0], gaps, [0.0])))
    # Close enough together that a change over a few millimeters is drawn as such.
    dense = np.arange(at[0] - FADE_M, at[-1] + FADE_M, 0.001) / chord
    places = np.unique(np.concatenate((curve.knots, foremost + dense)))
    places = places[(places >= curve.knots[0]) & (places <= curve.knots[-1])]
    points, way = curve.at(places), curve.direction(places)
    steps = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))))
    along = chord * (steps - float(np.interp(foremost, places, steps)))
    inside = (along > at[0]) & (along < at[-1])
    gap = np.where(inside, daylight(np.clip(along, at[0], at[-1])), 0.0)
    # The outline runs from the lower trailing edge over the nose: outside lies to its left.
    outward = np.column_stack((-way[:, 1], way[:, 0])) / np.hypot(*way.T)[:, None]
    return np.asarray(chord * points - gap[:, None] * outward)
