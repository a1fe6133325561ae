"""Solving the linear systems of Newton's method directly.

By the sparse factorization that comes with SciPy, in an order found once per mesh by minimum degree on the
graph of blocks. Two libraries that factorize in two thirds of the time were tried and left out: most of the
work is solving with factors that exist, at which they are no quicker. No library says so when a matrix is
nearly singular, so an answer is put back into the system, refined, and refused when it does not fit.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from slowflight.errors import InputError, Unconverged
from slowflight.flow.rans.mesh import Indices
from slowflight.flow.rans.residual import Pattern
from slowflight.flow.solution import FloatArray

BLOCK = 4
GOOD_ENOUGH = 1e-9  # residual over right-hand side
REFINEMENTS = 4
SMALLEST_PIVOT = 0.0  # the diagonal is kept as pivot: after the scaling it is 1 in each block


def block_order(pattern: Pattern) -> Indices:
    """Order of cells that keeps factors small: minimum degree on the graph of blocks, shape (n,)."""
    n = len(pattern.starts) - 1
    graph = sparse.csr_matrix((np.full(len(pattern.columns), -1.0), pattern.columns, pattern.starts), (n, n))
    weighted = (graph + graph.T + sparse.diags(np.full(n, 60.0))).tocsc()
    found = splu(weighted, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True}, diag_pivot_thresh=0.0)
    return np.argsort(found.perm_c).astype(np.int32)


class Factor:
    """Factors of one matrix.

    Rows are first multiplied by the inverse of their diagonal block: cells differ in size by a million, and
    the library would else leave the order for larger pivots and fill the factors.
    """

    def __init__(self, matrix: Any, pattern: Pattern, order: Indices, *, careful: bool = False) -> None:
        n = len(order)
        rows = np.repeat(np.arange(n), np.diff(pattern.starts))
        self._inverse = np.linalg.inv(matrix.data[np.flatnonzero(pattern.columns == rows)])
        scaled = sparse.bsr_matrix(
            (self._inverse[rows] @ matrix.data, pattern.columns, pattern.starts), shape=matrix.shape
        )
        self._rows = (order[:, None] * BLOCK + np.arange(BLOCK)).ravel()
        if careful:
            self._rows = np.arange(matrix.shape[0])
            self._lu = splu(scaled.tocsc())
            return
        ordered = scaled.tocsr()[self._rows][:, self._rows].tocsc()
        self._lu = splu(
            ordered,
            permc_spec="NATURAL",
            options={"SymmetricMode": True, "Equil": False},
            diag_pivot_thresh=SMALLEST_PIVOT,
        )

    def solve(self, right: FloatArray, *, transposed: bool = False) -> FloatArray:
        """Solution for one right-hand side or several."""
        blocks = right.reshape(len(self._inverse), BLOCK, -1)
        out = np.empty_like(blocks).reshape(right.shape[0], -1)
        if transposed:
            out[self._rows] = self._lu.solve(blocks.reshape(out.shape)[self._rows], trans="T")
            found = np.swapaxes(self._inverse, 1, 2) @ out.reshape(blocks.shape)
            return np.asarray(found.reshape(right.shape))
        scaled = (self._inverse @ blocks).reshape(out.shape)
        out[self._rows] = self._lu.solve(scaled[self._rows])
        return out.reshape(right.shape)


class DirectSolver:
    """Factorizes matrices of one pattern and makes sure of the answers.

    Parameters
    ----------
    pattern : Pattern
    """

    def __init__(self, pattern: Pattern) -> None:
        self._order = block_order(pattern)
        self._pattern = pattern
        self._matrix: Any = None
        self._factor: Factor | None = None
        self._transposed: Any = None

    def factorize(self, matrix: Any) -> None:
        """Factorize a block sparse matrix of the pattern.

        Raises
        ------
        Unconverged
            Where the matrix is singular.
        """
        self._factor = None  # frees the last one first: two would double the memory
        self._matrix, self._transposed = matrix, None
        try:
            self._factor = Factor(matrix, self._pattern, self._order)
        except (RuntimeError, np.linalg.LinAlgError) as error:
            raise Unconverged(f"a linear system is singular: {error}") from None

    @property
    def ready(self) -> bool:
        """Whether a matrix has been factorized."""
        return self._factor is not None

    def once(self, right: FloatArray) -> FloatArray:
        """Solve with the matrix last factorized unchecked and unrefined."""
        assert self._factor is not None
        return self._factor.solve(right)

    def solve(self, right: FloatArray, *, transposed: bool = False) -> FloatArray:
        """Solve with the matrix last factorized, for one right-hand side (m,) or several (m, k).

        Raises
        ------
        Unconverged
            Where the answer does not satisfy the system even after refinement and a careful factorization.
        """
        if self._factor is None:
            raise InputError(where="solver", found="no matrix", needed="factorize first")
        if transposed and self._transposed is None:
            self._transposed = self._matrix.T.tocsr()
        matrix = self._transposed if transposed else self._matrix
        for careful in (False, True):
            if careful:
                self._factor = Factor(self._matrix, self._pattern, self._order, careful=True)
            x, error = self._refined(matrix, right, transposed)
            if error <= GOOD_ENOUGH:
                return x
        raise Unconverged(
            f"the linear system is singular to working precision: relative residual {error:.1e}"
        )

    def _refined(self, matrix: Any, right: FloatArray, transposed: bool) -> tuple[FloatArray, float]:
        assert self._factor is not None
        x = self._factor.solve(right, transposed=transposed)
        size = max(float(np.linalg.norm(right)), 1e-300)
        error = np.inf
        for _ in range(REFINEMENTS):
            left = right - matrix @ x
            before, error = error, float(np.linalg.norm(left)) / size
            if error <= 0.01 * GOOD_ENOUGH or not np.isfinite(error) or error > 0.5 * before:
                break
            x = x + self._factor.solve(left, transposed=transposed)
        return x, error if np.isfinite(error) else np.inf
