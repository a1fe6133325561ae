"""Bare planes for checks against exact solutions: constant viscosity, even speed, any crossflow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.row_march import marching
from slowflight.flow.row_march.marching import march
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.row_march.stepping import Fields, Physics
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True)
class Marched:
    fields: Fields
    rows: FloatArray
    code: int

    def column(self, number: int) -> FloatArray:
        return np.asarray(self.rows[:, number])


def marched(
    plane: Plane, *, U: FloatArray, V: FloatArray, W: FloatArray, arc: FloatArray, nu: float, skin: float,
    working: FloatArray | None = None, height: float = 1.0, longest: float = 1.0, first: float = 1e-3,
    courant: float = 0.6, curvature: float = 0.0,
) -> Marched:  # fmt: skip
    n, m = U.shape
    turbulent = working is not None
    fields = Fields(
        U=U.copy(), V=V.copy(), W=W.copy(), p=np.zeros((n, m)),
        working=np.zeros((n, m)) if working is None else working.copy(), swirl=np.zeros((2, n)),
    )  # fmt: skip
    physics = Physics(
        nu=nu, limiter=2.0, far=0.01 * nu, turbulent=1.0 if turbulent else 0.0, skin=skin, feed=0.0,
        slowest=0.1, tolerance=1e-3, passes=2,
    )  # fmt: skip
    rows = np.zeros((len(arc), marching.COLUMNS))
    shear, axial = np.zeros((len(arc), n)), np.zeros((len(arc), n))
    code, *_ = march(
        plane, physics, fields, arc, np.ones_like(arc), np.full_like(arc, curvature), height, 1.0, courant,
        longest, 0.0, first, True, rows, shear, axial,
    )  # fmt: skip
    return Marched(fields, rows, code)
