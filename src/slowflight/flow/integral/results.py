"""From a solved state to what the owner reads: coefficients, transition, separation, distributions."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral import vanes
from slowflight.flow.integral.layer import FRICTION, RECORD, station, turbulent_share
from slowflight.flow.integral.section_flow import SectionModel, Solved
from slowflight.flow.solution import SurfaceLayer, SurfaceSummary, VaneEffect

STAGNANT = 0.35  # edge speed below which a row without help stands near stagnation, not in separated air [-]
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
    edge included: the dead air there has the mean of the pressures beside it. Drag follows the
    momentum of the last wake station to infinity (Squire and Young, ARC R&M 1838, 1938).

    The vanes' share is an estimate: the momentum thickness they add, carried to infinity by the same formula
    with the exponent 3.2 of a turbulent layer (H of 1.4). What their mixing and their trip do to the rest of
    the drag is not in it, so it means little where the air separates with or without them.
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
            station(q, solved.reynolds, model.lag, model.critical, 0.0, False, record)
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


def vane_remarks(model: SectionModel, solved: Solved) -> tuple[str, ...]:
    """What the owner has to know about each row at this angle."""
    remarks = []
    for r in range(model.rows.shape[0]):
        row, told = model.rows[r], solved.told[r]
        if row[vanes.HEIGHT] <= 0.0:
            continue
        name = f"vane row {r + 1}"
        if told[2] == 0.0:
            remarks.append(f"{name} stands ahead of the stagnation point and is left out")
        elif told[3] < 0.5 and told[2] < STAGNANT:
            remarks.append(f"{name} stands close to the stagnation point: it is counted as little help")
        elif told[3] < 0.5:
            remarks.append(f"{name} stands in air that has let go: it is counted as no help")
    return tuple(remarks)


def row_remarks(model: SectionModel) -> tuple[str, ...]:
    """What of each row lies outside what its strength was fitted on, at any angle of attack.

    The ranges are those of Wendt, NASA/CR-2001-211144, as known at second hand.
    """
    remarks = []
    low, high = vanes.FITTED_INCIDENCE
    least, most = vanes.FITTED_ASPECT
    for r in range(model.rows.shape[0]):
        row = model.rows[r]
        if row[vanes.HEIGHT] <= 0.0:
            continue
        incidence = math.degrees(row[vanes.INCIDENCE])
        if not low - 1e-6 <= incidence <= high + 1e-6:
            remarks.append(
                f"vane row {r + 1}: incidence {incidence:.3g} deg, outside the {low:g} to {high:g} deg its"
                " strength was fitted on" + ("; vanes so steep may stall" if incidence > high else "")
            )
        aspect = vanes.aspect_ratio(row[vanes.HEIGHT], row[vanes.LENGTH])
        if not least <= aspect <= most:
            remarks.append(
                f"vane row {r + 1}: aspect ratio {aspect:.2g} (8 heights over pi lengths), outside the"
                f" {least:g} to {most:g} its strength was fitted on"
            )
    return tuple(remarks)
