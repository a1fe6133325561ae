"""The section curves of all strips in one table, so that one look-up serves the whole wing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import PchipInterpolator

from slowflight.flow.lifting_line.section_curve import SectionCurve
from slowflight.flow.lifting_line.strips import SpanCurve
from slowflight.flow.solution import FloatArray

FARTHEST = np.pi  # where the tables end [rad]; no wing gets there


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


@dataclass(frozen=True, eq=False)
class StripCurves:
    """Lift and drag of every strip's section against the angle it sees.

    Parameters
    ----------
    lift, drag : CubicTable
    lowest, highest : FloatArray
        Ends of each strip's curve [rad], shape (s,). Below, the lift table goes on straight; above, it stays
        as it was: the solver needs something there, and whoever uses the answer is told.
    """

    lift: CubicTable
    drag: CubicTable
    lowest: FloatArray
    highest: FloatArray

    @cached_property
    def peaks(self) -> tuple[FloatArray, FloatArray]:
        """Angle [rad] and lift [-] of each strip's maximum, shapes (s,); infinite where none is bracketed."""
        knots, (value, slope, bend, twist) = self.lift.knots[:, None], self.lift.terms
        width = np.diff(self.lift.knots, append=FARTHEST)[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            root = np.sqrt(bend**2 - 3.0 * twist * slope)
            # the root at which the slope falls through zero, in a form that survives a vanishing cubic term
            top = np.where(bend <= 0.0, slope / (root - bend), -(bend + root) / (3.0 * twist))
        inside = np.isfinite(top) & (top >= 0.0) & (top < width)
        top = np.where(inside, top, 0.0)
        height = value + top * (slope + top * (bend + top * twist))
        angle = knots + top
        within = (angle >= self.lowest) & (angle <= self.highest)
        height = np.where(within, height, -np.inf)
        best = np.argmax(height, axis=0)
        strip = np.arange(best.size)
        angles, heights = angle[best, strip], height[best, strip]
        near = 1e-9
        bracketed = (angles > self.lowest + near) & (angles < self.highest - near)
        return np.where(bracketed, angles, np.inf), np.where(bracketed, heights, np.inf)

    @cached_property
    def attached_slope(self) -> FloatArray:
        """Slope of each strip's lift across the middle fifth of its attached range [1/rad], shape (s,)."""
        top = np.minimum(self.peaks[0], self.highest)
        middle, half = 0.5 * (self.lowest + top), 0.1 * (top - self.lowest)
        return (self.lift.at(middle + half)[0] - self.lift.at(middle - half)[0]) / (2.0 * half)

    @cached_property
    def steepest_fall(self) -> float:
        """How steeply lift falls with angle where it falls most [1/rad], zero or positive."""
        steepest = 0.0
        for low, high in zip(self.lift.knots, self.lift.knots[1:], strict=False):
            middle = np.full(self.lowest.size, 0.5 * (low + high))
            inside = (middle > self.lowest) & (middle < self.highest)
            if np.any(inside):
                steepest = max(steepest, float(np.max(-self.lift.at(middle)[1][inside])))
        return steepest


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
    return StripCurves(
        lift=_table(list(curves.values()), mixture, SectionCurve.lift),
        drag=_table(list(curves.values()), mixture, SectionCurve.drag, straight_below=False),
        lowest=np.max(np.where(used, lows[:, None], -np.inf), axis=0),
        highest=np.min(np.where(used, highs[:, None], np.inf), axis=0),
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
