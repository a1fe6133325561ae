"""A first flow from coarser grids, and steps from one angle to the next, smaller where they fail."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching, tangent, uniform_state
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.prolong import carried_over
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.turbulence import FLOW, Model, OneEquation, TwoEquation, bounded, free_stream
from slowflight.flow.rans.two_equation_newton import start
from slowflight.flow.solution import FloatArray

USUAL = OneEquation()
EASY_ANGLE = math.radians(4.0)  # attached on any usual section: sweeps begin at the angle nearest to it
LONGEST_STEP, SHORTEST_STEP = math.radians(2.0), math.radians(0.5)
COARSEST_CELLS = 400
MOST_CHANGED = 2.0  # factor on turbulence in a cell by a predictor
COLD_CFL, FINER_CFL, NEXT_CFL = 5.0, 50.0, 300.0
COLD_STEPS, NEXT_STEPS, NEXT_STEPS_TWO = 90, 25, 50
LOOSE_TOLERANCE = 1e-3  # is enough on a grid that only starts the next finer one


def marching(grid: Grid, *, reynolds: float, model: Model = USUAL) -> Marching:
    """Set up a fully turbulent problem on a grid."""
    mesh = grid.mesh()
    nu = 1.0 / reynolds
    pattern = sparse_pattern(mesh)
    problem = Problem(mesh, pattern, setting_on(mesh, model, nu=nu))
    return Marching(problem, DirectSolver(pattern), free_stream(model, nu))


def levels(grid: Grid) -> list[Grid]:
    """The grid and its halves down to some thousands of cells, coarsest first."""
    found = [grid]
    while found[0].cells > 4 * COARSEST_CELLS:
        try:
            found.insert(0, found[0].coarsened())
        except ValueError:
            break
    return found


def cold_start(grids: Sequence[Grid], finest: Marching, *, alpha: float, reynolds: float) -> Flow:
    """Solve at one angle from nothing, on ever finer grids."""
    if isinstance(finest.problem.setting.model, TwoEquation):
        one = cold_start(grids, marching(grids[-1], reynolds=reynolds), alpha=alpha, reynolds=reynolds)
        return replace(start(finest, one), alpha=alpha)
    flow: Flow | None = None
    for k, grid in enumerate(grids):
        last = k == len(grids) - 1
        here = finest if last else marching(grid, reynolds=reynolds)
        q = (
            uniform_state(here, alpha=alpha)
            if flow is None
            else carried_over(flow.q, source=grids[k - 1], target=grid)
        )
        flow = solve(
            here,
            alpha=alpha,
            q=q,
            circulation=0.0 if flow is None else flow.circulation,
            first_cfl=COLD_CFL if flow is None else FINER_CFL,
            most_steps=COLD_STEPS,
            tolerance=TOLERANCE if last else LOOSE_TOLERANCE,
        )
    assert flow is not None
    return flow


def predicted(q: FloatArray, change: FloatArray, model: Model) -> FloatArray:
    """A state moved along its tangent, turbulence of each cell at most halved or doubled.

    With the angle the wake shifts by more than its own width on a fine grid. Its turbulence then follows
    no tangent: unbounded, it falls far below zero on one side, from where Newton's method does not come back.
    """
    found = q + change
    found[:, FLOW:] = bounded(model, q[:, FLOW:], found[:, FLOW:], MOST_CHANGED)
    return found


def step_to(here: Marching, flow: Flow, *, alpha: float) -> Flow:
    """Solve at another angle from a solved one by the tangent predictor, in halved steps where needed."""
    stride = alpha - flow.alpha
    spent = 0
    one = isinstance(here.problem.setting.model, OneEquation)
    while True:
        left = alpha - flow.alpha
        stride = math.copysign(min(abs(stride), abs(left), LONGEST_STEP), left)
        try:
            slope, turn = tangent(here, flow)
        except Unconverged:
            slope, turn = np.zeros_like(flow.q), 0.0
        tried = solve(
            here,
            alpha=flow.alpha + stride,
            q=predicted(flow.q, stride * slope, here.problem.setting.model),
            circulation=flow.circulation + stride * turn,
            first_cfl=NEXT_CFL,
            most_steps=NEXT_STEPS if one else NEXT_STEPS_TWO,
            renew=True,
        )
        spent += tried.steps
        if tried.converged and abs(tried.alpha - alpha) < 1e-12:
            return replace(tried, alpha=alpha, steps=spent)
        if tried.converged:
            flow = tried
            continue
        if abs(stride) <= SHORTEST_STEP:
            return replace(tried, alpha=alpha, steps=spent, converged=False)
        stride *= 0.5
