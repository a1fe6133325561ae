"""The layer equations of one body at a state, each with its derivatives, and with mixing added.

The iteration in ``coupling`` eliminates these equations as it goes and keeps only what a step needs. Here
they are kept apart, one block for each station, so that the system can also be solved transposed. The
equations are those of ``layer``; the residuals are the same numbers.

Added dissipation. A row of vanes takes kinetic energy from the mean flow at the rate D_v per unit of skin and
edge speed cubed; in the energy equation that is an addition to the dissipation coefficient,

    theta d(ln H*)/ds + (1 - H) theta d(ln u_e)/ds = 2 (C_D + D_v) / H* - Cf / 2

(the energy integral equation with the shape factor's logarithm, see ``layer``). D_v is given at the stations
and averaged over an interval as C_D is.
It counts with the turbulent share of the layer: a laminar layer has no such mixing, vanes trip it.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.carried import NO_LIMIT, follow, forced_growth, most_forced
from slowflight.flow.integral.elimination import STAGNATION_SHAPE, new_work, start_layers, start_wake
from slowflight.flow.integral.full_layer import FULLEST, FULLEST_WAKE, hold_up
from slowflight.flow.integral.layer import (
    ENERGY,
    FRICTION,
    GROWTH,
    HS,
    LAG,
    NO_VANES,
    WEIGHT,
    dead_air,
    interval,
    log_mean,
)
from slowflight.flow.integral.panels import CLOSING, gap_left
from slowflight.flow.solution import FloatArray, IndexArray


class Blocks(NamedTuple):
    """Derivatives of the layer equations of ``n`` stations.

    The four equations of a station are momentum, energy, lag and amplification over the interval that ends
    there; at the two first stations what defines theta, H, S and N there.
    """

    upstream: IndexArray  # (n,) station at the interval's other end; itself at a first one
    R: FloatArray  # (n, 4) residuals
    here: FloatArray  # (n, 4, 5) derivatives with respect to the station's own unknowns
    there: FloatArray  # (n, 4, 5) with respect to those upstream
    from_lower: FloatArray  # (4, 5) at the first wake station, with respect to the lower trailing edge
    from_upper: FloatArray  # (4, 5) and to the upper one
    source_here: FloatArray  # (n,) of the energy equation with respect to D_v at the station
    source_there: FloatArray  # (n,) and upstream
    by_reynolds: FloatArray  # (n, 4) with respect to ln of the Reynolds number
    held: int  # station whose speed is held at stagnation, else -1


@kernel
def add_dissipation(
    q1: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, ds: float, d1: float, d2: float,
    R: FloatArray, J1: FloatArray, J2: FloatArray,
) -> tuple[float, float, float]:  # fmt: skip
    """Add dissipation ``d1`` upstream and ``d2`` downstream to the energy equation of an interval.

    Parameters
    ----------
    q1, q2, c1, c2, ds, R, J1, J2
        As for ``layer.interval``, whose sums are added to.
    d1, d2 : float
        D_v at both ends [-].

    Returns
    -------
    tuple of float
        Derivatives of the energy residual with respect to d1, to d2, and to ln of the Reynolds number.
    """
    m, m_1, m_2 = log_mean(np.exp(q1[4]), np.exp(q2[4]))
    lam = ds / m
    om, om_n = c2[WEIGHT], c2[WEIGHT + 4]
    # the weight tells the turbulent share, see ``layer.station``
    e1 = 20.0 * (c1[WEIGHT] - 0.5) * np.exp(q1[4] - q1[0] - c1[HS])
    e2 = 20.0 * (c2[WEIGHT] - 0.5) * np.exp(q2[4] - q2[0] - c2[HS])
    by1, by2 = -lam * (1.0 - om) * e1, -lam * om * e2
    added = by1 * d1 + by2 * d2
    R[1] += added
    for k in range(5):
        J1[1, k] -= by1 * d1 * c1[HS + 1 + k]
        J2[1, k] -= by2 * d2 * c2[HS + 1 + k]
    J1[1, 0] -= by1 * d1
    J2[1, 0] -= by2 * d2
    J1[1, 4] += by1 * d1 - added * m_1 / m
    J2[1, 4] += by2 * d2 - added * m_2 / m
    J2[1, 3] -= lam * om_n * (e2 * d2 - e1 * d1)
    J1[1, 3] -= lam * (1.0 - om) * 20.0 * c1[WEIGHT + 4] * np.exp(q1[4] - q1[0] - c1[HS]) * d1
    J2[1, 3] -= lam * om * 20.0 * om_n * np.exp(q2[4] - q2[0] - c2[HS]) * d2
    return by1, by2, -by1 * d1 * c1[HS + 1] - by2 * d2 * c2[HS + 1]


@kernel
def _by_reynolds(c1: FloatArray, c2: FloatArray, lam: float, ds: float, out: FloatArray) -> None:
    """Derivatives of an interval's residuals with respect to ln of the Reynolds number.

    Closure terms know it only through ln Re_theta. Friction, energy, lag and growth are divided by theta, so
    that their derivative by ln Re_theta is that by ln theta plus themselves; ln H* is not.
    """
    om = c2[WEIGHT]
    out[0] = -lam * ((1.0 - om) * (c1[FRICTION + 1] + c1[FRICTION]) + om * (c2[FRICTION + 1] + c2[FRICTION]))
    out[1] = c2[HS + 1] - c1[HS + 1]
    out[1] -= lam * ((1.0 - om) * (c1[ENERGY + 1] + c1[ENERGY]) + om * (c2[ENERGY + 1] + c2[ENERGY]))
    out[2] = -lam * (c2[LAG + 1] + c2[LAG])
    out[3] = -0.5 * ds * (c1[GROWTH + 1] + c1[GROWTH] + c2[GROWTH + 1] + c2[GROWTH])


@kernel
def linearize(
    state: FloatArray, arc: FloatArray, nb: int, js: int, trips: FloatArray, added: FloatArray,
    reynolds: float, lag: float, critical: float, gap: float, closing: float, slot: bool,
) -> Blocks:  # fmt: skip
    """All layer equations of one body and its wake.

    N and S, and the first stations, are brought to what the others make them, as in each Newton iteration.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w, body then wake; changed in place as said, shape (n, 5).
    arc : FloatArray
        Arc length of body stations, then distance of wake stations from the trailing edge [chords].
    nb : int
        Stations on the body.
    js : int
        Panel where the flow divides.
    trips : FloatArray
        Rows of side, place on the arc and N added, shape (k, 3).
    added : FloatArray
        D_v at the stations [-], shape (n,); of no effect at the first ones and in the wake.
    gap, closing : float
        Thickness of the trailing edge and the length over which it closes [chords].
    slot : bool
        Whether the layer is held from getting too full, see ``full_layer``.

    Returns
    -------
    Blocks

    Notes
    -----
    Left out: a trip within ``TRIP_AHEAD`` of the stagnation point moves with it; that is not followed.
    """
    n = state.shape[0]
    work = new_work(n)
    upstream = np.arange(n)
    Rs, here, there = np.zeros((n, 4)), np.zeros((n, 4, 5)), np.zeros((n, 4, 5))
    source_here, source_there, by_re = np.zeros(n), np.zeros(n), np.zeros((n, 4))
    length = arc[js + 1] - arc[js]
    held = start_layers(state, js, length, reynolds, lag, critical, work)
    ua, ub = np.exp(state[js, 4]), np.exp(state[js + 1, 4])
    divide = arc[js] + length * ua / (ua + ub)
    for i in (js, js + 1):
        # theta follows the speed of both; the other's share stands in `there`
        other = 2 * js + 1 - i
        upstream[i] = other
        own_u, other_u = np.exp(state[i, 4]), np.exp(state[other, 4])
        here[i, 0, 0] = 1.0
        here[i, 0, 4] = 0.5 * own_u / (own_u + other_u)
        there[i, 0, 4] = 0.5 * other_u / (own_u + other_u)
        by_re[i, 0] = 0.5
        Rs[i, 1] = state[i, 1] - np.log(STAGNATION_SHAPE - 1.0)
        here[i, 1, 1] = 1.0
        record = work.record[i]
        Rs[i, 2] = record[LAG]
        here[i, 2, :] = record[LAG + 1 : LAG + 6]
        by_re[i, 2] = record[LAG + 1] + record[LAG]
        here[i, 3, 3] = 1.0
    R, J1, J2 = work.R, work.J1, work.J2
    for side in range(2):
        step = -1 if side == 0 else 1
        first = js if side == 0 else js + 1
        last = 0 if side == 0 else nb - 1
        left = 0.0
        i = first
        while i != last:
            k = i + step
            a1, a2 = (arc[i] - divide) * step, (arc[k] - divide) * step
            forced = left + forced_growth(a1 if i != first else -1.0, a2, trips, side, divide)
            limit = most_forced(a1, a2, trips, side, divide, critical) if forced > 0.0 else NO_LIMIT
            q1, q2, c1, c2 = state[i], state[k], work.record[i], work.record[k]
            ds = a2 - a1
            given, at_limit = follow(q1, q2, c1, c2, ds, forced, reynolds, lag, critical, False, limit)
            left = forced - given
            interval(q1, q2, c1, c2, ds, given, NO_VANES, R, J1, J2)
            lam = ds / log_mean(np.exp(q1[4]), np.exp(q2[4]))[0]
            _by_reynolds(c1, c2, lam, ds, by_re[k])
            d1 = added[i] if i != first else 0.0
            by1, by2, by_r = add_dissipation(q1, q2, c1, c2, ds, d1, added[k], R, J1, J2)
            by_re[k, 1] += by_r
            if slot:
                hold_up(q1, q2, FULLEST, R, J1, J2)
            if at_limit:
                # N stands where the trip holds it
                R[3] = 0.0
                J1[3, :] = 0.0
                J2[3, :] = 0.0
                J2[3, 3] = 1.0
                by_re[k, 3] = 0.0
            upstream[k] = i
            Rs[k], here[k], there[k] = R, J2, J1
            source_here[k] = by2
            source_there[k] = by1 if i != first else 0.0
            i = k
    # the wake's first interval begins with what both trailing edges bring: their shares by unit changes
    for v in range(5):
        work.rows[0, v, :] = 0.0
        work.rows[nb - 1, v, :] = 0.0
        work.rows[0, v, v] = 1.0
        work.rows[nb - 1, v, 5 + v] = 1.0
    start_wake(state, nb, reynolds, lag, critical, True, work)
    from_lower, from_upper = np.zeros((4, 5)), np.zeros((4, 5))
    scale = CLOSING / closing
    for k in range(nb, n):
        first_one = k == nb
        q1, q2 = (work.wake_state if first_one else state[k - 1]), state[k]
        c1, c2 = (work.record[n] if first_one else work.record[k - 1]), work.record[k]
        before = 0.0 if first_one else arc[k - 1]
        ds = arc[k] - before
        follow(q1, q2, c1, c2, ds, 0.0, reynolds, lag, critical, True, NO_LIMIT)
        interval(q1, q2, c1, c2, ds, 0.0, NO_VANES, R, J1, J2)
        lam = ds / log_mean(np.exp(q1[4]), np.exp(q2[4]))[0]
        _by_reynolds(c1, c2, lam, ds, by_re[k])
        if slot:
            hold_up(q1, q2, FULLEST_WAKE, R, J1, J2)
        dead_air(q1, q2, gap_left(scale * before, gap), gap_left(scale * arc[k], gap), R, J1, J2)
        Rs[k], here[k] = R, J2
        if first_one:
            for e in range(4):
                for v in range(5):
                    for p in range(5):
                        from_lower[e, v] += J1[e, p] * work.wake_rows[p, v]
                        from_upper[e, v] += J1[e, p] * work.wake_rows[p, 5 + v]
        else:
            upstream[k] = k - 1
            there[k] = J1
    return Blocks(
        upstream,
        Rs,
        here,
        there,
        from_lower,
        from_upper,
        source_here,
        source_there,
        by_re,
        held,
    )
