"""What is given besides the mesh and the state, and what the turbulence model wants to know of the mesh."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.rans.mesh import Mesh
from slowflight.flow.rans.shear_stress import NEAR_SKIN, wall_omega
from slowflight.flow.rans.turbulence import FLOW, Model, OneEquation
from slowflight.flow.solution import FloatArray

STRAIGHT = 0.9  # below this length of its gradient, distance has a crease and the gradient no direction


class Setting(NamedTuple):
    """What is given besides the mesh and the state.

    Parameters
    ----------
    nu : float
        Molecular viscosity, 1 over the Reynolds number.
    outer : FloatArray
        State outside each boundary face, zero velocity and turbulence on a skin, shape (b, unknowns).
    at_nodes : FloatArray
        What is added to velocities and turbulence at each node, shape (m, unknowns - 1): zero but in tests.
    made : FloatArray
        Sources per volume [mass, momentum, momentum, turbulence], shape (n, unknowns).
    share : FloatArray
        Of turbulence production that is on in each cell, 0 to 1, shape (n,).
    sheared_edges : bool
        Whether friction acts on far boundaries too (manufactured solutions).
    model : Model
        Of turbulence.
    left, lean, bend : FloatArray
        What the model's last variable leaves out, its gradient and its Laplacian, shapes (n,), (n, 2), (n,).
    """

    nu: float
    outer: FloatArray
    at_nodes: FloatArray
    made: FloatArray
    share: FloatArray
    sheared_edges: bool
    model: Model
    left: FloatArray
    lean: FloatArray
    bend: FloatArray


def setting_on(mesh: Mesh, model: Model, *, nu: float) -> Setting:
    """A fully turbulent setting with nothing given."""
    n, unknowns = len(mesh.volume), FLOW + len(model)
    left, lean, bend = left_out(mesh, model, nu)
    return Setting(
        nu=nu,
        outer=np.zeros((len(mesh.edge_cells), unknowns)),
        at_nodes=np.zeros((len(mesh.node_cells), unknowns - 1)),
        made=np.zeros((n, unknowns)),
        share=np.ones(n),
        sheared_edges=False,
        model=model,
        left=left,
        lean=lean,
        bend=bend,
    )


def left_out(mesh: Mesh, model: Model, nu: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Ln omega_s, which hangs on the distance from the wall alone, its gradient and its Laplacian.

    Next to a skin these grow without bounds, so they are taken from the formula; only the direction and the
    spreading of the lines of distance come from the mesh, by the same differences as a flow's.
    """
    if isinstance(model, OneEquation):
        nothing = np.zeros(len(mesh.volume))
        return nothing, np.zeros((len(mesh.volume), 2)), nothing
    d = mesh.distance
    reach = NEAR_SKIN * nu
    cells = mesh.slope_cells
    away = np.sum(mesh.slope_weight * np.where(cells >= 0, d[cells], 0.0)[:, :, None], axis=1)
    length = np.hypot(away[:, 0], away[:, 1])
    away /= np.where(length > STRAIGHT, length, 1.0)[:, None]
    square = d * d + reach * reach
    first = -2.0 * reach * reach / (d * square)
    second = 2.0 / (d * d) + 2.0 * (reach * reach - d * d) / (square * square)
    bend = second * np.sum(away * away, axis=1) + first * _spreading(mesh, d)
    left = np.log([wall_omega(at, nu) for at in d])
    return left, np.ascontiguousarray(first[:, None] * away), np.asarray(bend)


@kernel
def _spreading(mesh: Mesh, d: FloatArray) -> FloatArray:
    """Divergence of the gradient of distance, shape (n,): none over a flat skin, 1 / d behind an edge."""
    at_nodes = np.zeros(len(mesh.node_cells))
    for k in range(len(mesh.node_cells)):
        for j in range(4):
            if mesh.node_weight[k, j] != 0.0:
                at_nodes[k] += mesh.node_weight[k, j] * d[mesh.node_cells[k, j]]
    found = np.zeros(len(mesh.volume))
    for f in range(len(mesh.cells)):
        one, two = mesh.cells[f, 1], mesh.cells[f, 2]
        a, b = mesh.nodes[f]
        across, along = d[two] - d[one], at_nodes[b] - at_nodes[a]
        flux = mesh.normal[f, 2] * (
            (mesh.gradient[f, 0] * across + mesh.gradient[f, 2] * along) * mesh.normal[f, 0]
            + (mesh.gradient[f, 1] * across + mesh.gradient[f, 3] * along) * mesh.normal[f, 1]
        )
        found[one] += flux / mesh.volume[one]
        found[two] -= flux / mesh.volume[two]
    for k in range(len(mesh.edge_cells)):
        one, two = mesh.edge_cells[k]
        # on a skin distance is zero, elsewhere it goes on as it does inside
        steep = mesh.edge_slope[k, 1] * d[one] + mesh.edge_slope[k, 2] * d[two]
        if mesh.edge_kind[k] != 1:
            outside = mesh.edge_value[k, 0] * d[one] + mesh.edge_value[k, 1] * d[two]
            steep += mesh.edge_slope[k, 0] * outside
        found[one] += mesh.edge_normal[k, 2] * steep / mesh.volume[one]
    return found
