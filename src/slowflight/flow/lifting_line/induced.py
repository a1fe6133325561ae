"""The angle by which the trailing vortices of the whole wing turn the air down at each strip."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from slowflight.flow.lifting_line.strips import multhopp_turn
from slowflight.flow.solution import FloatArray

SOURCES = ("Multhopp1938", "Glauert1926")


@lru_cache(maxsize=8)
def downwash(points: int) -> FloatArray:
    """Return the matrix from circulation to induced angle, for loading alike on both halves.

    Parameters
    ----------
    points : int
        Strips on the half-span, that on the centerline included [-].

    Returns
    -------
    FloatArray
        ``induced angle [rad] = downwash @ (circulation / (span * speed))``, downward positive, shape
        (points, points), read-only.

    Notes
    -----
    Multhopp (1938) with ``m = 2 points - 1`` places on the whole span: the integral of lifting-line theory
    for a circulation that is a sine series of m terms in the angle ``turn``, so exact for each such series.
    The paper was not at hand; the coefficients are checked against Glauert's exact series.
    """
    whole = downwash_both_halves(points)
    half = whole[:points, :points].copy()
    half[:, :-1] += whole[:points, : points - 1 : -1]
    half.flags.writeable = False
    return half


@lru_cache(maxsize=8)
def downwash_both_halves(points: int) -> FloatArray:
    """Return the matrix of `downwash` for any loading of the whole span, right tip first.

    Returns
    -------
    FloatArray
        Shape (2 points - 1, 2 points - 1), read-only.
    """
    m = 2 * points - 1
    turn = np.arange(1, m + 1) * np.pi / (m + 1)
    sine, cosine = np.sin(turn), np.cos(turn)
    apart = cosine[None, :] - cosine[:, None]
    np.fill_diagonal(apart, 1.0)
    index = np.arange(m)
    odd = (index[None, :] - index[:, None]) % 2 == 1
    whole = np.where(odd, -sine[None, :] / apart**2 / (m + 1), 0.0)
    np.fill_diagonal(whole, (m + 1) / (4.0 * sine))
    whole.flags.writeable = False
    return whole


@lru_cache(maxsize=8)
def downwash_root(points: int) -> FloatArray:
    """Return a root of the symmetric form of `downwash`, to tell whether an answer is the only one.

    ``downwash = root @ root.T @ diag(weight)`` with ``weight`` the sine of the angle, halved at the
    centerline: the matrix is symmetric but for the weights, and positive because induced drag is.
    """
    root: FloatArray = np.asarray(
        np.linalg.cholesky(downwash(points) / symmetric_weight(points)[None, :]), dtype=np.float64
    )
    root.flags.writeable = False
    return root


def symmetric_weight(points: int) -> FloatArray:
    """Return the weights that make `downwash` symmetric [-], shape (points,)."""
    weight = np.sin(multhopp_turn(points))
    weight[-1] *= 0.5
    return weight
