"""Draw one smooth curve round the nose through heights measured at stations, and say how much they scatter.

Over the root of the distance from the foremost point, negative below and positive above, the height of a
rounded section is one smooth function: a circle at the nose becomes a straight line. So one curve over
that parameter closes the nose by itself, with the radius its neighbors imply.

Sources
-------
Reinsch, Smoothing by spline functions, Numerische Mathematik 10, 1967: the smoothing spline.
Craven and Wahba, Smoothing noisy data with spline functions, Numerische Mathematik 31, 1979: how much to
smooth, by generalized cross-validation.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import make_smoothing_spline

from slowflight.wing.outline import FloatArray

_STRONGEST, _WEAKEST, _HALVINGS = 3.0, -14.0, 40


@dataclass(frozen=True, eq=False)
class Fairing:
    """A smooth curve near measured heights.

    Parameters
    ----------
    spline : callable
        Height over the signed root of the distance from the foremost point.
    moved : FloatArray
        Curve minus reading at each point, in the unit of the heights, shape (n,).
    """

    spline: Any
    moved: FloatArray


def fair(root: FloatArray, height: FloatArray, *, most: float) -> Fairing:
    """Draw the smoothest curve that cross-validation asks for, moving no reading by more than its error.

    Parameters
    ----------
    root : FloatArray
        Signed root of the distance from the foremost point, increasing, shape (n,), at least 5.
    height : FloatArray
        Measured heights, shape (n,), in the same unit as `most`.
    most : float
        The error bar: no reading is moved further.

    Returns
    -------
    Fairing
    """
    spline = make_smoothing_spline(root, height)
    moved = np.asarray(spline(root) - height)
    if float(np.max(np.abs(moved))) <= most:
        return Fairing(spline, moved)
    low, high = _WEAKEST, _STRONGEST
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        trial = make_smoothing_spline(root, height, lam=10.0**middle)
        fits = float(np.max(np.abs(trial(root) - height))) <= most
        low, high = (middle, high) if fits else (low, middle)
    spline = make_smoothing_spline(root, height, lam=10.0**low)
    return Fairing(spline, np.asarray(spline(root) - height))


def scatter(root: FloatArray, height: FloatArray) -> FloatArray:
    """How far each reading lies from a cubic through its four neighbors, scaled to one reading.

    Parameters
    ----------
    root, height : FloatArray
        As for `fair`.

    Returns
    -------
    FloatArray
        Shape (n,), in the unit of the heights; for readings with independent errors of one size its standard
        deviation is that size.
    """
    count = root.size
    out = np.empty(count)
    for index in range(count):
        first = int(np.clip(index - 2, 0, count - 5))
        others = np.array([k for k in range(first, first + 5) if k != index])
        weights = _lagrange(root[others], root[index])
        out[index] = (height[index] - weights @ height[others]) / np.sqrt(1.0 + weights @ weights)
    return out


def _lagrange(nodes: FloatArray, at: float) -> FloatArray:
    """Weights of the polynomial through some nodes."""
    weights = np.ones(nodes.size)
    for index in range(nodes.size):
        rest = np.delete(nodes, index)
        weights[index] = np.prod((at - rest) / (nodes[index] - rest))
    return weights
