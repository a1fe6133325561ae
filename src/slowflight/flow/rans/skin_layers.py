"""The layer along the skin as this solver has it: thickness, shape and edge speed, column by column.

The speed along the skin is taken as the integral of vorticity from the skin outward. Outside the layer it no
longer changes, also about a curved nose, where the speed itself has no plateau.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.marched_rows import Layers
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.rans.surface import skin_along
from slowflight.flow.solution import FloatArray

EDGE = 0.01  # vorticity times height over speed at which the layer ends
LEAST_SPEED, LEAST_THICKNESS = 1e-3, 1e-6
FULLEST, EMPTIEST = 1.05, 30.0  # shape factors kept apart from


@dataclass(frozen=True, eq=False)
class SkinLayers:
    """By column, from the lower trailing edge over the nose to the upper one, shape (around,) each.

    Parameters
    ----------
    x, arc : FloatArray
        Middle of the wall face, along the chord and along the outline [chords].
    length : float
        Of the outline [chords].
    stagnation : int
        Column of the largest pressure.
    edge_speed : FloatArray
        From the pressure on the skin (Bernoulli), over flight speed.
    momentum_thickness, shape_factor : FloatArray
        [chords], [-].
    """

    x: FloatArray
    arc: FloatArray
    length: float
    stagnation: int
    edge_speed: FloatArray
    momentum_thickness: FloatArray
    shape_factor: FloatArray


def skin_layers(problem: Problem, columns: SkinColumns, q: FloatArray) -> SkinLayers:
    """Read the layers of a state off its columns."""
    found = skin_along(problem, columns.faces, q)
    arc = 0.5 * (columns.arc[1:] + columns.arc[:-1])
    mesh = problem.mesh
    cells, weights = mesh.slope_cells[columns.cells], mesh.slope_weight[columns.cells]
    turn = np.sum(weights[..., 0] * q[cells, 2] - weights[..., 1] * q[cells, 1], axis=-1)
    face, around = columns.face_height, columns.around
    sense = np.where(np.arange(around) < found.stagnation, 1.0, -1.0)
    speed = np.zeros_like(face)
    speed[:, 1:] = np.cumsum(sense[:, None] * turn * np.diff(face, axis=1), axis=1)
    theta, shape = np.empty(around), np.empty(around)
    for i in range(around):
        theta[i], shape[i] = _thicknesses(face[i], speed[i], np.abs(turn[i]))
    edge = np.sqrt(np.maximum(1.0 - found.pressure_coefficient, LEAST_SPEED**2))
    return SkinLayers(found.x, arc, float(columns.arc[-1]), found.stagnation, edge, theta, shape)


def _thicknesses(height: FloatArray, speed: FloatArray, turn: FloatArray) -> tuple[float, float]:
    """Momentum thickness and shape factor of one column up to where vorticity ends."""
    quiet = (turn * height[1:] < EDGE * np.abs(speed[1:])) & (speed[1:] > LEAST_SPEED)
    top = int(np.argmax(quiet)) + 2 if np.any(quiet) else int(np.argmax(speed)) + 1
    y, u = height[:top], speed[:top]
    if top < 3 or u[-1] <= 0.0:
        return LEAST_THICKNESS, 2.2
    u = u / u[-1]
    momentum = max(float(np.trapezoid(u * (1.0 - u), y)), LEAST_THICKNESS)
    displaced = float(np.trapezoid(1.0 - u, y))
    return momentum, float(np.clip(displaced / momentum, FULLEST, EMPTIEST))


def on_panels(
    layers: SkinLayers,
    *,
    panel_arc: FloatArray,
    alpha: float,
    reynolds: float,
    laminar: tuple[float, float],
    critical: float,
    lag: float,
) -> Layers:
    """The same layers at the stations of the seconds tier's outline, in the form the row march asks for.

    Parameters
    ----------
    layers : SkinLayers
    panel_arc : FloatArray
        Places of its stations from the lower trailing edge on, shape (n,) [chords].
    alpha, reynolds : float
        [rad], [-].
    laminar : tuple of float
        Upper and lower station up to which the layer is kept laminar [fraction of chord], 0 for none.
    critical, lag : float
        As that tier has them; only its laminar and turbulent sides are told apart by the former.
    """
    places = panel_arc * (layers.length / panel_arc[-1])
    upper = layers.arc >= layers.arc[layers.stagnation]
    until = np.where(upper, laminar[0], laminar[1])
    amplified = np.where(layers.x < until, 0.0, critical + 3.0)
    state = np.empty((panel_arc.size, 5))
    for column, values in enumerate(
        (
            np.log(layers.momentum_thickness),
            np.log(layers.shape_factor - 1.0),
            np.full(layers.arc.size, np.log(0.05)),
            amplified,
            np.log(layers.edge_speed),
        )
    ):
        state[:, column] = np.interp(places, layers.arc, values)
    divide = int(np.searchsorted(places, layers.arc[layers.stagnation]))
    return Layers(
        alpha=alpha, state=state, arc=panel_arc, stagnation=int(np.clip(divide - 1, 0, panel_arc.size - 2)),
        reynolds=reynolds, critical=critical, lag=lag,
    )  # fmt: skip
