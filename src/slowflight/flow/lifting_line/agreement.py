"""The angle each strip sees, so that the lift of its section and the air turned down by all strips agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import lapack

from slowflight.flow.lifting_line.induced import downwash, downwash_root, symmetric_weight
from slowflight.flow.lifting_line.strip_curves import StripCurves
from slowflight.flow.lifting_line.strips import Strips
from slowflight.flow.solution import FloatArray

TOLERANCE = 1e-10  # of the angles [rad]
MOST_ITERATIONS = 40
SMALL_STEP = 1e-4  # of the angles, beside which the matrix hardly changes [rad]
SMALLEST_SHARE = 1.0 / 256.0  # of a Newton step
FARTHEST = 3.0  # to which a trial angle may stray in the tables [rad]


@dataclass(frozen=True, eq=False)
class Agreement:
    """The equations of one wing.

    The angle at each strip is ``seen + spread @ seen = wing angle - washout - induced angle``. What a section
    loses by separation goes by the angle ``seen``, which is even along the span where ``spread`` is not zero;
    the rest of its lift goes by the angle at the strip itself:
    ``lift = cl(seen) + attached_slope * (spread @ seen)``.

    Solved for ``seen``, with the straight attached part on one side, that is
    ``seen + answer @ (cl(seen) - attached_slope * seen) = wing angle * per_angle - washed``.

    Parameters
    ----------
    strips : Strips
    curves : StripCurves
    spread, answer : FloatArray
        Shape (s, s).
    per_angle, washed : FloatArray
        Shape (s,).
    jumped : FloatArray or float
        What jumps of the section's angle add to the induced angle at the strips [rad] (``jumps``).
    """

    strips: Strips
    curves: StripCurves
    spread: FloatArray
    answer: FloatArray
    per_angle: FloatArray
    washed: FloatArray
    jumped: FloatArray | float = 0.0

    def local_lift(self, seen: FloatArray) -> FloatArray:
        """Lift coefficient of each strip [-], shape (s,)."""
        return self.curves.lift.at(seen)[0] + self.curves.attached_slope * (self.spread @ seen)

    def induced_angle(self, local_lift: FloatArray) -> FloatArray:
        """Angle by which the air is turned down at each strip [rad], shape (s,)."""
        return air_of(self.strips) @ (circulation_per_lift(self.strips) * local_lift) + self.jumped


def air_of(strips: Strips) -> FloatArray:
    """From circulation over span and speed to induced angle [rad], shape (s, s)."""
    return downwash(strips.y.size) if strips.air is None else strips.air


def circulation_per_lift(strips: Strips) -> FloatArray:
    """Circulation over span and speed for a local lift coefficient of one [-], shape (s,)."""
    return strips.chord / (2.0 * strips.span)


@dataclass(frozen=True, eq=False)
class Seen:
    """One answer.

    Parameters
    ----------
    wing_angle : float
        [rad].
    angles : FloatArray
        That each strip sees [rad], shape (s,).
    growth : FloatArray
        How they change with the wing angle [-], shape (s,).
    turned : bool
        Whether the answer has gone past a turning point, where wing angle stops and runs back.
    """

    wing_angle: float
    angles: FloatArray
    growth: FloatArray
    turned: bool


def plain(strips: Strips, curves: StripCurves) -> Agreement:
    """Return the equations of lifting-line theory as they are."""
    return _agreement(strips, curves, np.zeros((strips.y.size, strips.y.size)))


def evened(strips: Strips, curves: StripCurves, *, length: float) -> Agreement:
    """Return the equations with the loss of lift by separation evened out along the span.

    Parameters
    ----------
    strips : Strips
    curves : StripCurves
    length : float
        Over which it is evened out [local chords].

    Notes
    -----
    Ours. A section cannot stall in one slice and fly in the next: the angle by which it loses lift is
    ``seen - d/dy(l^2 d seen/dy) = angle at the strip``, with nothing passing through tip and centerline.
    Attached lift is left as it is, so the answer in attached flow is that of plain theory. A ripple of wave
    number k along a long wing, which turns itself down by ``k c cl / 8``, then feeds itself only where lift
    falls by more than ``attached_slope t^2 + 8 (l / c) (1 + t^2) / t`` per radian, with ``t = k l``; without
    the length any fall would do for a ripple short enough.
    """
    n = strips.y.size
    square = (length * 0.5 * (strips.chord[1:] + strips.chord[:-1])) ** 2
    flow = square / (strips.y[:-1] - strips.y[1:])
    width = strips.width
    spread = np.zeros((n, n))
    inner, outer = np.arange(1, n), np.arange(n - 1)
    spread[outer, outer] += flow / width[:-1]
    spread[outer, inner] -= flow / width[:-1]
    spread[inner, inner] += flow / width[1:]
    spread[inner, outer] -= flow / width[1:]
    return _agreement(strips, curves, spread)


def _agreement(strips: Strips, curves: StripCurves, spread: FloatArray) -> Agreement:
    n = strips.y.size
    air = air_of(strips) * circulation_per_lift(strips)[None, :]
    attached = (np.eye(n) + air * curves.attached_slope[None, :]) @ (np.eye(n) + spread)
    known = np.column_stack([air, np.ones(n), strips.washout + curves.jumped])
    solved = np.asarray(np.linalg.solve(attached, known), dtype=np.float64)
    return Agreement(strips, curves, spread, solved[:, :n], solved[:, n], solved[:, n + 1], curves.jumped)


def agree(system: Agreement, *, wing_angle: float, guess: FloatArray) -> Seen | None:
    """Find an answer near a guess by Newton's method, each step halved until it helps.

    Parameters
    ----------
    system : Agreement
    wing_angle : float
        Between the root's chord line and the flight path [rad].
    guess : FloatArray
        Angles seen [rad], shape (s,).

    Returns
    -------
    Seen or None
        ``None`` where nothing near the guess agrees.
    """
    lift, attached_slope = system.curves.lift, system.curves.attached_slope
    wanted = wing_angle * system.per_angle - system.washed
    unit = np.eye(guess.size)

    def missed(angles: FloatArray) -> tuple[FloatArray, FloatArray, float]:
        value, slope = lift.at(np.clip(angles, -FARTHEST, FARTHEST))
        miss = angles + system.answer @ (value - attached_slope * angles) - wanted
        return miss, slope, float(np.max(np.abs(miss)))

    angles = guess
    miss, slope, size = missed(angles)
    for _ in range(MOST_ITERATIONS):
        if not np.isfinite(size):
            return None
        matrix = unit + system.answer * (slope - attached_slope)[None, :]
        right = np.column_stack([miss, system.per_angle])
        factors, swaps, solved, failed = lapack.dgesv(matrix, right, overwrite_a=True, overwrite_b=True)
        if failed:
            return None
        step, growth = solved[:, 0], solved[:, 1]
        if size < TOLERANCE:
            return Seen(wing_angle, angles, growth, turned=_turned(factors, swaps))
        share = 1.0
        while True:
            tried = angles - share * step
            tried_miss, tried_slope, tried_size = missed(tried)
            if tried_size < size * (1.0 - 0.1 * share):
                break
            share *= 0.5
            if share < SMALLEST_SHARE:
                return None
        angles, miss, slope, size = tried, tried_miss, tried_slope, tried_size
        if size < TOLERANCE and float(np.max(np.abs(step))) < SMALL_STEP:
            # so near that the matrix of a moment ago will do
            return Seen(wing_angle, angles, growth, turned=_turned(factors, swaps))
    return None


def _turned(factors: FloatArray, swaps: FloatArray) -> bool:
    """Whether the determinant is below zero: the path has gone past a turning point."""
    negative = np.count_nonzero(np.diagonal(factors) < 0.0)
    swapped = np.count_nonzero(swaps != np.arange(swaps.size))
    return bool((negative + swapped) % 2 == 1)


def has_rivals(strips: Strips, slope: FloatArray) -> bool:
    """Whether lifting-line theory as it is has further answers beside one with these section slopes.

    Parameters
    ----------
    strips : Strips
    slope : FloatArray
        Of each strip's lift curve where it stands [1/rad], shape (s,).

    Notes
    -----
    Derived here. But for its weights the downwash is a symmetric positive matrix, so the equations say where
    a function of the circulation is level. Where its second derivative ``1 + R^T diag(w k cl') R`` is not
    positive this answer is no minimum, and since section lift is bounded a minimum exists elsewhere.
    """
    if np.all(slope >= 0.0):
        return False
    n = strips.y.size
    if strips.air is None:
        root, weight = downwash_root(n), symmetric_weight(n)
    else:
        weight = strips.share
        root = np.asarray(np.linalg.cholesky(strips.air / weight[None, :]), dtype=np.float64)
    feed = weight * circulation_per_lift(strips) * slope
    _, failed = lapack.dpotrf(np.eye(n) + root.T @ (feed[:, None] * root))
    return bool(failed > 0)
