"""The flow with mixing added along the skin, followed from the flow without."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.coupling import LEAST_H, LEAST_H_WAKE, MOST_H, MOST_H_VALUE, MOST_T, MOST_W
from slowflight.flow.integral.elimination import LEAST_SPEED
from slowflight.flow.integral.linear_system import H, OuterFlow, T, W, linear_system
from slowflight.flow.solution import FloatArray

CLOSE_ENOUGH = 1e-9
MOST_STEPS = 40
FEWEST_PARTS, MOST_PARTS = 1, 16  # into which the mixing is divided where it cannot be added at once


@dataclass(frozen=True)
class FlowState:
    """State of all stations at one speed.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w, shape (n, 5).
    stagnation : tuple of int
        On each body, the panel where the flow divides.
    reynolds : float
        [-].
    converged : bool
    """

    state: FloatArray
    stagnation: tuple[int, ...]
    reynolds: float
    converged: bool = True


def with_mixing(
    flow: OuterFlow, base: FlowState, added: FloatArray, *, reynolds: float | None = None
) -> FlowState:
    """Solve the flow anew with mixing added, in as many parts as that takes.

    Parameters
    ----------
    flow : OuterFlow
    base : FlowState
        Converged, without it.
    added : FloatArray
        D_v at all stations [-], shape (n,).
    reynolds : float or None
        In place of that of ``base`` [-].

    Returns
    -------
    FlowState
        Look at ``converged``.
    """
    target = base.reynolds if reynolds is None else reynolds
    parts = FEWEST_PARTS
    found = base
    while parts <= MOST_PARTS:
        here = base
        for k in range(1, parts + 1):
            here = _newton(flow, here, added * (k / parts), target)
            if not here.converged:
                break
        if here.converged:
            return here
        found, parts = here, 2 * parts
    return found


def _newton(flow: OuterFlow, near: FlowState, added: FloatArray, reynolds: float) -> FlowState:
    state, stagnation = near.state.copy(), list(near.stagnation)
    for _ in range(MOST_STEPS):
        system = linear_system(flow, state, stagnation, added=added, reynolds=reynolds)
        worst = max(np.abs(system.layer_residual).max(), np.abs(system.speed_residual).max())
        if not np.isfinite(worst):
            break
        change = system.step()
        if not np.isfinite(change).all():
            break
        if worst < CLOSE_ENOUGH:
            state += change  # what is left is quadratic in what was
            return FlowState(state, tuple(stagnation), reynolds)
        _limited_step(flow, state, change, stagnation, system.outer, system.held)
    return FlowState(state, tuple(stagnation), reynolds, converged=False)


def _limited_step(
    flow: OuterFlow,
    state: FloatArray,
    change: FloatArray,
    stagnation: list[int],
    outer: FloatArray,
    held: tuple[int, ...],
) -> None:
    """Take a step as ``coupling`` does, in place: limited, and across the stagnation point."""
    ends = [body.first + js + k for body, js in zip(flow.bodies, stagnation, strict=True) for k in (0, 1)]
    free = np.ones(state.shape[0], dtype=bool)
    free[ends] = False
    for column, most in ((T, MOST_T), (H, MOST_H), (W, MOST_W)):
        state[free, column] += np.clip(change[free, column], -most, most)
    for b, body in enumerate(flow.bodies):
        js = stagnation[b]
        if not body.slot:
            skin, end = body.first + body.on_body, body.first + body.stations
            state[body.first : skin, H] = np.clip(state[body.first : skin, H], LEAST_H, MOST_H_VALUE)
            state[skin:end, H] = np.clip(state[skin:end, H], LEAST_H_WAKE, MOST_H_VALUE)
        i, j = body.first + js, body.first + js + 1
        least_speed = LEAST_SPEED * (np.exp(state[i, W]) + np.exp(state[j, W]))
        for at, way in ((i, -1), (j, 1)):
            # the speed of a first station may pass through zero: it then belongs to the other side
            speed = outer[at] if at in held else np.exp(state[at, W]) * (1.0 + change[at, W])
            state[at, W] = np.log(max(abs(speed), least_speed))
            if speed < -least_speed and 1 < js + way < body.on_body - 3:
                stagnation[b] = js + way
