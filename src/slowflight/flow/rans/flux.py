"""The flux of mass, momentum and what they carry through a face between two states.

Steady incompressible flow is marched to with artificial compressibility (Chorin 1967): pressure waves of a
made-up speed, which vanish with the last residual. The flux is the mean of both sides less the absolute
Jacobian times their difference (Roe 1981), written out in the waves of the artificial system (two pressure
waves with speeds U - c and U + c, one shear wave with speed U), so that a shear layer along a face is not
smeared.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.smooth import smooth_magnitude

BETA = 1.0  # artificial compressibility, square of the flight speed
SLOWEST = 1e-3  # below this share of the flight speed the shear wave's speed is rounded off


@kernel
def convection(
    p1: Any, u1: Any, v1: Any, p2: Any, u2: Any, v2: Any, nx: float, ny: float
) -> tuple[Any, Any, Any]:
    """Flux per area from state 1 to state 2, along the unit normal: mass, x and y momentum.

    Eigenvectors of the artificial system for the speeds U + c and U - c (lambda below): pressure 1, velocity
    (u lambda / beta + n) / (lambda - U), normal velocity lambda / beta; for U: the tangential velocity alone.
    """
    n1 = u1 * nx + v1 * ny
    n2 = u2 * nx + v2 * ny
    u, v = 0.5 * (u1 + u2), 0.5 * (v1 + v2)
    normal, along = u * nx + v * ny, v * nx - u * ny
    c = np.sqrt(normal * normal + BETA)
    fast, slow = normal + c, normal - c
    dp, dn = p2 - p1, n2 - n1
    dt = (v2 - v1) * nx - (u2 - u1) * ny
    a_fast = 0.5 * (BETA * dn - slow * dp) / c
    a_slow = 0.5 * (fast * dp - BETA * dn) / c
    shear = dt - along * (a_fast * fast - a_slow * slow) / (BETA * c)
    w_fast, w_slow = fast * a_fast, -slow * a_slow  # U + c > 0 > U - c always
    d_mass = (w_fast + w_slow) / BETA
    d_normal = (w_fast * fast + w_slow * slow) / BETA
    d_along = along * (w_fast * fast - w_slow * slow) / (BETA * c) + smooth_magnitude(normal, SLOWEST) * shear
    mass = 0.5 * (n1 + n2 - d_mass)
    pressure = p1 + p2
    x = 0.5 * (u1 * n1 + u2 * n2 + pressure * nx - (d_normal * nx - d_along * ny))
    y = 0.5 * (v1 * n1 + v2 * n2 + pressure * ny - (d_normal * ny + d_along * nx))
    return mass, x, y


@kernel
def carried(mass: Any, t1: Any, t2: Any) -> Any:
    """Flux per area of what the flux of mass carries along, from the side that it comes from."""
    return 0.5 * (mass * (t1 + t2) - smooth_magnitude(mass, SLOWEST) * (t2 - t1))


@kernel
def carried_slopes(mass: float, t1: float, t2: float) -> tuple[float, float, float]:
    """Derivatives of `carried` by the flux of mass and by both values."""
    size = np.sqrt(mass * mass + SLOWEST * SLOWEST)
    return 0.5 * (t1 + t2 - mass / size * (t2 - t1)), 0.5 * (mass + size), 0.5 * (mass - size)


@kernel
def fastest_wave(u: float, v: float, nx: float, ny: float) -> float:
    """Largest wave speed through a face [flight speeds]."""
    normal = u * nx + v * ny
    return float(abs(normal) + np.sqrt(normal * normal + BETA))
