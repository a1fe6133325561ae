"""The simultaneous solution of layers, wakes and outer flow of one or several bodies by Newton's method.

The layers of a body know the others only through the speed at their edge. So ``elimination`` is done for each
body by itself, and the condition that each layer's edge speed is the outer flow's closes the responses to one
dense system of the order of the station count, for the changes of all ln m.

Most of the time goes into that system. Close to the answer its factors are therefore used again for as long
as the residual keeps falling fast, with residuals that are always fresh: the answer is the same, and such a
step costs a tenth.

Source: own formulation of the simultaneous coupling of Drela and Giles, AIAA J. 25(10), 1987; that the
interaction must be solved together with the layer to pass separation: Veldman, J. Eng. Math. 65, 2009.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.linalg.lapack import dgetrf, dgetrs

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.elimination import (
    LEAST_SPEED,
    Work,
    march_side,
    march_wake,
    start_layers,
    start_wake,
)
from slowflight.flow.integral.layer import HANDED, RECORD, turbulent_share
from slowflight.flow.integral.vanes import TOLD, act
from slowflight.flow.solution import FloatArray, IndexArray

MOST_T, MOST_H, MOST_W = 0.5, 0.6, 0.3  # largest change of ln theta, h and ln u in one step
FULL = np.log(0.05)  # h below which its own fall does not shorten a step
LEAST_SCALE = 0.2  # a step is shortened to this at most; single stations are clipped beyond
LEAST_H, LEAST_H_WAKE, MOST_H_VALUE = np.log(1e-3), np.log(0.002), 7.0  # bounds of h = ln(H - 1)
# Beside other bodies wakes get fuller: air beside the wake of a flap that the wing ahead has let go is sped
# up on and on.
LEAST_H_WAKE_BESIDE = np.log(1e-6)
MENDING = 0.15  # residual above which stations over which transition has moved are mended
# Residual below which a step may be taken with factors of an earlier one; from farther away such steps go
# astray at transition (tried on random sections).
KEPT_BELOW = 1e-4
EXPECTED_ABOVE = 3e-3  # residual that a full step is not expected to bring below KEPT_BELOW
FALLING = 0.3  # share of the residual that such a step has to leave at most, or the factors are made anew
SLOPES = (-8.0, 0.5)  # least and largest change of the gate that a layer leaves for a change of that in force
SAME_SPEED = 5e-4  # share within which the Reynolds number is that of the lift found
MOST_SPEEDS = 8
NEARLY = 1e-3  # residual at which the lift is near enough to take the speed of the next round from

CONVERGED, NOT_CONVERGED, BROKEN, NO_COMMON_SPEED = 0, 1, 2, 3


@kernel
def mass_defects(state: FloatArray) -> FloatArray:
    """Edge speed times displacement thickness at all stations [chords]."""
    return np.exp(state[:, 4] + state[:, 0]) * (1.0 + np.exp(state[:, 1]))


@kernel
def outer_speed(state: FloatArray, sign: FloatArray, q0: FloatArray, D: FloatArray) -> FloatArray:
    """Speed of the outer flow at all stations for the present mass defects, along the stations' own way."""
    return sign * (q0 + D @ (sign * mass_defects(state)))


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
        np.zeros((4, 5)), np.zeros((4, 5)), np.zeros((4, 4)), np.zeros((4, 7)),
    )  # fmt: skip


@kernel
def _march(
    state: FloatArray, arc: FloatArray, starts: IndexArray, n_body: IndexArray, gaps: FloatArray,
    closing: FloatArray, stagnation: IndexArray, trips: FloatArray, trip_from: IndexArray,
    rows_of_vanes: FloatArray, tables: FloatArray, row_from: IndexArray, gates: FloatArray, told: FloatArray,
    handed: FloatArray, reynolds: float, lag: float, critical: float, slot: bool, mend: bool, columns: bool,
    held: IndexArray, room_from: IndexArray, room: FloatArray, records: FloatArray,
) -> float:  # fmt: skip
    """Linearize the layers of all bodies; returns their largest residual."""
    worst = 0.0
    shares = np.zeros(state.shape[0])
    for k in range(n_body.size):
        a, b, nb, js = starts[k], starts[k + 1], n_body[k], stagnation[k]
        mine, along, own_trips = state[a:b], arc[a:b], trips[trip_from[k] : trip_from[k + 1]]
        work = _work_of(k, starts, room_from, room, records)
        if columns:
            work.rows[:] = 0.0
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
                shares[a:b], own_trips.shape[0] - rows.shape[0], own_trips,
                gates[row_from[k] : row_from[k + 1]], handed[a:b], told[row_from[k] : row_from[k + 1]],
            )  # fmt: skip
        for side in range(2):
            residual = march_side(
                side, mine, along, nb, js, divide, own_trips, handed[a:b], reynolds, lag, critical, mend,
                slot, columns, work,
            )  # fmt: skip
            worst = max(worst, residual)
        start_wake(mine, nb, reynolds, lag, critical, columns, work)
        residual = march_wake(
            mine, along, nb, reynolds, lag, critical, gaps[k], closing[k], slot, columns, work
        )
        worst = max(worst, residual)
    return worst


@kernel
def _close(
    state: FloatArray, starts: IndexArray, sign: FloatArray, outer: FloatArray, held: IndexArray,
    room_from: IndexArray, room: FloatArray, rhs: FloatArray,
) -> float:  # fmt: skip
    """Fill the dense system's right-hand side; returns the largest mismatch of the speeds."""
    worst = 0.0
    for k in range(held.size):
        a, own = starts[k], starts[k + 1] - starts[k]
        rows = room[room_from[k] : room_from[k + 1]].reshape((own, 5, own + 1))
        for i in range(own):
            g = a + i
            u = np.exp(state[g, 4])
            if i == held[k]:
                rhs[g] = 0.0
                if abs(outer[g]) > 3.0 * u:
                    worst = max(worst, abs(outer[g]))
                continue
            miss = u - outer[g]
            worst = max(worst, abs(miss) / max(u, 0.2))
            rhs[g] = -miss - u * rows[i, 4, own]
    return worst


@kernel
def _fill(
    state: FloatArray, starts: IndexArray, sign: FloatArray, D: FloatArray, held: IndexArray,
    room_from: IndexArray, room: FloatArray, M: FloatArray,
) -> None:  # fmt: skip
    """Fill the dense system for the changes of ln m."""
    signed = sign * mass_defects(state)
    n = signed.size
    for k in range(held.size):
        a, own = starts[k], starts[k + 1] - starts[k]
        rows = room[room_from[k] : room_from[k + 1]].reshape((own, 5, own + 1))
        for i in range(own):
            g = a + i
            if i == held[k]:
                M[g, :] = 0.0
                M[g, g] = 1.0
                continue
            u, s = np.exp(state[g, 4]), sign[g]
            for c in range(n):
                M[g, c] = -s * D[g, c] * signed[c]
            line, response = M[g, a : a + own], rows[i, 4]
            for c in range(own):
                line[c] += u * response[c]


@kernel
def _changes(
    x: FloatArray, state: FloatArray, starts: IndexArray, stagnation: IndexArray, room_from: IndexArray,
    room: FloatArray, change: FloatArray,
) -> float:  # fmt: skip
    """Changes of all unknowns for changes x of ln m; returns the share to be taken, nan where broken."""
    scale = 1.0
    for k in range(stagnation.size):
        a, own, js = starts[k], starts[k + 1] - starts[k], stagnation[k]
        rows = room[room_from[k] : room_from[k + 1]].reshape((5 * own, own + 1))
        by = np.ones(own + 1)
        by[:own] = x[a : a + own]
        mine = np.dot(rows, by).reshape((own, 5))
        change[a : a + own] = mine
        for i in range(own):
            if not np.isfinite(mine[i, 0] + mine[i, 1] + mine[i, 2] + mine[i, 4]):
                return np.nan
            if i == js or i == js + 1:
                continue
            scale = min(scale, MOST_T / max(abs(mine[i, 0]), 1e-30))
            # where hardly any defect is left ln (H - 1) may run far and nothing else with it
            if mine[i, 1] > 0.0 or state[a + i, 1] > FULL:
                scale = min(scale, MOST_H / max(abs(mine[i, 1]), 1e-30))
            scale = min(scale, MOST_W / max(abs(mine[i, 4]), 1e-30))
    return max(scale, LEAST_SCALE)


@kernel
def _step(
    state: FloatArray, change: FloatArray, scale: float, outer: FloatArray, starts: IndexArray,
    n_body: IndexArray, held: IndexArray, slot: bool, stagnation: IndexArray, sign: FloatArray,
) -> bool:  # fmt: skip
    """Take a limited step; returns whether a stagnation panel moves."""
    any_moved = False
    least_wake = LEAST_H_WAKE_BESIDE if slot else LEAST_H_WAKE
    for k in range(n_body.size):
        a, nb, js = starts[k], n_body[k], stagnation[k]
        least = LEAST_SPEED * (np.exp(state[a + js, 4]) + np.exp(state[a + js + 1, 4]))
        moved = 0
        for i in range(starts[k + 1] - a):
            q, by = state[a + i], change[a + i]
            if i == js or i == js + 1:
                # the speed of a first station may pass through zero: it then belongs to the other side
                u = outer[a + i] if i == held[k] else np.exp(q[4]) * (1.0 + scale * by[4])
                q[4] = np.log(max(abs(u), least))
                if u < -least:
                    moved += 1 if i == js + 1 else -1
                continue
            # N and S follow from the others
            q[0] += max(-MOST_T, min(MOST_T, scale * by[0]))
            q[1] += max(-MOST_H, min(MOST_H, scale * by[1]))
            q[1] = max(LEAST_H if i < nb else least_wake, min(q[1], MOST_H_VALUE))
            q[4] += max(-MOST_W, min(MOST_W, scale * by[4]))
        if moved != 0 and 1 < js + moved < nb - 3:
            any_moved = True
            js += moved
            stagnation[k] = js
            sign[a : a + nb] = 1.0
            sign[a : a + js + 1] = -1.0
    return any_moved


@dataclass(frozen=True, kw_only=True)
class CoupledFlow:
    """Bodies with their wakes in one outer flow at one angle of attack.

    Parameters
    ----------
    arc : FloatArray
        Arc length of body stations, then distance of wake stations from the trailing edge [main chords],
        body after body, shape (n,).
    starts : IndexArray
        First station of each body, and n, shape (bodies + 1,).
    n_body : IndexArray
        Stations on each body, wakes not counted, shape (bodies,).
    q0, D : FloatArray
        Signed speeds without layers, and their change per signed mass defect, shapes (n,) and (n, n).
    gaps, closing : FloatArray
        Thickness of each trailing edge and the length over which it closes [main chords], shape (bodies,).
    trips : FloatArray
        Rows of side (0 lower, 1 upper), place on the body's arc [main chords] and N added, those of each body
        together, shape (k, 3).
    rows_of_vanes : FloatArray
        See ``vanes``; their own trips stand in the last lines of each body's ``trips``, shape (r, COLUMNS).
    tables : FloatArray
        What the row march found behind each row, shape (r, p, TABLE).
    trip_from, row_from : IndexArray
        Where the lines of each body begin, and their count, shape (bodies + 1,).
    lag, critical : float
        Lag constant and critical amplification factor [-].
    slot : bool
        Whether layers are held from getting too full, see ``full_layer``: with several bodies.
    """

    arc: FloatArray
    starts: IndexArray
    n_body: IndexArray
    q0: FloatArray
    D: FloatArray
    gaps: FloatArray
    closing: FloatArray
    trips: FloatArray
    rows_of_vanes: FloatArray
    tables: FloatArray
    trip_from: IndexArray
    row_from: IndexArray
    lag: float
    critical: float
    slot: bool


class Newton:
    """Brings a state to convergence, in place, at one Reynolds number after another.

    Parameters
    ----------
    flow : CoupledFlow
        Its ``trips`` are changed in place where rows of vanes trip.
    state : FloatArray
        Unknowns t, h, a, N, w at the stations of each body (lower trailing edge, nose, upper trailing edge)
        and then of its wake from the second station on, body after body, shape (n, 5); changed in place.
    stagnation : IndexArray
        On each body, the panel (its first end) where the flow divides; changed in place, shape (bodies,).

    Attributes
    ----------
    history : list of float
        Largest residual of each iteration.
    told : FloatArray
        What ``vanes.act`` says of each row, shape (r, TOLD).
    factored : int
        Dense systems factored.
    """

    def __init__(self, flow: CoupledFlow, state: FloatArray, stagnation: IndexArray) -> None:
        self.flow, self.state, self.stagnation = flow, state, stagnation
        self.history: list[float] = []
        self.told = np.zeros((flow.rows_of_vanes.shape[0], TOLD))
        self.factored = 0
        self._gates = np.full(self.told.shape[0], np.nan)
        self._gates_past: list[tuple[FloatArray, FloatArray]] = []
        n, starts = state.shape[0], flow.starts
        self._sign = np.ones(n)
        for a, js in zip(starts[:-1], stagnation, strict=True):
            self._sign[a : a + js + 1] = -1.0
        own = np.diff(starts)
        self._room_from = np.concatenate(([0], np.cumsum(5 * own * (own + 1)))).astype(np.int64)
        self._room = np.zeros(self._room_from[-1])
        self._records = np.zeros((n + own.size, RECORD))
        self._handed = np.zeros((n, HANDED))
        self._held = np.full(own.size, -1, dtype=np.int64)
        self._matrix, self._rhs, self._change = np.empty((n, n)), np.empty(n), np.empty((n, 5))
        self._factors: tuple[Any, Any] | None = None
        self._held_then = self._held.copy()

    def converge(self, *, reynolds: float, tolerance: float, most: int) -> int:
        """Iterate.

        Parameters
        ----------
        reynolds : float
            On main chord and flight speed [-].
        tolerance : float
            Largest residual of an answer.
        most : int
            Iterations.

        Returns
        -------
        int
            ``CONVERGED``, ``NOT_CONVERGED`` or ``BROKEN`` (a number broke down).
        """
        before, kept = self.history[-1] if self.history else np.inf, False
        for _ in range(most):
            mend = before > MENDING
            fresh = self._factors is None or before > EXPECTED_ABOVE
            worst = self._linearize(reynolds, mend=mend, columns=fresh)
            if not np.isfinite(worst):
                self.history.append(worst)
                return BROKEN
            if worst < tolerance:
                self.history.append(worst)
                return CONVERGED
            slow = kept and worst > FALLING * before
            if not fresh and (worst > KEPT_BELOW or slow or not np.array_equal(self._held, self._held_then)):
                fresh = True
                worst = self._linearize(reynolds, mend=False, columns=True)
            self.history.append(worst)
            if fresh and not self._factor():
                return BROKEN
            assert self._factors is not None
            x, _ = dgetrs(*self._factors, self._rhs, trans=1)
            flow = self.flow
            scale = _changes(
                x, self.state, flow.starts, self.stagnation, self._room_from, self._room, self._change
            )  # fmt: skip
            if not np.isfinite(scale):
                return BROKEN
            if _step(
                self.state, self._change, scale, self._outer, flow.starts, flow.n_body, self._held, flow.slot,
                self.stagnation, self._sign,
            ):  # fmt: skip
                self._factors = None
            if self.told.size:
                self._turn_gates(near=worst < MENDING)
            before, kept = worst, not fresh
        return NOT_CONVERGED

    def converge_at_own_speed(
        self, wanted: Callable[[float], float], *, reynolds: float, tolerance: float, most: int
    ) -> tuple[int, float]:
        """Iterate until the Reynolds number too is that of the lift found.

        Parameters
        ----------
        wanted : callable
            Gives the Reynolds number that the present state asks for, from that it was solved at.
        reynolds, tolerance, most
            As for ``converge``; ``reynolds`` to begin with, ``most`` in each round.

        Returns
        -------
        status : int
            Also ``NO_COMMON_SPEED``, where layers and outer flow agree but at another speed.
        reynolds : float
            Of the last round [-].
        """
        status = self.converge(reynolds=reynolds, tolerance=max(tolerance, NEARLY), most=most)
        if status != CONVERGED:
            return status, reynolds
        reynolds = wanted(reynolds)
        for _ in range(MOST_SPEEDS):
            status = self.converge(reynolds=reynolds, tolerance=tolerance, most=most)
            if status != CONVERGED:
                return status, reynolds
            asked = wanted(reynolds)
            if abs(asked / reynolds - 1.0) <= SAME_SPEED:
                return CONVERGED, reynolds
            reynolds = asked
        return NO_COMMON_SPEED, reynolds

    def _linearize(self, reynolds: float, *, mend: bool, columns: bool) -> float:
        flow = self.flow
        worst = _march(
            self.state, flow.arc, flow.starts, flow.n_body, flow.gaps, flow.closing, self.stagnation,
            flow.trips, flow.trip_from, flow.rows_of_vanes, flow.tables, flow.row_from, self._gates,
            self.told, self._handed, reynolds, flow.lag, flow.critical, flow.slot, mend, columns, self._held,
            self._room_from, self._room, self._records,
        )  # fmt: skip
        self._outer = outer_speed(self.state, self._sign, flow.q0, flow.D)
        speeds = _close(
            self.state, flow.starts, self._sign, self._outer, self._held, self._room_from, self._room,
            self._rhs,
        )  # fmt: skip
        if self.told.size:
            off = np.abs(np.where(np.isnan(self._gates), 0.0, self.told[:, 6] - self._gates))
            speeds = max(speeds, float(np.max(off)))
        # a maximum passes over a nan; sums do not
        return float(max(worst, speeds) + 0.0 * self._rhs.sum())

    def _turn_gates(self, *, near: bool) -> None:
        """Bring the rows' gates to what their layers leave.

        A layer that is about to let go ahead of a row lets it act less, and the less it acts the better that
        layer stands: taken over as they come, the gates swing to and fro. Near the answer they follow a
        secant instead.
        """
        asked = self.told[:, 6].copy()
        if not near:
            self._gates[:] = np.nan
            self._gates_past.clear()
            return
        gates = np.where(np.isnan(self._gates), asked, self._gates)
        # a layer answers to the gate that was in force one step before
        self._gates_past.append((gates, asked))
        then, before, slope = asked, asked, np.zeros_like(asked)
        if len(self._gates_past) >= 2:
            then = self._gates_past[-2][0]
        if len(self._gates_past) >= 3:
            before, asked_before = self._gates_past[-3][0], self._gates_past[-2][1]
            moved = then - before
            known = np.abs(moved) > 1e-9
            slope[known] = np.clip((asked - asked_before)[known] / moved[known], *SLOPES)
        self._gates = np.clip((asked - slope * then) / (1.0 - slope), 0.0, 1.0)

    def _factor(self) -> bool:
        """Factor the dense system of the present linearization; False where it cannot be."""
        flow = self.flow
        _fill(
            self.state, flow.starts, self._sign, flow.D, self._held, self._room_from, self._room, self._matrix
        )
        if not np.isfinite(self._matrix.sum()):
            return False
        # columns of the transpose lie as the library wants them: no copy
        factors, pivots, info = dgetrf(self._matrix.T, overwrite_a=1)
        self._factors, self._held_then = (factors, pivots), self._held.copy()
        self.factored += 1
        return bool(info == 0)
