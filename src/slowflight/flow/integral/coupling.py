"""The simultaneous solution of layers and outer flow by Newton's method.

Every interval of a layer is solved in inverse mode: given the changes of ln m (m the mass defect) at its ends, the
four layer equations give the changes of ln theta, ln S, N and ln u_e. That elimination has no singularity at
separation. Forward substitution from the stagnation point carries, for each station, the responses of all its
unknowns to the ln m of all stations; the condition that the layer's edge speed is the outer flow's then closes
one dense system of the order of the station count.

Source: own formulation of the simultaneous coupling of Drela and Giles, AIAA J. 25(10), 1987; that the interaction
must be solved together with the layer to pass separation: Veldman, J. Eng. Math. 65, 2009.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from slowflight.flow.integral.layer import RECORD, interval, station
from slowflight.flow.solution import FloatArray

STAGNATION_SHAPE = 2.2402  # H where friction, dissipation and acceleration balance at a stagnation point
STAGNATION_THICKNESS = 0.08430  # theta^2 (du/ds) / nu there, of the closure itself
TRIP_LENGTH = 0.008  # length over which a trip acts [chords]


@njit(cache=True, error_model="numpy")
def _ramp(x: float) -> float:
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    return x * x * (3.0 - 2.0 * x)


@njit(cache=True, error_model="numpy")
def outer_speed(state: FloatArray, sign: FloatArray, q0: FloatArray, D: FloatArray) -> FloatArray:
    """Speed of the outer flow at all stations for the present mass defects, in the stations' own direction."""
    n = sign.size
    F = np.empty(n)
    for i in range(n):
        F[i] = sign[i] * np.exp(state[i, 4] + state[i, 0]) * (1.0 + np.exp(state[i, 1]))
    return sign * (q0 + D @ F)


@njit(cache=True, error_model="numpy")
def forced_growth(a1: float, a2: float, trips: FloatArray) -> float:
    """N added between two distances from stagnation by trips given as rows (distance, amount)."""
    total = 0.0
    for k in range(trips.shape[0]):
        at = trips[k, 0]
        total += trips[k, 1] * (_ramp((a2 - at) / TRIP_LENGTH) - _ramp((a1 - at) / TRIP_LENGTH))
    return total


@njit(cache=True, error_model="numpy")
def newton(  # type: ignore[no-untyped-def]
    state: FloatArray, arc: FloatArray, n_body: int, q0: FloatArray, D: FloatArray, stagnation: int,
    trips_lower: FloatArray, trips_upper: FloatArray, mixing: FloatArray, jumps: FloatArray,
    reynolds: float, lag: float, critical: float, tolerance: float, most: int, history: FloatArray,
):  # fmt: skip
    """Iterate layers and outer flow to convergence, in place.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w at body stations (lower trailing edge, nose, upper trailing edge) and then in the
        wake from its second station, shape (n_body + n_wake, 5). Changed in place.
    arc : FloatArray
        Arc length of body stations, then distance of wake stations from the trailing edge [chords].
    q0, D : FloatArray
        Signed speeds without layers, and their change per signed mass defect, shapes (n,) and (n, n).
    stagnation : int
        The panel (node index of its first end) where the flow divides.
    trips_lower, trips_upper : FloatArray
        Rows of distance from stagnation [chords] and N added, shape (k, 2).
    mixing : FloatArray
        Square of added shear at each station, shape (n,).
    jumps : FloatArray
        Momentum thickness added in the interval that ends at each station [chords], shape (n,).
    history : FloatArray
        Largest residual of each iteration, filled, shape (most,).

    Returns
    -------
    status : int
        0 converged; 1 not converged; 2 the stagnation point left its panel; 3 a number broke down.
    iterations : int
    """
    n = state.shape[0]
    nb = n_body
    js = stagnation
    sign = np.ones(n)
    sign[: js + 1] = -1.0
    record = np.zeros((n + 1, RECORD))
    rows = np.zeros((n, 5, n + 1))  # responses to all d ln m; last column the constant part
    R, J1, J2 = np.zeros(4), np.zeros((4, 5)), np.zeros((4, 5))
    A, B = np.zeros((4, 4)), np.zeros((4, n + 1))
    wake0 = np.zeros(5)
    wake_rows = np.zeros((5, n + 1))
    length = arc[js + 1] - arc[js]
    for iteration in range(most):
        rows[:] = 0.0
        worst = 0.0
        # --- first stations on both sides: the closure's own stagnation layer
        ua, ub = np.exp(state[js, 4]), np.exp(state[js + 1, 4])
        gradient = (ua + ub) / length
        split = ua / (ua + ub) * length  # distance of the lower first station from the stagnation point
        for i in (js, js + 1):
            state[i, 0] = 0.5 * np.log(STAGNATION_THICKNESS / (gradient * reynolds))
            state[i, 1] = np.log(STAGNATION_SHAPE - 1.0)
            state[i, 3] = 0.0
            rows[i, 0, js] = -ua / (ua + ub)
            rows[i, 0, js + 1] = -ub / (ua + ub)
            rows[i, 4, js] = ua / (ua + ub)
            rows[i, 4, js + 1] = ub / (ua + ub)
            rows[i, 4, i] += 1.0
        for i in range(n):
            station(state[i], reynolds, lag, critical, mixing[i], i >= nb, record[i])
        for i in (js, js + 1):
            # shear starts at its held value: remove the mismatch without a response
            station(state[i], reynolds, lag, critical, 0.0, False, record[i])
            for _ in range(3):
                u = np.exp(state[i, 4])
                if abs(record[i, 18 + 3]) > 1e-30:
                    state[i, 2] -= max(-1.0, min(1.0, record[i, 18] / record[i, 18 + 3]))
                station(state[i], reynolds, lag, critical, 0.0, False, record[i])
        # --- march both sides
        for side in range(2):
            step = -1 if side == 0 else 1
            first = js if side == 0 else js + 1
            last = 0 if side == 0 else nb - 1
            trips = trips_lower if side == 0 else trips_upper
            distance = split if side == 0 else length - split
            i = first
            while i != last:
                k = i + step
                ds = abs(arc[k] - arc[i])
                forced = forced_growth(distance if i != first else -1.0, distance + ds, trips)
                interval(state[i], state[k], record[i], record[k], ds, forced, jumps[k], R, J1, J2)
                for e in range(3):
                    worst = max(worst, abs(R[e]))
                if state[i, 3] < critical + 1.5:
                    worst = max(worst, 0.1 * abs(R[3]))
                lo = min(k, js) if side == 0 else js
                hi = js + 1 if side == 0 else max(k, js + 1)
                _eliminate(state, k, R, J1, J2, rows[i], rows[k], lo, hi, n, A, B)
                distance += ds
                i = k
        # --- the wake starts with both layers
        tl, tu = np.exp(state[0, 0]), np.exp(state[nb - 1, 0])
        dl, du = tl * (1.0 + np.exp(state[0, 1])), tu * (1.0 + np.exp(state[nb - 1, 1]))
        sl, su = np.exp(state[0, 2]), np.exp(state[nb - 1, 2])
        tw, dw = tl + tu, dl + du
        sw = (tl * sl + tu * su) / tw
        hw = dw / tw
        wake0[0] = np.log(tw)
        wake0[1] = np.log(hw - 1.0)
        wake0[2] = np.log(sw)
        wake0[3] = critical + 10.0
        wake0[4] = 0.5 * (state[0, 4] + state[nb - 1, 4])
        kl, ku, kw = (dl / tl - 1.0) / (dl / tl), (du / tu - 1.0) / (du / tu), (hw - 1.0) / hw
        for c in range(n + 1):
            a0, a1, a2 = rows[0, 0, c], rows[0, 1, c], rows[0, 2, c]
            b0, b1, b2 = rows[nb - 1, 0, c], rows[nb - 1, 1, c], rows[nb - 1, 2, c]
            wake_rows[0, c] = (tl * a0 + tu * b0) / tw
            dd = (dl * (kl * a1 + a0) + du * (ku * b1 + b0)) / dw
            wake_rows[1, c] = (dd - wake_rows[0, c]) / kw
            wake_rows[2, c] = (tl * sl * (a0 + a2) + tu * su * (b0 + b2)) / (tw * sw) - wake_rows[0, c]
            wake_rows[3, c] = 0.0
            wake_rows[4, c] = 0.5 * (rows[0, 4, c] + rows[nb - 1, 4, c])
        station(wake0, reynolds, lag, critical, mixing[nb - 1], True, record[n])
        for k in range(nb, n):
            if k == nb:
                interval(wake0, state[k], record[n], record[k], arc[k], 0.0, 0.0, R, J1, J2)
                _eliminate(state, k, R, J1, J2, wake_rows, rows[k], 0, k, n, A, B)
            else:
                interval(state[k - 1], state[k], record[k - 1], record[k], arc[k] - arc[k - 1], 0.0, 0.0, R, J1, J2)
                _eliminate(state, k, R, J1, J2, rows[k - 1], rows[k], 0, k, n, A, B)
            for e in range(3):
                worst = max(worst, abs(R[e]))
        # --- the outer flow closes the system
        uq = outer_speed(state, sign, q0, D)
        M = np.empty((n, n))
        rhs = np.empty(n)
        mass = np.empty(n)
        for i in range(n):
            mass[i] = np.exp(state[i, 4] + state[i, 0]) * (1.0 + np.exp(state[i, 1]))
        for i in range(n):
            u = np.exp(state[i, 4])
            miss = u - uq[i]
            worst = max(worst, abs(miss) / max(u, 0.2))
            rhs[i] = -miss - u * rows[i, 4, n]
            for c in range(n):
                M[i, c] = u * rows[i, 4, c] - sign[i] * D[i, c] * sign[c] * mass[c]
        history[iteration] = worst
        if not np.isfinite(worst):
            return 3, iteration
        if worst < tolerance:
            return 0, iteration
        x = np.linalg.solve(M, rhs)
        # --- limited step
        change = np.empty((n, 5))
        scale = 1.0
        for i in range(n):
            for v in range(5):
                s = rows[i, v, n]
                for c in range(n):
                    s += rows[i, v, c] * x[c]
                change[i, v] = s
            if not np.isfinite(change[i, 0] + change[i, 1] + change[i, 2] + change[i, 4]):
                return 3, iteration
            for v, most_change in ((0, 0.5), (1, 0.6), (2, 1.0)):
                if abs(change[i, v]) * scale > most_change:
                    scale = most_change / abs(change[i, v])
            if i != js and i != js + 1 and abs(change[i, 4]) * scale > 0.3:
                scale = 0.3 / abs(change[i, 4])
        for i in range(n):
            for v in range(5):
                d = scale * change[i, v]
                if v == 3:
                    d = max(-3.0, min(3.0, d))
                if v == 4:
                    d = max(-0.7, min(0.7, d))
                state[i, v] += d
            state[i, 1] = min(state[i, 1], 7.0)
        # --- has the stagnation point left its panel?
        uq = outer_speed(state, sign, q0, D)
        if uq[js] < 0.0 or uq[js + 1] < 0.0:
            return 2, iteration
    return 1, most


@njit(cache=True, error_model="numpy")
def _eliminate(  # type: ignore[no-untyped-def]
    state: FloatArray, k: int, R: FloatArray, J1: FloatArray, J2: FloatArray, up: FloatArray, out: FloatArray,
    lo: int, hi: int, n: int, A: FloatArray, B: FloatArray,
):  # fmt: skip
    """Responses at station k from those of the station upstream: the interval solved for given d ln m."""
    h1 = np.exp(state[k, 1])
    kap = h1 / (1.0 + h1)
    for e in range(4):
        A[e, 0] = J2[e, 0] - J2[e, 1] / kap
        A[e, 1] = J2[e, 2]
        A[e, 2] = J2[e, 3]
        A[e, 3] = J2[e, 4] - J2[e, 1] / kap
        for c in range(lo, hi + 1):
            s = 0.0
            for v in range(5):
                s -= J1[e, v] * up[v, c]
            B[e, c] = s
        s = -R[e]
        for v in range(5):
            s -= J1[e, v] * up[v, n]
        B[e, n] = s
        B[e, k] -= J2[e, 1] / kap
    # 4 x 4 Gauss with row pivoting, all right-hand sides at once
    for p in range(4):
        big, at = abs(A[p, p]), p
        for e in range(p + 1, 4):
            if abs(A[e, p]) > big:
                big, at = abs(A[e, p]), e
        if at != p:
            for v in range(4):
                A[p, v], A[at, v] = A[at, v], A[p, v]
            for c in range(lo, hi + 1):
                B[p, c], B[at, c] = B[at, c], B[p, c]
            B[p, n], B[at, n] = B[at, n], B[p, n]
        for e in range(p + 1, 4):
            f = A[e, p] / A[p, p]
            for v in range(p, 4):
                A[e, v] -= f * A[p, v]
            for c in range(lo, hi + 1):
                B[e, c] -= f * B[p, c]
            B[e, n] -= f * B[p, n]
    for p in range(3, -1, -1):
        for e in range(p + 1, 4):
            f = A[p, e]
            for c in range(lo, hi + 1):
                B[p, c] -= f * B[e, c]
            B[p, n] -= f * B[e, n]
        f = 1.0 / A[p, p]
        for c in range(lo, hi + 1):
            B[p, c] *= f
        B[p, n] *= f
    for c in range(lo, hi + 1):
        out[0, c], out[2, c], out[3, c], out[4, c] = B[0, c], B[1, c], B[2, c], B[3, c]
        out[1, c] = -(B[0, c] + B[3, c]) / kap
    out[1, k] += 1.0 / kap
    out[0, n], out[2, n], out[3, n], out[4, n] = B[0, n], B[1, n], B[2, n], B[3, n]
    out[1, n] = -(B[0, n] + B[3, n]) / kap
