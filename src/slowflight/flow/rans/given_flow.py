"""A solved angle with what was given there, and its forces with those on the vanes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.forces import force
from slowflight.flow.rans.marched_stress import RowStress
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.transition import Stations
from slowflight.flow.solution import FloatArray

LIFT_STAYS = 1e-3


@dataclass(frozen=True, eq=False)
class Given:
    """What is held while one flow is solved.

    Parameters
    ----------
    made : FloatArray
        The rows' push, shape (n, unknowns).
    stations : Stations
        Ends of the laminar runs.
    """

    made: FloatArray
    stations: Stations


@dataclass(frozen=True, eq=False)
class GivenFlow:
    """A solved angle with what was given there.

    Parameters
    ----------
    flow : Flow
    given : Given
        It was solved with.
    rows : tuple of RowStress
        The last march of each row.
    change : float
        Of lift by the last repetition.
    """

    flow: Flow
    given: Given
    rows: tuple[RowStress, ...] = ()
    change: float = 0.0

    @property
    def settled(self) -> bool:
        """Whether lift stayed."""
        return self.change < LIFT_STAYS


def vane_force(here: Marching, made: FloatArray, *, alpha: float) -> tuple[float, float]:
    """Lift and drag coefficients on the vanes themselves: the push on the air, turned round."""
    total = -2.0 * np.sum(made[:, 1:3] * here.problem.mesh.volume[:, None], axis=0)
    return (
        float(-np.sin(alpha) * total[0] + np.cos(alpha) * total[1]),
        float(np.cos(alpha) * total[0] + np.sin(alpha) * total[1]),
    )


def whole_force(here: Marching, found: GivenFlow) -> tuple[float, float, float, float]:
    """Lift, drag, moment of section and vanes, and the vanes' drag in it."""
    flow = found.flow
    body = force(here.at(flow.alpha, flow.circulation), flow.q, alpha=flow.alpha)
    lift, drag = vane_force(here, found.given.made, alpha=flow.alpha)
    return body.lift + lift, body.drag + drag, body.moment, drag
