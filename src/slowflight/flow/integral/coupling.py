"""The simultaneous solution of layers and outer flow by Newton's method.

The condition that each layer's edge speed is the outer flow's closes the responses of ``elimination`` to one
dense system of the order of the station count, for the changes of all ln m.

Source: own formulation of the simultaneous coupling of Drela and Giles, AIAA J. 25(10), 1987; that the
interaction must be solved together with the layer to pass separation: Veldman, J. Eng. Math. 65, 2009.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.elimination import (
    LEAST_SPEED,
    Work,
    march_side,
    march_wake,
    new_work,
    start_layers,
    start_wake,
)
from slowflight.flow.integral.layer import HANDED, turbulent_share
from slowflight.flow.integral.vanes import act
from slowflight.flow.solution import FloatArray

MOST_T, MOST_H, MOST_W = 0.5, 0.6, 0.3  # largest change of ln theta, h and ln u in one step
LEAST_SCALE = 0.2  # a step is shortened to this at most; single stations are clipped beyond
LEAST_H, LEAST_H_WAKE, MOST_H_VALUE = np.log(1e-3), np.log(0.002), 7.0  # bounds of h = ln(H - 1)
MENDING = 0.15  # residual above which stations over which transition has moved are mended

CONVERGED, NOT_CONVERGED, BROKEN = 0, 1, 2


@kernel
def mass_defects(state: FloatArray) -> FloatArray:
    """Edge speed times displacement thickness at all stations [chords]."""
    return np.exp(state[:, 4] + state[:, 0]) * (1.0 + np.exp(state[:, 1]))


@kernel
def outer_speed(state: FloatArray, sign: FloatArray, q0: FloatArray, D: FloatArray) -> FloatArray:
    """Speed of the outer flow at all stations for the present mass defects, along the stations' own way."""
    return sign * (q0 + D @ (sign * mass_defects(state)))


@kernel
def close(
    state: FloatArray, sign: FloatArray, D: FloatArray, outer: FloatArray, held: int, work: Work,
    M: FloatArray, rhs: FloatArray,
) -> float:  # fmt: skip
    """Fill the dense system for the changes of ln m; returns the largest mismatch of the speeds."""
    n = sign.size
    worst = 0.0
    mass = mass_defects(state)
    for i in range(n):
        u = np.exp(state[i, 4])
        if i == held:
            M[i, :] = 0.0
            M[i, i] = 1.0
            rhs[i] = 0.0
            if abs(outer[i]) > 3.0 * u:
                worst = max(worst, abs(outer[i]))
            continue
        miss = u - outer[i]
        worst = max(worst, abs(miss) / max(u, 0.2))
        rhs[i] = -miss - u * work.rows[i, 4, n]
        for c in range(n):
            M[i, c] = u * work.rows[i, 4, c] - sign[i] * D[i, c] * sign[c] * mass[c]
    return worst


@kernel
def _changes(x: FloatArray, work: Work, js: int, change: FloatArray) -> float:
    """Changes of all unknowns for changes x of ln m; returns the share that may be taken, nan if broken."""
    n = x.size
    scale = 1.0
    for i in range(n):
        for v in range(5):
            s = work.rows[i, v, n]
            for c in range(n):
                s += work.rows[i, v, c] * x[c]
            change[i, v] = s
        if not np.isfinite(change[i, 0] + change[i, 1] + change[i, 2] + change[i, 4]):
            return np.nan
        if i == js or i == js + 1:
            continue
        scale = min(scale, MOST_T / max(abs(change[i, 0]), 1e-30), MOST_H / max(abs(change[i, 1]), 1e-30))
        scale = min(scale, MOST_W / max(abs(change[i, 4]), 1e-30))
    return max(scale, LEAST_SCALE)


@kernel
def _step(
    state: FloatArray, change: FloatArray, scale: float, outer: FloatArray, held: int, js: int, nb: int
) -> int:
    """Take a limited step; returns by how many stations the stagnation panel moves."""
    least = LEAST_SPEED * (np.exp(state[js, 4]) + np.exp(state[js + 1, 4]))
    moved = 0
    for i in range(state.shape[0]):
        if i == js or i == js + 1:
            # the speed of a first station may pass through zero: it then belongs to the other side
            u = outer[i] if i == held else np.exp(state[i, 4]) * (1.0 + scale * change[i, 4])
            state[i, 4] = np.log(max(abs(u), least))
            if u < -least:
                moved += 1 if i == js + 1 else -1
            continue
        # N and S follow from the others
        state[i, 0] += max(-MOST_T, min(MOST_T, scale * change[i, 0]))
        state[i, 1] += max(-MOST_H, min(MOST_H, scale * change[i, 1]))
        state[i, 1] = max(LEAST_H if i < nb else LEAST_H_WAKE, min(state[i, 1], MOST_H_VALUE))
        state[i, 4] += max(-MOST_W, min(MOST_W, scale * change[i, 4]))
    return moved if 1 < js + moved < nb - 3 else 0


@kernel
def newton(
    state: FloatArray, arc: FloatArray, n_body: int, q0: FloatArray, D: FloatArray, stagnation: int,
    trips: FloatArray, rows_of_vanes: FloatArray, tables: FloatArray, told: FloatArray,
    reynolds: float, lag: float, critical: float, tolerance: float, most: int, history: FloatArray,
    gap: float = 0.0,
) -> tuple[int, int, int]:  # fmt: skip
    """Iterate layers and outer flow to convergence, in place.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w at body stations (lower trailing edge, nose, upper trailing edge) and then in
        the wake from its second station, shape (n_body + n_wake, 5). Changed in place.
    arc : FloatArray
        Arc length of body stations, then distance of wake stations from the trailing edge [chords].
    q0, D : FloatArray
        Signed speeds without layers, and their change per signed mass defect, shapes (n,) and (n, n).
    stagnation : int
        The panel (node index of its first end) where the flow divides.
    trips : FloatArray
        Rows of side (0 lower, 1 upper), place on the body's arc [chords] and N added, shape (k, 3).
    rows_of_vanes : FloatArray
        See ``vanes``; their own trips stand in the last lines of ``trips`` and are filled here, shape (k,
        COLUMNS).
    tables : FloatArray
        What the row march found behind each row, shape (k, p, TABLE).
    told : FloatArray
        What ``vanes.act`` says of each row, filled, shape (k, TOLD).
    history : FloatArray
        Largest residual of each iteration, filled, shape (most,).
    gap : float
        Thickness of the trailing edge [chords].

    Returns
    -------
    status : int
        0 converged; 1 not converged; 2 a number broke down.
    iterations : int
    stagnation : int
        The panel where the flow divides in the end.
    """
    n = state.shape[0]
    nb = n_body
    js = stagnation
    sign = np.ones(n)
    sign[: js + 1] = -1.0
    work = new_work(n)
    M, rhs, change = np.empty((n, n)), np.empty(n), np.empty((n, 5))
    handed, shares = np.zeros((n, HANDED)), np.zeros(n)
    own_trips = trips.shape[0] - rows_of_vanes.shape[0]
    for iteration in range(most):
        mend = iteration == 0 or history[iteration - 1] > MENDING
        work.rows[:] = 0.0
        length = arc[js + 1] - arc[js]
        held = start_layers(state, js, length, reynolds, lag, critical, work)
        ua, ub = np.exp(state[js, 4]), np.exp(state[js + 1, 4])
        divide = arc[js] + length * ua / (ua + ub)
        if rows_of_vanes.shape[0] > 0:
            # the rows act on the layer as it stands; they settle with it
            for i in range(nb):
                shares[i] = turbulent_share(state[i, 3], critical)[0]
            act(
                rows_of_vanes, tables, state, arc, nb, divide, reynolds, critical, shares, own_trips, trips,
                handed, told,
            )  # fmt: skip
        worst = 0.0
        for side in range(2):
            residual = march_side(
                side, state, arc, nb, js, divide, trips, handed, reynolds, lag, critical, mend, work
            )
            worst = max(worst, residual)
        start_wake(state, nb, reynolds, lag, critical, work)
        worst = max(worst, march_wake(state, arc, nb, reynolds, lag, critical, work, gap))
        outer = outer_speed(state, sign, q0, D)
        worst = max(worst, close(state, sign, D, outer, held, work, M, rhs))
        history[iteration] = worst
        if not np.isfinite(worst):
            return BROKEN, iteration, js
        if worst < tolerance:
            return CONVERGED, iteration, js
        if not np.isfinite(np.sum(M) + np.sum(rhs)):
            return BROKEN, iteration, js
        scale = _changes(np.linalg.solve(M, rhs).astype(np.float64), work, js, change)
        if not np.isfinite(scale):
            return BROKEN, iteration, js
        moved = _step(state, change, scale, outer, held, js, nb)
        if moved != 0:
            js += moved
            sign[:nb] = 1.0
            sign[: js + 1] = -1.0
    return NOT_CONVERGED, most, js
