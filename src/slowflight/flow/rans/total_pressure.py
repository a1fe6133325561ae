"""Total pressure outside layers and wake: a grid's own error, read off its answer.

Air that no friction reaches keeps its total pressure. What it gains or loses on its way round the nose is the
grid's doing, and goes into drag.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.mesh import FAR
from slowflight.flow.rans.problem import Problem
from slowflight.flow.solution import FloatArray

NEAR = 1.0  # cells up to this far from the skin are looked at [chords]
LAYER = 0.02  # ... and not nearer: laminar layers carry no turbulence to know them by [chords]
QUIET = 1.5  # eddies below this multiple of the free stream's: neither layer nor wake
# of the dynamic pressure, on average over the area: worth a warning. NACA 0012 at 10 degrees: 0.34 % on the
# preview grid, where drag is a quarter low, 0.10 % on the medium one; NACA 4412 at 8: 0.03 % on the default
LARGE = 0.002


@dataclass(frozen=True)
class TotalPressure:
    """Errors of total pressure over the dynamic pressure of flight.

    Parameters
    ----------
    mean : float
        Of the magnitude, over the area looked at.
    worst : float
        The largest gain or loss of a cell, with its sign.
    """

    mean: float
    worst: float

    def remark(self) -> str | None:
        """What a reader has to know; ``None`` where it is small."""
        if self.mean < LARGE:
            return None
        return (
            f"grid too coarse for its drag: {100.0 * self.mean:.2f} % of total pressure lost or gained on it"
        )


def total_pressure(problem: Problem, q: FloatArray) -> TotalPressure:
    """Error of total pressure about a section.

    Parameters
    ----------
    problem : Problem
    q : FloatArray
        A converged state, shape (n, 4).
    """
    mesh = problem.mesh
    free_stream = float(np.max(problem.setting.outer[mesh.edge_kind == FAR, 3]))
    near = (mesh.distance > LAYER) & (mesh.distance < NEAR) & (np.abs(q[:, 3]) < QUIET * free_stream)
    if not np.any(near):
        return TotalPressure(0.0, 0.0)
    error = 2.0 * q[near, 0] + q[near, 1] ** 2 + q[near, 2] ** 2 - 1.0
    area = mesh.volume[near]
    return TotalPressure(
        float(np.sum(np.abs(error) * area) / np.sum(area)), float(error[np.argmax(np.abs(error))])
    )
