"""The smooth curve through an outline's points, between its corners.

Cubic splines of x and y over the summed straight distance from point to point, which is close to arc length
and so smooth round the nose.

Source: de Boor, A Practical Guide to Splines, 1978, chapter IV (cubic interpolation, not-a-knot ends).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from slowflight.errors import RangeError
from slowflight.wing import outline
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

# A turn this sharp behind the nose is a real corner (a flap's lower side), not a coarsely drawn bend.
CORNER_TURN = np.radians(12.0)
CORNER_AFT_OF = 0.3
# Gauss points per interval: a quintic speed is integrated exactly by three; six reach rounding in practice.
_GAUSS_AT, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(6)


@dataclass(frozen=True, eq=False)
class Piece:
    """One smooth stretch from corner to corner, over the parameter [first, last]."""

    knots: FloatArray
    spline: Any


@dataclass(frozen=True, eq=False)
class OutlineCurve:
    """An outline as a curve over one parameter, near arc length [chords].

    Parameters
    ----------
    knots : FloatArray
        The parameter at each point of the section, shape (n,).
    pieces : tuple of Piece
        In order from the lower trailing edge.
    nose : float
        The parameter where the curve comes nearest to the nose end of the chord line (0, 0).
    """

    knots: FloatArray
    pieces: tuple[Piece, ...]
    nose: float = 0.0

    def at(self, parameter: FloatArray | float) -> FloatArray:
        """Points on the curve, shape (..., 2) [chords]."""
        return self._evaluated(parameter, 0)

    def direction(self, parameter: FloatArray | float) -> FloatArray:
        """Change of position with the parameter, shape (..., 2) [-]; of length near 1."""
        return self._evaluated(parameter, 1)

    def _evaluated(self, parameter: FloatArray | float, order: int) -> FloatArray:
        values = np.asarray(parameter, dtype=np.float64)
        ends = np.array([piece.knots[-1] for piece in self.pieces[:-1]])
        which = np.searchsorted(ends, values, side="right")
        out = np.empty((*values.shape, 2))
        for index, piece in enumerate(self.pieces):
            mine = which == index
            out[mine] = piece.spline(values[mine], order)
        return out


def outline_curve(section: Section) -> OutlineCurve:
    """Draw the smooth curve through a section's points.

    Parameters
    ----------
    section : Section
        The outline.

    Returns
    -------
    OutlineCurve
        Passing through every point; smooth except at corners behind 30 % of chord.
    """
    x, y = section.x, section.y
    knots = np.concatenate(([0.0], np.cumsum(outline.segment_lengths(x, y))))
    bends = np.abs(outline.turns(x, y)) > CORNER_TURN
    corners = [int(index) + 1 for index in np.flatnonzero(bends) if x[index + 1] > CORNER_AFT_OF]
    breaks = [0, *corners, x.size - 1]
    points = np.column_stack((x, y))
    pieces = tuple(
        Piece(knots[first : last + 1], CubicSpline(knots[first : last + 1], points[first : last + 1]))
        for first, last in itertools.pairwise(breaks)
    )
    rough = OutlineCurve(knots=knots, pieces=pieces)
    return OutlineCurve(knots=knots, pieces=pieces, nose=nearest(rough, section.nose_index, to=(0.0, 0.0)))


def nearest(curve: OutlineCurve, index: int, *, to: tuple[float, float]) -> float:
    """Parameter where the curve comes nearest to a point, sought beside one knot.

    Parameters
    ----------
    curve : OutlineCurve
        The curve.
    index : int
        The knot next to the answer.
    to : tuple of (float, float)
        The point [chords].

    Returns
    -------
    float
        By bisection of the sign of (curve - point) . direction, to rounding.
    """
    low = float(curve.knots[max(index - 1, 0)])
    high = float(curve.knots[min(index + 1, curve.knots.size - 1)])

    def receding(parameter: float) -> float:
        return float((curve.at(parameter) - np.asarray(to)) @ curve.direction(parameter))

    if receding(low) >= 0.0:
        return low
    if receding(high) <= 0.0:
        return high
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if receding(middle) < 0.0 else (low, middle)
    return 0.5 * (low + high)


def arc_length(curve: OutlineCurve, *, start: float, end: float) -> float:
    """Length of the curve between two parameters [chords], positive from `start` downstream to `end`.

    Parameters
    ----------
    curve : OutlineCurve
        The curve.
    start, end : float
        Parameters [chords].

    Returns
    -------
    float
        By Gauss quadrature in every interval between points.
    """
    low, high = min(start, end), max(start, end)
    inner = curve.knots[(curve.knots > low) & (curve.knots < high)]
    edges = np.concatenate(([low], inner, [high]))
    half, middle = 0.5 * np.diff(edges), 0.5 * (edges[:-1] + edges[1:])
    speeds = np.hypot(*np.moveaxis(curve.direction(middle[:, None] + half[:, None] * _GAUSS_AT), -1, 0))
    return float(np.copysign(np.sum(half[:, None] * _GAUSS_WEIGHT * speeds), end - start))


def station_parameter(curve: OutlineCurve, section: Section, *, station: float, surface: str) -> float:
    """First place downstream of the nose, on one surface, that lies at a chordwise station.

    Parameters
    ----------
    curve : OutlineCurve
        The section's curve.
    section : Section
        The section.
    station : float
        Along the chord from the nose [chords], above 0 and below 1.
    surface : str
        ``"upper"`` or ``"lower"``.

    Returns
    -------
    float
        The curve's parameter, by bisection to rounding.

    Raises
    ------
    RangeError
        Where the surface does not reach that station.
    """
    nose = section.nose_index
    indices = np.arange(nose, section.x.size) if surface == "upper" else np.arange(nose, -1, -1)
    beyond = section.x[indices] >= station
    if not (0.0 < station < 1.0 and np.any(beyond)):
        raise RangeError(
            where=f"station on the {surface} side of {section.name}",
            found=f"{100 * station:.1f} % of chord",
            needed="a place between nose and trailing edge",
        )
    step = int(np.argmax(beyond))
    ahead = curve.nose if step == 0 else float(curve.knots[indices[step - 1]])
    behind = float(curve.knots[indices[step]])
    for _ in range(80):
        middle = 0.5 * (ahead + behind)
        reached = curve.at(middle)[0] >= station
        ahead, behind = (ahead, middle) if reached else (middle, behind)
    return 0.5 * (ahead + behind)
