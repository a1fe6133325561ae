"""The state outside the outer boundary: the free stream and the vortex that the section's lift makes of it.

Source: Thomas and Salas 1986: a point vortex at the quarter chord, of the circulation that goes with the
lift, lets the boundary stand tens of chords away instead of hundreds.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.rans.mesh import FAR, Mesh
from slowflight.flow.rans.turbulence import FLOW
from slowflight.flow.solution import FloatArray


def outer_state(mesh: Mesh, *, alpha: float, circulation: float, turbulence: tuple[float, ...]) -> FloatArray:
    """State outside each boundary face, shape (b, unknowns): pressure, velocities, turbulence.

    Parameters
    ----------
    mesh : Mesh
    alpha : float
        Angle of attack [rad].
    circulation : float
        Clockwise positive, half the lift coefficient [flight speeds x chords].
    turbulence : tuple of float
        Variables of the turbulence model in the free stream.

    Returns
    -------
    FloatArray
        Zero velocity and turbulence on walls. Pressure from constant total pressure.
    """
    outer, _, _ = _outer(mesh, alpha, circulation, turbulence)
    return outer


def outer_slopes(
    mesh: Mesh, *, alpha: float, circulation: float, unknowns: int
) -> tuple[FloatArray, FloatArray]:
    """Derivatives of `outer_state` by the circulation and by the angle [1/rad], shape (b, unknowns) each."""
    _, by_circulation, by_alpha = _outer(mesh, alpha, circulation, (0.0,) * (unknowns - FLOW))
    return by_circulation, by_alpha


def _outer(
    mesh: Mesh, alpha: float, circulation: float, turbulence: tuple[float, ...]
) -> tuple[FloatArray, FloatArray, FloatArray]:
    far = mesh.edge_kind == FAR
    x, y = mesh.edge_middle[:, 0] - 0.25, mesh.edge_middle[:, 1]
    squared = 2.0 * np.pi * (x * x + y * y)
    swirl_u, swirl_v = y / squared, -x / squared
    u, v = np.cos(alpha) + circulation * swirl_u, np.sin(alpha) + circulation * swirl_v
    outer = np.column_stack((0.5 * (1.0 - u * u - v * v), u, v, *(np.full(u.size, t) for t in turbulence)))
    still = [0.0 * u] * len(turbulence)
    by_circulation = np.column_stack((-u * swirl_u - v * swirl_v, swirl_u, swirl_v, *still))
    du, dv = -np.sin(alpha), np.cos(alpha)
    by_alpha = np.column_stack((-u * du - v * dv, 0.0 * u + du, 0.0 * u + dv, *still))
    for values in (outer, by_circulation, by_alpha):
        values[~far] = 0.0
    return outer, by_circulation, by_alpha
