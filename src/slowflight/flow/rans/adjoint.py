"""Sensitivity of lift to a push on the air anywhere, by one solve with the transposed Jacobian."""

from __future__ import annotations

import numpy as np

from slowflight.flow.rans.far_field import outer_slopes
from slowflight.flow.rans.forces import force_slopes
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.residual import outer_change
from slowflight.flow.solution import FloatArray


def lift_adjoint(marching: Marching, flow: Flow) -> FloatArray:
    """Change of the lift coefficient per source of mass, momentum and turbulence in each cell, shape (n, 4).

    A source of strength s per area in cell i changes lift by ``adjoint[i] * volume[i] * s``. Exact for the
    discrete equations, far-field vortex included; meaningless where ``flow`` is not converged.

    Parameters
    ----------
    marching : Marching
    flow : Flow
        A converged flow of the same problem.

    Returns
    -------
    FloatArray
        Shape (n, 4).
    """
    problem = marching.at(flow.alpha, flow.circulation)
    marching.solver.factorize(problem.jacobian(flow.q))
    lift, _ = force_slopes(problem, alpha=flow.alpha)
    found = marching.solver.solve(lift.ravel(), transposed=True)
    if not marching.vortex:
        return found.reshape(flow.q.shape)
    # R(q, G) = made, G = lift / 2: the vortex answers the lift it comes from
    by_circulation, _ = outer_slopes(problem.mesh, alpha=flow.alpha, circulation=flow.circulation)
    border = outer_change(flow.q, problem.mesh, problem.setting, by_circulation)
    echo = 1.0 + 0.5 * float(np.sum(found * border.ravel()))
    return (found / echo).reshape(flow.q.shape)
