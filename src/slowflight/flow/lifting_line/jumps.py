"""Where sections change abruptly along the span, as at the end of a flap, the induced angle jumps.

No limited sine series follows a jump. What it misses is known, because the loading that induces exactly one
jump is known, and is added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slowflight.flow.lifting_line.induced import downwash_both_halves
from slowflight.flow.lifting_line.section_curve import SectionCurve
from slowflight.flow.lifting_line.strips import SpanCurve, Strips
from slowflight.flow.solution import FloatArray

SOURCES = ("SivellsWestrick1952",)
SMALLEST = 1e-6  # [rad]
AT_A_POINT = 1e-9  # [rad] of Multhopp's angle


@dataclass(frozen=True)
class Jump:
    """One jump of the induced angle.

    Parameters
    ----------
    y : float
        Where, from the centerline, right positive [m].
    rise : float
        Induced angle just to the right of it less that just to the left [rad].
    """

    y: float
    rise: float


def loading_of_a_jump(turn: FloatArray, at: float) -> FloatArray:
    """Return the circulation that induces an angle of one to the right of a place and none to the left.

    Parameters
    ----------
    turn : FloatArray
        Multhopp's angles [rad].
    at : float
        That of the jump [rad], 0 at the right tip and pi at the left.

    Returns
    -------
    FloatArray
        Circulation over span and speed for a rise of one radian [-].

    Notes
    -----
    Summed from its sine series, ``a_n = (4 / (pi n)) int_0^at sin t sin(n t) dt``; derived here, checked
    against that series.
    """
    near = np.abs(np.sin(0.5 * (turn - at)))
    far = np.sin(0.5 * (turn + at))
    with np.errstate(divide="ignore", invalid="ignore"):
        bend = (np.cos(turn) - np.cos(at)) * np.log(far / near)
    bend = np.where(near < AT_A_POINT, 0.0, bend)
    return np.asarray(2.0 / np.pi * (at * np.sin(turn) + bend))


def missed_by_the_points(points: int, at: float) -> FloatArray:
    """Return what Multhopp's points miss of the angle that a jump of one induces [-], right tip first.

    Shape (2 points - 1,): the exact step less the points' own answer for the loading that makes it.
    """
    turn = np.arange(1, 2 * points) * np.pi / (2 * points)
    step = np.where(turn < at, 1.0, 0.0)
    step[np.abs(turn - at) < AT_A_POINT] = 0.5
    return np.asarray(step - downwash_both_halves(points) @ loading_of_a_jump(turn, at))


def jumps_between(right: Sequence[SpanCurve], left: Sequence[SpanCurve] | None = None) -> list[Jump]:
    """Find the jumps of the induced angle between stretches, from the curves on both sides.

    Parameters
    ----------
    right : sequence of SpanCurve
        From the centerline to the right tip.
    left : sequence of SpanCurve, optional
        To the left tip; like the right half by default.

    Returns
    -------
    list of Jump

    Notes
    -----
    Circulation does not jump, so on both sides of a place the sections lift alike, at angles of their own:
    their difference is what the induced angle jumps by (NACA TR 1090, "absolute" angle of attack). Taken
    once, in attached flow; the report finds it anew for every lift.
    """
    found = [
        Jump(outer.span_from, _turned(inner.outer, outer.inner))
        for inner, outer in pairwise(right)
        if inner.outer is not outer.inner
    ]
    other = right if left is None else left
    found += [
        Jump(-outer.span_from, _turned(outer.inner, inner.outer))
        for inner, outer in pairwise(other)
        if inner.outer is not outer.inner
    ]
    if left is not None and left[0].inner is not right[0].inner:
        found.append(Jump(0.0, _turned(left[0].inner, right[0].inner)))
    return [jump for jump in found if abs(jump.rise) > SMALLEST]


def corrected(strips: Strips, jumps: Sequence[Jump]) -> FloatArray:
    """Return what is to be added to the induced angle at each strip [rad], shape (n,)."""
    n = (strips.y.size + 1) // 2 if strips.both_halves else strips.y.size
    added = np.zeros(2 * n - 1)
    for jump in jumps:
        at = float(np.arccos(np.clip(2.0 * jump.y / strips.span, -1.0, 1.0)))
        added += jump.rise * missed_by_the_points(n, at)
    return added if strips.both_halves else added[:n]


def _turned(before: SectionCurve, after: SectionCurve) -> float:
    """Angle at which one section lifts as much as the other, less the other's [rad]."""
    (a0, l0, s0), (a1, l1, s1) = _middle(before), _middle(after)
    lift = 0.5 * (l0 + l1)
    return (a0 + (lift - l0) / s0) - (a1 + (lift - l1) / s1)


def _middle(curve: SectionCurve) -> tuple[float, float, float]:
    """Angle, lift and slope in the middle of a curve's attached range."""
    peak = curve.peak
    low, high = float(curve.alpha[0]), float(curve.alpha[-1]) if peak is None else peak[0]
    middle, half = 0.5 * (low + high), 0.1 * (high - low)
    lift = curve.lift()
    below, above = float(lift(middle - half)), float(lift(middle + half))
    return middle, 0.5 * (below + above), (above - below) / (2.0 * half)
