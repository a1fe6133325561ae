"""A first flow about a wing and its flap, fully turbulent, from nothing."""

from __future__ import annotations

from slowflight.flow.rans.bodies_carried import block_states, carried_over_bodies
from slowflight.flow.rans.bodies_columns import flap_columns, wing_columns
from slowflight.flow.rans.bodies_grid import BodiesGrid
from slowflight.flow.rans.bodies_mesh import Numbered, bodies_mesh
from slowflight.flow.rans.gridded import Gridded
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching, uniform_state
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.sweep import COLD_CFL, COLD_STEPS, FINER_CFL, LOOSE_TOLERANCE, USUAL
from slowflight.flow.rans.turbulence import free_stream


def bodies_marching(grid: BodiesGrid, *, reynolds: float) -> Marching:
    """Set up a fully turbulent problem; its forces and far-field vortex are those of both bodies together."""
    mesh = bodies_mesh(grid)
    nu = 1.0 / reynolds
    pattern = sparse_pattern(mesh)
    problem = Problem(mesh, pattern, setting_on(mesh, USUAL, nu=nu))
    return Marching(problem, DirectSolver(pattern), free_stream(USUAL, nu))


def gridded_bodies(grid: BodiesGrid, *, reynolds: float) -> Gridded:
    """A grid about both, made ready for a Reynolds number; rows stand on the wing."""
    here = bodies_marching(grid, reynolds=reynolds)
    numbered, mesh = Numbered(grid), here.problem.mesh
    return Gridded(
        here,
        (wing_columns(numbered, mesh), flap_columns(numbered, mesh)),
        lambda values: block_states(values, grid),
        lambda alpha: bodies_start(grid, alpha=alpha, reynolds=reynolds, finest=here)[1],
    )


def bodies_start(
    grid: BodiesGrid,
    *,
    alpha: float,
    reynolds: float,
    most_halvings: int = 1,
    finest: Marching | None = None,
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
    finest : Marching, optional
        The problem on ``grid`` where it is set up already.

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
        known = finest if level is grid else None
        here = bodies_marching(level, reynolds=reynolds) if known is None else known
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
