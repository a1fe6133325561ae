"""Angle after angle where what is given depends on the flow: rows of vanes, and where layers turn turbulent.

Both are found from a converged flow and then held while the next is solved; that is repeated at each angle
until lift and stations stay.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.rans.conditions import conditions
from slowflight.flow.rans.given_flow import Given, GivenFlow
from slowflight.flow.rans.gridded import Gridded
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.sweep import EASY_ANGLE, step_to
from slowflight.flow.rans.transition import FULLY_TURBULENT, QUIET_STREAM, Stations
from slowflight.wing.vane_row import VaneRow


def quiet_or_not(here: Marching, transition: object) -> Marching:
    """The free stream's turbulence lowered where a laminar run is to be kept."""
    return here if transition is None else replace(here, turbulence=(QUIET_STREAM,))


def given_sweep(
    body: Gridded,
    *,
    angles: Sequence[float],
    model: SectionModel,
    rows: Sequence[VaneRow] = (),
    transition: tuple[float | None, float | None] | None = None,
    known: Mapping[float, Stations] | None = None,
    recall: Callable[[float], Flow | None] | None = None,
    on_solved: Callable[[Marching, GivenFlow], None] | None = None,
) -> dict[float, GivenFlow]:
    """Solve at angles [rad], up and down from the easiest.

    Parameters
    ----------
    body : Gridded
    angles : sequence of float
        [rad]
    model : SectionModel
        Holds the rows.
    rows, transition, known
        See `Conditions`.
    recall : callable, optional
        Returns the flow of an angle solved earlier, or ``None``.
    on_solved : callable, optional
        Called with the problem solved last and each flow, converged or not.

    Returns
    -------
    dict
        By angle; angles not reached are missing.
    """
    turbulent = body.turbulent
    here = quiet_or_not(turbulent, transition)
    how = conditions(body.columns, here, model, rows=rows, transition=transition, known=known)
    nothing = Given(np.zeros_like(here.problem.setting.made), FULLY_TURBULENT)
    ordered = sorted(set(angles))
    found: dict[float, GivenFlow] = {}
    start = min(ordered, key=lambda a: abs(a - EASY_ANGLE))

    def solved_before(alpha: float) -> GivenFlow | None:
        flow = None if recall is None else recall(alpha)
        return None if flow is None else GivenFlow(flow, *how.from_flow(here, flow))

    def take(done: GivenFlow) -> GivenFlow:
        found[done.flow.alpha] = done
        if on_solved is not None:
            on_solved(how.on(here, done.given, done.flow), done)
        return done

    def settled(flow: Flow, given: Given) -> GivenFlow:
        if not flow.converged:
            return GivenFlow(flow, given, (), np.inf)
        return GivenFlow(flow, given) if how.constant else how.settle(here, flow, given)

    # the flow that leads from angle to angle: with what was given where rows keep it attached, else fully
    # turbulent, because a station left behind lets the layer go ahead of it
    begun = solved_before(start)
    leading = body.cold(start) if begun is None else None
    first = settled(leading, nothing) if leading is not None else begun
    assert first is not None
    take(first)
    if not first.flow.converged:
        return found
    for branch in ([a for a in ordered if a > start], [a for a in reversed(ordered) if a < start]):
        last, lead = first, leading
        for alpha in branch:
            done = solved_before(alpha)
            if done is None and how.rows:
                stations = last.given.stations if known is None else how.tripped_ahead(how.known_at(alpha))
                given = Given(last.given.made, stations)
                done = settled(step_to(how.on(here, given, last.flow), last.flow, alpha=alpha), given)
            elif done is None:
                if how.constant:
                    lead = last.flow
                elif lead is None:
                    lead = body.cold(last.flow.alpha)
                lead = step_to(turbulent, lead, alpha=alpha)
                done = settled(lead, nothing)
            last = take(done)
            if not last.flow.converged:
                break
    return found
