"""What a push on the air anywhere does to lift, drag or backflow, by solves with the transposed Jacobian.

Exact for the discrete equations at a converged flow, the far-field vortex included. One factorization serves
any number of objectives (Giles and Pierce 2000).

What depends on the grid or on a row's march is smooth, but has no derivative of its own here: it is built
twice, a little to both sides, at the same state (`by_difference`). The state's own change is exact in all.
A row's march is made in the flow as it is: that its layer and edge speed would change with the row is left
out of its derivative.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.far_field import outer_slopes
from slowflight.flow.rans.forces import force, force_slopes
from slowflight.flow.rans.jacobian import outer_change
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.objectives import Objective
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, eq=False)
class Adjoint:
    """Of one objective at one flow.

    Parameters
    ----------
    objective : Objective
    by_source : FloatArray
        Change per source of mass, momentum and turbulence in each cell, shape (n, unknowns): a source of
        strength s per area in cell i changes the objective by ``by_source[i] * volume[i] * s``.
    by_vortex : float
        Change per shift of the far-field vortex from half the lift.
    """

    objective: Objective
    by_source: FloatArray
    by_vortex: float


def adjoints(marching: Marching, flow: Flow, objectives: Sequence[Objective]) -> tuple[Adjoint, ...]:
    """Solve for the adjoints of objectives with one factorization.

    Parameters
    ----------
    marching : Marching
        With what was given when ``flow`` was solved.
    flow : Flow
        Converged, or the answer has no meaning.
    objectives : sequence of Objective
    """
    problem = marching.at(flow.alpha, flow.circulation)
    marching.solver.factorize(problem.jacobian(flow.q))

    def solved(slope: FloatArray) -> FloatArray:
        return np.asarray(marching.solver.solve(slope.ravel(), transposed=True))

    lift = solved(force_slopes(problem, alpha=flow.alpha)[0]) if marching.vortex else np.zeros(flow.q.size)
    border = np.zeros(flow.q.size)
    if marching.vortex:
        by_circulation, _ = outer_slopes(
            problem.mesh, alpha=flow.alpha, circulation=flow.circulation, unknowns=problem.unknowns
        )
        border = outer_change(flow.q, problem.mesh, problem.setting, by_circulation).ravel()
    found = []
    for objective in objectives:
        alone = solved(objective.slope(problem, flow.q, flow.alpha))
        # R(q, G) = made, G = lift / 2: the vortex answers the lift it comes from
        vortex = -float(border @ alone) / (1.0 + 0.5 * float(border @ lift))
        found.append(Adjoint(objective, (alone + 0.5 * vortex * lift).reshape(flow.q.shape), vortex))
    return tuple(found)


def by_push(adjoint: Adjoint, marching: Marching, push: FloatArray) -> float:
    """Change of the objective by a change of the sources per volume, shape (n, unknowns)."""
    return float(np.sum(adjoint.by_source * push * marching.problem.mesh.volume[:, None]))


def by_angle(adjoint: Adjoint, marching: Marching, flow: Flow) -> float:
    """Change of the objective with the angle of attack [1/rad], sources held."""
    problem = marching.at(flow.alpha, flow.circulation)
    _, outer = outer_slopes(
        problem.mesh, alpha=flow.alpha, circulation=flow.circulation, unknowns=problem.unknowns
    )
    moved = outer_change(flow.q, problem.mesh, problem.setting, outer)
    total = adjoint.objective.by_angle(problem, flow.q, flow.alpha) - float(np.sum(adjoint.by_source * moved))
    if marching.vortex:
        # lift turns with the angle too: its derivative at a fixed state is minus the drag
        total -= 0.5 * adjoint.by_vortex * force(problem, flow.q, alpha=flow.alpha).drag
    return total


def by_difference(adjoint: Adjoint, flow: Flow, sides: tuple[Marching, Marching], *, apart: float) -> float:
    """Change of the objective with a number that the problem is built from, such as the flap's angle.

    Parameters
    ----------
    adjoint : Adjoint
    flow : Flow
        Its flow; its cells are those of both problems.
    sides : tuple of Marching
        The problem built a little below and a little above.
    apart : float
        How far these are apart.
    """
    total = 0.0
    for sign, side in zip((-1.0, 1.0), sides, strict=True):
        problem = side.at(flow.alpha, flow.circulation)
        total += sign * adjoint.objective.value(problem, flow.q, flow.alpha)
        total -= sign * float(np.sum(adjoint.by_source * problem.residual(flow.q)))
        if side.vortex:
            total += sign * 0.5 * adjoint.by_vortex * force(problem, flow.q, alpha=flow.alpha).lift
    return total / apart
