"""A first flow about a wing and its flap, fully turbulent, from nothing."""

from __future__ import annotations

import numpy as np

from slowflight.flow.rans.bodies_carried import carried_over_bodies
from slowflight.flow.rans.bodies_grid import BodiesGrid
from slowflight.flow.rans.bodies_mesh import bodies_mesh
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching, solve, uniform_state
from slowflight.flow.rans.residual import Problem, Setting, sparse_pattern
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.sweep import COLD_CFL, COLD_STEPS, FINER_CFL, LOOSE_TOLERANCE
from slowflight.flow.rans.turbulence import FREE_STREAM


def bodies_marching(grid: BodiesGrid, *, reynolds: float) -> Marching:
    """Set up a fully turbulent problem; its forces and far-field vortex are those of both bodies together."""
    mesh = bodies_mesh(grid)
    n = len(mesh.volume)
    setting = Setting(
        nu=1.0 / reynolds,
        outer=np.zeros((len(mesh.edge_cells), 4)),
        at_nodes=np.zeros((len(mesh.node_cells), 3)),
        made=np.zeros((n, 4)),
        share=np.ones(n),
        sheared_edges=False,
    )
    pattern = sparse_pattern(mesh)
    return Marching(Problem(mesh, pattern, setting), DirectSolver(pattern), FREE_STREAM)


def bodies_start(
    grid: BodiesGrid, *, alpha: float, reynolds: float, most_halvings: int = 1
) -> tuple[Marching, Flow]:
    """Solve at one angle of attack [rad] from nothing, first on the grid halved.

    Parameters
    ----------
    grid : BodiesGrid
    alpha : float
        From the wing's chord line [rad].
    reynolds : float
        On the wing's chord and flight speed.
    most_halvings : int
        Grids before this one.

    Returns
    -------
    Marching, Flow
        On ``grid``; the flow's ``converged`` says whether the tolerance was met.
    """
    grids = [grid]
    for _ in range(most_halvings):
        grids.insert(0, grids[0].coarsened())
    flow: Flow | None = None
    for k, level in enumerate(grids):
        here = bodies_marching(level, reynolds=reynolds)
        if flow is None:
            q, turn = uniform_state(here, alpha=alpha), 0.0
        else:
            q, turn = carried_over_bodies(flow.q, source=grids[k - 1], target=level), flow.circulation
        flow = solve(
            here, alpha=alpha, q=q, circulation=turn, first_cfl=COLD_CFL if flow is None else FINER_CFL,
            most_steps=COLD_STEPS, tolerance=TOLERANCE if level is grid else LOOSE_TOLERANCE,
        )  # fmt: skip
    assert flow is not None
    return here, flow
