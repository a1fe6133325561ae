"""A mesh, what is given on it, and the pattern of its Jacobian, put together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import sparse

from slowflight.flow.rans.jacobian import jacobian_blocks
from slowflight.flow.rans.mesh import Mesh
from slowflight.flow.rans.pattern import Pattern
from slowflight.flow.rans.residual import residual
from slowflight.flow.rans.setting import Setting
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True)
class Problem:
    """A mesh, what is given on it, and the pattern of its Jacobian."""

    mesh: Mesh
    pattern: Pattern
    setting: Setting

    @property
    def unknowns(self) -> int:
        """Of each cell."""
        return int(self.setting.made.shape[1])

    def residual(self, q: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """Residual of a state, shape (n, unknowns)."""
        return np.asarray(residual(q, self.mesh, self.setting))

    def jacobian(self, q: FloatArray) -> Any:
        """Exact Jacobian, a block sparse matrix of square blocks, one row and column per unknown."""
        blocks = jacobian_blocks(q, self.mesh, self.setting, self.pattern)
        shape = (q.size, q.size)
        return sparse.bsr_matrix((blocks, self.pattern.columns, self.pattern.starts), shape=shape)
