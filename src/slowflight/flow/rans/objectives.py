"""Numbers of a flow that can be differentiated: lift and drag of the skin, and the area of backflow.

The place of separation is none of them: it jumps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.forces import force, force_slopes
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.rans.skin_layers import SkinLayers
from slowflight.flow.solution import FloatArray

SPREAD = 0.02  # speed over which a cell comes to count as backflow [flight speeds]
BACKFLOW_FROM, BACKFLOW_UP_TO = 0.1, 0.5  # along the chord and above the skin [chords]


@dataclass(frozen=True)
class Objective:
    """A number of a state at an angle of attack [rad].

    Parameters
    ----------
    name : str
    value : callable
        Of problem, state and angle.
    slope : callable
        Its derivative by the state, shape (n, unknowns).
    by_angle : callable
        Its derivative by the angle at a fixed state [1/rad].
    """

    name: str
    value: Callable[[Problem, FloatArray, float], float]
    slope: Callable[[Problem, FloatArray, float], FloatArray]
    by_angle: Callable[[Problem, FloatArray, float], float]


LIFT = Objective(
    "lift",
    lambda problem, q, alpha: force(problem, q, alpha=alpha).lift,
    lambda problem, q, alpha: force_slopes(problem, alpha=alpha)[0],
    lambda problem, q, alpha: -force(problem, q, alpha=alpha).drag,
)
DRAG = Objective(
    "drag",
    lambda problem, q, alpha: force(problem, q, alpha=alpha).drag,
    lambda problem, q, alpha: force_slopes(problem, alpha=alpha)[1],
    lambda problem, q, alpha: force(problem, q, alpha=alpha).lift,
)


def backflow_area(columns: SkinColumns, layers: SkinLayers) -> Objective:
    """Area above the upper skin in which air runs against its course [chords squared].

    Each cell counts by a share that goes smoothly from 0 to 1 as its speed along the skin falls through two
    `SPREAD` below zero, so that the layer at rest on the skin does not count.

    Parameters
    ----------
    columns : SkinColumns
    layers : SkinLayers
        Of the flow that is looked at: tell which columns belong to the upper side.
    """
    along = np.diff(columns.wall, axis=0)
    along /= np.hypot(*along.T)[:, None]
    upper = (np.arange(columns.around) > layers.stagnation) & (layers.x > BACKFLOW_FROM)
    height = 0.5 * (columns.face_height[:, 1:] + columns.face_height[:, :-1])
    counted = upper[:, None] & (height < BACKFLOW_UP_TO) & columns.real
    cells = columns.cells[counted]
    directions = np.repeat(along[:, None], columns.across, axis=1)[counted]

    def speed(q: FloatArray) -> FloatArray:
        return np.asarray(np.sum(q[cells, 1:3] * directions, axis=1) + 2.0 * SPREAD)

    def value(problem: Problem, q: FloatArray, alpha: float) -> float:
        u = speed(q)
        return float(np.sum(problem.mesh.volume[cells] * 0.5 * (1.0 - u / np.hypot(u, SPREAD))))

    def slope(problem: Problem, q: FloatArray, alpha: float) -> FloatArray:
        rate = -0.5 * SPREAD**2 / np.hypot(speed(q), SPREAD) ** 3 * problem.mesh.volume[cells]
        found = np.zeros_like(q)
        found[cells, 1:3] = rate[:, None] * directions
        return found

    return Objective("area of backflow", value, slope, lambda problem, q, alpha: 0.0)
