"""The section curves of all strips in one table, so that one look-up serves the whole wing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from scipy.interpolate import PchipInterpolator

from slowflight.flow.lifting_line.section_curve import SectionCurve
from slowflight.flow.lifting_line.strips import SpanCurve
from slowflight.flow.solution import FloatArray

FARTHEST = np.pi  # where the tables end [rad]; no wing gets there
AT_AN_END = 1e-9  # [rad]


@dataclass(frozen=True, eq=False)
class CubicTable:
    """One piecewise cubic for each strip, all on common knots.

    Parameters
    ----------
    knots : FloatArray
        [rad], shape (k,).
    terms : FloatArray
        Value, slope, half the second and a sixth of the third derivative at each knot, shape (4, k, s).
    """

    knots: FloatArray
    terms: FloatArray

    def at(self, angles: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return values and slopes of all strips at their angles, shapes (s,)."""
        which = np.searchsorted(self.knots, angles, side="right") - 1
        past = angles - self.knots[which]
        value, slope, bend, twist = self.terms[:, which, np.arange(angles.size)]
        return (
            value + past * (slope + past * (bend + past * twist)),
            slope + past * (2.0 * bend + past * 3.0 * twist),
        )


class Curve(Protocol):
    """Something that tells values and slopes of all strips at their angles."""

    def at(self, angles: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return values and slopes [1/rad], shapes (s,)."""
        ...


@dataclass(frozen=True, eq=False)
class StripCurves:
    """Lift and drag of every strip's section against the angle it sees.

    Parameters
    ----------
    lift, drag : Curve
    lowest, highest : FloatArray
        Ends of each strip's curve [rad], shape (s,). Below, the lift table goes on straight; above, it stays
        as it was: the solver needs something there, and whoever uses the answer is told.
    peak_angle, peak_lift : FloatArray
        Each strip's maximum [rad], [-], shape (s,); infinite where none is bracketed.
    attached_slope : FloatArray
        Slope of each strip's lift across the middle fifth of its attached range [1/rad], shape (s,).
    jumped : FloatArray or float
        What the induced angle at each strip lacks because sections change abruptly along the span [rad]
        (``jumps``).
    """

    lift: Curve
    drag: Curve
    lowest: FloatArray
    highest: FloatArray
    peak_angle: FloatArray
    peak_lift: FloatArray
    attached_slope: FloatArray
    jumped: FloatArray | float = 0.0

    def never_falling(self) -> StripCurves:
        """Return the same curves with each strip's maximum held past it.

        Up to where the first strip reaches its maximum both have the same answer, and there is only one.
        """
        return replace(self, lift=_HeldAtPeak(self.lift, self.peak_angle, self.peak_lift))


@dataclass(frozen=True, eq=False)
class _HeldAtPeak:
    curve: Curve
    peak_angle: FloatArray
    peak_lift: FloatArray

    def at(self, angles: FloatArray) -> tuple[FloatArray, FloatArray]:
        value, slope = self.curve.at(angles)
        past = angles > self.peak_angle
        return np.where(past, self.peak_lift, value), np.where(past, 0.0, slope)


def strip_curves(stretches: Sequence[tuple[SpanCurve, float]]) -> StripCurves:
    """Build the tables of all strips.

    Parameters
    ----------
    stretches : sequence of (SpanCurve, float)
        For each strip its stretch and the share of the outer curve in the blend.

    Returns
    -------
    StripCurves
    """
    curves: dict[int, SectionCurve] = {}
    for stretch, _ in stretches:
        curves[id(stretch.inner)] = stretch.inner
        curves[id(stretch.outer)] = stretch.outer
    order = {key: place for place, key in enumerate(curves)}
    mixture = np.zeros((len(curves), len(stretches)))
    for strip, (stretch, share) in enumerate(stretches):
        mixture[order[id(stretch.inner)], strip] += 1.0 - share
        mixture[order[id(stretch.outer)], strip] += share
    used = mixture > 0.0
    lows = np.array([curve.alpha[0] for curve in curves.values()])
    highs = np.array([curve.alpha[-1] for curve in curves.values()])
    lift = _table(list(curves.values()), mixture, SectionCurve.lift)
    lowest = np.max(np.where(used, lows[:, None], -np.inf), axis=0)
    highest = np.min(np.where(used, highs[:, None], np.inf), axis=0)
    peak_angle, peak_lift = _peaks(lift, lowest, highest)
    top = np.minimum(peak_angle, highest)
    middle, half = 0.5 * (lowest + top), 0.1 * (top - lowest)
    return StripCurves(
        lift=lift,
        drag=_table(list(curves.values()), mixture, SectionCurve.drag, straight_below=False),
        lowest=lowest,
        highest=highest,
        peak_angle=peak_angle,
        peak_lift=peak_lift,
        attached_slope=(lift.at(middle + half)[0] - lift.at(middle - half)[0]) / (2.0 * half),
    )


def _table(
    curves: Sequence[SectionCurve],
    mixture: FloatArray,
    smooth: Callable[[SectionCurve], PchipInterpolator],
    *,
    straight_below: bool = True,
) -> CubicTable:
    """Write every curve on the knots of all of them, which changes none, and mix them for each strip."""
    pieces = [smooth(curve) for curve in curves]
    knots = np.unique(np.concatenate([[-FARTHEST], *(piece.x for piece in pieces)]))
    terms = np.empty((4, knots.size, len(pieces)))
    for k, piece in enumerate(pieces):
        low, high = piece.x[0], piece.x[-1]
        for order, factor in enumerate((1.0, 1.0, 0.5, 1.0 / 6.0)):
            terms[order, :, k] = factor * piece(knots, order)
        end_value, end_slope = float(piece(low)), float(piece(low, 1)) if straight_below else 0.0
        below, above = knots < low, knots >= high
        terms[:, below, k] = 0.0
        terms[0, below, k] = end_value + end_slope * (knots[below] - low)
        terms[1, below, k] = end_slope
        terms[:, above, k] = 0.0
        terms[0, above, k] = float(piece(high))
    return CubicTable(knots, np.ascontiguousarray(terms @ mixture))


def _peaks(lift: CubicTable, lowest: FloatArray, highest: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Find the exact top of each strip's piecewise cubic between its ends; infinite where that is an end."""
    value, slope, bend, twist = lift.terms
    width = np.diff(lift.knots, append=FARTHEST)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(bend**2 - 3.0 * twist * slope)
        # where the slope falls through zero, in a form that survives a vanishing cubic term
        past = np.where(bend <= 0.0, slope / (root - bend), -(bend + root) / (3.0 * twist))
    past = np.where(np.isfinite(past) & (past >= 0.0) & (past < width), past, 0.0)
    angle = lift.knots[:, None] + past
    height = value + past * (slope + past * (bend + past * twist))
    height = np.where((angle >= lowest) & (angle <= highest), height, -np.inf)
    best, strip = np.argmax(height, axis=0), np.arange(lowest.size)
    angles, heights = angle[best, strip], height[best, strip]
    bracketed = (angles > lowest + AT_AN_END) & (angles < highest - AT_AN_END)
    return np.where(bracketed, angles, np.inf), np.where(bracketed, heights, np.inf)
