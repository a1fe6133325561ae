"""One step of the march along the skin."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.row_march.convection import carry_across, carry_cells, carry_up, divergence
from slowflight.flow.row_march.diffusion import (
    face_viscosity,
    implicit_across_cells,
    implicit_across_faces,
    implicit_up_coupled,
    implicit_up_faces,
    spread_across,
    spread_cells,
    spread_up,
)
from slowflight.flow.row_march.plane import Plane
from slowflight.flow.row_march.projection import project
from slowflight.flow.row_march.turbulence import eddy_viscosity, step_turbulence
from slowflight.flow.solution import FloatArray


class Fields(NamedTuple):
    """What is marched, changed in place: U, p and working at centers (n, m), V (n+1, m), W (n, m+1).

    ``swirl`` holds <v~ v~> at centers now and one step before, shape (2, n).
    """

    U: FloatArray
    V: FloatArray
    W: FloatArray
    p: FloatArray
    working: FloatArray
    swirl: FloatArray


class Physics(NamedTuple):
    """Numbers that hold for a whole march, lengths and speeds in the units of the plane.

    Attributes
    ----------
    nu, limiter, far : float
        Viscosity, constant of the rotation limiter, working variable beyond the layer.
    turbulent, skin, feed : float
        1 or 0: turbulence at all, a skin that holds the flow, energy of the swirl fed to the speed along
        the skin.
    slowest : float
        Least speed in any division by U, over edge speed.
    tolerance : float
        Of the pressure equation.
    passes : int
        Passes over each step.
    """

    nu: float
    limiter: float
    far: float
    turbulent: float
    skin: float
    feed: float
    slowest: float
    tolerance: float
    passes: int


@kernel
def swirl_energy(V: FloatArray, out: FloatArray) -> None:
    """Fill ``out``, shape (n,), with the span mean of the square of V about its mean, at centers."""
    m = V.shape[1]
    for j in range(V.shape[0] - 1):
        mean, square = 0.0, 0.0
        for k in range(m):
            v = 0.5 * (V[j, k] + V[j + 1, k])
            mean += v / m
            square += v * v / m
        out[j] = square - mean * mean


@kernel
def step(
    plane: Plane, physics: Physics, now: Fields, edge_from: float, edge_to: float, curvature: float,
    ds: float, ds_before: float,
) -> float:  # fmt: skip
    """Advance all fields by ds.

    The speed along the skin is advanced with the speeds up and across of the same step, which it corrects for
    what it pushes away itself; then these are advanced and made to agree with its change. Two passes.

    Parameters
    ----------
    plane, physics, now : Plane, Physics, Fields
        The cells, the constants, the fields changed in place.
    edge_from, edge_to : float
        Edge speed at the step's ends.
    curvature : float
        Of the skin, convex positive.
    ds, ds_before : float
        This step and the one before (0 at the first).

    Returns
    -------
    float
        Momentum that the swirl gave to the speed along the skin in this step, integral over y.
    """
    n, m = now.U.shape
    nu = physics.nu
    slowest = physics.slowest * edge_from
    U0, V0, W0 = now.U.copy(), now.V.copy(), now.W.copy()
    eddy = np.zeros((n, m))
    if physics.turbulent > 0.0:
        eddy_viscosity(nu, now.working, eddy)
    up, across, corner = np.empty((n + 1, m)), np.empty((n, m + 1)), np.empty((n + 1, m + 1))
    face_viscosity(plane, nu, eddy, up, across, corner)
    fed = np.zeros(n)
    given = 0.0
    if physics.feed > 0.0 and ds_before > 0.0:
        for j in range(n):
            fed[j] = (now.swirl[0, j] - now.swirl[1, j]) / ds_before
            given += fed[j] * plane.cell[j] * ds
    carried, spread, loss = np.empty((n, m)), np.empty((n, m)), np.empty((n, m))
    mass, change, steep = np.empty((n, m)), np.empty((n, m)), np.empty((2, n, m))
    up_mass, across_mass = np.empty((n + 1, m)), np.empty((n, m + 1))
    by, bz = np.empty((n + 1, m)), np.empty((n, m + 1))
    up_change, across_change = np.empty((n + 1, m)), np.empty((n, m + 1))
    middle = U0.copy()
    edge_middle = 0.5 * (edge_from + edge_to)
    pushing = (edge_to**2 - edge_from**2) / (2.0 * ds)
    spread_cells(plane, up, across, U0, physics.skin, edge_from, spread)
    for j in range(n):
        for k in range(m):
            spread[j, k] += pushing + fed[j]
    for number in range(physics.passes):
        # along the skin
        carry_cells(plane, now.V, now.W, middle, edge_middle, carried)
        divergence(plane, now.V, now.W, loss)
        for k in range(m):
            total_before, total = 0.0, 0.0
            for j in range(n):
                c = middle[j, k]
                if j > 0:
                    share = (plane.face[j] - plane.center[j - 1]) / plane.gap[j]
                    steep[0, j, k] = (1.0 - share) * (c - middle[j - 1, k]) / plane.cell[j]
                else:
                    steep[0, j, k] = 0.0
                if j + 1 < n:
                    share = (plane.face[j + 1] - plane.center[j]) / plane.gap[j + 1]
                    steep[1, j, k] = share * (middle[j + 1, k] - c) / plane.cell[j]
                else:
                    steep[1, j, k] = 0.0
                total_before = total
                total += loss[j, k] * plane.cell[j]
                if m > 1:
                    steep[0, j, k] = steep[1, j, k] = 0.0
                mass[j, k] = max(c, slowest) / ds
                change[j, k] = (
                    spread[j, k] - carried[j, k] + steep[0, j, k] * total_before + steep[1, j, k] * total
                )
        implicit_across_cells(plane, mass, across, 1.0, change)
        implicit_up_coupled(plane, mass, up, steep, ds, physics.skin, change)
        for j in range(n):
            for k in range(m):
                now.U[j, k] = U0[j, k] + change[j, k]
                middle[j, k] = U0[j, k] + 0.5 * change[j, k]
                loss[j, k] = -change[j, k] / ds
        # up and across
        for j in range(n + 1):
            low, high = min(max(j - 1, 0), n - 1), min(j, n - 1)
            share = (plane.face[j] - plane.center[low]) / plane.gap[j] if 0 < j < n else 0.0
            for k in range(m):
                u = (1.0 - share) * middle[low, k] + share * middle[high, k]
                by[j, k] = ds / max(u, slowest)
                up_mass[j, k] = 1.0 / by[j, k]
        for j in range(n):
            for k in range(m + 1):
                u = 0.5 * (middle[j, plane.cells[k + 1]] + middle[j, plane.cells[k + 2]])
                bz[j, k] = ds / max(u, slowest)
                across_mass[j, k] = 1.0 / bz[j, k]
        if m > 1:
            if number > 0:
                for j in range(n + 1):
                    for k in range(m):
                        now.V[j, k] = 0.5 * (now.V[j, k] + V0[j, k])
                for j in range(n):
                    for k in range(m + 1):
                        now.W[j, k] = 0.5 * (now.W[j, k] + W0[j, k])
            carry_up(plane, now.V, now.W, now.V, up_change)
            carry_across(plane, now.V, now.W, now.W, across_change)
            for j in range(1, n):
                bend = 0.0
                if curvature != 0.0:
                    for k in range(m):
                        bend += (ds * up_mass[j, k]) ** 2 / m
                for k in range(m):
                    up_change[j, k] = -up_change[j, k] - (now.p[j, k] - now.p[j - 1, k]) / plane.gap[j]
                    if curvature != 0.0:
                        up_change[j, k] += curvature * ((ds * up_mass[j, k]) ** 2 - bend)
            for j in range(n):
                for k in range(m + 1):
                    across_change[j, k] = (
                        -across_change[j, k]
                        - (now.p[j, plane.cells[k + 2]] - now.p[j, plane.cells[k + 1]]) / plane.dz
                    )
            spread_up(plane, eddy, nu, corner, V0, W0, up_change)
            spread_across(plane, eddy, nu, corner, V0, W0, physics.skin, across_change)
            implicit_up_faces(plane, eddy, nu, corner, up_mass, up_change)
            implicit_across_faces(plane, eddy, nu, corner, across_mass, physics.skin, across_change)
            for j in range(n + 1):
                for k in range(m):
                    now.V[j, k] = V0[j, k] + (up_change[j, k] if j < n else 0.0)
            for j in range(n):
                for k in range(m + 1):
                    now.W[j, k] = W0[j, k] + across_change[j, k]
        project(plane, by, bz, loss, physics.tolerance, now.V, now.W, now.p)
    if physics.turbulent > 0.0:
        for j in range(n):
            for k in range(m):
                mass[j, k] = max(middle[j, k], slowest) / ds
        step_turbulence(
            plane, middle, now.V, now.W, edge_middle, nu, physics.limiter, physics.skin, physics.far, mass,
            now.working,
        )  # fmt: skip
    now.swirl[1] = now.swirl[0]
    swirl_energy(now.V, now.swirl[0])
    return given
