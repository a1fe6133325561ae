"""Lay an outline about its chord line, in unit chord.

A file whose own axes already run from nose to trailing edge keeps them. Any other is moved and turned: its
chord line runs from the point of the outline farthest from the trailing edge's middle to that middle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from slowflight.errors import SectionError
from slowflight.wing import outline
from slowflight.wing.outline import FloatArray

# Shares of the largest extent along x: how near the origin and the axis must be to count as the chord line.
ON_AXIS = 0.001
STEEPEST_CHORD_LINE = np.radians(20.0)


@dataclass(frozen=True, eq=False)
class Laid:
    """An outline in unit chord and what it took.

    Parameters
    ----------
    x, y : FloatArray
        [chords], shape (n,).
    chord : float
        Length of the chord line in the unit of the points.
    notes : tuple of str
        What was done.
    """

    x: FloatArray
    y: FloatArray
    chord: float
    notes: tuple[str, ...]


def lay(x: FloatArray, y: FloatArray, *, where: str) -> Laid:
    """Lay points about their chord line.

    Parameters
    ----------
    x, y : FloatArray
        From the lower trailing edge over the nose to the upper one, in any unit, shape (n,).
    where : str
        The file, for messages.

    Returns
    -------
    Laid

    Raises
    ------
    SectionError
        Where the chord line is steeper than 20 deg or has no length.
    """
    extent = float(np.ptp(x))
    aft = np.array([0.5 * (x[0] + x[-1]), 0.5 * (y[0] + y[-1])])
    if extent <= 0.0:
        raise SectionError(where=where, found="points that all have the same x", needed="a chord along x")
    if _runs_from_origin(x, y, aft=aft, extent=extent):
        chord = float(aft[0])
        return Laid(x / chord, y / chord, chord, ("kept the file's own chord line",))
    nose = _farthest(x, y, aft=aft)
    along = aft - nose
    chord = float(np.hypot(*along))
    angle = float(np.arctan2(along[1], along[0]))
    if abs(angle) > STEEPEST_CHORD_LINE:
        raise SectionError(
            where=where,
            found=f"a chord line at {np.degrees(angle):.0f} deg to the x axis",
            needed=f"at most {np.degrees(STEEPEST_CHORD_LINE):.0f} deg",
            fix="check that x runs from nose to trailing edge and y upward",
        )
    cosine, sine = along / chord
    dx, dy = x - nose[0], y - nose[1]
    notes = (
        f"moved the nose from ({nose[0]:.4g}, {nose[1]:.4g}) to the origin",
        f"turned by {-np.degrees(angle):+.2f} deg to lay the chord line level",
    )
    return Laid((dx * cosine + dy * sine) / chord, (dy * cosine - dx * sine) / chord, chord, notes)


def _runs_from_origin(x: FloatArray, y: FloatArray, *, aft: FloatArray, extent: float) -> bool:
    """Tell whether the x axis is the chord line: outline through the origin, trailing edge on the axis."""
    if abs(aft[1]) > ON_AXIS * extent or float(x.min()) < -0.02 * extent or aft[0] <= 0.0:
        return False
    step = np.column_stack((np.diff(x), np.diff(y)))
    start = np.column_stack((x[:-1], y[:-1]))
    share = np.clip(-np.sum(start * step, axis=1) / np.maximum(np.sum(step * step, axis=1), 1e-300), 0.0, 1.0)
    nearest = start + share[:, None] * step
    return float(np.min(np.hypot(nearest[:, 0], nearest[:, 1]))) < ON_AXIS * extent


def _farthest(x: FloatArray, y: FloatArray, *, aft: FloatArray) -> FloatArray:
    """Point farthest from the trailing edge on the smooth curve, which coarse points may straddle."""
    knots = np.concatenate(([0.0], np.cumsum(outline.segment_lengths(x, y))))
    spline = CubicSpline(knots, np.column_stack((x, y)))
    index = int(np.argmax(np.hypot(x - aft[0], y - aft[1])))
    low, high = float(knots[max(index - 1, 0)]), float(knots[min(index + 1, knots.size - 1)])
    for _ in range(60):
        middle = 0.5 * (low + high)
        leaving = float((spline(middle) - aft) @ spline(middle, 1)) > 0.0
        low, high = (middle, high) if leaving else (low, middle)
    return np.asarray(spline(0.5 * (low + high)))
