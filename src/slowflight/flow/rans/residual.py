"""What each cell of a mesh still gains or loses.

The residual of a cell is the flux out of it less what its sources make: of mass, x and y momentum and of the
turbulence model's variables. Second order in space for mass and momentum, first-order upwind for the carrying
of turbulence.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.flux import carried, convection, fastest_wave
from slowflight.flow.rans.mesh import FAR, WALL, Indices, Mesh
from slowflight.flow.rans.setting import Setting
from slowflight.flow.rans.smooth import exponential, mean_power, smooth_magnitude, tame_power
from slowflight.flow.rans.turbulence import FLOW, closure, skin_closure, sources
from slowflight.flow.solution import FloatArray

LEAST_VORTICITY = 1e-6  # rounds the magnitude off [flight speeds per chord]


@kernel
def node_values(q: Any, cells: Indices, weights: FloatArray, given: FloatArray) -> Any:
    """Velocities and turbulence at the nodes, shape (m, unknowns - 1)."""
    m, count = given.shape
    found = np.zeros((m, count), q.dtype)
    for k in range(m):
        for d in range(count):
            found[k, d] = given[k, d]
        for j in range(4):
            weight = weights[k, j]
            if weight != 0.0:
                i = cells[k, j]
                for d in range(count):
                    found[k, d] += weight * q[i, d + 1]
    return found


@kernel
def face_sides(q: Any, model: Any, cells: Indices, weights: FloatArray, f: int, out: Any) -> None:
    """Fill ``out`` (2, unknowns) with the states on both sides of an inner face."""
    for var in range(FLOW + len(model)):
        kind = 0 if var == 0 else (2 if var >= FLOW else 1)
        for side in range(2):
            total = 0.0 * q[0, 0]
            for k in range(3):
                i = cells[f, k + side]
                if i >= 0:
                    total += weights[f, kind, side, k] * q[i, var]
            out[side, var] = total


@kernel
def face_gradient(
    q: Any, model: Any, nodes: Any, one: int, two: int, a: int, b: int, weights: FloatArray, out: Any
) -> None:
    """Fill ``out`` (unknowns - 1, 2) with gradients on a face between two cells and two nodes."""
    for d in range(2 + len(model)):
        across, along = q[two, d + 1] - q[one, d + 1], nodes[b, d] - nodes[a, d]
        out[d, 0] = weights[0] * across + weights[2] * along
        out[d, 1] = weights[1] * across + weights[3] * along


@kernel
def spin_of(grad: Any) -> Any:
    """Magnitude of the vorticity, rounded off."""
    return smooth_magnitude(grad[1, 0] - grad[0, 1], LEAST_VORTICITY)


@kernel
def strain_of(grad: Any) -> Any:
    """Square of the magnitude of strain."""
    twist = grad[0, 1] + grad[1, 0]
    return 2.0 * (grad[0, 0] * grad[0, 0] + grad[1, 1] * grad[1, 1]) + twist * twist


@kernel
def cross_of(model: Any, grad: Any, x: float, y: float) -> Any:
    """Product of the gradients of first and last turbulence variable, to the latter's (x, y) added."""
    last = 1 + len(model)
    return grad[2, 0] * (grad[last, 0] + x) + grad[2, 1] * (grad[last, 1] + y)


@kernel
def edge_state(q: Any, cells: Indices, weights: FloatArray, k: int, out: Any) -> None:
    """Fill ``out`` (unknowns,) with the state extrapolated to a boundary face."""
    for var in range(len(out)):
        out[var] = weights[k, 0] * q[cells[k, 0], var] + weights[k, 1] * q[cells[k, 1], var]


@kernel
def edge_gradient(q: Any, nodes: Any, mesh: Mesh, setting: Setting, k: int, out: Any) -> None:
    """Fill ``out`` (unknowns - 1, 2) with gradients on a boundary face: two cells, outside and two nodes."""
    one, two = mesh.edge_cells[k]
    a, b = mesh.edge_nodes[k]
    nx, ny, length = mesh.edge_normal[k]
    slope = mesh.edge_slope[k]
    for d in range(len(out)):
        steep = slope[0] * setting.outer[k, d + 1] + slope[1] * q[one, d + 1] + slope[2] * q[two, d + 1]
        along = (nodes[b, d] - nodes[a, d]) / length
        out[d, 0] = steep * nx - along * ny
        out[d, 1] = steep * ny + along * nx


@kernel
def edge_closure(mesh: Mesh, setting: Setting, k: int, grad: Any, t: Any, out: Any) -> None:
    """Fill ``out`` as `turbulence.closure` does, on a boundary face; ``t`` (variables,) is room."""
    if mesh.edge_kind[k] == WALL:
        skin_closure(setting.model, setting.nu, out)
        return
    one, two = mesh.edge_cells[k]
    distance = mesh.edge_value[k, 0] * mesh.distance[one] + mesh.edge_value[k, 1] * mesh.distance[two]
    for j in range(len(setting.model)):
        t[j] = setting.outer[k, FLOW + j]
    cross = cross_of(setting.model, grad, setting.lean[one, 0], setting.lean[one, 1])
    closure(setting.model, t, spin_of(grad), cross, distance, setting.nu, out)


@kernel
def add_friction(model: Any, closed: Any, grad: Any, nx: float, ny: float, nu: float, out: Any) -> None:
    """Add the viscous flux per area along the normal to ``out`` (unknowns,)."""
    mu = nu * (1.0 + closed[0])
    twist = grad[0, 1] + grad[1, 0]
    out[1] -= mu * (2.0 * grad[0, 0] * nx + twist * ny)
    out[2] -= mu * (twist * nx + 2.0 * grad[1, 1] * ny)
    # a logarithm spreads by each side's own measure, see `log_spread`
    for j in range(1):
        out[FLOW + j] -= closed[1 + j] * (grad[2 + j, 0] * nx + grad[2 + j, 1] * ny)


@kernel
def log_spread(steep: Any, change: Any, leaning: float, cross: Any) -> Any:
    """Spreading of omega through a face over the omega of one of its cells, per length and diffusivity.

    omega itself spreads, not its logarithm: grad omega . n / omega = mean of omega over that of the cell
    times the slope of the logarithm. With the logarithmic mean no cell can rise above both its neighbors.

    Parameters
    ----------
    steep : float or complex
        Slope of v along the normal.
    change : float or complex
        v beyond the face less v in the cell.
    leaning : float
        Slope of ln omega_s along the normal, in the cell.
    cross : float or complex
        Cross factor times k / nu on the face less that in the cell, over the diffusivity: summed over the
        faces of a cell, grad k . grad ln omega = div(k grad ln omega) - k div(grad ln omega). As a power of
        e it leaves the whole above zero where k has a front, which differences across cells do not.
    """
    return tame_power(cross) * (mean_power(change) * steep + leaning)


@kernel
def edge_flux(
    q: Any, nodes: Any, mesh: Mesh, setting: Setting, k: int, state: Any, grad: Any, out: Any
) -> None:
    """Fill ``out`` (unknowns,) with the flux out of the mesh through a boundary face."""
    nx, ny, length = mesh.edge_normal[k]
    kind = mesh.edge_kind[k]
    model = setting.model
    last = FLOW - 1 + len(model)
    edge_state(q, mesh.edge_cells, mesh.edge_value, k, state)
    out[:] = 0.0
    if kind == FAR:
        o = setting.outer[k]
        out[0], out[1], out[2] = convection(state[0], state[1], state[2], o[0], o[1], o[2], nx, ny)
        for j in range(len(model)):
            left = setting.left[mesh.edge_cells[k, 0]] if j == len(model) - 1 else 0.0
            out[FLOW + j] = carried(out[0], state[FLOW + j] + left, o[FLOW + j] + left)
    else:
        out[1], out[2] = state[0] * nx, state[0] * ny
    if kind == WALL or (kind == FAR and setting.sheared_edges):
        edge_gradient(q, nodes, mesh, setting, k, grad)
        closed = np.zeros(2 * len(model), q.dtype)
        edge_closure(mesh, setting, k, grad, np.zeros(len(model), q.dtype), closed)
        add_friction(model, closed, grad, nx, ny, setting.nu, out)
        if len(model) > 1:
            one = mesh.edge_cells[k, 0]
            steep = grad[last - 1, 0] * nx + grad[last - 1, 1] * ny
            power = exponential(setting.outer[k, last] - q[one, last])
            leaning = nx * setting.lean[one, 0] + ny * setting.lean[one, 1]
            cross = closed[len(model) + 1] * (setting.outer[k, FLOW] - q[one, FLOW]) / closed[len(model)]
            out[last] -= closed[len(model)] * tame_power(cross) * (power * steep + leaning)
    for var in range(len(out)):
        out[var] *= length


@kernel
def residual(q: Any, mesh: Mesh, setting: Setting) -> Any:
    """Flux out of each cell less its sources.

    Parameters
    ----------
    q : array of float or complex
        Pressure, velocities, turbulence variables of each cell, shape (n, unknowns).
    mesh : Mesh
    setting : Setting

    Returns
    -------
    array
        Shape (n, unknowns), of the type of ``q``.
    """
    model = setting.model
    count = len(model)
    unknowns = FLOW + count
    r = np.zeros_like(q)
    nodes = node_values(q, mesh.node_cells, mesh.node_weight, setting.at_nodes)
    sides = np.zeros((2, unknowns), q.dtype)
    grad = np.zeros((unknowns - 1, 2), q.dtype)
    flux = np.zeros(unknowns, q.dtype)
    t, closed = np.zeros(count, q.dtype), np.zeros(2 * count, q.dtype)
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        nx, ny, length = mesh.normal[f]
        face_sides(q, model, mesh.cells, mesh.reconstruction, f, sides)
        flux[0], flux[1], flux[2] = convection(
            sides[0, 0], sides[0, 1], sides[0, 2], sides[1, 0], sides[1, 1], sides[1, 2], nx, ny
        )
        share = mesh.share[f]
        # all of omega is carried along, not what is left of it: that differs past a trailing edge
        sides[0, unknowns - 1] += setting.left[one]
        sides[1, unknowns - 1] += setting.left[two]
        for j in range(count):
            flux[FLOW + j] = carried(flux[0], sides[0, FLOW + j], sides[1, FLOW + j])
            t[j] = share * q[one, FLOW + j] + (1.0 - share) * q[two, FLOW + j]
        a, b = mesh.nodes[f]
        face_gradient(q, model, nodes, one, two, a, b, mesh.gradient[f], grad)
        distance = share * mesh.distance[one] + (1.0 - share) * mesh.distance[two]
        lean_x = share * setting.lean[one, 0] + (1.0 - share) * setting.lean[two, 0]
        lean_y = share * setting.lean[one, 1] + (1.0 - share) * setting.lean[two, 1]
        closure(model, t, spin_of(grad), cross_of(model, grad, lean_x, lean_y), distance, setting.nu, closed)
        add_friction(model, closed, grad, nx, ny, setting.nu, flux)
        for var in range(unknowns):
            r[one, var] += flux[var] * length
            r[two, var] -= flux[var] * length
        if count > 1:
            last = unknowns - 1
            steep = grad[last - 1, 0] * nx + grad[last - 1, 1] * ny
            change = q[two, last] - q[one, last]
            leaning_one = nx * setting.lean[one, 0] + ny * setting.lean[one, 1]
            leaning_two = nx * setting.lean[two, 0] + ny * setting.lean[two, 1]
            cross = closed[count + 1] * (q[two, FLOW] - q[one, FLOW]) / closed[count]
            r[one, last] -= (
                closed[count] * length * log_spread(steep, change, leaning_one, (1.0 - share) * cross)
            )
            r[two, last] += closed[count] * length * log_spread(steep, -change, leaning_two, -share * cross)
    state = np.zeros(unknowns, q.dtype)
    for k in range(len(mesh.edge_cells)):
        edge_flux(q, nodes, mesh, setting, k, state, grad, flux)
        for var in range(unknowns):
            r[mesh.edge_cells[k, 0], var] += flux[var]
    made = np.zeros(count, q.dtype)
    for i in range(len(mesh.volume)):
        cell_gradient(q, model, mesh.slope_cells, mesh.slope_weight, i, grad)
        for j in range(count):
            t[j] = q[i, FLOW + j]
        x, y = setting.lean[i]
        steep = steepness(model, grad, x, y)
        sources(
            model, t, spin_of(grad), strain_of(grad), cross_of(model, grad, x, y), steep, setting.bend[i],
            mesh.distance[i], setting.nu, setting.share[i], made,
        )  # fmt: skip
        for j in range(count):
            r[i, FLOW + j] -= mesh.volume[i] * made[j]
        for var in range(unknowns):
            r[i, var] -= mesh.volume[i] * setting.made[i, var]
    return r


@kernel
def steepness(model: Any, grad: Any, x: float, y: float) -> Any:
    """Square of the gradient of the last turbulence variable; of v what (x, y) adds to it."""
    last = 1 + len(model)
    if len(model) == 1:
        return grad[last, 0] * grad[last, 0] + grad[last, 1] * grad[last, 1]
    return (2.0 * grad[last, 0] + x) * x + (2.0 * grad[last, 1] + y) * y


@kernel
def cell_gradient(q: Any, model: Any, cells: Indices, weights: FloatArray, i: int, out: Any) -> None:
    """Fill ``out`` (unknowns - 1, 2) with the gradients of velocities and turbulence in a cell."""
    for d in range(2 + len(model)):
        gx, gy = 0.0 * q[0, 0], 0.0 * q[0, 0]
        for k in range(5):
            j = cells[i, k]
            if j >= 0:
                gx += weights[i, k, 0] * q[j, d + 1]
                gy += weights[i, k, 1] * q[j, d + 1]
        out[d, 0], out[d, 1] = gx, gy


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
