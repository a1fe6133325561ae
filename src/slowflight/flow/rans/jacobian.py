"""The exact derivative of the residual.

Fluxes and sources are differentiated where they are local, by complex steps (Martins et al. 2003) or by hand,
and chained with the mesh's fixed weights into a fixed pattern of blocks.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.flux import carried_slopes, convection
from slowflight.flow.rans.mesh import FAR, WALL, Mesh
from slowflight.flow.rans.pattern import SLOTS, Pattern
from slowflight.flow.rans.residual import (
    cell_gradient,
    cross_of,
    edge_closure,
    edge_gradient,
    edge_state,
    face_gradient,
    face_sides,
    node_values,
    spin_of,
    steepness,
    strain_of,
)
from slowflight.flow.rans.setting import Setting
from slowflight.flow.rans.smooth import mean_power, mean_power_slope, tame_power, tame_power_slope
from slowflight.flow.rans.turbulence import FLOW, STEP, closure, closure_slopes, source_slopes
from slowflight.flow.solution import FloatArray


@kernel
def _convection_slopes(model: Any, sides: FloatArray, nx: float, ny: float, z: Any, out: FloatArray) -> None:
    """Fill ``out`` (2, inputs, fluxes) with derivatives of the convective flux; ``z`` (6,) is room."""
    for s in range(2):
        for var in range(FLOW):
            z[FLOW * s + var] = sides[s, var]
    mass = 0.0
    for k in range(2 * FLOW):
        z[k] += STEP * 1j
        m, x, y = convection(z[0], z[1], z[2], z[3], z[4], z[5], nx, ny)
        z[k] = z[k].real
        side, var = k // FLOW, k % FLOW
        out[side, var, 0] = m.imag / STEP
        out[side, var, 1] = x.imag / STEP
        out[side, var, 2] = y.imag / STEP
        mass = m.real
    for j in range(FLOW, FLOW + len(model)):
        by_mass, by_first, by_second = carried_slopes(mass, sides[0, j], sides[1, j])
        for side in range(2):
            for var in range(FLOW):
                out[side, var, j] = by_mass * out[side, var, 0]
        out[0, j, j], out[1, j, j] = by_first, by_second


@kernel
def _add_viscous(
    model: Any, closed: Any, slopes: Any, grad: Any, lean_x: float, lean_y: float, nx: float, ny: float,
    nu: float, kept: float, gx: float, gy: float, block: Any, spreading: Any,
) -> None:  # fmt: skip
    """Add a cell's part in the viscous flux to ``block`` (flux, variable).

    Parameters
    ----------
    closed, slopes
        From `turbulence.closure` and its derivatives.
    grad, lean_x, lean_y
        Gradients on the face, and slope of what the last variable leaves out.
    kept, gx, gy : float
        Weight of the cell in the turbulence on the face, and in the gradient.
    spreading : array
        Filled with derivatives of the last variable's diffusivity and of the cross factor by the cell's
        variables, (2, unknowns).
    """
    count = len(model)
    mu = nu * (1.0 + closed[0])
    block[1, 1] -= mu * (2.0 * gx * nx + gy * ny)
    block[1, 2] -= mu * gx * ny
    block[2, 1] -= mu * gy * nx
    block[2, 2] -= mu * (gx * nx + 2.0 * gy * ny)
    block[FLOW, FLOW] -= closed[1] * (gx * nx + gy * ny)
    twist = grad[0, 1] + grad[1, 0]
    x = nu * (2.0 * grad[0, 0] * nx + twist * ny)
    y = nu * (twist * nx + 2.0 * grad[1, 1] * ny)
    if count == 1:
        if kept != 0.0:
            block[1, FLOW] -= kept * slopes[0, 0] * x
            block[2, FLOW] -= kept * slopes[0, 0] * y
            block[FLOW, FLOW] -= kept * slopes[1, 0] * (grad[2, 0] * nx + grad[2, 1] * ny)
        return
    last = 1 + count
    turn = (grad[1, 0] - grad[0, 1]) / spin_of(grad)
    along_last = gx * (grad[last, 0] + lean_x) + gy * (grad[last, 1] + lean_y)
    for var in range(1, FLOW + count):
        for o in range(2 * count):
            if var == 1:
                change = -slopes[o, count] * turn * gy
            elif var == 2:
                change = slopes[o, count] * turn * gx
            else:
                change = slopes[o, var - FLOW] * kept
            if var == FLOW:
                change += slopes[o, count + 1] * along_last
            elif var == FLOW + count - 1:
                change += slopes[o, count + 1] * (gx * grad[2, 0] + gy * grad[2, 1])
            if o == 0:
                block[1, var] -= x * change
                block[2, var] -= y * change
            elif o < count:
                block[FLOW - 1 + o, var] -= change * (grad[1 + o, 0] * nx + grad[1 + o, 1] * ny)
            else:
                spreading[o - count, var] = change


@kernel
def jacobian_blocks(q: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern) -> FloatArray:
    """Exact derivative of `residual` as blocks (row flux, column variable), shape (blocks, u, u)."""
    model = setting.model
    count = len(model)
    unknowns = FLOW + count
    blocks = np.zeros((len(pattern.columns), unknowns, unknowns))
    nodes = node_values(q, mesh.node_cells, mesh.node_weight, setting.at_nodes)
    sides = np.zeros((2, unknowns))
    grad = np.zeros((unknowns - 1, 2))
    slopes = np.zeros((2, unknowns, unknowns))
    block = np.zeros((unknowns, unknowns))
    t, closed = np.zeros(count), np.zeros(2 * count)
    closed_slopes = np.zeros((2 * count, count + 2))
    z_flux, z, z_out = (
        np.zeros(2 * FLOW, np.complex128),
        np.zeros(count, np.complex128),
        np.zeros(2 * count, np.complex128),
    )
    spreading = np.zeros((2, unknowns))
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        nx, ny, length = mesh.normal[f]
        face_sides(q, model, mesh.cells, mesh.reconstruction, f, sides)
        sides[0, unknowns - 1] += setting.left[one]
        sides[1, unknowns - 1] += setting.left[two]
        _convection_slopes(model, sides, nx, ny, z_flux, slopes)
        a, b = mesh.nodes[f]
        face_gradient(q, model, nodes, one, two, a, b, mesh.gradient[f], grad)
        share = mesh.share[f]
        for j in range(count):
            t[j] = share * q[one, FLOW + j] + (1.0 - share) * q[two, FLOW + j]
        distance = share * mesh.distance[one] + (1.0 - share) * mesh.distance[two]
        lean_x = share * setting.lean[one, 0] + (1.0 - share) * setting.lean[two, 0]
        lean_y = share * setting.lean[one, 1] + (1.0 - share) * setting.lean[two, 1]
        spin, cross = spin_of(grad), cross_of(model, grad, lean_x, lean_y)
        closure(model, t, spin, cross, distance, setting.nu, closed)
        closure_slopes(model, t, spin, cross, distance, setting.nu, z, z_out, closed_slopes)
        steep = grad[unknowns - 2, 0] * nx + grad[unknowns - 2, 1] * ny
        change_one = q[two, unknowns - 1] - q[one, unknowns - 1]
        whole_one = whole_two = cross_one = cross_two = 0.0
        power_one = power_two = tilt_one = tilt_two = 0.0
        if count > 1:
            whole_one = mean_power(change_one) * steep + nx * setting.lean[one, 0] + ny * setting.lean[one, 1]
            whole_two = (
                mean_power(-change_one) * steep + nx * setting.lean[two, 0] + ny * setting.lean[two, 1]
            )
            cross_one = (1.0 - share) * closed[count + 1] * (q[two, FLOW] - q[one, FLOW]) / closed[count]
            cross_two = share * closed[count + 1] * (q[one, FLOW] - q[two, FLOW]) / closed[count]
            power_one, power_two = tame_power(cross_one), tame_power(cross_two)
            tilt_one, tilt_two = (
                tame_power_slope(cross_one) * whole_one,
                tame_power_slope(cross_two) * whole_two,
            )
        for slot in range(SLOTS):
            if pattern.face[f, 0, slot] < 0:
                continue
            block[:] = 0.0
            kept = gx = gy = 0.0
            if slot < 4:
                for side in range(2):
                    k = slot - side
                    if 0 <= k < 3:
                        for var in range(unknowns):
                            kind = 0 if var == 0 else (2 if var >= FLOW else 1)
                            weight = mesh.reconstruction[f, kind, side, k]
                            if weight != 0.0:
                                for row in range(unknowns):
                                    block[row, var] += weight * slopes[side, var, row]
                if slot == 1 or slot == 2:
                    sign = 1.0 if slot == 2 else -1.0
                    kept = 1.0 - share if slot == 2 else share
                    gx, gy = sign * mesh.gradient[f, 0], sign * mesh.gradient[f, 1]
            else:
                place = (slot - 4) % 4
                node, sign = (a, -1.0) if slot < 8 else (b, 1.0)
                weight = sign * mesh.node_weight[node, place]
                gx, gy = weight * mesh.gradient[f, 2], weight * mesh.gradient[f, 3]
            viscous = gx != 0.0 or gy != 0.0
            if viscous:
                _add_viscous(
                    model, closed, closed_slopes, grad, lean_x, lean_y, nx, ny, setting.nu, kept, gx, gy,
                    block, spreading,
                )  # fmt: skip
            here, there = pattern.face[f, 0, slot], pattern.face[f, 1, slot]
            for row in range(unknowns):
                for var in range(unknowns):
                    change = length * block[row, var]
                    blocks[here, row, var] += change
                    blocks[there, row, var] -= change
            if count > 1 and viscous:
                last = unknowns - 1
                climb = q[two, FLOW] - q[one, FLOW]
                for var in range(1, unknowns):
                    more, factor = spreading[0, var], spreading[1, var]
                    # of diffusivity times power: the power holds factor over diffusivity
                    by_one = more * (power_one * whole_one - cross_one * tilt_one)
                    by_one += (1.0 - share) * climb * factor * tilt_one
                    by_two = more * (power_two * whole_two - cross_two * tilt_two)
                    by_two -= share * climb * factor * tilt_two
                    blocks[here, last, var] -= length * by_one
                    blocks[there, last, var] += length * by_two
                across = closed[count] * length * (gx * nx + gy * ny)
                blocks[here, last, last] -= across * power_one * mean_power(change_one)
                blocks[there, last, last] += across * power_two * mean_power(-change_one)
                if slot == 1 or slot == 2:
                    sign = 1.0 if slot == 2 else -1.0
                    along = sign * closed[count] * length * steep
                    blocks[here, last, last] -= along * power_one * mean_power_slope(change_one)
                    blocks[there, last, last] -= along * power_two * mean_power_slope(-change_one)
                    along = sign * closed[count + 1] * length
                    blocks[here, last, FLOW] -= along * (1.0 - share) * tilt_one
                    blocks[there, last, FLOW] -= along * share * tilt_two
    _add_edges(q, nodes, mesh, setting, pattern, blocks)
    _add_sources(q, mesh, setting, pattern, blocks)
    return blocks


@kernel
def _add_edges(
    q: FloatArray, nodes: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern, blocks: FloatArray
) -> None:
    model = setting.model
    count = len(model)
    unknowns = FLOW + count
    state, grad = np.zeros(unknowns), np.zeros((unknowns - 1, 2))
    slopes = np.zeros((2, unknowns, unknowns))
    sides, block = np.zeros((2, unknowns)), np.zeros((unknowns, unknowns))
    t, closed = np.zeros(count), np.zeros(2 * count)
    closed_slopes = np.zeros((2 * count, count + 2))
    z_flux, z, z_out = (
        np.zeros(2 * FLOW, np.complex128),
        np.zeros(count, np.complex128),
        np.zeros(2 * count, np.complex128),
    )
    spreading = np.zeros((2, unknowns))
    for k in range(len(mesh.edge_cells)):
        nx, ny, length = mesh.edge_normal[k]
        kind = mesh.edge_kind[k]
        one, two = mesh.edge_cells[k]
        lean_x, lean_y = setting.lean[one]
        edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
        if kind == FAR:
            for var in range(unknowns):
                sides[0, var], sides[1, var] = state[var], setting.outer[k, var]
            sides[0, unknowns - 1] += setting.left[one]
            sides[1, unknowns - 1] += setting.left[one]
            _convection_slopes(model, sides, nx, ny, z_flux, slopes)
        sheared = kind == WALL or (kind == FAR and setting.sheared_edges)
        if sheared:
            edge_gradient(q, nodes, mesh, setting, k, grad)
            edge_closure(mesh, setting, k, grad, t, closed)
            closed_slopes[:] = 0.0
            if kind == FAR:
                distance = (
                    mesh.edge_value[k, 0] * mesh.distance[one] + mesh.edge_value[k, 1] * mesh.distance[two]
                )
                closure_slopes(
                    model, t, spin_of(grad), cross_of(model, grad, lean_x, lean_y), distance, setting.nu,
                    z, z_out, closed_slopes,
                )  # fmt: skip
        for place in range(2):
            block[:] = 0.0
            weight = mesh.edge_value[k, place]
            if kind == FAR:
                for var in range(unknowns):
                    for row in range(unknowns):
                        block[row, var] = weight * slopes[0, var, row]
            else:
                block[1, 0], block[2, 0] = weight * nx, weight * ny
            if sheared:
                gx, gy = mesh.edge_slope[k, 1 + place] * nx, mesh.edge_slope[k, 1 + place] * ny
                _add_viscous(
                    model, closed, closed_slopes, grad, lean_x, lean_y, nx, ny, setting.nu, 0.0, gx, gy,
                    block, spreading,
                )  # fmt: skip
                if count > 1:
                    last = unknowns - 1
                    power = np.exp(setting.outer[k, last] - q[one, last])
                    steep = grad[last - 1, 0] * nx + grad[last - 1, 1] * ny
                    whole = power * steep + nx * lean_x + ny * lean_y
                    climb = setting.outer[k, FLOW] - q[one, FLOW]
                    cross = closed[count + 1] * climb / closed[count]
                    tame, tilt = tame_power(cross), tame_power_slope(cross) * whole
                    for var in range(1, unknowns):
                        block[last, var] -= spreading[0, var] * (tame * whole - cross * tilt)
                        block[last, var] -= spreading[1, var] * climb * tilt
                    block[last, last] -= closed[count] * tame * power * (gx * nx + gy * ny)
                    if place == 0:
                        block[last, last] += closed[count] * tame * power * steep
                        block[last, FLOW] += closed[count + 1] * tilt
            at = pattern.edge[k, place]
            for row in range(unknowns):
                for var in range(unknowns):
                    blocks[at, row, var] += length * block[row, var]


@kernel
def _add_sources(q: FloatArray, mesh: Mesh, setting: Setting, pattern: Pattern, blocks: FloatArray) -> None:
    model = setting.model
    count = len(model)
    unknowns = FLOW + count
    last = 1 + count
    grad, t = np.zeros((unknowns - 1, 2)), np.zeros(count)
    slopes = np.zeros((count, count + 4))
    z, z_out = np.zeros(count, np.complex128), np.zeros(count, np.complex128)
    for i in range(len(mesh.volume)):
        cell_gradient(q, model, mesh.slope_cells, mesh.slope_weight, i, grad)
        for j in range(count):
            t[j] = q[i, FLOW + j]
        lean_x, lean_y = setting.lean[i]
        spin, strain = spin_of(grad), strain_of(grad)
        cross, steep = cross_of(model, grad, lean_x, lean_y), steepness(model, grad, lean_x, lean_y)
        source_slopes(
            model, t, spin, strain, cross, steep, setting.bend[i], mesh.distance[i], setting.nu,
            setting.share[i], z, z_out, slopes,
        )  # fmt: skip
        turn = (grad[1, 0] - grad[0, 1]) / spin
        twist = grad[0, 1] + grad[1, 0]
        w_x, w_y = grad[last, 0] + lean_x, grad[last, 1] + lean_y
        s_x, s_y = (lean_x, lean_y) if count > 1 else (w_x, w_y)
        mine = pattern.cell[i, 0]
        volume = mesh.volume[i]
        for j in range(count):
            for m in range(count):
                blocks[mine, FLOW + j, FLOW + m] -= volume * slopes[j, m]
        for k in range(5):
            at = pattern.cell[i, k]
            if at < 0:
                continue
            x, y = mesh.slope_weight[i, k, 0], mesh.slope_weight[i, k, 1]
            for j in range(count):
                row = FLOW + j
                by_spin = volume * slopes[j, count] * turn
                blocks[at, row, 1] += by_spin * y
                blocks[at, row, 2] -= by_spin * x
                by_steep = 2.0 * volume * slopes[j, count + 3]
                blocks[at, row, unknowns - 1] -= by_steep * (s_x * x + s_y * y)
                if count > 1:
                    by_strain = 2.0 * volume * slopes[j, count + 1]
                    blocks[at, row, 1] -= by_strain * (2.0 * grad[0, 0] * x + twist * y)
                    blocks[at, row, 2] -= by_strain * (2.0 * grad[1, 1] * y + twist * x)
                    by_cross = volume * slopes[j, count + 2]
                    blocks[at, row, FLOW] -= by_cross * (w_x * x + w_y * y)
                    blocks[at, row, unknowns - 1] -= by_cross * (grad[2, 0] * x + grad[2, 1] * y)


@kernel
def outer_change(q: FloatArray, mesh: Mesh, setting: Setting, change: FloatArray) -> FloatArray:
    """Derivative of `residual` by the outer state, times a change of it (b, u); shape (n, u).

    Of far boundaries without friction.
    """
    model = setting.model
    unknowns = FLOW + len(model)
    r = np.zeros((len(mesh.volume), unknowns))
    state = np.zeros(unknowns)
    for k in range(len(mesh.edge_cells)):
        if mesh.edge_kind[k] != FAR:
            continue
        nx, ny, length = mesh.edge_normal[k]
        edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
        o, d = setting.outer[k], change[k]
        m, x, y = convection(
            complex(state[0], 0.0), complex(state[1], 0.0), complex(state[2], 0.0),
            complex(o[0], STEP * d[0]), complex(o[1], STEP * d[1]), complex(o[2], STEP * d[2]), nx, ny,
        )  # fmt: skip
        i = mesh.edge_cells[k, 0]
        r[i, 0] += m.imag / STEP * length
        r[i, 1] += x.imag / STEP * length
        r[i, 2] += y.imag / STEP * length
        for j in range(FLOW, unknowns):
            left = setting.left[i] if j == unknowns - 1 else 0.0
            by_mass, _, by_outer = carried_slopes(m.real, state[j] + left, o[j] + left)
            r[i, j] += (by_mass * m.imag / STEP + by_outer * d[j]) * length
    return r
