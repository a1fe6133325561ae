"""A wing, or one half of it, cut into strips: each with its chord, its washout and its own section curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slowflight.errors import InputError
from slowflight.flow.lifting_line.section_curve import SectionCurve
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

JOIN_TOLERANCE = 1e-6  # how well stretches have to meet [share of the semi-span]


@dataclass(frozen=True, kw_only=True)
class SpanCurve:
    """The section curves of one stretch of the half-span; between its ends they blend in proportion.

    Parameters
    ----------
    span_from, span_to : float
        From and to, measured from the centerline [m].
    inner, outer : SectionCurve
        At the two ends; the same twice where the stretch has one section.
    """

    span_from: float
    span_to: float
    inner: SectionCurve
    outer: SectionCurve


@dataclass(frozen=True, eq=False, kw_only=True)
class Strips:
    """A half-wing at Multhopp's points, tip first and centerline last; or both halves, right tip first.

    Parameters
    ----------
    span, area : float
        Tip to tip [m] and of both halves [m^2].
    turn : FloatArray
        Multhopp's angle, ``y = (span / 2) cos(turn)`` [rad], shape (n,).
    y, chord, washout : FloatArray
        From the centerline [m], chord [m], nose down against the root [rad], shape (n,).
    share : FloatArray
        Of the semi-span, or of the span where both halves are there, that a strip stands for [-], shape (n,);
        the sum of share times a smooth function is its mean.
    air : FloatArray or None
        From circulation over span and speed to induced angle [rad], downward positive, shape (n, n); ``None``
        stands for one half of a wing loaded alike on both, far from the ground.
    both_halves : bool
        Whether the strips are those of the whole wing.
    """

    span: float
    area: float
    turn: FloatArray
    y: FloatArray
    chord: FloatArray
    washout: FloatArray
    share: FloatArray
    air: FloatArray | None = None
    both_halves: bool = False

    @property
    def width(self) -> FloatArray:
        """Of each strip along the span [m], shape (n,)."""
        return self.share * (self.span if self.both_halves else 0.5 * self.span)


def multhopp_turn(points: int) -> FloatArray:
    """Return Multhopp's angles on the half-span [rad], shape (points,), the last the centerline."""
    return np.arange(1, points + 1) * np.pi / (2 * points)


def strips_of(wing: Wing, *, points: int) -> Strips:
    """Cut a wing into strips.

    Parameters
    ----------
    wing : Wing
    points : int
        Strips on the half-span, the one on the centerline included.

    Returns
    -------
    Strips
    """
    turn = multhopp_turn(points)
    y = 0.5 * wing.span * np.cos(turn)
    y[-1] = 0.0
    return Strips(
        span=wing.span,
        area=wing.area,
        turn=turn,
        y=y,
        chord=np.array([wing.chord_at(float(place)) for place in y]),
        washout=np.array([wing.washout_at(float(place)) for place in y]),
        share=shares(turn),
    )


def shares(turn: FloatArray) -> FloatArray:
    """Return the weight of each strip in a mean over the semi-span; half of the centerline's is the other's.

    Multhopp's quadrature: exact for a sine series in the angle as long as the number of points.
    """
    share = np.sin(turn) * np.pi / (2 * turn.size)
    share[-1] *= 0.5
    return share


def stretch_of_each(
    stretches: Sequence[SpanCurve], *, y: FloatArray, semi_span: float
) -> list[tuple[SpanCurve, float]]:
    """Find for each place its stretch and the share of the stretch's outer curve.

    Parameters
    ----------
    stretches : sequence of SpanCurve
        From the centerline to the tip, each beginning where the one before ends.
    y : FloatArray
        Places [m], shape (n,).
    semi_span : float
        [m].

    Returns
    -------
    list of (SpanCurve, float)

    Raises
    ------
    InputError
        Where the stretches do not cover the half-span without gap or overlap.
    """
    near = JOIN_TOLERANCE * semi_span
    if not stretches or stretches[0].span_from > near or stretches[-1].span_to < semi_span - near:
        shown = f"{stretches[0].span_from:g} m to {stretches[-1].span_to:g} m" if stretches else "no stretch"
        raise InputError(
            where="stretches of the span",
            found=shown,
            needed=f"curves from 0 m to the tip at {semi_span:g} m",
        )
    for stretch in stretches:
        if stretch.span_to <= stretch.span_from:
            raise InputError(
                where="stretches of the span",
                found=f"one from {stretch.span_from:g} m to {stretch.span_to:g} m",
                needed="each to end outboard of where it begins",
            )
    for inner, outer in pairwise(stretches):
        if abs(outer.span_from - inner.span_to) > near:
            raise InputError(
                where="stretches of the span",
                found=f"one that ends at {inner.span_to:g} m, the next begins at {outer.span_from:g} m",
                needed="each to begin where the one before ends",
            )
    ends = np.array([stretch.span_to for stretch in stretches])
    which = np.minimum(np.searchsorted(ends, y, side="right"), len(stretches) - 1)
    found = []
    for place, k in zip(y, which, strict=True):
        stretch = stretches[int(k)]
        share = (float(place) - stretch.span_from) / (stretch.span_to - stretch.span_from)
        found.append((stretch, min(max(share, 0.0), 1.0)))
    return found
