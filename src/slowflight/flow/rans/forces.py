"""Force and moment on the skin: the flux of momentum through its faces, exactly as the residual has it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.rans.mesh import WALL
from slowflight.flow.rans.problem import Problem
from slowflight.flow.solution import FloatArray


class Force(NamedTuple):
    """Coefficients on the flight speed and the chord.

    Parameters
    ----------
    lift, drag, moment : float
        Moment about the quarter chord, nose up positive [-].
    pressure_drag : float
        Share of the drag from pressure [-].
    """

    lift: float
    drag: float
    moment: float
    pressure_drag: float


def wall_weights(problem: Problem) -> tuple[FloatArray, FloatArray]:
    """Force through each wall face as weights on the states of its two cells.

    Friction at a skin at rest is linear in the state, so these are constant.

    Returns
    -------
    pressure, friction : FloatArray
        Shape (walls, force component, first and second cell, variable): (w, 2, 2, unknowns).
    """
    mesh = problem.mesh
    wall = np.flatnonzero(mesh.edge_kind == WALL)
    n, length = mesh.edge_normal[wall, :2], mesh.edge_normal[wall, 2]
    pressure = np.zeros((len(wall), 2, 2, problem.unknowns))
    friction = np.zeros_like(pressure)
    pressure[..., 0] = (length[:, None] * n)[:, :, None] * mesh.edge_value[wall][:, None, :]
    slope = -problem.setting.nu * length[:, None] * mesh.edge_slope[wall, 1:]
    square = np.eye(2) + n[:, :, None] * n[:, None, :]  # twice the strain along the normal
    friction[..., 1:3] = slope[:, None, :, None] * square[:, :, None, :]
    return pressure, friction


def force(problem: Problem, q: FloatArray, *, alpha: float) -> Force:
    """Lift, drag and moment of a state at an angle of attack [rad]."""
    mesh = problem.mesh
    wall = mesh.edge_kind == WALL
    states = q[mesh.edge_cells[wall]]
    pressure, friction = (np.einsum("wdkv,wkv->wd", part, states) for part in wall_weights(problem))
    total = pressure + friction
    arm = mesh.edge_middle[wall] - np.array([0.25, 0.0])
    along = np.array([np.cos(alpha), np.sin(alpha)])
    up = np.array([-np.sin(alpha), np.cos(alpha)])
    moment = -2.0 * float(np.sum(arm[:, 0] * total[:, 1] - arm[:, 1] * total[:, 0]))
    summed = total.sum(axis=0)
    return Force(
        lift=2.0 * float(summed @ up),
        drag=2.0 * float(summed @ along),
        moment=moment,
        pressure_drag=2.0 * float(pressure.sum(axis=0) @ along),
    )


def force_slopes(problem: Problem, *, alpha: float) -> tuple[FloatArray, FloatArray]:
    """Derivatives of lift and drag by the state, shape (n, unknowns) each."""
    mesh = problem.mesh
    wall = mesh.edge_kind == WALL
    pressure, friction = wall_weights(problem)
    total = pressure + friction
    found = []
    for direction in ((-np.sin(alpha), np.cos(alpha)), (np.cos(alpha), np.sin(alpha))):
        slope = np.zeros((len(mesh.volume), problem.unknowns))
        np.add.at(slope, mesh.edge_cells[wall], 2.0 * np.einsum("wdkv,d->wkv", total, np.array(direction)))
        found.append(slope)
    return found[0], found[1]
