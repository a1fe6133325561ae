"""One side of a body and its wake, marched as in ``elimination``, with an end to how full a layer can get.

On its way into a slot a turbulent layer is sped up two- or threefold within a tenth of the chord. Turbulence
dies under such acceleration and the layer turns laminar again; the turbulent closure instead runs towards
H = 1, where the logarithm of H - 1 has no bottom and the least change upstream decides whether the layer
separates behind the slot. ``too_full`` takes the drive away smoothly. Own construction; the layers of single
sections do not get as full as where it begins, so that it is nothing to them.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.carried import NO_LIMIT, follow, forced_growth, most_forced
from slowflight.flow.integral.elimination import JUMP_STATIONS, Work, _eliminate
from slowflight.flow.integral.layer import NO_VANES, dead_air, interval
from slowflight.flow.integral.panels import CLOSING, gap_left
from slowflight.flow.solution import FloatArray

FULLEST = np.log(0.12)  # h = ln(H - 1) from which on acceleration fills a layer less and less


@kernel
def too_full(h: float, x: float) -> tuple[float, float, float]:
    """What is added to the energy equation over an interval, and its derivatives with respect to h and x.

    The equation's drive is (H - 1) x with x the change of ln u; at h = FULLEST - 0.3 nothing is left of it.
    """
    short = FULLEST - h
    if short <= 0.0 or x <= 0.0:
        return 0.0, 0.0, 0.0
    return x * short * short, -2.0 * x * short, short * short


@kernel
def march_side(
    side: int, state: FloatArray, arc: FloatArray, nb: int, js: int, divide: float, trips: FloatArray,
    handed: FloatArray, reynolds: float, lag: float, critical: float, mend: bool,
    work: Work,
) -> float:  # fmt: skip
    """Linearize one side (0 lower, 1 upper) from its first station to the trailing edge.

    Parameters
    ----------
    mend : bool
        Far from the answer: where transition has moved over a station, give that station a shape factor of
        its new kind. Near the answer that would only cycle.

    Returns
    -------
    float
        Largest residual of the side.
    """
    n = state.shape[0]
    step = -1 if side == 0 else 1
    first = js if side == 0 else js + 1
    last = 0 if side == 0 else nb - 1
    worst, left = 0.0, 0.0
    allowed = first
    while allowed != last and state[allowed, 3] < critical + 0.5:
        allowed += step
    allowed += JUMP_STATIONS * step
    i = first
    while i != last:
        k = i + step
        here, there = (arc[i] - divide) * step, (arc[k] - divide) * step
        start = here if i != first else -1.0
        forced = left + forced_growth(start, there, trips, side, divide)
        limit = most_forced(here, there, trips, side, divide, critical) if forced > 0.0 else NO_LIMIT
        q1, q2, c1, c2 = state[i], state[k], work.record[i], work.record[k]
        before, ds = q2[3], there - here
        given, at_limit = follow(q1, q2, c1, c2, ds, forced, reynolds, lag, critical, False, limit)
        if mend and q2[3] < critical + 0.02 and before > critical + 0.5:
            # newly laminar, with a turbulent shape factor in which nothing would ever grow
            if (k - allowed) * step >= 0:
                forced += critical + 2.0 - q2[3]
                limit = NO_LIMIT
                worst = max(worst, 0.01)
            else:
                q2[0], q2[1] = q1[0], q1[1]
            given, at_limit = follow(q1, q2, c1, c2, ds, forced, reynolds, lag, critical, False, limit)
        elif mend and q2[3] > critical + 0.98 and before < critical + 0.5 and q2[1] > 0.1:
            q2[1] = max(0.1, q2[1] - 0.5)
            given, at_limit = follow(q1, q2, c1, c2, ds, forced, reynolds, lag, critical, False, limit)
        left = forced - given
        interval(q1, q2, c1, c2, ds, given, handed[k], work.R, work.J1, work.J2)
        held_up, by_h, by_x = too_full(q2[1], q2[4] - q1[4])
        work.R[1] += held_up
        work.J1[1, 4] -= by_x
        work.J2[1, 4] += by_x
        work.J2[1, 1] += by_h
        if at_limit:
            # N stands where the trip holds it
            work.R[3] = 0.0
            work.J1[3, :] = 0.0
            work.J2[3, :] = 0.0
            work.J2[3, 3] = 1.0
        worst = max(worst, abs(work.R[0]), abs(work.R[1]), abs(work.R[2]))
        if q1[3] < critical + 1.5:
            worst = max(worst, 0.1 * abs(work.R[3]))
        low, high = min(k, js), max(k, js + 1)
        _eliminate(q2, k, work.rows[i], work.rows[k], low, high, n, work)
        i = k
    return worst


@kernel
def march_wake(
    state: FloatArray, arc: FloatArray, nb: int, reynolds: float, lag: float, critical: float, work: Work,
    gap: float, closing: float,
) -> float:  # fmt: skip
    """Linearize the wake of one body; returns its largest residual.

    As in ``elimination``, where the gap of every trailing edge closes over one length; the small one
    of a flap, or one close to another body, closes its gap over a shorter one.
    """
    n = state.shape[0]
    worst = 0.0
    scale = CLOSING / closing
    for k in range(nb, n):
        first = k == nb
        q1 = work.wake_state if first else state[k - 1]
        c1 = work.record[n] if first else work.record[k - 1]
        up = work.wake_rows if first else work.rows[k - 1]
        before = 0.0 if first else arc[k - 1]
        ds = arc[k] - before
        follow(q1, state[k], c1, work.record[k], ds, 0.0, reynolds, lag, critical, True, NO_LIMIT)
        interval(q1, state[k], c1, work.record[k], ds, 0.0, NO_VANES, work.R, work.J1, work.J2)
        left, left_here = gap_left(scale * before, gap), gap_left(scale * arc[k], gap)
        dead_air(q1, state[k], left, left_here, work.R, work.J1, work.J2)
        worst = max(worst, abs(work.R[0]), abs(work.R[1]), abs(work.R[2]))
        _eliminate(state[k], k, up, work.rows[k], 0, k, n, work)
    return worst
