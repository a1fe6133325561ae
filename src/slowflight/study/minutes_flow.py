"""A converged flow of the minutes tier at one angle, reached from an easy one."""

from __future__ import annotations

import math

import numpy as np

from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.rans.bodies_flow import gridded_bodies
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.given_flow import GivenFlow
from slowflight.flow.rans.given_sweep import given_sweep
from slowflight.flow.rans.grid import section_grid
from slowflight.flow.rans.gridded import Gridded, gridded_section
from slowflight.flow.rans.newton import Marching
from slowflight.study.minutes_case import MinutesCase

LEADING = 2.0  # angles on the way are this far apart [deg]
FIRST = 4.0  # angle the way begins at [deg]


def model_of(case: MinutesCase, *, moved: float = 0.0) -> SectionModel:
    """The seconds tier's model of a case, its rows moved aft by ``moved`` [fraction of chord]."""
    return section_model(
        case.section, reynolds=case.reynolds, vane_rows=case.rows_moved(moved), chord_m=case.chord,
        critical_amplification=case.critical_amplification,
    )  # fmt: skip


def _gridded(case: MinutesCase) -> Gridded:
    if case.flap is None:
        grid = section_grid(case.section, reynolds=case.reynolds, family=case.grid)
        return gridded_section(grid, reynolds=case.reynolds)
    both = bodies_grid(case.elements(), reynolds=case.reynolds, family=case.grid)
    return gridded_bodies(both, reynolds=case.reynolds)


def flow_at(case: MinutesCase, *, alpha_deg: float) -> tuple[Gridded, Marching, GivenFlow] | None:
    """Grid, problem and flow at an angle [deg]; ``None`` where there is no converged answer.

    The angles of the case play no part. Free transition with rows is found in the flow with the rows.
    """
    body = _gridded(case)
    steps = max(1, math.ceil(abs(alpha_deg - FIRST) / LEADING))
    way = np.linspace(FIRST, alpha_deg, steps + 1)
    last: list[tuple[Marching, GivenFlow]] = []
    given_sweep(
        body, angles=[math.radians(a) for a in way],
        model=model_of(case), rows=case.rows, transition=case.transition,
        on_solved=lambda here, found: last.append((here, found)),
    )  # fmt: skip
    here, found = max(last, key=lambda pair: abs(pair[1].flow.alpha - math.radians(FIRST)))
    if not found.flow.converged or abs(math.degrees(found.flow.alpha) - alpha_deg) > 1e-6:
        return None
    return body, here, found
