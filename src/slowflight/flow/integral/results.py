"""From a solved state to what the owner reads: coefficients, transition, separation, distributions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.layer import FRICTION, RECORD, station, turbulent_share
from slowflight.flow.integral.section_flow import SectionModel, Solved
from slowflight.flow.solution import SurfaceLayer, SurfaceSummary, VaneEffect

SHORTEST_REVERSAL = 0.004  # stretches of reversed flow shorter than this are not named [chords]


@dataclass(frozen=True)
class Coefficients:
    """Section coefficients.

    Parameters
    ----------
    cl, cd, cm : float
        Lift and quarter-chord moment from surface pressures, drag from the far wake; ``cd`` includes the
        vanes.
    cl_circulation : float
        Lift from circulation: its distance from ``cl`` shows how much the wake model is worth.
    cd_vanes : float
        Estimate of the vanes' own share of ``cd`` [-], see ``coefficients``.
    """

    cl: float
    cd: float
    cm: float
    cl_circulation: float
    cd_vanes: float


def coefficients(model: SectionModel, solved: Solved) -> Coefficients:
    """Integrate pressures and the wake.

    Lift and moment are integrals of the pressure over the surface by the trapezoidal rule, the open trailing
    edge included: the dead air there has the mean of the pressures beside it. Drag follows the momentum of
    the last wake station to infinity (Squire and Young, ARC R&M 1838, 1938).

    The vanes' share is an estimate: the momentum thickness of all their drag, carried to infinity by the same
    formula with the exponent 3.2 of a turbulent layer (H of 1.4). What their mixing and their trip do to the
    rest of the drag is not in it, so it means little where the air separates with or without them.
    """
    body, state = model.system.body, solved.state
    nb = model.body_stations
    speed = np.exp(state[:nb, 4])
    pressure = 1.0 - speed**2
    x, y, pressure = (np.append(v, v[0]) for v in (body.x, body.y, pressure))  # closed over the open end
    middle = 0.5 * (pressure[1:] + pressure[:-1])
    dx, dy = np.diff(x), np.diff(y)
    mx, my = 0.5 * (x[1:] + x[:-1]), 0.5 * (y[1:] + y[:-1])
    force_x, force_y = middle * dy, -middle * dx
    cosine, sine = np.cos(solved.alpha), np.sin(solved.alpha)
    cl = float(np.sum(force_y) * cosine - np.sum(force_x) * sine)
    cm = float(-np.sum((mx - 0.25) * force_y - my * force_x))
    signed = speed * np.where(np.arange(nb) <= solved.stagnation, -1.0, 1.0)
    circulation = float(np.sum((signed[1:] + signed[:-1]) * np.diff(body.arc)))
    H = 1.0 + np.exp(state[-1, 1])
    cd = float(2.0 * np.exp(state[-1, 0]) * np.exp(state[-1, 4]) ** (0.5 * (H + 5.0)))
    cd_vanes = float(np.sum(2.0 * solved.told[:, 4] * solved.told[:, 2] ** 3.2))
    return Coefficients(cl=cl, cd=cd, cm=cm, cl_circulation=circulation, cd_vanes=cd_vanes)


def _stations(model: SectionModel, solved: Solved, side: str) -> np.ndarray:
    nb = model.body_stations
    if side == "lower":
        return np.arange(solved.stagnation, -1, -1)
    if side == "upper":
        return np.arange(solved.stagnation + 1, nb)
    return np.arange(nb, solved.state.shape[0])


def surface_layer(model: SectionModel, solved: Solved, side: str) -> SurfaceLayer:
    """Distributions along ``"upper"``, ``"lower"`` or ``"wake"``."""
    order = _stations(model, solved, side)
    body, wake = model.system.body, solved.wake
    nb = model.body_stations
    state = solved.state[order]
    speed, theta = np.exp(state[:, 4]), np.exp(state[:, 0])
    shape = 1.0 + np.exp(state[:, 1])
    if side == "wake":
        x, y = wake.x[order - nb + 1], wake.y[order - nb + 1]
        arc = wake.arc[order - nb + 1]
        friction = np.zeros_like(speed)
        share = np.ones_like(speed)
    else:
        x, y = body.x[order], body.y[order]
        js = solved.stagnation
        lower, upper = np.exp(solved.state[js, 4]), np.exp(solved.state[js + 1, 4])
        divide = body.arc[js] + (body.arc[js + 1] - body.arc[js]) * lower / (lower + upper)
        arc = np.abs(body.arc[order] - divide)
        record = np.empty(RECORD)
        friction, share = np.empty_like(speed), np.empty_like(speed)
        for k, q in enumerate(state):
            station(q, solved.reynolds, model.lag, model.critical, False, record)
            # the record holds u (Cf/2) / theta with Cf on the edge speed
            friction[k] = 2.0 * record[FRICTION] * theta[k] * speed[k]
            share[k] = turbulent_share(q[3], model.critical)[0]
    return SurfaceLayer(
        side=side,
        arc=arc,
        x=x,
        y=y,
        pressure_coefficient=1.0 - speed**2,
        edge_speed=speed,
        displacement_thickness=theta * shape,
        momentum_thickness=theta,
        shape_factor=shape,
        friction_coefficient=friction,
        turbulent_share=share,
    )


def reversed_stretches(layer: SurfaceLayer) -> tuple[tuple[float, float], ...]:
    """Stretches of negative wall friction, from and to [fraction of chord], zero crossings interpolated."""
    f, x = layer.friction_coefficient, layer.x
    stretches: list[tuple[float, float]] = []
    start: float | None = float(x[0]) if f[0] < 0.0 else None
    for k in range(1, f.size):
        if (f[k] < 0.0) == (f[k - 1] < 0.0):
            continue
        crossing = float(x[k - 1] + (x[k] - x[k - 1]) * f[k - 1] / (f[k - 1] - f[k]))
        if start is None:
            start = crossing
        else:
            stretches.append((start, crossing))
            start = None
    if start is not None:
        stretches.append((start, float(x[-1])))
    return tuple((a, b) for a, b in stretches if abs(b - a) >= SHORTEST_REVERSAL)


def transition_station(layer: SurfaceLayer) -> float | None:
    """Where the turbulent share passes one half [fraction of chord]."""
    share = layer.turbulent_share
    after = np.nonzero(share >= 0.5)[0]
    if after.size == 0:
        return None
    k = int(after[0])
    if k == 0:
        return float(layer.x[0])
    part = (0.5 - share[k - 1]) / (share[k] - share[k - 1])
    return float(layer.x[k - 1] + part * (layer.x[k] - layer.x[k - 1]))


def surface_summary(layer: SurfaceLayer) -> SurfaceSummary:
    """Transition, reversed stretches and laminar bubbles of one side."""
    return SurfaceSummary(
        transition=transition_station(layer),
        separated=reversed_stretches(layer),
        bubbles=laminar_bubbles(layer),
    )


def laminar_bubbles(layer: SurfaceLayer) -> tuple[tuple[float, float], ...]:
    """Reversed stretches that begin in laminar air and end ahead of the trailing edge [fraction of chord]."""
    bubbles = []
    for start, end in reversed_stretches(layer):
        begins = int(np.argmin(np.abs(layer.x - start)))
        if layer.turbulent_share[begins] < 0.5 and end < layer.x[-1] - 1e-9:
            bubbles.append((start, end))
    return tuple(bubbles)


def trailing_separation(layer: SurfaceLayer) -> float | None:
    """Where reversed flow that reaches the trailing edge begins [fraction of chord], else None."""
    stretches = reversed_stretches(layer)
    # a last stretch too short to be named leaves an earlier bubble in its place
    if not stretches or stretches[-1][1] < layer.x[-1] - 1e-9:
        return None
    return stretches[-1][0]


def nose_bubble(layer: SurfaceLayer) -> bool:
    """Whether air separates while laminar within 5 % of chord, be it to come back on or not."""
    near = (layer.x < 0.05) & (layer.arc < 0.15)
    return bool(np.any(near & (layer.friction_coefficient < 0.0) & (layer.turbulent_share < 0.5)))


def vane_effects(model: SectionModel, solved: Solved) -> tuple[VaneEffect, ...]:
    """What each row meets and does at this angle."""
    return tuple(
        VaneEffect(
            circulation=float(told[0]),
            layer_thickness=float(told[1]),
            edge_speed=float(told[2]),
            help_left=float(told[3]),
            trip=float(told[5]),
        )
        for told in solved.told[: model.rows.shape[0]]
    )
