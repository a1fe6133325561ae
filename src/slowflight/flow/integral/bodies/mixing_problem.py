"""The flow about several elements, its response to added mixing asked for."""

from __future__ import annotations

import numpy as np

from slowflight.flow.integral.added_mixing import FlowState
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, outer_flow
from slowflight.flow.integral.linear_system import BodyFlow, OuterFlow
from slowflight.flow.integral.mixing_problem import Problem, polished


def elements_problem(model: ElementsModel, solved: SolvedBodies) -> Problem:
    """Make the flow about several elements at one angle ready.

    Parameters
    ----------
    model : ElementsModel
        Without vanes: those act on the layer as it stands, which the derivatives do not follow.
    solved : SolvedBodies
        Converged.

    Returns
    -------
    Problem
        For ``flow.integral.sensitivity.sensitivity`` and ``flow.integral.mixing_problem.response``.

    Raises
    ------
    ValueError
        Where it has vanes, did not converge, or does not converge to round-off.
    """
    if any(one.rows.shape[0] > 0 for one in model.sections) or not solved.converged:
        raise ValueError("needs converged elements without vanes")
    coupled = outer_flow(model, solved.alpha)
    bodies = []
    for k, body in enumerate(model.system.bodies):
        bodies.append(
            BodyFlow(
                first=solved.starts[k],
                stations=solved.starts[k + 1] - solved.starts[k],
                on_body=body.outline.x.size,
                arc=np.concatenate((body.outline.arc, coupled.paths[k].arc[1:])),
                trips=model.sections[k].trips,
                gap=body.outline.gap,
                closing=body.closing_length,
                slot=len(solved.stagnation) > 1,
            )
        )
    return polished(
        Problem(
            flow=OuterFlow(
                bodies=tuple(bodies), q0=coupled.q0, D=coupled.D, lag=model.lag, critical=model.critical
            ),
            base=FlowState(solved.state, solved.stagnation, solved.reynolds),
            outlines=tuple(body.outline for body in model.system.bodies),
            names=tuple(element.name for element in model.elements.bodies),
            alpha=solved.alpha,
            unit_reynolds=model.reynolds if model.speed_follows_lift else None,
        )
    )
