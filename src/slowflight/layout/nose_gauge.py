"""The wing's nose in outline, for a card that finds the foremost line without judging it by eye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.wing.curve import outline_curve, station_parameter
from slowflight.wing.outline import FloatArray
from slowflight.wing.planform import Wing
from slowflight.wing.section import Section

# How much of the side without the row the card holds on to, and how far it goes on behind the forward
# tips [m].
SHORT_SIDE_M, BEHIND_TIP_M = 0.060, 0.015
# What an upright page holds behind the nose and from lower to upper end, letter or A4 [m].
LONGEST_M, HIGHEST_M = 0.165, 0.170
POINTS = 601


@dataclass(frozen=True, eq=False, kw_only=True)
class NoseGauge:
    """A section's nose at one place along the span, in meters, x from the nose aft and y up.

    Parameters
    ----------
    span_position : float
        From the aircraft's centerline [m].
    chord : float
        There [m].
    outline : FloatArray
        From the side without the row round the nose to the side with it [m], shape (n, 2).
    foremost : tuple of (float, float)
        Where a square held to the chord line touches [m].
    forward_tip : tuple of (float, float) or None
        Where the row's line crosses [m]; None where that lies behind what a page holds.
    outward : tuple of (float, float)
        Square to the skin at the forward tip, away from the wing [-].
    everywhere : bool
        Whether chord and section are these all along the row.
    """

    span_position: float
    chord: float
    outline: FloatArray
    foremost: tuple[float, float]
    forward_tip: tuple[float, float] | None
    outward: tuple[float, float]
    everywhere: bool = False


def nose_gauge(
    *,
    wing: Wing,
    span_position: float,
    station: float,
    surface: str,
    behind: float = BEHIND_TIP_M,
    longest: float = LONGEST_M,
    highest: float = HIGHEST_M,
) -> NoseGauge | None:
    """Draw the nose of the section at one place along the span.

    Parameters
    ----------
    wing : Wing
        The wing.
    span_position : float
        From the aircraft's centerline [m].
    station : float
        Of the row's forward tips, along the chord from the nose [chords].
    surface : str
        ``"upper"`` or ``"lower"``.
    behind : float, optional
        How far the outline goes on behind the forward tips [m].
    longest, highest : float, optional
        What the paper holds behind the nose and from lower to upper end [m].

    Returns
    -------
    NoseGauge or None
        None where the sections on both sides of the place differ: what lies between was not measured.

    Raises
    ------
    RangeError
        Where the section does not reach the station on that surface.
    """
    inner, outer, share = wing.neighbors(span_position)
    if inner.section is not outer.section and 0.0 < share < 1.0 and not alike(inner.section, outer.section):
        return None
    section = outer.section if share == 1.0 else inner.section
    chord = wing.chord_at(span_position)
    curve = outline_curve(section)
    other = "lower" if surface == "upper" else "upper"
    long_side = min(station * chord + behind, longest, 0.9 * chord)
    while True:
        short_side = min(SHORT_SIDE_M, long_side)
        start = station_parameter(curve, section, station=short_side / chord, surface=other)
        end = station_parameter(curve, section, station=long_side / chord, surface=surface)
        outline = chord * curve.at(np.linspace(start, end, POINTS))
        if np.ptp(outline[:, 1]) <= highest:
            break
        long_side *= 0.95
    fore = int(np.argmin(outline[:, 0]))
    tip = None
    outward = (0.0, 1.0)
    if station * chord < long_side:
        at = station_parameter(curve, section, station=station, surface=surface)
        x, y = chord * curve.at(at)
        along = curve.direction(at) / np.linalg.norm(curve.direction(at))
        tip = (float(x), float(y))
        # The outline runs clockwise, so that outside lies to its left.
        outward = (-float(along[1]), float(along[0]))
    return NoseGauge(
        span_position=span_position,
        chord=chord,
        outline=outline,
        foremost=(float(outline[fore, 0]), float(outline[fore, 1])),
        forward_tip=tip,
        outward=outward,
    )


def alike(one: Section, two: Section) -> bool:
    """Whether two sections have the same outline, point for point."""
    ones, twos = (np.column_stack((side.x, side.y)) for side in (one, two))
    return bool(ones.shape == twos.shape and np.allclose(ones, twos, rtol=0.0, atol=1e-6))
