"""Solving a linear system near one that has been factorized, by the method of generalized minimal residuals.

A factorization costs as much as some fifty solutions with it. Between steps of Newton's method the matrix
changes little, so an old factor serves as preconditioner for several new matrices (Saad and Schultz 1986;
the step need not be solved better than it lowers the residual: Dembo, Eisenstat and Steihaug 1982).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from slowflight.flow.solution import FloatArray


class Found(NamedTuple):
    """An answer and what it took.

    Parameters
    ----------
    x : FloatArray
    error : float
        Norm of the residual over that of the right-hand side; infinite where something was not a number.
    iterations : int
    """

    x: FloatArray
    error: float
    iterations: int


def minimal_residual(
    apply: Callable[[FloatArray], FloatArray],
    nearly_solve: Callable[[FloatArray], FloatArray],
    right: FloatArray,
    *,
    tolerance: float,
    most: int,
) -> Found:
    """Solve ``apply(x) = right`` with a nearly right solution operator on the right.

    Parameters
    ----------
    apply, nearly_solve : callable
        The matrix, and a solution of one near it, on vectors of shape (m,).
    right : FloatArray
        Shape (m,).
    tolerance : float
        On the residual over the right-hand side.
    most : int
        Iterations.
    """
    size = float(np.linalg.norm(right))
    if size == 0.0:
        return Found(np.zeros_like(right), 0.0, 0)
    basis = np.empty((most + 1, right.size))
    basis[0] = right / size
    answers = np.empty((most, right.size))
    upper = np.zeros((most + 1, most))
    turned = np.zeros(most + 1)
    turned[0] = 1.0
    turns: list[tuple[float, float]] = []
    count, error = 0, 1.0
    while count < most and error > tolerance:
        answers[count] = nearly_solve(basis[count])
        new = apply(answers[count])
        # twice, because once leaves what round-off brings back
        for _ in range(2):
            share = basis[: count + 1] @ new
            new = new - share @ basis[: count + 1]
            upper[: count + 1, count] += share
        left = float(np.linalg.norm(new))
        if not np.isfinite(left):
            return Found(np.zeros_like(right), np.inf, count)
        for k, (c, s) in enumerate(turns):
            a, b = upper[k, count], upper[k + 1, count]
            upper[k, count], upper[k + 1, count] = c * a + s * b, c * b - s * a
        length = np.hypot(upper[count, count], left)
        if length == 0.0:
            return Found(np.zeros_like(right), np.inf, count)
        c, s = upper[count, count] / length, left / length
        turns.append((c, s))
        upper[count, count] = length
        turned[count], turned[count + 1] = c * turned[count], -s * turned[count]
        error = abs(float(turned[count + 1]))
        count += 1
        if left > 0.0:
            basis[count] = new / left
        else:
            break
    weights = np.linalg.solve(upper[:count, :count], turned[:count])
    return Found(size * (weights @ answers[:count]), error, count)
