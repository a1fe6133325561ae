"""The march: steps along the skin, and what is read off the cross-plane at the places asked for."""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.row_march.stepping import Fields, Physics, step, swirl_energy
from slowflight.flow.solution import FloatArray

# columns of what is read off: lengths and speeds in the units of the plane
(
    CIRCULATION, CORE_Y, CORE_Z, PEAK, DISPLACEMENT, MOMENTUM, LOSS, FRICTION, LEAST, MOST, RESIDUAL, SWIRL,
    THICKNESS, ENERGY, HANDED_MOMENTUM, HANDED_ENERGY,
) = range(16)  # fmt: skip
COLUMNS = 16

RAN, REVERSED, FAILED, OUTGREW = 0, 1, 2, 3
SETTLING = 3.0  # vane heights behind the vanes in which their wake may reverse the flow at the skin
NEAR_SKIN = 0.25  # of the vane's height: nearer to the skin vorticity is not the vortex's
EDGE_OF_CORE = 0.1  # of peak vorticity: less is not counted to the vortex
STEP_GROWTH = 1.25  # most of one step over the one before
MOST_STEPS = 20000


@kernel
def read_off(
    plane: Plane, physics: Physics, now: Fields, edge: float, height: float, sense: float, row: FloatArray,
    shear: FloatArray, axial: FloatArray, speed: FloatArray,
) -> None:  # fmt: skip
    """Read integral values and span means off a plane.

    Parameters
    ----------
    plane, physics, now : Plane, Physics, Fields
        The cells, the constants, the fields.
    edge, height, sense : float
        Edge speed, vane height, and +1 for a vortex that goes up on its far side in z.
    row : FloatArray
        Filled, shape (COLUMNS,), but for the residual and what is handed over.
    shear, axial, speed : FloatArray
        Filled with -<u~ v~>, <u~ u~> and the span mean of the speed along the skin, shape (n,).
    """
    n, m = now.U.shape
    displacement, momentum, loss, thickness, kinetic = 0.0, 0.0, 0.0, plane.face[n], 0.0
    found = False
    before = 0.0
    for j in range(n):
        mean, square, up_mean, product = 0.0, 0.0, 0.0, 0.0
        for k in range(m):
            u = now.U[j, k]
            v = 0.5 * (now.V[j, k] + now.V[j + 1, k])
            mean += u / m
            square += u * u / m
            up_mean += v / m
            product += u * v / m
        speed[j] = mean
        axial[j] = square - mean * mean
        shear[j] = -(product - mean * up_mean)
        displacement += (1.0 - mean / edge) * plane.cell[j]
        momentum += mean / edge * (1.0 - mean / edge) * plane.cell[j]
        kinetic += mean / edge * (1.0 - (mean / edge) ** 2) * plane.cell[j]
        loss += (mean / edge - square / edge**2) * plane.cell[j]
        if not found and mean >= 0.99 * edge:
            found = True
            low = plane.center[j - 1] if j > 0 else 0.0
            share = (0.99 * edge - before) / max(mean - before, 1e-30)
            thickness = low + share * (plane.center[j] - low)
        before = mean
    row[DISPLACEMENT], row[MOMENTUM], row[LOSS], row[THICKNESS] = displacement, momentum, loss, thickness
    row[ENERGY] = kinetic
    total, least, most = 0.0, 1e30, -1e30
    for k in range(m):
        friction = physics.nu * now.U[0, k] / plane.gap[0] / (0.5 * edge * edge)
        total += friction / m
        least, most = min(least, friction), max(most, friction)
    row[FRICTION], row[LEAST], row[MOST] = total, least, most
    energy = 0.0
    for j in range(n):
        energy += now.swirl[0, j] * plane.cell[j]
    row[SWIRL] = energy
    row[CIRCULATION], row[PEAK], row[CORE_Y], row[CORE_Z] = 0.0, 0.0, 0.0, 0.0
    if m == 1:
        return
    turn = np.zeros((n + 1, m + 1))
    peak, jp, kp = 0.0, 0, 0
    first = 0 if plane.cyclic else 1
    for j in range(1, n):
        for k in range(first, m):
            turn[j, k] = sense * (
                (now.V[j, plane.cells[k + 2]] - now.V[j, plane.cells[k + 1]]) / plane.dz
                - (now.W[j, k] - now.W[j - 1, k]) / plane.gap[j]
            )
            if plane.face[j] > NEAR_SKIN * height and turn[j, k] > peak:
                peak, jp, kp = turn[j, k], j, k
        if plane.cyclic:
            turn[j, m] = turn[j, 0]
    if jp < 2 or jp > n - 2:
        return
    strength = 0.0
    for j in range(1, n):
        if plane.face[j] > NEAR_SKIN * height:
            for k in range(first, m):
                if turn[j, k] > EDGE_OF_CORE * peak:
                    strength += turn[j, k] * plane.gap[j] * plane.dz
    row[CIRCULATION], row[PEAK] = strength, peak
    # the peak between the cells: a parabola through three values each way
    left = turn[jp, kp - 1] if kp > 0 else turn[jp, m - 1]
    right = turn[jp, kp + 1]
    bend = left + right - 2.0 * peak
    z = plane.dz * kp
    if bend < 0.0:
        z += 0.5 * plane.dz * (left - right) / bend
    a, b = plane.face[jp] - plane.face[jp - 1], plane.face[jp + 1] - plane.face[jp]
    low, high = (peak - turn[jp - 1, kp]) / a, (turn[jp + 1, kp] - peak) / b
    bend = (high - low) / (0.5 * (a + b))
    y = plane.face[jp]
    if bend < 0.0:
        slope = (low * b + high * a) / (a + b)
        y += min(max(-slope / bend, -a), b)
    row[CORE_Y], row[CORE_Z] = y, z


@kernel
def vane_work(plane: Plane, speed: FloatArray, shear: FloatArray) -> float:
    """Work of the vortices' shear stress on the span mean: the integral of q dU/dy over the layer.

    Parameters
    ----------
    plane : Plane
        The cells.
    speed, shear : FloatArray
        Span mean of the speed along the skin, and q = -<u~ v~>, shape (n,).

    Returns
    -------
    float
        In units of speed cubed.
    """
    total = 0.0
    for j in range(1, speed.size):
        share = (plane.face[j] - plane.center[j - 1]) / plane.gap[j]
        total += ((1.0 - share) * shear[j - 1] + share * shear[j]) * (speed[j] - speed[j - 1])
    return total


@kernel
def march(
    plane: Plane, physics: Physics, now: Fields, arc: FloatArray, speed: FloatArray, curvature: FloatArray,
    height: float, sense: float, courant: float, longest: float, stretch: float, first: float,
    stop_at_reversal: bool, rows: FloatArray, shear: FloatArray, axial: FloatArray,
) -> tuple[int, int, float, int]:  # fmt: skip
    """March from arc[0] to arc[-1].

    Parameters
    ----------
    plane, physics, now : Plane, Physics, Fields
        The cells, the constants, the fields at arc[0], changed in place.
    arc, speed, curvature : FloatArray
        Where results are wanted, edge speed and curvature of the skin there, shape (k,).
    height, sense : float
        As for `read_off`.
    courant, longest, stretch, first : float
        Step over the time of crossing a cell; longest step, and longest over the distance from the start;
        first step.
    stop_at_reversal : bool
        Stop where the flow along the skin reverses anywhere across.
    rows, shear, axial : FloatArray
        Filled with what `read_off` gives at each place, shapes (k, COLUMNS), (k, n), (k, n).

    Returns
    -------
    tuple of (int, int, float, int)
        RAN, REVERSED, FAILED or OUTGREW; how many places were reached; where it stopped; steps taken.
    """
    n, m = now.U.shape
    count = len(arc)
    swirl_energy(now.V, now.swirl[0])
    now.swirl[1] = now.swirl[0]
    old_row, new_row = np.zeros(COLUMNS), np.zeros(COLUMNS)
    old_shear, new_shear, old_axial, new_axial = np.zeros(n), np.zeros(n), np.zeros(n), np.zeros(n)
    old_mean, new_mean = np.zeros(n), np.zeros(n)
    read_off(plane, physics, now, speed[0], height, sense, new_row, new_shear, new_axial, new_mean)
    rows[0], shear[0], axial[0] = new_row, new_shear, new_axial
    start = speed[0] ** 2 * new_row[LOSS]
    balance = 0.0
    s, ds, before = arc[0], first, 0.0
    reached, piece = 1, 0
    for number in range(MOST_STEPS):
        if reached == count:
            return RAN, reached, s, number
        while piece < count - 2 and arc[piece + 1] <= s:
            piece += 1
        slope = (speed[piece + 1] - speed[piece]) / (arc[piece + 1] - arc[piece])
        edge_from = speed[piece] + slope * (s - arc[piece])
        bend = curvature[piece]
        rate = 1e-30
        for j in range(n):
            for k in range(m):
                v = max(abs(now.V[j, k]), abs(now.V[j + 1, k])) / plane.cell[j]
                w = max(abs(now.W[j, k]), abs(now.W[j, k + 1])) / plane.dz
                rate = max(rate, (v + w) / max(now.U[j, k], physics.slowest * edge_from))
        ds = min(
            max(longest, stretch * (s - arc[0])),
            courant / rate,
            STEP_GROWTH * before if before > 0.0 else first,
        )
        ds = min(ds, arc[count - 1] - s + 1e-9 * longest)
        edge_to = edge_from + slope * ds
        if s + ds > arc[piece + 1] and piece < count - 2:
            next_slope = (speed[piece + 2] - speed[piece + 1]) / (arc[piece + 2] - arc[piece + 1])
            edge_to = speed[piece + 1] + next_slope * (s + ds - arc[piece + 1])
        old_row[:], old_shear[:], old_axial[:], old_mean[:] = new_row, new_shear, new_axial, new_mean
        fed = 0.0
        if physics.feed > 0.0 and before > 0.0:
            for j in range(n):
                fed += (now.swirl[0, j] - now.swirl[1, j]) / before * ds * plane.cell[j] * old_mean[j]
        given = step(plane, physics, now, edge_from, edge_to, bend, ds, before)
        before = ds
        read_off(plane, physics, now, edge_to, height, sense, new_row, new_shear, new_axial, new_mean)
        if (
            not np.isfinite(new_row).all()
            or np.abs(now.W).max() > 3.0 * edge_to
            or now.U.max() > 2.0 * edge_to
        ):
            return FAILED, reached, s, number + 1
        if stop_at_reversal and new_row[LEAST] < 0.0 and s - arc[0] > SETTLING * height:
            return REVERSED, reached, s, number + 1
        if physics.skin > 0.0 and new_row[MOMENTUM] <= 0.0:
            return FAILED, reached, s, number + 1
        if new_row[THICKNESS] > 0.75 * plane.face[n] or new_row[CORE_Y] > 0.75 * plane.face[n]:
            return OUTGREW, reached, s, number + 1
        balance += 0.5 * edge_to**2 * new_row[FRICTION] * ds * physics.skin + -given
        balance -= (edge_to - edge_from) * (
            0.5 * (old_row[DISPLACEMENT] * edge_from + new_row[DISPLACEMENT] * edge_to)
        )
        now_loss = edge_to**2 * new_row[LOSS]
        new_row[RESIDUAL] = (now_loss - start - balance) / now_loss if physics.skin > 0.0 else 0.0
        # what the span mean gets from the vortices: momentum and kinetic energy, over the edge speed's powers
        momentum, energy = -given, -fed
        for j in range(n):
            more = (new_axial[j] - old_axial[j]) * plane.cell[j]
            momentum += more
            energy += 0.5 * (old_mean[j] + new_mean[j]) * more
        energy += 0.5 * ds * (vane_work(plane, old_mean, old_shear) + vane_work(plane, new_mean, new_shear))
        middle = 0.5 * (edge_from + edge_to)
        new_row[HANDED_MOMENTUM] += momentum / middle**2
        new_row[HANDED_ENERGY] += energy / middle**3
        while reached < count and arc[reached] <= s + ds * (1.0 + 1e-9):
            share = min((arc[reached] - s) / ds, 1.0)
            rows[reached] = (1.0 - share) * old_row + share * new_row
            shear[reached] = (1.0 - share) * old_shear + share * new_shear
            axial[reached] = (1.0 - share) * old_axial + share * new_axial
            reached += 1
        s += ds
    return FAILED, reached, s, MOST_STEPS
