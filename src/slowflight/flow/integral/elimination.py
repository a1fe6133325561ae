"""Layers linearized about a state: the response of every unknown to the mass defects of all stations.

Each interval is solved in inverse mode: for given changes of ln m (m the mass defect) at its ends the four
layer equations give the changes of ln theta, ln S, N and ln u_e. That has no singularity at separation, where
solving for the mass defect from a given speed has one. Forward substitution from the stagnation point on
carries the responses.

With ``columns`` false only the change that takes the residuals away is carried, and the responses to the mass
defects stay as they were: that costs a tenth, and is all a step with the matrix of the step before needs.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.carried import NO_LIMIT, follow, forced_growth, most_forced
from slowflight.flow.integral.full_layer import FULLEST, FULLEST_WAKE, hold_up
from slowflight.flow.integral.layer import LAG, NO_VANES, RECORD, dead_air, interval, station
from slowflight.flow.integral.panels import CLOSING, gap_left
from slowflight.flow.solution import FloatArray

STAGNATION_SHAPE = 2.2402  # H where friction, dissipation and acceleration balance at a stagnation point
STAGNATION_THICKNESS = 0.08430  # theta^2 (du/ds) / nu there, of the closure itself
LEAST_SPEED = 1e-3  # a station this close to stagnation, as a share of its panel, is held
JUMP_STATIONS = 4  # stations by which transition may move downstream in one step


class Work(NamedTuple):
    """Space that one solution uses again in each iteration; ``n`` stations in all.

    ``rows[i, v, c]`` is the response of unknown v at station i to the change of ln m at station c; column n
    holds the change that takes the station's own residuals away.
    """

    record: FloatArray  # (n + 1, RECORD); the last line is that of the wake's first station
    rows: FloatArray  # (n, 5, n + 1)
    wake_state: FloatArray  # (5,)
    wake_rows: FloatArray  # (5, n + 1)
    R: FloatArray  # (4,)
    J1: FloatArray  # (4, 5)
    J2: FloatArray  # (4, 5)
    A: FloatArray  # (4, 4)
    Z: FloatArray  # (4, 7)


@kernel
def new_work(n: int) -> Work:
    """Allocate the space for n stations."""
    return Work(
        np.zeros((n + 1, RECORD)), np.zeros((n, 5, n + 1)), np.zeros(5), np.zeros((5, n + 1)), np.zeros(4),
        np.zeros((4, 5)), np.zeros((4, 5)), np.zeros((4, 4)), np.zeros((4, 7)),
    )  # fmt: skip


@kernel
def start_layers(
    state: FloatArray, js: int, length: float, reynolds: float, lag: float, critical: float, work: Work
) -> int:
    """Set the first stations on both sides, ``js`` and ``js + 1``, to the closure's own stagnation layer.

    Returns
    -------
    int
        The station whose speed is held because stagnation lies on it, else -1.
    """
    ua, ub = np.exp(state[js, 4]), np.exp(state[js + 1, 4])
    held = -1
    for i in (js, js + 1):
        row = work.rows[i]
        state[i, 0] = 0.5 * np.log(STAGNATION_THICKNESS * length / ((ua + ub) * reynolds))
        state[i, 1] = np.log(STAGNATION_SHAPE - 1.0)
        state[i, 3] = 0.0
        # theta follows the speed gradient over the panel, to which both first stations belong
        row[0, js] = -ua / (ua + ub)
        row[0, js + 1] = -ub / (ua + ub)
        if state[i, 4] <= np.log(1.0001 * LEAST_SPEED * (ua + ub)):
            # the logarithm of the speed of a station at stagnation has no finite answer
            held = i
            state[i, 4] = np.log(LEAST_SPEED * (ua + ub))
        else:
            row[4, js] = ua / (ua + ub)
            row[4, js + 1] = ub / (ua + ub)
            row[4, i] += 1.0
        record = work.record[i]
        station(state[i], reynolds, lag, critical, False, record)
        for _ in range(3):
            # shear at the value it is held at while laminar
            state[i, 2] -= max(-1.0, min(1.0, record[LAG] / record[LAG + 3]))
            station(state[i], reynolds, lag, critical, False, record)
    return held


@kernel
def march_side(
    side: int, state: FloatArray, arc: FloatArray, nb: int, js: int, divide: float, trips: FloatArray,
    handed: FloatArray, reynolds: float, lag: float, critical: float, mend: bool, slot: bool, columns: bool,
    work: Work,
) -> float:  # fmt: skip
    """Linearize one side (0 lower, 1 upper) from its first station to the trailing edge.

    Parameters
    ----------
    slot : bool
        Whether the layer is held from getting too full, see ``full_layer``.
    columns : bool
        Whether the responses to the mass defects are carried too.
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
        if slot:
            hold_up(q1, q2, FULLEST, work.R, work.J1, work.J2)
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
        _eliminate(q2, k, work.rows[i], work.rows[k], low, high, n, columns, work)
        i = k
    return worst


@kernel
def start_wake(
    state: FloatArray, nb: int, reynolds: float, lag: float, critical: float, columns: bool, work: Work
) -> None:
    """Join both layers at the trailing edge: thicknesses add, shear is weighted with momentum thickness."""
    n = state.shape[0]
    low, up = work.rows[0], work.rows[nb - 1]
    tl, tu = np.exp(state[0, 0]), np.exp(state[nb - 1, 0])
    hl, hu = np.exp(state[0, 1]), np.exp(state[nb - 1, 1])
    dl, du = tl * (1.0 + hl), tu * (1.0 + hu)
    sl, su = np.exp(state[0, 2]), np.exp(state[nb - 1, 2])
    tw, dw = tl + tu, dl + du
    hw = dw / tw - 1.0
    sw = (tl * sl + tu * su) / tw
    work.wake_state[0] = np.log(tw)
    work.wake_state[1] = np.log(hw)
    work.wake_state[2] = np.log(sw)
    work.wake_state[3] = critical + 10.0
    work.wake_state[4] = 0.5 * (state[0, 4] + state[nb - 1, 4])
    out = work.wake_rows
    for c in range(0 if columns else n, n + 1):
        out[0, c] = (tl * low[0, c] + tu * up[0, c]) / tw
        d_ln_displacement = (
            tl * (hl * low[1, c]) + dl * low[0, c] + tu * (hu * up[1, c]) + du * up[0, c]
        ) / dw
        out[1, c] = (d_ln_displacement - out[0, c]) * (1.0 + hw) / hw
        out[2, c] = (tl * sl * (low[0, c] + low[2, c]) + tu * su * (up[0, c] + up[2, c])) / (tw * sw) - out[
            0, c
        ]
        out[3, c] = 0.0
        out[4, c] = 0.5 * (low[4, c] + up[4, c])
    station(work.wake_state, reynolds, lag, critical, True, work.record[n])


@kernel
def march_wake(
    state: FloatArray, arc: FloatArray, nb: int, reynolds: float, lag: float, critical: float, gap: float,
    closing: float, slot: bool, columns: bool, work: Work,
) -> float:  # fmt: skip
    """Linearize the wake of a body whose trailing edge is ``gap`` thick; returns its largest residual.

    The dead air behind the edge is gone a distance ``closing`` behind it.
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
        if slot:
            hold_up(q1, state[k], FULLEST_WAKE, work.R, work.J1, work.J2)
        left, left_here = gap_left(scale * before, gap), gap_left(scale * arc[k], gap)
        dead_air(q1, state[k], left, left_here, work.R, work.J1, work.J2)
        worst = max(worst, abs(work.R[0]), abs(work.R[1]), abs(work.R[2]))
        _eliminate(state[k], k, up, work.rows[k], 0, k, n, columns, work)
    return worst


@kernel
def _eliminate(
    q: FloatArray, k: int, up: FloatArray, out: FloatArray, lo: int, hi: int, n: int, columns: bool,
    work: Work,
) -> None:  # fmt: skip
    """Responses at station k from those upstream; only columns lo to hi and the last are filled."""
    R, J1, J2, A, Z = work.R, work.J1, work.J2, work.A, work.Z
    h1 = np.exp(q[1])
    kap = h1 / (1.0 + h1)
    for e in range(4):
        A[e, 0] = J2[e, 0] - J2[e, 1] / kap
        A[e, 1] = J2[e, 2]
        A[e, 2] = J2[e, 3]
        A[e, 3] = J2[e, 4] - J2[e, 1] / kap
        for v in range(5):
            Z[e, v] = -J1[e, v]
        Z[e, 5] = -R[e]
        Z[e, 6] = -J2[e, 1] / kap
    _gauss(A, Z)
    # t, S, N, w from the five unknowns upstream
    for e in range(4):
        v = e if e == 0 else e + 1
        z0, z1, z2, z3, z4 = Z[e, 0], Z[e, 1], Z[e, 2], Z[e, 3], Z[e, 4]
        out[v, n] = Z[e, 5] + z0 * up[0, n] + z1 * up[1, n] + z2 * up[2, n] + z3 * up[3, n] + z4 * up[4, n]
        if columns:
            # slices that begin at zero let the loop run in vector registers
            u0, u1, u2 = up[0, lo : hi + 1], up[1, lo : hi + 1], up[2, lo : hi + 1]
            u3, u4, to = up[3, lo : hi + 1], up[4, lo : hi + 1], out[v, lo : hi + 1]
            for c in range(to.size):
                to[c] = z0 * u0[c] + z1 * u1[c] + z2 * u2[c] + z3 * u3[c] + z4 * u4[c]
            out[v, k] += Z[e, 6]
    out[1, n] = -(out[0, n] + out[4, n]) / kap
    if columns:
        of_t, of_w, to = out[0, lo : hi + 1], out[4, lo : hi + 1], out[1, lo : hi + 1]
        for c in range(to.size):
            to[c] = -(of_t[c] + of_w[c]) / kap
        out[1, k] += 1.0 / kap


@kernel
def _gauss(A: FloatArray, Z: FloatArray) -> None:
    """Solve four equations for all right-hand sides in place, with row pivoting."""
    m = Z.shape[1]
    for p in range(4):
        big, at = abs(A[p, p]), p
        for e in range(p + 1, 4):
            if abs(A[e, p]) > big:
                big, at = abs(A[e, p]), e
        if at != p:
            for v in range(4):
                A[p, v], A[at, v] = A[at, v], A[p, v]
            for c in range(m):
                Z[p, c], Z[at, c] = Z[at, c], Z[p, c]
        for e in range(p + 1, 4):
            f = A[e, p] / A[p, p]
            for v in range(p, 4):
                A[e, v] -= f * A[p, v]
            for c in range(m):
                Z[e, c] -= f * Z[p, c]
    for p in range(3, -1, -1):
        for e in range(p + 1, 4):
            f = A[p, e]
            for c in range(m):
                Z[p, c] -= f * Z[e, c]
        f = 1.0 / A[p, p]
        for c in range(m):
            Z[p, c] *= f
