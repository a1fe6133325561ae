"""The simultaneous solution of the layers and wakes of several bodies with one outer flow.

The layers of a body know the others only through the speed at their edge. So ``elimination`` is done for each
body by itself, and one dense system over the mass defects of all stations closes them. With one body it is
the iteration of ``flow.integral.coupling``.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.bodies.march import march_side, march_wake
from slowflight.flow.integral.coupling import (
    BROKEN,
    CONVERGED,
    LEAST_SCALE,
    MENDING,
    MOST_H,
    MOST_H_VALUE,
    MOST_T,
    MOST_W,
    NOT_CONVERGED,
    mass_defects,
    outer_speed,
)
from slowflight.flow.integral.elimination import (
    LEAST_SPEED,
    Work,
    start_layers,
    start_wake,
)
from slowflight.flow.integral.layer import HANDED, RECORD, turbulent_share
from slowflight.flow.integral.vanes import act
from slowflight.flow.solution import FloatArray, IndexArray

# Least h = ln(H - 1), lower than for one body: air is sped up threefold on its way into a slot, and the wake
# of a flap beside air that has let go from the wing ahead is sped up on and on.
FULLEST_LAYER, FULLEST_WAKE = np.log(1e-3), np.log(1e-6)


@kernel
def _work_of(
    k: int, starts: IndexArray, room_from: IndexArray, room: FloatArray, records: FloatArray
) -> Work:
    """The elimination's space of one body, cut out of that of all."""
    n = starts[k + 1] - starts[k]
    rows = room[room_from[k] : room_from[k + 1]].reshape((n, 5, n + 1))
    first = starts[k] + k
    return Work(
        records[first : first + n + 1], rows, np.zeros(5), np.zeros((5, n + 1)), np.zeros(4),
        np.zeros((4, 5)), np.zeros((4, 5)), np.zeros((4, 4)), np.zeros((4, n + 1)),
    )  # fmt: skip


@kernel
def _fill(
    state: FloatArray, sign: FloatArray, mass: FloatArray, D: FloatArray, outer: FloatArray, first: int,
    held: int, work: Work, M: FloatArray, rhs: FloatArray,
) -> float:  # fmt: skip
    """Lines of the dense system that belong to one body; returns the largest mismatch of its speeds."""
    n, own = sign.size, state.shape[0]
    worst = 0.0
    for i in range(own):
        g = first + i
        u = np.exp(state[i, 4])
        if i == held:
            M[g, :] = 0.0
            M[g, g] = 1.0
            rhs[g] = 0.0
            if abs(outer[g]) > 3.0 * u:
                worst = max(worst, abs(outer[g]))
            continue
        miss = u - outer[g]
        worst = max(worst, abs(miss) / max(u, 0.2))
        rhs[g] = -miss - u * work.rows[i, 4, own]
        for c in range(n):
            M[g, c] = -sign[g] * D[g, c] * sign[c] * mass[c]
        for c in range(own):
            M[g, first + c] += u * work.rows[i, 4, c]
    return worst


@kernel
def _changes(x: FloatArray, rows: FloatArray, js: int, change: FloatArray) -> float:
    """Changes of one body's unknowns for changes x of its ln m; returns the share to be taken, or nan."""
    n = x.size
    scale = 1.0
    for i in range(n):
        for v in range(5):
            s = rows[i, v, n]
            for c in range(n):
                s += rows[i, v, c] * x[c]
            change[i, v] = s
        if not np.isfinite(change[i, 0] + change[i, 1] + change[i, 2] + change[i, 4]):
            return np.nan
        if i == js or i == js + 1:
            continue
        scale = min(scale, MOST_T / max(abs(change[i, 0]), 1e-30), MOST_H / max(abs(change[i, 1]), 1e-30))
        scale = min(scale, MOST_W / max(abs(change[i, 4]), 1e-30))
    return scale


@kernel
def _step(
    state: FloatArray, change: FloatArray, scale: float, outer: FloatArray, held: int, js: int, nb: int
) -> int:
    """Take a limited step on one body; returns by how many stations its stagnation panel moves."""
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
        state[i, 1] = max(FULLEST_LAYER if i < nb else FULLEST_WAKE, min(state[i, 1], MOST_H_VALUE))
        state[i, 4] += max(-MOST_W, min(MOST_W, scale * change[i, 4]))
    return moved if 1 < js + moved < nb - 3 else 0


@kernel
def newton_bodies(
    state: FloatArray, arc: FloatArray, starts: IndexArray, n_body: IndexArray, q0: FloatArray, D: FloatArray,
    gaps: FloatArray, closing: FloatArray, stagnation: IndexArray, trips: FloatArray, trip_from: IndexArray,
    rows_of_vanes: FloatArray, tables: FloatArray, row_from: IndexArray, told: FloatArray,
    reynolds: float, lag: float, critical: float, tolerance: float, most: int, history: FloatArray,
) -> tuple[int, int]:  # fmt: skip
    """Iterate all layers, wakes and the outer flow to convergence, in place.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w at the stations of each body and its wake, body after body, shape (n, 5).
        Changed in place.
    arc : FloatArray
        Arc length of body stations, then distance of wake stations from the trailing edge [main chords],
        shape (n,).
    starts : IndexArray
        First station of each body, and n, shape (bodies + 1,).
    n_body : IndexArray
        Stations on each body, wakes not counted, shape (bodies,).
    q0, D : FloatArray
        Signed speeds without layers, and their change per signed mass defect, shapes (n,) and (n, n).
    gaps, closing : FloatArray
        Thickness of each trailing edge and the length over which it closes [main chords], shape (bodies,).
    stagnation : IndexArray
        On each body, the panel where the flow divides; changed in place, shape (bodies,).
    trips, rows_of_vanes, tables, told : FloatArray
        As for ``coupling.newton``, those of each body together.
    trip_from, row_from : IndexArray
        Where the lines of each body begin, and their count, shape (bodies + 1,).
    history : FloatArray
        Largest residual of each iteration, filled, shape (most,).

    Returns
    -------
    status : int
        0 converged; 1 not converged; 2 a number broke down.
    iterations : int
    """
    n, count = state.shape[0], n_body.size
    sign = np.ones(n)
    room_from = np.zeros(count + 1, np.int64)
    for k in range(count):
        own = starts[k + 1] - starts[k]
        room_from[k + 1] = room_from[k] + own * 5 * (own + 1)
        sign[starts[k] : starts[k] + stagnation[k] + 1] = -1.0
    room = np.empty(room_from[count])
    records = np.zeros((n + count, RECORD))
    M, rhs, change = np.empty((n, n)), np.empty(n), np.empty((n, 5))
    handed, shares = np.zeros((n, HANDED)), np.zeros(n)
    held = np.empty(count, np.int64)
    for iteration in range(most):
        mend = iteration == 0 or history[iteration - 1] > MENDING
        room[:] = 0.0
        worst = 0.0
        for k in range(count):
            a, b, nb, js = starts[k], starts[k + 1], n_body[k], stagnation[k]
            mine, along, own_trips = state[a:b], arc[a:b], trips[trip_from[k] : trip_from[k + 1]]
            work = _work_of(k, starts, room_from, room, records)
            length = along[js + 1] - along[js]
            held[k] = start_layers(mine, js, length, reynolds, lag, critical, work)
            ua, ub = np.exp(mine[js, 4]), np.exp(mine[js + 1, 4])
            divide = along[js] + length * ua / (ua + ub)
            rows = rows_of_vanes[row_from[k] : row_from[k + 1]]
            if rows.shape[0] > 0:
                # the rows act on the layer as it stands; they settle with it
                for i in range(nb):
                    shares[a + i] = turbulent_share(mine[i, 3], critical)[0]
                act(
                    rows, tables[row_from[k] : row_from[k + 1]], mine, along, nb, divide, reynolds, critical,
                    shares[a:b], own_trips.shape[0] - rows.shape[0], own_trips, handed[a:b],
                    told[row_from[k] : row_from[k + 1]],
                )  # fmt: skip
            for side in range(2):
                residual = march_side(
                    side, mine, along, nb, js, divide, own_trips, handed[a:b], reynolds, lag,
                    critical, mend, work,
                )  # fmt: skip
                worst = max(worst, residual)
            start_wake(mine, nb, reynolds, lag, critical, work)
            worst = max(
                worst, march_wake(mine, along, nb, reynolds, lag, critical, work, gaps[k], closing[k])
            )
        outer = outer_speed(state, sign, q0, D)
        mass = mass_defects(state)
        for k in range(count):
            a, b = starts[k], starts[k + 1]
            work = _work_of(k, starts, room_from, room, records)
            worst = max(worst, _fill(state[a:b], sign, mass, D, outer, a, held[k], work, M, rhs))
        history[iteration] = worst
        # a maximum passes over a nan; sums do not
        if not np.isfinite(worst + M.sum() + rhs.sum()):
            return BROKEN, iteration
        if worst < tolerance:
            return CONVERGED, iteration
        if not np.isfinite(np.sum(M) + np.sum(rhs)):
            return BROKEN, iteration
        x = np.linalg.solve(M, rhs).astype(np.float64)
        scale = 1.0
        for k in range(count):
            a, b = starts[k], starts[k + 1]
            work = _work_of(k, starts, room_from, room, records)
            may = _changes(x[a:b], work.rows, stagnation[k], change[a:b])
            if not np.isfinite(may):
                return BROKEN, iteration
            scale = min(scale, may)
        scale = max(scale, LEAST_SCALE)
        for k in range(count):
            a, b, js, nb = starts[k], starts[k + 1], stagnation[k], n_body[k]
            moved = _step(state[a:b], change[a:b], scale, outer[a:b], held[k], js, nb)
            if moved != 0:
                js += moved
                stagnation[k] = js
                sign[a : a + nb] = 1.0
                sign[a : a + js + 1] = -1.0
    return NOT_CONVERGED, most
