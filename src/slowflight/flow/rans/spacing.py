"""How points are spread along a line: a wanted spacing at each place, met in proportion by a given number."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from slowflight.flow.solution import FloatArray

FINELY = 3000  # places a column is measured out on


def spread(length: float, *, wanted: FloatArray, count: int) -> FloatArray:
    """Place points so that their spacing is everywhere in proportion to a wanted one.

    Parameters
    ----------
    length : float
        Of the line.
    wanted : FloatArray
        Wanted spacing at evenly spread places from 0 to ``length``, shape (n,), n large.
    count : int
        Intervals.

    Returns
    -------
    FloatArray
        From 0 to ``length``, shape (count + 1,).
    """
    places = np.linspace(0.0, length, wanted.size)
    step = places[1]
    summed = np.concatenate(([0.0], np.cumsum(0.5 * step * (1.0 / wanted[1:] + 1.0 / wanted[:-1]))))
    found = np.interp(np.linspace(0.0, summed[-1], count + 1), summed, places)
    found[0], found[-1] = 0.0, length
    return found


def wanted_spacing(
    places: FloatArray, *, features: FloatArray, finest: FloatArray, growth: float, coarsest: float
) -> FloatArray:
    """Fine at features and growing in proportion to the distance from them, up to a coarsest.

    Parameters
    ----------
    places : FloatArray
        Along the line, shape (n,).
    features, finest : FloatArray
        Where detail is and the spacing there, shape (k,).
    growth : float
        Rise of spacing per distance.
    coarsest : float

    Returns
    -------
    FloatArray
        Shape (n,); rounded off where one rule hands over to the next.
    """
    power = -4.0
    total = np.full(places.size, coarsest**power)
    for where, fine in zip(features, finest, strict=True):
        total += (fine + growth * np.abs(places - where)) ** power
    return np.asarray(total ** (1.0 / power))


def geometric(first: FloatArray, total: FloatArray, count: int) -> FloatArray:
    """Heights in geometric progression, one column each.

    Parameters
    ----------
    first, total : FloatArray
        First step and sum of steps, shape (n,).
    count : int
        Steps.

    Returns
    -------
    FloatArray
        From 0 to ``total``, shape (n, count + 1).
    """
    low, high = np.full(first.shape, -0.5), np.full(first.shape, 2.0)  # of the logarithm of the ratio
    for _ in range(80):
        middle = 0.5 * (low + high)
        summed = first * np.expm1(count * middle) / np.where(middle == 0.0, 1.0, np.expm1(middle))
        summed = np.where(middle == 0.0, count * first, summed)
        low, high = np.where(summed < total, middle, low), np.where(summed < total, high, middle)
    rate = (0.5 * (low + high))[:, None]
    steps = np.exp(rate * np.arange(count))
    heights = np.concatenate((np.zeros((len(first), 1)), np.cumsum(steps, axis=1)), axis=1)
    return np.asarray(heights * (total / heights[:, -1])[:, None])


def graded(
    first: FloatArray, total: FloatArray, count: int, *, growth: Callable[[FloatArray], FloatArray]
) -> FloatArray:
    """Heights whose steps grow at a rate that depends on the height, one column each.

    Parameters
    ----------
    first, total : FloatArray
        First step and sum of steps, shape (n,).
    count : int
        Steps.
    growth : callable
        Relative rate of growth at heights of any shape; the same multiple of it makes each column end right.

    Returns
    -------
    FloatArray
        From 0 to ``total``, shape (n, count + 1).
    """
    span = (100.0 * total / first)[:, None] ** np.linspace(0.0, 1.0, FINELY)
    height = np.hstack((np.zeros((len(first), 1)), 0.01 * first[:, None] * span))
    rate = growth(height) * height
    low, high = np.full(first.shape, -12.0), np.full(first.shape, 3.0)  # of the logarithm of the multiple
    for _ in range(60):
        middle = 0.5 * (low + high)
        enough = _steps(height, first[:, None] + np.exp(middle)[:, None] * rate)[:, -1] < count
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    made = _steps(height, first[:, None] + np.exp(0.5 * (low + high))[:, None] * rate)
    made *= count / made[:, -1:]
    wanted = np.arange(count + 1.0)
    return np.stack([np.interp(wanted, n, h) for n, h in zip(made, height, strict=True)])


def _steps(height: FloatArray, step: FloatArray) -> FloatArray:
    """Number of steps up to each height where ``step`` is how long one is there."""
    between = np.diff(height) * 2.0 / (step[:, 1:] + step[:, :-1])
    return np.concatenate((np.zeros((len(height), 1)), np.cumsum(between, axis=1)), axis=1)
