"""Pressure and friction along the skin, and where the wall flow is reversed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.forces import wall_weights
from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.mesh import WALL, Indices
from slowflight.flow.rans.problem import Problem
from slowflight.flow.solution import FloatArray

SHORTEST_REVERSAL = 0.01  # a shorter reversed stretch is a corner's eddy, not separation [chords]
# a stretch that ends behind this reaches the trailing edge: far past stall an eddy that comes round the edge
# from below turns the last few per cent again (4 % at 22 degrees on NACA 4412)
REACHES_EDGE = 0.9


@dataclass(frozen=True, eq=False)
class Skin:
    """Along the outline from the lower trailing edge over the nose to the upper one, shape (around,) each.

    Parameters
    ----------
    x, y : FloatArray
        Middles of the wall faces [chords].
    pressure_coefficient : FloatArray
    friction_coefficient : FloatArray
        Positive where the wall flow runs from the stagnation point towards the trailing edge.
    height : FloatArray
        Of the first cell's center over the skin, in wall units (y+) [-].
    stagnation : int
        Index of the face with the largest pressure.
    """

    x: FloatArray
    y: FloatArray
    pressure_coefficient: FloatArray
    friction_coefficient: FloatArray
    height: FloatArray
    stagnation: int


def skin(problem: Problem, grid: Grid, q: FloatArray) -> Skin:
    """Read pressure and friction off a state."""
    # the mesh lists the skin's faces first, in the outline's order
    return skin_along(problem, np.arange(grid.size.around), q)


def skin_along(problem: Problem, mine: Indices, q: FloatArray) -> Skin:
    """Read pressure and friction along boundary faces in an outline's order, lower trailing edge first."""
    mesh = problem.mesh
    states = q[mesh.edge_cells[mine]]
    _, friction = wall_weights(problem)
    friction = friction[np.searchsorted(np.flatnonzero(mesh.edge_kind == WALL), mine)]
    n, length = mesh.edge_normal[mine, :2], mesh.edge_normal[mine, 2]
    stress = np.einsum("wdkv,wkv->wd", friction, states) / length[:, None]
    along = np.column_stack((-n[:, 1], n[:, 0]))
    middle = mesh.edge_middle[mine]
    course = np.gradient(middle, axis=0)
    along *= np.sign(np.sum(along * course, axis=1))[:, None]
    tau = np.sum(stress * along, axis=1)
    pressure = np.einsum("wk,wk->w", mesh.edge_value[mine], states[:, :, 0])
    stagnation = int(np.argmax(pressure))
    tau = np.where(np.arange(mine.size) < stagnation, -tau, tau)
    first = mesh.distance[mesh.edge_cells[mine, 0]]
    height = first * np.sqrt(np.abs(tau)) / problem.setting.nu
    return Skin(middle[:, 0], middle[:, 1], 2.0 * pressure, 2.0 * tau, height, stagnation)


def reversed_stretches(found: Skin, side: str) -> tuple[tuple[float, float], ...]:
    """Stretches of reversed wall flow on one side, from and to [chords], the foremost first."""
    if side == "upper":
        x, friction = found.x[found.stagnation :], found.friction_coefficient[found.stagnation :]
    else:
        x, friction = found.x[found.stagnation :: -1], found.friction_coefficient[found.stagnation :: -1]
    back = friction < 0.0
    back[:2] = False  # the sign is arbitrary at the stagnation point itself
    changes = np.flatnonzero(np.diff(np.concatenate(([False], back, [False])).astype(int)))
    stretches = []
    for begin, end in changes.reshape(-1, 2):
        start = _crossing(x, friction, begin)
        stop = float(x[-1]) if end == x.size else _crossing(x, friction, end)
        if abs(stop - start) >= SHORTEST_REVERSAL:
            stretches.append((start, stop))
    return tuple(stretches)


def trailing_separation(stretches: tuple[tuple[float, float], ...]) -> float | None:
    """Start of the reversal that reaches the trailing edge [chords], ``None`` without one."""
    for start, stop in stretches:
        if stop >= REACHES_EDGE:
            return start
    return None


def _crossing(x: FloatArray, friction: FloatArray, k: int) -> float:
    a, b = friction[k - 1], friction[k]
    return float(x[k - 1] + (x[k] - x[k - 1]) * a / (a - b))
