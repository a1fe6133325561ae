"""Velocity induced by straight panels, in complex form.

A panel lies on the local axis from 0 to ``l``; ``z`` is the field point in that frame. With ``w = u - iv``:

    constant source        w = ln(z / (z - l)) / 2 pi
    source growing as xi   w = (z ln(z / (z - l)) - l) / 2 pi
    vortex sheet           i times the same, clockwise positive: the speed above exceeds that below by gamma

These are the textbook integrals of a line source (Katz and Plotkin, Low-Speed Aerodynamics, chapter 10).
A point on a panel itself takes a share ``half_turn`` of the jump there: pi for the right-hand side, which is
the inside of a body whose outline runs lower trailing edge, nose, upper trailing edge; 0 for the mean of both
sides.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.solution import ComplexArray, FloatArray

_TWO_PI = 2.0 * np.pi


@kernel
def log_ratio(z: complex, length: float, half_turn: float) -> complex:
    """ln(z / (z - length)), continuous off the panel, with ``half_turn`` as its imaginary part on it."""
    xi, eta = z.real, z.imag
    r1 = xi * xi + eta * eta
    r2 = (xi - length) ** 2 + eta * eta
    if abs(eta) < 1e-12 * length:
        turn = half_turn if 0.0 < xi < length else 0.0
    else:
        turn = np.arctan2(eta, xi) - np.arctan2(eta, xi - length)
    return complex(0.5 * np.log(r1 / r2), turn)


@kernel
def panel_velocities(
    px: FloatArray, py: FloatArray, x: FloatArray, y: FloatArray, half_turn: float
) -> tuple[ComplexArray, ComplexArray]:
    """Complex velocity u - iv at points from the panels of one chain of nodes.

    Parameters
    ----------
    px, py : FloatArray
        Nodes of the chain [chords], shape (n + 1,).
    x, y : FloatArray
        Field points [chords], shape (m,).
    half_turn : float
        pi where points on a panel lie on its right-hand side, 0 where they take the mean of both sides.

    Returns
    -------
    source : complex array
        Per unit constant source on each panel, shape (m, n).
    vortex : complex array
        Per unit linear vortex strength at each node, shape (m, n + 1).
    """
    n = px.size - 1
    m = x.size
    source = np.empty((m, n), np.complex128)
    vortex = np.zeros((m, n + 1), np.complex128)
    for j in range(n):
        dx, dy = px[j + 1] - px[j], py[j + 1] - py[j]
        length = np.hypot(dx, dy)
        turn = complex(dx / length, -dy / length)
        for i in range(m):
            z = complex(x[i] - px[j], y[i] - py[j]) * turn
            ratio = log_ratio(z, length, half_turn)
            even = ratio * turn / _TWO_PI
            rising = (z * ratio - length) * turn / (_TWO_PI * length)
            source[i, j] = even
            vortex[i, j] += 1j * (even - rising)
            vortex[i, j + 1] += 1j * rising
    return source, vortex


@kernel
def body_velocity(
    x: float, y: float, px: FloatArray, py: FloatArray, gamma: FloatArray, ends: FloatArray,
    chain_x: FloatArray, chain_y: FloatArray, chain: FloatArray,
) -> complex:  # fmt: skip
    """Velocity u - iv at one point from one body's vortices and its trailing-edge blowing."""
    w = complex(0.0, 0.0)
    for j in range(px.size - 1):
        dx, dy = px[j + 1] - px[j], py[j + 1] - py[j]
        length = np.hypot(dx, dy)
        turn = complex(dx / length, -dy / length)
        z = complex(x - px[j], y - py[j]) * turn
        ratio = log_ratio(z, length, np.pi)
        rising = (z * ratio - length) / length
        w += 1j * (gamma[j] * (ratio - rising) + gamma[j + 1] * rising) * turn
    blowing = 0.5 * (gamma[-1] - gamma[0])
    for part in range(2):
        ax, ay = (ends[:2], ends[2:]) if part == 0 else (chain_x, chain_y)
        for j in range(ax.size - 1):
            dx, dy = ax[j + 1] - ax[j], ay[j + 1] - ay[j]
            length = np.hypot(dx, dy)
            turn = complex(dx / length, -dy / length)
            z = complex(x - ax[j], y - ay[j]) * turn
            strength = 1.0 if part == 0 else chain[j]
            w += blowing * strength * log_ratio(z, length, np.pi if part == 0 else 0.0) * turn
    return w / (2.0 * np.pi)
