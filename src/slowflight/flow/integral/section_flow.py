"""One section at one angle: outer flow, layers, coupling, coefficients."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from slowflight.flow.integral.coupling import newton, outer_speed
from slowflight.flow.integral.outline import outline
from slowflight.flow.integral.panels import PanelSystem, panel_system
from slowflight.flow.integral.start import march_guess
from slowflight.flow.integral.wake import Coupled, coupled_at
from slowflight.flow.solution import FloatArray

LAG = 4.2
PANELS = 160
WAKE_NODES = 30


@dataclass
class SectionFlow:
    system: PanelSystem
    reynolds: float
    critical: float = 9.0
    trip: tuple[float | None, float | None] = (None, None)
    lag: float = LAG
    wake_nodes: int = WAKE_NODES
    count: int = 0

    def stations(self, q: FloatArray) -> int:
        """Index of the first node of the panel where the flow divides."""
        nb = self.system.body.x.size
        change = np.nonzero((q[: nb - 1] < 0.0) & (q[1:nb] >= 0.0))[0]
        # nearest the nose when there are several
        nose = int(np.argmin(self.system.body.x))
        return int(change[np.argmin(np.abs(change - nose))])

    def trips(self) -> FloatArray:
        body = self.system.body
        nose = int(np.argmin(body.x))
        rows = []
        if self.trip[1] is not None:
            rows.append((0.0, np.interp(self.trip[1], body.x[: nose + 1][::-1], body.arc[: nose + 1][::-1]), self.critical + 3.0))
        if self.trip[0] is not None:
            rows.append((1.0, np.interp(self.trip[0], body.x[nose:], body.arc[nose:]), self.critical + 3.0))
        return np.array(rows).reshape(-1, 3)

    def guess(self, c: Coupled) -> tuple[FloatArray, int]:
        nb = self.system.body.x.size
        n = nb + self.wake_nodes
        state = np.zeros((n, 5))
        js = self.stations(c.q0)
        self.fill(state, c.q0, js)
        tl, tu = np.exp(state[0, 0]), np.exp(state[nb - 1, 0])
        hw = (tl * (1 + np.exp(state[0, 1])) + tu * (1 + np.exp(state[nb - 1, 1]))) / (tl + tu)
        t = np.linspace(0, 1, self.wake_nodes)
        state[nb:, 0] = np.log((tl + tu) * (1 - 0.3 * t))
        state[nb:, 1] = np.log((hw - 1.0) * np.exp(-2 * t) + 0.05)
        state[nb:, 2] = np.log(0.05)
        state[nb:, 3] = self.critical + 10.0
        state[nb:, 4] = np.log(np.maximum(c.q0[nb:], 0.3))
        return state, js

    def fill(self, state, q, js):
        body = self.system.body
        nb = body.x.size
        gradient = (q[js + 1] - q[js]) / (body.arc[js + 1] - body.arc[js])
        at = body.arc[js] - q[js] / gradient
        trips = self.trips()
        lower = np.arange(js, -1, -1)
        upper = np.arange(js + 1, nb)
        march_guess(state, lower, at - body.arc[lower], -q[lower], self.reynolds, self.critical, trips, 0, at, gradient)
        march_guess(state, upper, body.arc[upper] - at, q[upper], self.reynolds, self.critical, trips, 1, at, gradient)

    def solve(self, c: Coupled, state: FloatArray, js: int, *, tolerance=1e-7, most=60, verbose=False):
        nb = self.system.body.x.size
        n = state.shape[0]
        arc = np.concatenate((self.system.body.arc, c.wake_arc[1:]))
        mixing, jumps = np.zeros(n), np.zeros(n)
        history = np.full(most, np.nan)
        trace = np.full(most, np.nan)
        status, it, js = newton(state, arc, nb, c.q0, c.D, js, self.trips(), mixing, jumps, self.reynolds, self.lag, self.critical, tolerance, most, history, trace)
        if verbose:
            print(js, status, it, ' '.join(f'{h:.1e}/{t:.2f}' for h,t in zip(history[: it + 1],trace)))
        self.count += it + 1
        return status, js, it + 1

def coefficients(flow: SectionFlow, c: Coupled, state: FloatArray, js: int):
    body = flow.system.body
    nb = body.x.size
    u = np.exp(state[:nb, 4])
    cp = 1.0 - u**2
    dx, dy = np.diff(body.x), np.diff(body.y)
    cpm = 0.5 * (cp[1:] + cp[:-1])
    # outward normal is (-dy, dx); force = -cp n
    fx = float(np.sum(cpm * dy))
    fy = float(-np.sum(cpm * dx))
    a = c.alpha
    cl = fy * np.cos(a) - fx * np.sin(a)
    circ = 2.0 * np.sum(0.5 * (u[1:] * np.where(np.arange(1, nb) <= js, -1, 1) + u[:-1] * np.where(np.arange(nb - 1) <= js, -1, 1)) * np.diff(body.arc))
    H = 1 + np.exp(state[-1, 1])
    cd = 2 * np.exp(state[-1, 0]) * np.exp(state[-1, 4]) ** (0.5 * (H + 5))
    return cl, cd, circ
