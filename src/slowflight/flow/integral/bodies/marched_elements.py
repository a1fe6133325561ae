"""Rows of vanes on the main element of several, marched in their coupled solution."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from threadpoolctl import threadpool_limits

from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, outer_flow, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import STARTS, lowered
from slowflight.flow.integral.bodies.wakes import CoupledBodies
from slowflight.flow.integral.handed import Handed
from slowflight.flow.integral.marched_rows import Follower, Layers, Marching, Reached, marched_over_angles
from slowflight.flow.integral.section_flow import FOLLOWING_ITERATIONS
from slowflight.flow.integral.vanes import HEIGHT


def with_handed(model: ElementsModel, handed: Handed) -> ElementsModel:
    """Return the model with what the rows on its main element hand over."""
    return replace(model, sections=(replace(model.sections[0], handed=handed), *model.sections[1:]))


class _Elements:
    """Solves single angles with whatever the rows hand over, and keeps the outer flow of each angle."""

    def __init__(self, model: ElementsModel) -> None:
        self.model = model
        self._outer: dict[float, CoupledBodies] = {}

    def solve(self, handed: Handed, alpha: float, near: SolvedBodies | None) -> Reached[SolvedBodies] | None:
        model = with_handed(self.model, handed)
        if alpha not in self._outer:
            self._outer[alpha] = outer_flow(model, alpha)
        if near is None:
            found = solve_bodies(model, alpha, coupled=self._outer[alpha])
        else:
            # the speed follows the lift closely enough for the march one angle behind
            reynolds = model.reynolds_at(total(element_forces(model, near)).cl)
            found = solve_bodies(
                model, alpha, near=near, coupled=self._outer[alpha], reynolds=reynolds,
                most_iterations=FOLLOWING_ITERATIONS,
            )  # fmt: skip
        return self._reached(found) if found.converged else None

    def start(self, handed: Handed) -> Reached[SolvedBodies] | None:
        for alpha in STARTS:
            found = self.solve(handed, alpha, None)
            if found is not None:
                return found
        for alpha in STARTS:
            solved = lowered(self.model, alpha)
            if solved is not None and solved.converged:
                return self._reached(solved)
        return None

    def _reached(self, found: SolvedBodies) -> Reached[SolvedBodies]:
        model = self.model
        arc = model.system.bodies[0].outline.arc
        layers = Layers(
            alpha=found.alpha, state=found.state[: arc.size], arc=arc, stagnation=found.stagnation[0],
            reynolds=found.reynolds, critical=model.critical, lag=model.lag,
        )  # fmt: skip
        return Reached(solved=found, layers=layers, lift=total(element_forces(model, found)).cl)


def with_marched_rows(
    model: ElementsModel, angles: Sequence[float], how: Marching
) -> tuple[ElementsModel, SolvedBodies | None]:
    """Return the model with the rows on its main element marched over a range of angles of attack.

    Parameters
    ----------
    model : ElementsModel
        Its rows only trip as yet.
    angles : sequence of float
        That are wanted [rad].
    how : Marching

    Returns
    -------
    ElementsModel
        The same where it has no vanes.
    SolvedBodies or None
        A solution of it in attached flow, to begin from; none where there are no vanes or no solution.
    """
    main = model.sections[0]
    if not np.any(main.rows[:, HEIGHT] > 0.0):
        return model, None
    elements = _Elements(model)
    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        handed, first = marched_over_angles(
            rows=main.rows, sizes=main.sizes, handed=main.handed, angles=angles,
            follower=Follower(elements.solve, elements.start), how=how,
        )  # fmt: skip
    return with_handed(model, handed), None if first is None else first.solved
