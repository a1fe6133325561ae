"""What leaves through the outer boundary."""

import numpy as np

from slowflight.flow.rans.mesh import FAR
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.residual import edge_flux, node_values


def outer_loss(here: Marching, flow: Flow) -> tuple[float, float]:
    """Lift and drag coefficients by the momentum and pressure through the outer boundary alone."""
    problem, q = here.at(flow.alpha, flow.circulation), flow.q
    mesh = problem.mesh
    nodes = node_values(q, mesh.node_cells, mesh.node_weight, problem.setting.at_nodes)
    total, state, grad, flux = np.zeros(2), np.zeros(4), np.zeros((3, 2)), np.zeros(4)
    for k in np.flatnonzero(mesh.edge_kind == FAR):
        edge_flux(q, nodes, mesh, problem.setting, int(k), state, grad, flux)
        total += flux[1:3]
    along = np.array([np.cos(flow.alpha), np.sin(flow.alpha)])
    return float(-2.0 * total @ np.array([-along[1], along[0]])), float(-2.0 * total @ along)
