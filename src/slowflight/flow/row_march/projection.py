"""Pressure of the cross-plane: what makes the speeds up and across agree with the change along the skin.

The correction of a speed is the step over U times the slope of pressure, so the equation has a coefficient
that varies in the plane. It is solved by conjugate gradients, preconditioned by the same equation with the
coefficient averaged across, which falls apart into one line per mode.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.solution import FloatArray

MOST_ROUNDS = 25


@kernel
def _apply(plane: Plane, by: FloatArray, bz: FloatArray, p: FloatArray, out: FloatArray) -> None:
    """Minus div(b grad p); p is zero on the top face."""
    n, m = p.shape
    for j in range(n):
        for k in range(m):
            c = p[j, k]
            above = p[j + 1, k] if j + 1 < n else 0.0
            total = by[j + 1, k] * (above - c) / plane.gap[j + 1]
            if j > 0:
                total -= by[j, k] * (c - p[j - 1, k]) / plane.gap[j]
            across = bz[j, k + 1] * (p[j, plane.cells[k + 3]] - c) - bz[j, k] * (c - p[j, plane.cells[k + 1]])
            # times the cell's size, which makes the operator symmetric
            out[j, k] = -total - across * plane.cell[j] / plane.dz**2


@kernel
def _precondition(
    plane: Plane, y_mean: FloatArray, z_mean: FloatArray, r: FloatArray, work: FloatArray, out: FloatArray
) -> None:
    """Solve with the coefficients averaged across; Thomas' elimination for each mode."""
    n, m = r.shape
    if m > 1:
        np.dot(r, plane.modes, work)
    else:
        work[:] = r
    upper = np.empty((n, m))
    for j in range(n):
        low = y_mean[j] / plane.gap[j] if j > 0 else 0.0
        high = y_mean[j + 1] / plane.gap[j + 1]
        for k in range(m):
            d = low + high + z_mean[j] * plane.growth[k] * plane.cell[j]
            x = work[j, k]
            if j > 0:
                d -= low * upper[j - 1, k]
                x += low * work[j - 1, k]
            upper[j, k] = high / d
            work[j, k] = x / d
    for j in range(n - 2, -1, -1):
        for k in range(m):
            work[j, k] += upper[j, k] * work[j + 1, k]
    if m > 1:
        np.dot(work, plane.modes.T, out)
    else:
        out[:] = work


@kernel
def project(
    plane: Plane, by: FloatArray, bz: FloatArray, target: FloatArray, tolerance: float,
    V: FloatArray, W: FloatArray, p: FloatArray,
) -> float:  # fmt: skip
    """Correct V, W and p so that V_y + W_z = target.

    Parameters
    ----------
    plane : Plane
        The cells.
    by, bz : FloatArray
        Step over U at y faces (n+1, m) and side faces (n, m+1).
    target : FloatArray
        Divergence wanted, shape (n, m).
    tolerance : float
        Residual left over that at the start.
    V, W, p : FloatArray
        Changed in place.

    Returns
    -------
    float
        Residual left over the first.
    """
    n, m = p.shape
    r = np.empty((n, m))
    start = 0.0
    for j in range(n):
        for k in range(m):
            total = (V[j + 1, k] - V[j, k]) / plane.cell[j] + (W[j, k + 1] - W[j, k]) / plane.dz
            r[j, k] = (target[j, k] - total) * plane.cell[j]
            start += r[j, k] * r[j, k]
    if not start > 0.0:
        return 0.0
    y_mean, z_mean = np.zeros(n + 1), np.zeros(n)
    for j in range(n + 1):
        for k in range(m):
            y_mean[j] += by[j, k] / m
    for j in range(n):
        for k in range(m):
            z_mean[j] += 0.5 * (bz[j, k] + bz[j, k + 1]) / m
    dp = np.zeros((n, m))
    z, work, d, Ad = np.empty((n, m)), np.empty((n, m)), np.zeros((n, m)), np.empty((n, m))
    old = 1.0
    left = 1.0
    for round_ in range(MOST_ROUNDS):
        _precondition(plane, y_mean, z_mean, r, work, z)
        rz = 0.0
        for j in range(n):
            for k in range(m):
                rz += r[j, k] * z[j, k]
        share = rz / old if round_ > 0 else 0.0
        old = rz
        dAd = 0.0
        for j in range(n):
            for k in range(m):
                d[j, k] = z[j, k] + share * d[j, k]
        _apply(plane, by, bz, d, Ad)
        for j in range(n):
            for k in range(m):
                dAd += d[j, k] * Ad[j, k]
        if not dAd > 0.0:
            break
        step = rz / dAd
        now = 0.0
        for j in range(n):
            for k in range(m):
                dp[j, k] += step * d[j, k]
                r[j, k] -= step * Ad[j, k]
                now += r[j, k] * r[j, k]
        left = (now / start) ** 0.5
        if left < tolerance:
            break
    for j in range(n):
        for k in range(m):
            above = dp[j + 1, k] if j + 1 < n else 0.0
            V[j + 1, k] -= by[j + 1, k] * (above - dp[j, k]) / plane.gap[j + 1]
            p[j, k] += dp[j, k]
    for j in range(n):
        first = 0 if plane.cyclic else 1
        for k in range(first, m):
            W[j, k] -= bz[j, k] * (dp[j, plane.cells[k + 2]] - dp[j, plane.cells[k + 1]]) / plane.dz
        if plane.cyclic:
            W[j, m] = W[j, 0]
    return left
