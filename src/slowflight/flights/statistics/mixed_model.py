"""Stalls within flights: a mixed model with one random shift a flight, by restricted likelihood.

Two stalls of one morning share that morning's air, load, calibration and pilot. Treating them as independent
makes bands too narrow, so the model gives every flight a shift of its own and learns its size from the data.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize_scalar

from slowflight.errors import InputError
from slowflight.flights.statistics.linear_fit import FloatArray, fit_linear

SOURCES = ("PattersonThompson1971",)
# Share of the variance that lies between flights at which the search starts from both sides.
_GRID = np.array([0.0, 0.03, 0.1, 0.25, 0.45, 0.65, 0.85, 0.97, 0.999, 0.999999])


@dataclass(frozen=True, kw_only=True)
class MixedFit:
    """What the mixed model found.

    Parameters
    ----------
    coefficients : ndarray, shape (p,)
        In the order of the design's columns.
    covariance : ndarray, shape (p, p)
        Of the coefficients, both kinds of scatter in it.
    between : float
        Standard deviation of the shift from flight to flight.
    within : float
        Standard deviation of single stalls within a flight.
    flights : int
        How many flights there were.
    degrees_of_freedom : int
        For what is compared between flights: flights less the columns that are constant within a flight.
    """

    coefficients: FloatArray
    covariance: FloatArray
    between: float
    within: float
    flights: int
    degrees_of_freedom: int

    def contrast(self, weights: npt.ArrayLike) -> tuple[float, float]:
        """Return a weighted sum of coefficients and its standard error.

        Parameters
        ----------
        weights : array_like, shape (p,)
            Such as (1, -1, 0) for the difference of the first two.

        Returns
        -------
        tuple of float
            Value and standard error.
        """
        row = np.asarray(weights, dtype=float)
        return float(row @ self.coefficients), float(np.sqrt(row @ self.covariance @ row))


def fit_mixed(
    *,
    values: npt.ArrayLike,
    design: npt.ArrayLike,
    flight: Sequence[str],
    between_columns: int,
    known_between: float | None = None,
) -> MixedFit:
    """Fit ``values = design @ coefficients + shift(flight) + error``.

    Parameters
    ----------
    values : array_like, shape (n,)
        One for each stall.
    design : array_like, shape (n, p)
        The first `between_columns` columns are constant within a flight (which configuration it was); the
        others vary within one (entry rate).
    flight : sequence of str, length n
        Names of the flights.
    between_columns : int
        How many columns are constant within a flight.
    known_between : float, optional
        Standard deviation from flight to flight where it is taken as known, because too few flights have
        been flown to show it.

    Returns
    -------
    MixedFit

    Raises
    ------
    InputError
        Where a column said to be constant within a flight is not, there are no more flights than such
        columns (and no known scatter), or as for `fit_linear`.

    Notes
    -----
    Restricted likelihood (Patterson and Thompson, 1971), profiled down to the ratio of the two variances; the
    inverse of one flight's covariance ``I + r J`` is ``I - r/(1 + m r) J`` in closed form. With equal numbers
    of stalls at equal rates this is the t test on flight means, whose degrees of freedom are used throughout
    (exact there; close where flights differ in size). A ratio that would be negative is held at zero, which
    widens the band.
    """
    matrix = np.asarray(design, dtype=float)
    first = fit_linear(design=matrix, values=values)
    # Only what the plain fit leaves over is looked at below: large equal numbers would round it away.
    residual = np.asarray(values, dtype=float) - matrix @ first.coefficients
    names, member = np.unique(np.asarray(flight, dtype=str), return_inverse=True)
    sums = _Sums(matrix, residual, member, len(names))
    _refuse_unsuited(matrix, member, len(names), between_columns, known_between)
    if known_between is not None:
        return _with_known(sums, first.coefficients, known_between, between_columns)
    ratio = _best_ratio(sums)
    step, inverse, variance = sums.solve(ratio)
    return MixedFit(
        coefficients=first.coefficients + step,
        covariance=variance * inverse,
        between=float(np.sqrt(ratio * variance)),
        within=float(np.sqrt(variance)),
        flights=len(names),
        degrees_of_freedom=len(names) - between_columns,
    )


class _Sums:
    """Sums over each flight, from which every step of the search is a few small products."""

    def __init__(
        self, design: FloatArray, values: FloatArray, member: npt.NDArray[np.intp], count: int
    ) -> None:
        self.count, self.unknowns = design.shape
        self.size = np.bincount(member, minlength=count).astype(float)
        self._design_sum = np.zeros((count, self.unknowns))
        np.add.at(self._design_sum, member, design)
        self._value_sum = np.bincount(member, weights=values, minlength=count)
        self._xx, self._xy, self._yy = design.T @ design, design.T @ values, float(values @ values)

    def solve(self, ratio: float) -> tuple[FloatArray, FloatArray, float]:
        """Return coefficients, their covariance over the within variance, and that variance."""
        share = ratio / (1.0 + self.size * ratio)
        weighted = share[:, None] * self._design_sum
        inverse: FloatArray = np.asarray(np.linalg.inv(self._xx - self._design_sum.T @ weighted), dtype=float)
        right = self._xy - weighted.T @ self._value_sum
        step: FloatArray = inverse @ right
        left_over = self._yy - float(share @ self._value_sum**2) - float(right @ step)
        return step, inverse, float(max(left_over, 0.0) / (self.count - self.unknowns))

    def lack(self, ratio: float) -> float:
        """Minus twice the logarithm of the restricted likelihood, but for a constant."""
        _, inverse, variance = self.solve(ratio)
        spread = float(np.log1p(self.size * ratio).sum())
        spread -= float(np.linalg.slogdet(inverse)[1])
        return float((self.count - self.unknowns) * np.log(variance)) + spread

    def lack_known(self, within: float, between: float) -> float:
        """Do as `lack` does with both scatters given."""
        ratio = (between / within) ** 2
        _, inverse, variance = self.solve(ratio)
        spare = self.count - self.unknowns
        spread = float(np.log1p(self.size * ratio).sum()) - float(np.linalg.slogdet(inverse)[1])
        return float(spare * (2.0 * np.log(within) + variance / within**2)) + spread


def _best_ratio(sums: _Sums) -> float:
    if sums.size.max() == 1.0 or sums.solve(0.0)[2] == 0.0:
        return 0.0  # one stall a flight, or no scatter at all: the two kinds cannot be told apart

    def lack(share: float) -> float:
        return sums.lack(share / (1.0 - share))

    found = [lack(share) for share in _GRID]
    best = int(np.argmin(found))
    low, high = _GRID[max(best - 1, 0)], _GRID[min(best + 1, len(_GRID) - 1)]
    closer = minimize_scalar(lack, bounds=(low, high), method="bounded", options={"xatol": 1e-9})
    share = float(closer.x) if closer.fun < found[best] else float(_GRID[best])
    return share / (1.0 - share)


def _with_known(sums: _Sums, start: FloatArray, known: float, between_columns: int) -> MixedFit:
    """Look for the scatter within flights alone, that between flights being given."""
    plain = float(np.sqrt(sums.solve(0.0)[2]))
    if plain == 0.0:
        within = 0.0
        step, inverse, _ = sums.solve(0.0)
        covariance = np.zeros_like(inverse)
    else:

        def lack(logarithm: float) -> float:
            return sums.lack_known(float(np.exp(logarithm)), known)

        top = float(np.log(plain)) + 1.0
        found = minimize_scalar(lack, bounds=(top - 8.0, top), method="bounded", options={"xatol": 1e-10})
        within = float(np.exp(found.x))
        step, inverse, _ = sums.solve(known**2 / within**2)
        covariance = within**2 * inverse
    return MixedFit(
        coefficients=start + step,
        covariance=covariance,
        between=known,
        within=within,
        flights=len(sums.size),
        degrees_of_freedom=len(sums.size) - between_columns,
    )


def _refuse_unsuited(
    design: FloatArray,
    member: npt.NDArray[np.intp],
    count: int,
    between_columns: int,
    known_between: float | None,
) -> None:
    for number in range(count):
        if np.ptp(design[member == number, :between_columns], axis=0).max(initial=0.0) > 0.0:
            raise InputError(
                where="mixed model", found="a flight with two configurations", needed="one configuration each"
            )
    if known_between is None and count <= between_columns:
        raise InputError(
            where="mixed model",
            found=f"{count} flights for {between_columns} sets",
            needed="more flights than sets, or a known scatter from flight to flight",
        )
