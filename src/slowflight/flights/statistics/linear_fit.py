"""Straight lines and other fits that are linear in their coefficients, by least squares."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class LinearFit:
    """Coefficients with their covariance.

    Parameters
    ----------
    coefficients : ndarray, shape (p,)
        In the order of the design's columns.
    covariance : ndarray, shape (p, p)
        From the residual scatter.
    residual_deviation : float
        Root of the residual sum of squares over the degrees of freedom, in the unit of the values.
    degrees_of_freedom : int
        Number of values less number of coefficients.
    """

    coefficients: FloatArray
    covariance: FloatArray
    residual_deviation: float
    degrees_of_freedom: int

    @property
    def standard_errors(self) -> FloatArray:
        """Standard error of each coefficient, shape (p,)."""
        return np.sqrt(np.diag(self.covariance))


def fit_linear(*, design: npt.ArrayLike, values: npt.ArrayLike) -> LinearFit:
    """Fit ``values = design @ coefficients`` by least squares.

    Parameters
    ----------
    design : array_like, shape (n, p)
        One row for each value; a column of ones gives an intercept.
    values : array_like, shape (n,)
        In any unit.

    Returns
    -------
    LinearFit

    Raises
    ------
    InputError
        Where there are not more values than coefficients, a number is not finite, or the columns are not
        independent (all entry rates alike, say).

    Notes
    -----
    Orthogonal factors of the design with columns brought to unit length, not the normal equations: these
    lose half the digits. Valid for errors of one size that do not depend on each other.
    """
    matrix = np.asarray(design, dtype=float)
    right = np.asarray(values, dtype=float)
    if matrix.ndim != 2 or right.shape != matrix.shape[:1]:
        raise InputError(where="fit", found=f"{matrix.shape} and {right.shape}", needed="one row a value")
    count, unknowns = matrix.shape
    if count <= unknowns:
        raise InputError(
            where="fit", found=f"{count} values for {unknowns} coefficients", needed="more values than that"
        )
    if not (np.isfinite(matrix).all() and np.isfinite(right).all()):
        raise InputError(where="fit", found="a number that is not finite", needed="finite numbers")
    size = np.linalg.norm(matrix, axis=0)
    if np.any(size == 0.0):
        raise InputError(where="fit", found="a column of zeros", needed="columns that vary")
    across, triangle = np.linalg.qr(matrix / size)
    if np.min(np.abs(np.diag(triangle))) < 1e-10:
        raise InputError(where="fit", found="columns that say the same thing", needed="independent columns")
    solution = np.linalg.solve(triangle, across.T @ right) / size
    residual = right - matrix @ solution
    # One refinement wins back what the factors rounded away.
    solution = solution + np.linalg.solve(triangle, across.T @ residual) / size
    residual = right - matrix @ solution
    spare = count - unknowns
    variance = float(residual @ residual) / spare
    inverse = np.linalg.inv(triangle) / size[:, None]
    return LinearFit(
        coefficients=solution,
        covariance=variance * inverse @ inverse.T,
        residual_deviation=float(np.sqrt(variance)),
        degrees_of_freedom=spare,
    )
