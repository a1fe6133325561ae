"""What each cell of a mesh still gains or loses, and the exact derivative of that.

The residual of a cell is the flux out of it less what its sources make: of mass, x and y momentum and of the
turbulence model's working variable. Second order in space for mass and momentum, first-order upwind for the
carrying of turbulence.

The Jacobian is exact. Fluxes and sources are differentiated where they are local, by complex steps (Martins
et al. 2003) or by hand, and chained with the mesh's fixed weights into a fixed pattern of 4 x 4 blocks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
from scipy import sparse

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.flux import convection, fastest_wave
from slowflight.flow.rans.mesh import FAR, WALL, Indices, Mesh
from slowflight.flow.rans.turbulence import (
    CB2,
    SIGMA,
    diffusivity,
    eddy_viscosity,
    smooth_magnitude,
    source,
)
from slowflight.flow.solution import FloatArray

LEAST_VORTICITY = 1e-6  # rounds the magnitude off [flight speeds per chord]
STEP = 1e-30  # complex step; nothing is subtracted, so it may be as small as numbers go
SLOTS = 12  # cells a face sees: four along its line, four about each of its nodes


class Setting(NamedTuple):
    """What is given besides the mesh and the state.

    Parameters
    ----------
    nu : float
        Molecular viscosity, 1 over the Reynolds number.
    outer : FloatArray
        State outside each boundary face, zero velocity and turbulence on a skin, shape (b, 4).
    at_nodes : FloatArray
        What is added to velocities and turbulence at each node, shape (m, 3): zero but in tests.
    made : FloatArray
        Sources per volume [mass, momentum, momentum, turbulence], shape (n, 4).
    share : FloatArray
        Of turbulence production that is on in each cell, 0 to 1, shape (n,).
    sheared_edges : bool
        Whether friction acts on far boundaries too (manufactured solutions).
    """

    nu: float
    outer: FloatArray
    at_nodes: FloatArray
    made: FloatArray
    share: FloatArray
    sheared_edges: bool


class Pattern(NamedTuple):
    """Where the blocks of the Jacobian stand.

    Parameters
    ----------
    starts, columns : Indices
        Block rows as in a compressed sparse matrix.
    face : Indices
        Place of the block of (row cell 1 or 2, column cell) per face, shape (f, 2, 12), -1 for none.
    cell : Indices
        Place of the blocks of a cell's gradient, shape (n, 5).
    edge : Indices
        Place of the blocks of a boundary face, shape (b, 2).
    """

    starts: Indices
    columns: Indices
    face: Indices
    cell: Indices
    edge: Indices


def sparse_pattern(mesh: Mesh) -> Pattern:
    """Find which cell depends on which."""
    n = len(mesh.volume)
    around = mesh.node_cells[mesh.nodes].reshape(-1, 8)
    used = mesh.node_weight[mesh.nodes].reshape(-1, 8) != 0.0
    columns = np.hstack((mesh.cells, np.where(used, around, -1))).astype(np.int64)
    rows = mesh.cells[:, 1:3].astype(np.int64)
    keys = [
        np.where(columns[:, None, :] >= 0, rows[:, :, None] * n + columns[:, None, :], -1).ravel(),
        np.where(mesh.slope_cells >= 0, np.arange(n)[:, None] * n + mesh.slope_cells, -1).ravel(),
        (mesh.edge_cells[:, :1].astype(np.int64) * n + mesh.edge_cells).ravel(),
    ]
    found, place = np.unique(np.concatenate(keys), return_inverse=True)
    if found[0] < 0:
        found, place = found[1:], place - 1
    face, cell, edge = np.split(place.astype(np.int32), np.cumsum([k.size for k in keys])[:-1])
    starts = np.searchsorted(found, np.arange(n + 1) * n).astype(np.int32)
    return Pattern(
        starts,
        (found % n).astype(np.int32),
        face.reshape(-1, 2, SLOTS),
        cell.reshape(-1, 5),
        edge.reshape(-1, 2),
    )


@kernel
def node_values(q: Any, cells: Indices, weights: FloatArray, given: FloatArray) -> Any:
    """Velocities and turbulence at the nodes, shape (m, 3)."""
    m = len(cells)
    found = np.zeros((m, 3), q.dtype)
    for k in range(m):
        for d in range(3):
            found[k, d] = given[k, d]
        for j in range(4):
            weight = weights[k, j]
            if weight != 0.0:
                i = cells[k, j]
                for d in range(3):
                    found[k, d] += weight * q[i, d + 1]
    return found


@kernel
def _sides(q: Any, cells: Indices, weights: FloatArray, f: int, out: Any) -> None:
    """Fill ``out`` (2, 4) with the states on both sides of an inner face."""
    for var in range(4):
        kind = 0 if var == 0 else (2 if var == 3 else 1)
        for side in range(2):
            total = 0.0 * q[0, 0]
            for k in range(3):
                i = cells[f, k + side]
                if i >= 0:
                    total += weights[f, kind, side, k] * q[i, var]
            out[side, var] = total


@kernel
def _friction(eddy: Any, spread: Any, grad: Any, nx: float, ny: float, nu: float) -> tuple[Any, Any, Any]:
    """Viscous flux per area along the normal; ``grad`` (3, 2) of velocities and turbulence."""
    mu = nu * (1.0 + eddy)
    twist = grad[0, 1] + grad[1, 0]
    x = -mu * (2.0 * grad[0, 0] * nx + twist * ny)
    y = -mu * (twist * nx + 2.0 * grad[1, 1] * ny)
    return x, y, -nu / SIGMA * spread * (grad[2, 0] * nx + grad[2, 1] * ny)


@kernel
def _edge_state(q: Any, cells: Indices, weights: FloatArray, k: int, out: Any) -> None:
    """Fill ``out`` (4,) with the state extrapolated to a boundary face."""
    for var in range(4):
        out[var] = weights[k, 0] * q[cells[k, 0], var] + weights[k, 1] * q[cells[k, 1], var]


@kernel
def _edge_gradient(
    one: Any, two: Any, outer: FloatArray, a: Any, b: Any, slope: FloatArray, normal: FloatArray, out: Any
) -> None:
    """Fill ``out`` (3, 2) with gradients on a boundary face from two cells, outside and two nodes."""
    nx, ny, length = normal
    for d in range(3):
        steep = slope[0] * outer[d + 1] + slope[1] * one[d + 1] + slope[2] * two[d + 1]
        along = (b[d] - a[d]) / length
        out[d, 0] = steep * nx - along * ny
        out[d, 1] = steep * ny + along * nx


@kernel
def edge_flux(
    q: Any, nodes: Any, mesh: Mesh, setting: Setting, k: int, state: Any, grad: Any, out: Any
) -> None:
    """Fill ``out`` (4,) with the flux out of the mesh through a boundary face."""
    nx, ny, length = mesh.edge_normal[k]
    kind = mesh.edge_kind[k]
    _edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
    if kind == FAR:
        o = setting.outer[k]
        out[0], out[1], out[2], out[3] = convection(
            state[0], state[1], state[2], state[3], o[0], o[1], o[2], o[3], nx, ny
        )
    else:
        out[0], out[3] = 0.0 * state[0], 0.0 * state[0]
        out[1], out[2] = state[0] * nx, state[0] * ny
    if kind == WALL or (kind == FAR and setting.sheared_edges):
        one, two = mesh.edge_cells[k]
        a, b = mesh.edge_nodes[k]
        _edge_gradient(
            q[one],
            q[two],
            setting.outer[k],
            nodes[a],
            nodes[b],
            mesh.edge_slope[k],
            mesh.edge_normal[k],
            grad,
        )
        chi = 0.0 * q[0, 0]
        if kind == FAR:
            chi += setting.outer[k, 3]
        eddy, _ = eddy_viscosity(chi)
        spread, _ = diffusivity(chi)
        x, y, t = _friction(eddy, spread, grad, nx, ny, setting.nu)
        out[1] += x
        out[2] += y
        out[3] += t
    for var in range(4):
        out[var] *= length


@kernel
def residual(q: Any, mesh: Mesh, setting: Setting) -> Any:
    """Flux out of each cell less its sources.

    Parameters
    ----------
    q : array of float or complex
        Pressure, velocities, turbulence variable of each cell, shape (n, 4).
    mesh : Mesh
    setting : Setting

    Returns
    -------
    array
        Shape (n, 4), of the type of ``q``.
    """
    r = np.zeros_like(q)
    nodes = node_values(q, mesh.node_cells, mesh.node_weight, setting.at_nodes)
    sides = np.zeros((2, 4), q.dtype)
    grad = np.zeros((3, 2), q.dtype)
    flux = np.zeros(4, q.dtype)
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        nx, ny, length = mesh.normal[f]
        _sides(q, mesh.cells, mesh.reconstruction, f, sides)
        mass, x, y, t = convection(
            sides[0, 0], sides[0, 1], sides[0, 2], sides[0, 3],
            sides[1, 0], sides[1, 1], sides[1, 2], sides[1, 3], nx, ny,
        )  # fmt: skip
        a, b = mesh.nodes[f]
        for d in range(3):
            across, along = q[two, d + 1] - q[one, d + 1], nodes[b, d] - nodes[a, d]
            grad[d, 0] = mesh.gradient[f, 0] * across + mesh.gradient[f, 2] * along
            grad[d, 1] = mesh.gradient[f, 1] * across + mesh.gradient[f, 3] * along
        chi = mesh.share[f] * q[one, 3] + (1.0 - mesh.share[f]) * q[two, 3]
        eddy, _ = eddy_viscosity(chi)
        spread, _ = diffusivity(chi)
        vx, vy, vt = _friction(eddy, spread, grad, nx, ny, setting.nu)
        flux[0], flux[1], flux[2], flux[3] = mass, x + vx, y + vy, t + vt
        for var in range(4):
            r[one, var] += flux[var] * length
            r[two, var] -= flux[var] * length
    state = np.zeros(4, q.dtype)
    for k in range(len(mesh.edge_cells)):
        edge_flux(q, nodes, mesh, setting, k, state, grad, flux)
        for var in range(4):
            r[mesh.edge_cells[k, 0], var] += flux[var]
    for i in range(len(mesh.volume)):
        cell_gradient(q, mesh.slope_cells, mesh.slope_weight, i, grad)
        spin = smooth_magnitude(grad[1, 0] - grad[0, 1], LEAST_VORTICITY)
        made = source(q[i, 3], spin, mesh.distance[i], setting.nu, setting.share[i])
        made += CB2 / SIGMA * setting.nu * (grad[2, 0] * grad[2, 0] + grad[2, 1] * grad[2, 1])
        r[i, 3] -= mesh.volume[i] * made
        for var in range(4):
            r[i, var] -= mesh.volume[i] * setting.made[i, var]
    return r


@kernel
def cell_gradient(q: Any, cells: Indices, weights: FloatArray, i: int, out: Any) -> None:
    """Fill ``out`` (3, 2) with the gradients of velocities and turbulence in a cell."""
    for d in range(3):
        gx, gy = 0.0 * q[0, 0], 0.0 * q[0, 0]
        for k in range(5):
            j = cells[i, k]
            if j >= 0:
                gx += weights[i, k, 0] * q[j, d + 1]
                gy += weights[i, k, 1] * q[j, d + 1]
        out[d, 0], out[d, 1] = gx, gy


@kernel
def _convection_slopes(sides: FloatArray, nx: float, ny: float, out: FloatArray) -> None:
    """Fill ``out`` (2, 4 inputs, 4 fluxes) with the derivatives of the convective flux."""
    z = np.empty(8, np.complex128)
    for s in range(2):
        for var in range(4):
            z[4 * s + var] = sides[s, var]
    for k in range(8):
        z[k] += STEP * 1j
        m, x, y, t = convection(z[0], z[1], z[2], z[3], z[4], z[5], z[6], z[7], nx, ny)
        z[k] = z[k].real
        out[k // 4, k % 4, 0] = m.imag / STEP
        out[k // 4, k % 4, 1] = x.imag / STEP
        out[k // 4, k % 4, 2] = y.imag / STEP
        out[k // 4, k % 4, 3] = t.imag / STEP


@kernel
def jacobian_blocks(q: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern) -> FloatArray:
    """Exact derivative of `residual` as blocks (row flux, column variable), shape (blocks, 4, 4)."""
    blocks = np.zeros((len(pattern.columns), 4, 4))
    nodes = node_values(q, mesh.node_cells, mesh.node_weight, setting.at_nodes)
    sides = np.zeros((2, 4))
    grad = np.zeros((3, 2))
    slopes = np.zeros((2, 4, 4))
    block = np.zeros((4, 4))
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        nx, ny, length = mesh.normal[f]
        _sides(q, mesh.cells, mesh.reconstruction, f, sides)
        _convection_slopes(sides, nx, ny, slopes)
        a, b = mesh.nodes[f]
        for d in range(3):
            across, along = q[two, d + 1] - q[one, d + 1], nodes[b, d] - nodes[a, d]
            grad[d, 0] = mesh.gradient[f, 0] * across + mesh.gradient[f, 2] * along
            grad[d, 1] = mesh.gradient[f, 1] * across + mesh.gradient[f, 3] * along
        share = mesh.share[f]
        chi = share * q[one, 3] + (1.0 - share) * q[two, 3]
        eddy, eddy_slope = eddy_viscosity(chi)
        spread, spread_slope = diffusivity(chi)
        mu = setting.nu * (1.0 + eddy)
        # by the turbulence variable on the face
        vx, vy, vt = _friction(eddy_slope - 1.0, spread_slope, grad, nx, ny, setting.nu)
        for slot in range(SLOTS):
            if pattern.face[f, 0, slot] < 0:
                continue
            block[:] = 0.0
            if slot < 4:
                for side in range(2):
                    k = slot - side
                    if 0 <= k < 3:
                        for var in range(4):
                            kind = 0 if var == 0 else (2 if var == 3 else 1)
                            weight = mesh.reconstruction[f, kind, side, k]
                            if weight != 0.0:
                                for row in range(4):
                                    block[row, var] += weight * slopes[side, var, row]
                if slot == 1 or slot == 2:
                    sign = 1.0 if slot == 2 else -1.0
                    kept = 1.0 - share if slot == 2 else share
                    gx, gy = sign * mesh.gradient[f, 0], sign * mesh.gradient[f, 1]
                    block[1, 3] += kept * vx
                    block[2, 3] += kept * vy
                    block[3, 3] += kept * vt
                else:
                    gx = gy = 0.0
            else:
                place = (slot - 4) % 4
                node, sign = (a, -1.0) if slot < 8 else (b, 1.0)
                weight = sign * mesh.node_weight[node, place]
                gx, gy = weight * mesh.gradient[f, 2], weight * mesh.gradient[f, 3]
            if gx != 0.0 or gy != 0.0:
                block[1, 1] -= mu * (2.0 * gx * nx + gy * ny)
                block[1, 2] -= mu * gx * ny
                block[2, 1] -= mu * gy * nx
                block[2, 2] -= mu * (gx * nx + 2.0 * gy * ny)
                block[3, 3] -= setting.nu / SIGMA * spread * (gx * nx + gy * ny)
            here, there = pattern.face[f, 0, slot], pattern.face[f, 1, slot]
            for row in range(4):
                for var in range(4):
                    change = length * block[row, var]
                    blocks[here, row, var] += change
                    blocks[there, row, var] -= change
    _add_edges(q, mesh, setting, pattern, blocks)
    _add_sources(q, mesh, setting, pattern, blocks)
    return blocks


@kernel
def _add_edges(q: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern, blocks: FloatArray) -> None:
    state = np.zeros(4)
    slopes = np.zeros((2, 4, 4))
    sides = np.zeros((2, 4))
    block = np.zeros((4, 4))
    for k in range(len(mesh.edge_cells)):
        nx, ny, length = mesh.edge_normal[k]
        kind = mesh.edge_kind[k]
        _edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
        if kind == FAR:
            for var in range(4):
                sides[0, var], sides[1, var] = state[var], setting.outer[k, var]
            _convection_slopes(sides, nx, ny, slopes)
        chi = setting.outer[k, 3] if kind == FAR else 0.0
        eddy, _ = eddy_viscosity(chi)
        spread, _ = diffusivity(chi)
        mu = setting.nu * (1.0 + eddy)
        for place in range(2):
            block[:] = 0.0
            weight = mesh.edge_value[k, place]
            if kind == FAR:
                for var in range(4):
                    for row in range(4):
                        block[row, var] = weight * slopes[0, var, row]
            else:
                block[1, 0], block[2, 0] = weight * nx, weight * ny
            if kind == WALL or (kind == FAR and setting.sheared_edges):
                gx, gy = mesh.edge_slope[k, 1 + place] * nx, mesh.edge_slope[k, 1 + place] * ny
                block[1, 1] -= mu * (2.0 * gx * nx + gy * ny)
                block[1, 2] -= mu * gx * ny
                block[2, 1] -= mu * gy * nx
                block[2, 2] -= mu * (gx * nx + 2.0 * gy * ny)
                block[3, 3] -= setting.nu / SIGMA * spread * (gx * nx + gy * ny)
            at = pattern.edge[k, place]
            for row in range(4):
                for var in range(4):
                    blocks[at, row, var] += length * block[row, var]


@kernel
def _add_sources(q: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern, blocks: FloatArray) -> None:
    grad = np.zeros((3, 2))
    for i in range(len(mesh.volume)):
        cell_gradient(q, mesh.slope_cells, mesh.slope_weight, i, grad)
        turn = grad[1, 0] - grad[0, 1]
        spin = smooth_magnitude(turn, LEAST_VORTICITY)
        by_chi = source(
            complex(q[i, 3], STEP), complex(spin, 0.0), mesh.distance[i], setting.nu, setting.share[i]
        ).imag
        by_spin = source(
            complex(q[i, 3], 0.0), complex(spin, STEP), mesh.distance[i], setting.nu, setting.share[i]
        ).imag
        by_turn = by_spin / STEP * turn / spin
        blocks[pattern.cell[i, 0], 3, 3] -= mesh.volume[i] * by_chi / STEP
        factor = 2.0 * CB2 / SIGMA * setting.nu
        for k in range(5):
            at = pattern.cell[i, k]
            if at >= 0:
                wx, wy = mesh.slope_weight[i, k, 0], mesh.slope_weight[i, k, 1]
                blocks[at, 3, 1] += mesh.volume[i] * by_turn * wy
                blocks[at, 3, 2] -= mesh.volume[i] * by_turn * wx
                blocks[at, 3, 3] -= mesh.volume[i] * factor * (grad[2, 0] * wx + grad[2, 1] * wy)


@kernel
def wave_flux(q: FloatArray, mesh: Mesh) -> FloatArray:
    """Sum over a cell's faces of largest wave speed times length, shape (n,): sets the local time step."""
    total = np.zeros(len(mesh.volume))
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        speed = fastest_wave(
            0.5 * (q[one, 1] + q[two, 1]), 0.5 * (q[one, 2] + q[two, 2]), mesh.normal[f, 0], mesh.normal[f, 1]
        )
        total[one] += speed * mesh.normal[f, 2]
        total[two] += speed * mesh.normal[f, 2]
    for k in range(len(mesh.edge_cells)):
        i = mesh.edge_cells[k, 0]
        total[i] += mesh.edge_normal[k, 2] * fastest_wave(
            q[i, 1], q[i, 2], mesh.edge_normal[k, 0], mesh.edge_normal[k, 1]
        )
    return total


@dataclass(frozen=True)
class Problem:
    """A mesh, what is given on it, and the pattern of its Jacobian."""

    mesh: Mesh
    pattern: Pattern
    setting: Setting

    def residual(self, q: npt.NDArray[Any]) -> npt.NDArray[Any]:
        """Residual of a state, shape (n, 4)."""
        return np.asarray(residual(q, self.mesh, self.setting))

    def jacobian(self, q: FloatArray) -> Any:
        """Exact Jacobian, a block sparse matrix of 4 x 4 blocks."""
        blocks = jacobian_blocks(q, self.mesh, self.setting, self.pattern)
        n = len(q)
        return sparse.bsr_matrix((blocks, self.pattern.columns, self.pattern.starts), shape=(4 * n, 4 * n))


@kernel
def outer_change(q: FloatArray, mesh: Mesh, setting: Setting, change: FloatArray) -> FloatArray:
    """Derivative of `residual` by the outer state, times a change of it (b, 4); shape (n, 4)."""
    r = np.zeros((len(mesh.volume), 4))
    state = np.zeros(4)
    for k in range(len(mesh.edge_cells)):
        if mesh.edge_kind[k] != FAR:
            continue
        nx, ny, length = mesh.edge_normal[k]
        _edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
        o, d = setting.outer[k], change[k]
        m, x, y, t = convection(
            complex(state[0], 0.0), complex(state[1], 0.0), complex(state[2], 0.0), complex(state[3], 0.0),
            complex(o[0], STEP * d[0]), complex(o[1], STEP * d[1]), complex(o[2], STEP * d[2]),
            complex(o[3], STEP * d[3]), nx, ny,
        )  # fmt: skip
        i = mesh.edge_cells[k, 0]
        r[i, 0] += m.imag / STEP * length
        r[i, 1] += x.imag / STEP * length
        r[i, 2] += y.imag / STEP * length
        r[i, 3] += t.imag / STEP * length
    return r
