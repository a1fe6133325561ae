"""Rows of vanes of one section, marched in its coupled solution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from threadpoolctl import threadpool_limits

from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.handed import Handed
from slowflight.flow.integral.lowering import lowered
from slowflight.flow.integral.marched_rows import Follower, Layers, Marching, Reached, marched_over_angles
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import FOLLOWING_ITERATIONS, SectionModel, Solved, solve
from slowflight.flow.integral.vanes import HEIGHT
from slowflight.flow.integral.wake import coupled_at

STARTS = tuple(math.radians(a) for a in (2.0, 0.0, 4.0, -2.0, 6.0))  # where a first solution is looked for


class _Section:
    """Solves single angles with whatever the rows hand over."""

    def __init__(self, model: SectionModel) -> None:
        self.model = model

    def solve(self, handed: Handed, alpha: float, near: Solved | None) -> Reached[Solved] | None:
        model = replace(self.model, handed=handed)
        outer = coupled_at(model.system, alpha, wake_nodes=model.wake_nodes)
        if near is None:
            found = solve(model, alpha, coupled=outer)
        else:
            # the speed follows the lift closely enough for the march one angle behind
            reynolds = model.reynolds_at(coefficients(model, near).cl)
            found = solve(
                model, alpha, near=near, coupled=outer, reynolds=reynolds,
                most_iterations=FOLLOWING_ITERATIONS,
            )  # fmt: skip
        return self._reached(found) if found.converged else None

    def start(self, handed: Handed) -> Reached[Solved] | None:
        for alpha in STARTS:
            found = self.solve(handed, alpha, None)
            if found is not None:
                return found
        for alpha in STARTS:
            solved = lowered(
                self.model,
                alpha,
                at=lambda model, angle, near: solve(model, angle, near=near),
            )
            if solved is not None and solved.converged:
                return self._reached(solved)
        return None

    def _reached(self, found: Solved) -> Reached[Solved]:
        model, n = self.model, self.model.body_stations
        layers = Layers(
            alpha=found.alpha, state=found.state[:n], arc=model.system.body.arc, stagnation=found.stagnation,
            reynolds=found.reynolds, critical=model.critical, lag=model.lag,
        )  # fmt: skip
        return Reached(solved=found, layers=layers, lift=coefficients(model, found).cl)


def with_marched_rows(
    model: SectionModel, angles: Sequence[float], how: Marching
) -> tuple[SectionModel, Solved | None]:
    """Return the model with its rows marched over a range of angles of attack.

    Parameters
    ----------
    model : SectionModel
        Its rows only trip as yet.
    angles : sequence of float
        That are wanted [rad].
    how : Marching

    Returns
    -------
    SectionModel
        The same where it has no vanes.
    Solved or None
        A solution of it in attached flow, to begin from; none where there are no vanes or no solution.
    """
    if not np.any(model.rows[:, HEIGHT] > 0.0):
        return model, None
    section = _Section(model)
    with interruptible(), threadpool_limits(limits=1, user_api="blas"):
        handed, first = marched_over_angles(
            rows=model.rows, sizes=model.sizes, handed=model.handed, angles=angles,
            follower=Follower(section.solve, section.start), how=how,
        )  # fmt: skip
    return replace(model, handed=handed), None if first is None else first.solved
