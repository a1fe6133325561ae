"""Eddy viscosity of the cross-plane: one equation (Spalart and Allmaras) with its rotation limiter.

Source: Allmaras, Johnson and Spalart, ICCFD7-1902 (2012), standard form without trip terms; the limiter for
vortex cores (production on vorticity, less where strain is smaller) as in the published SA-R form.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.convection import carry_limited
from slowflight.flow.row_march.diffusion import (
    implicit_across_cells,
    implicit_up_cells,
    spread_cells,
)
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.solution import FloatArray

CB1, CB2, SIGMA, KAPPA, CW2, CW3, CV1 = 0.1355, 0.622, 2.0 / 3.0, 0.41, 0.3, 2.0, 7.1
CW1 = CB1 / KAPPA**2 + (1.0 + CB2) / SIGMA
LEAST_PRODUCTION = 0.05  # of vorticity, that the limiter and the wall term leave [-]


@kernel
def eddy_viscosity(nu: float, working: FloatArray, out: FloatArray) -> None:
    """Fill ``out`` with the eddy viscosity of the working variable."""
    n, m = working.shape
    for j in range(n):
        for k in range(m):
            chi = working[j, k] / nu
            c3 = chi * chi * chi
            out[j, k] = working[j, k] * c3 / (c3 + CV1**3)


@kernel
def rates_of_turning(
    plane: Plane, U: FloatArray, V: FloatArray, W: FloatArray, edge: float, skin: float,
    vorticity: FloatArray, strain: FloatArray,
) -> None:  # fmt: skip
    """Fill the sizes of vorticity and strain at centers, shape (n, m)."""
    n, m = U.shape
    for j in range(n):
        dy_low = plane.gap[j]
        dy_high = plane.gap[j + 1]
        for k in range(m):
            left, right = plane.cells[k + 1], plane.cells[k + 3]
            if j > 0:
                u_low = (U[j, k] - U[j - 1, k]) / dy_low
                w_low = 0.5 * (W[j, k] + W[j, k + 1] - W[j - 1, k] - W[j - 1, k + 1]) / dy_low
            else:
                u_low = skin * U[0, k] / dy_low
                w_low = skin * 0.5 * (W[0, k] + W[0, k + 1]) / dy_low
            if j + 1 < n:
                u_high = (U[j + 1, k] - U[j, k]) / dy_high
                w_high = 0.5 * (W[j + 1, k] + W[j + 1, k + 1] - W[j, k] - W[j, k + 1]) / dy_high
            else:
                u_high, w_high = (edge - U[j, k]) / dy_high, 0.0
            uy, wy = 0.5 * (u_low + u_high), 0.5 * (w_low + w_high)
            uz = 0.5 * (U[j, right] - U[j, left]) / plane.dz
            vz = 0.25 * (V[j, right] + V[j + 1, right] - V[j, left] - V[j + 1, left]) / plane.dz
            vy = (V[j + 1, k] - V[j, k]) / plane.cell[j]
            wz = (W[j, k + 1] - W[j, k]) / plane.dz
            vorticity[j, k] = np.sqrt((wy - vz) ** 2 + uy * uy + uz * uz)
            us = -(vy + wz)
            strain[j, k] = np.sqrt(2.0 * (us * us + vy * vy + wz * wz) + uy * uy + uz * uz + (vz + wy) ** 2)


@kernel
def _source(q: float, y: float, nu: float, turn: float, strain: float, limiter: float) -> tuple[float, float]:
    """Production less destruction of the working variable q at height y, and its derivative by q."""
    chi = q / nu
    c3 = chi * chi * chi
    under = c3 + CV1**3
    fv1, fv1_by = c3 / under, 3.0 * chi * chi * CV1**3 / (under * under)
    lessened = 1.0 + chi * fv1
    fv2, fv2_by = 1.0 - chi / lessened, -(1.0 - chi * chi * fv1_by) / (lessened * lessened) / nu
    near_by = 1.0 / (KAPPA * y) ** 2
    near = q * near_by
    more, more_by = near * fv2, near_by * fv2 + near * fv2_by
    floor = LEAST_PRODUCTION * turn + 1e-12
    made, made_by = turn + limiter * min(0.0, strain - turn) + more, more_by
    if made < floor:
        made, made_by = floor, 0.0
    seen, seen_by = turn + more, more_by
    if seen < floor:
        seen, seen_by = floor, 0.0
    r, r_by = near / seen, (near_by - near * seen_by / seen) / seen
    if r > 10.0:
        r, r_by = 10.0, 0.0
    r2 = r * r
    r5 = r2 * r2 * r
    g, g_by = r + CW2 * (r5 * r - r), (1.0 + CW2 * (6.0 * r5 - 1.0)) * r_by
    g6 = g**6 + CW3**6
    rising = np.sqrt(np.cbrt((1.0 + CW3**6) / g6))
    fw, fw_by = g * rising, rising * CW3**6 / g6 * g_by
    over = q / (y * y)
    value = CB1 * made * q - CW1 * fw * over * q
    slope = CB1 * (made + made_by * q) - CW1 * (fw_by * q + 2.0 * fw) * over
    return value, slope


@kernel
def step_turbulence(
    plane: Plane, U: FloatArray, V: FloatArray, W: FloatArray, edge: float, nu: float, limiter: float,
    skin: float, far: float, mass: FloatArray, working: FloatArray,
) -> None:  # fmt: skip
    """Advance the working variable one step along the skin.

    Parameters
    ----------
    plane : Plane
        The cells.
    U, V, W : FloatArray
        Speeds, shapes (n, m), (n+1, m), (n, m+1).
    edge, nu, limiter, skin, far : float
        Edge speed, viscosity, constant of the rotation limiter, 1 for a skin that holds the flow, value
        beyond the top.
    mass : FloatArray
        Speed over step, shape (n, m).
    working : FloatArray
        Changed in place, shape (n, m).
    """
    n, m = working.shape
    vorticity, strain, carried, spread = (
        np.empty((n, m)), np.empty((n, m)), np.empty((n, m)), np.empty((n, m)),
    )  # fmt: skip
    up, across = np.empty((n + 1, m)), np.empty((n, m + 1))
    rates_of_turning(plane, U, V, W, edge, skin, vorticity, strain)
    carry_limited(plane, V, W, working, far, carried)
    for j in range(n + 1):
        low, high = min(max(j - 1, 0), n - 1), min(j, n - 1)
        share = (plane.face[j] - plane.center[low]) / plane.gap[j] if 0 < j < n else 0.0
        for k in range(m):
            between = 0.0 if j == 0 else (1.0 - share) * working[low, k] + share * working[high, k]
            up[j, k] = (nu + between) / SIGMA
    for j in range(n):
        for k in range(m + 1):
            across[j, k] = (
                nu + 0.5 * (working[j, plane.cells[k + 1]] + working[j, plane.cells[k + 2]])
            ) / SIGMA
    spread_cells(plane, up, across, working, skin, far, spread)
    weight = np.empty((n, m))
    change = np.empty((n, m))
    for j in range(n):
        y = plane.center[j]
        for k in range(m):
            q = working[j, k]
            low = (q - working[j - 1, k]) / plane.gap[j] if j > 0 else skin * q / plane.gap[0]
            high = (working[j + 1, k] - q) / plane.gap[j + 1] if j + 1 < n else 0.0
            slope = 0.5 * (low + high)
            side = 0.5 * (working[j, plane.cells[k + 3]] - working[j, plane.cells[k + 1]]) / plane.dz
            # the derivative, where it damps: an incomplete one over-answers near the skin
            gained, steep = _source(q, y, nu, vorticity[j, k], strain[j, k], limiter)
            weight[j, k] = mass[j, k] + max(-steep, 0.0)
            change[j, k] = gained - carried[j, k] + spread[j, k] + CB2 / SIGMA * (slope * slope + side * side)
    implicit_across_cells(plane, weight, across, 1.0, change)
    implicit_up_cells(plane, weight, up, 1.0, skin, change)
    for j in range(n):
        for k in range(m):
            working[j, k] = max(working[j, k] + change[j, k], 1e-3 * nu)
