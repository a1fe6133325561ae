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

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.layer import (
    GROWTH,
    LAG,
    RECORD,
    SPREADING,
    interval,
    log_mean,
    spread_over,
    station,
    turbulent_share,
)
from slowflight.flow.integral.vanes import act
from slowflight.flow.solution import FloatArray

STAGNATION_SHAPE = 2.2402  # H where friction, dissipation and acceleration balance at a stagnation point
STAGNATION_THICKNESS = 0.08430  # theta^2 (du/ds) / nu there, of the closure itself
TRIP_LENGTH = 0.008  # length over which a trip acts [chords]
MOST_T, MOST_H, MOST_W = 0.5, 0.6, 0.3  # largest change of ln theta, h and ln u in one step
LEAST_SCALE = 0.2  # a step is shortened to this at most; single stations are clipped beyond
LEAST_H, LEAST_H_WAKE = np.log(0.08), np.log(0.002)  # lowest h = ln(H - 1) on the body and in the wake
LEAST_SPEED = 1e-3  # a station this close to stagnation, as a share of its panel, is held
JUMP_STATIONS = 4  # stations by which transition may move downstream in one step
TRIP_AHEAD = 0.015  # least distance of a trip from stagnation [chords]


@kernel
def _ramp(x: float) -> float:
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    return x * x * (3.0 - 2.0 * x)


@kernel
def outer_speed(state: FloatArray, sign: FloatArray, q0: FloatArray, D: FloatArray) -> FloatArray:
    """Speed of the outer flow at all stations for the present mass defects, in the stations' own direction."""
    n = sign.size
    F = np.empty(n)
    for i in range(n):
        F[i] = sign[i] * np.exp(state[i, 4] + state[i, 0]) * (1.0 + np.exp(state[i, 1]))
    return sign * (q0 + D @ F)


@kernel
def forced_growth(a1: float, a2: float, trips: FloatArray, side: int, divide: float) -> float:
    """N added between two distances from stagnation by the trips of one side.

    Trips are rows (side, place on the body's arc, amount); one that the stagnation point has come close to acts
    ``TRIP_AHEAD`` behind it, since a layer that thin cannot be turbulent.
    """
    total = 0.0
    for k in range(trips.shape[0]):
        if int(trips[k, 0]) != side:
            continue
        at = max((trips[k, 1] - divide) * (1.0 if side == 1 else -1.0), TRIP_AHEAD)
        total += trips[k, 2] * (_ramp((a2 - at) / TRIP_LENGTH) - _ramp((a1 - at) / TRIP_LENGTH))
    return total


@kernel
def follow(  # type: ignore[no-untyped-def]
    q1: FloatArray, q2: FloatArray, c1: FloatArray, c2: FloatArray, ds: float, forced: float,
    reynolds: float, lag: float, critical: float, mixing: float, wake: bool,
):  # fmt: skip
    """Solve the amplification and then the lag equation for N and S at the downstream end, and fill its record.

    Both are carried downstream only and each has one root, so they are kept satisfied between Newton steps:
    a guess of theta, H and u then never drags an old transition along.
    """
    if not wake:
        base = q1[3] + 0.5 * ds * c1[GROWTH] + spread_over(ds, np.exp(q1[0]))[0] * c1[SPREADING] + forced
        q2[3] = -1e3
        station(q2, reynolds, lag, critical, mixing, wake, c2)
        most = 0.5 * ds * c2[GROWTH]
        n = base + most
        if n > critical:
            lo, hi = base, n
            for _ in range(40):
                share, share_n = turbulent_share(n, critical)
                g = n - base - most * (1.0 - share)
                if g > 0.0:
                    hi = n
                else:
                    lo = n
                n -= g / (1.0 + most * share_n)
                if not lo <= n <= hi:
                    n = 0.5 * (lo + hi)
                if hi - lo < 1e-12 or abs(g) < 1e-13:
                    break
        q2[3] = n
    station(q2, reynolds, lag, critical, mixing, wake, c2)
    lam = ds / log_mean(np.exp(q1[4]), np.exp(q2[4]))[0]
    # a2 - a1 - lam (pull - rate e^a2), increasing in a2
    rate = -c2[LAG + 3] / np.exp(q2[2])
    pull = c2[LAG] + rate * np.exp(q2[2])
    a = max(q1[2], np.log(max(pull / rate, 1e-6)))
    for _ in range(30):
        s = rate * np.exp(a)
        d = (a - q1[2] - lam * (pull - s)) / (1.0 + lam * s)
        a -= d
        if abs(d) < 1e-13:
            break
    q2[2] = a
    station(q2, reynolds, lag, critical, mixing, wake, c2)


@kernel
def newton(  # type: ignore[no-untyped-def]
    state: FloatArray, arc: FloatArray, n_body: int, q0: FloatArray, D: FloatArray, stagnation: int,
    trips: FloatArray, rows_of_vanes: FloatArray, told: FloatArray,
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
    trips : FloatArray
        Rows of side (0 lower, 1 upper), place on the body's arc [chords] and N added, shape (k, 3).
    rows_of_vanes : FloatArray
        See ``vanes``; their own trips stand in the last lines of ``trips`` and are filled here, shape (k, COLUMNS).
    told : FloatArray
        What ``vanes.act`` says of each row, filled, shape (k, 6).
    history : FloatArray
        Largest residual of each iteration, filled, shape (most,).

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
    record = np.zeros((n + 1, RECORD))
    rows = np.zeros((n, 5, n + 1))  # responses to all d ln m; last column the constant part
    R, J1, J2 = np.zeros(4), np.zeros((4, 5)), np.zeros((4, 5))
    A, B = np.zeros((4, 4)), np.zeros((4, n + 1))
    wake0 = np.zeros(5)
    wake_rows = np.zeros((5, n + 1))
    mixing, jumps, shares = np.zeros(n), np.zeros(n), np.zeros(n)
    own_trips = trips.shape[0] - rows_of_vanes.shape[0]
    length = arc[js + 1] - arc[js]
    for iteration in range(most):
        # far from the answer the state is mended where transition has moved; near it that would only cycle
        resetting = iteration == 0 or history[iteration - 1] > 0.15
        rows[:] = 0.0
        worst = 0.0
        # --- first stations on both sides: the closure's own stagnation layer
        ua, ub = np.exp(state[js, 4]), np.exp(state[js + 1, 4])
        gradient = (ua + ub) / length
        held = -1
        split = ua / (ua + ub) * length  # distance of the lower first station from the stagnation point
        for i in (js, js + 1):
            state[i, 0] = 0.5 * np.log(STAGNATION_THICKNESS / (gradient * reynolds))
            state[i, 1] = np.log(STAGNATION_SHAPE - 1.0)
            state[i, 3] = 0.0
            rows[i, 0, js] = -ua / (ua + ub)
            rows[i, 0, js + 1] = -ub / (ua + ub)
            if state[i, 4] <= np.log(1.0001 * LEAST_SPEED * (ua + ub)):
                # stagnation lies on this node: its speed is held, since its logarithm has no finite answer
                held = i
                state[i, 4] = np.log(LEAST_SPEED * (ua + ub))
                continue
            rows[i, 4, js] = ua / (ua + ub)
            rows[i, 4, js + 1] = ub / (ua + ub)
            rows[i, 4, i] += 1.0
        for i in (js, js + 1):
            # shear starts at its held value: remove the mismatch without a response
            station(state[i], reynolds, lag, critical, 0.0, False, record[i])
            for _ in range(3):
                u = np.exp(state[i, 4])
                state[i, 2] -= max(-1.0, min(1.0, record[i, LAG] / record[i, LAG + 3]))
                station(state[i], reynolds, lag, critical, 0.0, False, record[i])
        # --- the rows act on the layer as it stands; they settle with it
        if rows_of_vanes.shape[0] > 0:
            for i in range(nb):
                shares[i] = turbulent_share(state[i, 3], critical)[0]
            act(
                rows_of_vanes, state, arc, nb, arc[js] + split, reynolds, critical, shares, own_trips, trips, mixing,
                jumps, told,
            )  # fmt: skip
        # --- march both sides
        for side in range(2):
            step = -1 if side == 0 else 1
            first = js if side == 0 else js + 1
            last = 0 if side == 0 else nb - 1
            
            distance = split if side == 0 else length - split
            allowed = first
            while allowed != last and state[allowed, 3] < critical + 0.5:
                allowed += step
            allowed += JUMP_STATIONS * step
            i = first
            while i != last:
                k = i + step
                ds = abs(arc[k] - arc[i])
                forced = forced_growth(distance if i != first else -1.0, distance + ds, trips, side, arc[js] + split)
                before = state[k, 3]
                follow(state[i], state[k], record[i], record[k], ds, forced, reynolds, lag, critical, mixing[k], False)
                if resetting and state[k, 3] < critical + 0.02 and before > critical + 0.5:
                    # newly laminar: its shape factor is a turbulent one, in which nothing would ever grow
                    if (k - allowed) * step >= 0:
                        forced += critical + 2.0 - state[k, 3]
                        worst = max(worst, 0.01)
                    else:
                        state[k, 1] = state[i, 1]
                        state[k, 0] = state[i, 0]
                    follow(
                        state[i], state[k], record[i], record[k], ds, forced, reynolds, lag, critical, mixing[k], False
                    )
                elif resetting and state[k, 3] > critical + 0.98 and before < critical + 0.5 and state[k, 1] > 0.1:
                    state[k, 1] = max(0.1, state[k, 1] - 0.5)
                    follow(
                        state[i], state[k], record[i], record[k], ds, forced, reynolds, lag, critical, mixing[k], False
                    )
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
        station(wake0, reynolds, lag, critical, 0.0, True, record[n])
        for k in range(nb, n):
            if k == nb:
                follow(wake0, state[k], record[n], record[k], arc[k], 0.0, reynolds, lag, critical, mixing[k], True)
                interval(wake0, state[k], record[n], record[k], arc[k], 0.0, 0.0, R, J1, J2)
                _eliminate(state, k, R, J1, J2, wake_rows, rows[k], 0, k, n, A, B)
            else:
                follow(
                    state[k - 1], state[k], record[k - 1], record[k], arc[k] - arc[k - 1], 0.0,
                    reynolds, lag, critical, mixing[k], True,
                )  # fmt: skip
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
            if i == held:
                M[i, :] = 0.0
                M[i, i] = 1.0
                rhs[i] = 0.0
                if abs(uq[i]) > 3.0 * u:
                    worst = max(worst, abs(uq[i]))
                continue
            miss = u - uq[i]
            worst = max(worst, abs(miss) / max(u, 0.2))
            rhs[i] = -miss - u * rows[i, 4, n]
            for c in range(n):
                M[i, c] = u * rows[i, 4, c] - sign[i] * D[i, c] * sign[c] * mass[c]
        history[iteration] = worst
        if not np.isfinite(worst):
            return 2, iteration, js
        if worst < tolerance:
            return 0, iteration, js
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
                return 2, iteration, js
            if i == js or i == js + 1:
                continue
            scale = min(scale, MOST_T / max(abs(change[i, 0]), 1e-30), MOST_H / max(abs(change[i, 1]), 1e-30))
            scale = min(scale, MOST_W / max(abs(change[i, 4]), 1e-30))
        scale = max(scale, LEAST_SCALE)
        moved = 0
        for i in range(n):
            if i == js or i == js + 1:
                # the speed of a first station may pass through zero: it then belongs to the other side
                u = uq[i] if i == held else np.exp(state[i, 4]) * (1.0 + scale * change[i, 4])
                state[i, 4] = np.log(max(abs(u), LEAST_SPEED * (ua + ub)))
                if u < 0.0 and abs(u) > LEAST_SPEED * (ua + ub):
                    moved += 1 if i == js + 1 else -1
                continue
            # N and S follow from the others
            state[i, 0] += max(-MOST_T, min(MOST_T, scale * change[i, 0]))
            state[i, 1] += max(-MOST_H, min(MOST_H, scale * change[i, 1]))
            state[i, 1] = max(LEAST_H if i < nb else LEAST_H_WAKE, min(state[i, 1], 7.0))
            state[i, 4] += max(-MOST_W, min(MOST_W, scale * change[i, 4]))
        if moved != 0 and 1 < js + moved < nb - 3:
            js += moved
            sign[:nb] = 1.0
            sign[: js + 1] = -1.0
            length = arc[js + 1] - arc[js]
    return 1, most, js


@kernel
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
