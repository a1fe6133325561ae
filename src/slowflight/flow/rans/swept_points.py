"""Points of a sweep as they come: steady ones, then averages past the last of them."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from slowflight.flow.integral.section_flow import SectionModel
from slowflight.flow.rans.curve_points import NOT_TRIED, missing_point, steady_point
from slowflight.flow.rans.given_flow import GivenFlow
from slowflight.flow.rans.given_sweep import given_sweep
from slowflight.flow.rans.gridded import Gridded
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.past_steady import Averaged, past_steady
from slowflight.flow.solution import FlowPoint
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, eq=False, kw_only=True)
class Asked:
    """What is to be swept.

    Parameters
    ----------
    angles_deg : sequence of float
        [deg], any order.
    reynolds : float
    names : tuple of str
        Of the elements, in the order of the grid's skins.
    model_of : callable
        The seconds tier's model of the section with rows.
    rows : tuple of VaneRow
    transition : tuple of (float or None, float or None) or None
        As of `rans_lift_curve`.
    unchecked : bool
        Whether all points are marked extrapolated.
    """

    angles_deg: Sequence[float]
    reynolds: float
    names: tuple[str, ...]
    model_of: Callable[[Sequence[VaneRow]], SectionModel]
    rows: tuple[VaneRow, ...] = ()
    transition: tuple[float | None, float | None] | None = None
    unchecked: bool = False


def swept_points(
    body: Gridded,
    asked: Asked,
    *,
    time_average: bool = False,
    recall: Callable[[float], Flow | None] | None = None,
    keep: Callable[[Flow], None] | None = None,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> tuple[FlowPoint, ...]:
    """Sweep, and return a point for each angle asked for, in that order.

    Parameters
    ----------
    body : Gridded
    asked : Asked
    time_average, recall, keep, on_point
        As of `rans_lift_curve`.
    """
    wanted = [math.radians(a) for a in asked.angles_deg]
    exact = dict(zip(wanted, (float(a) for a in asked.angles_deg), strict=True))
    made: dict[float, FlowPoint] = {}
    steady: dict[float, tuple[Marching, GivenFlow]] = {}
    skins = {name: skin.faces for name, skin in zip(asked.names, body.skins, strict=True)}
    begun = time.perf_counter()

    def take(alpha: float, point: FlowPoint) -> None:
        nonlocal begun
        now = time.perf_counter()
        made[alpha] = replace(point, seconds=now - begun)
        begun = now
        if on_point is not None:
            on_point(made[alpha])

    def solved(here: Marching, found: GivenFlow) -> None:
        flow = found.flow
        if flow.converged:
            steady[flow.alpha] = (here, found)
        if keep is not None:
            keep(flow)
        take(
            flow.alpha,
            steady_point(
                here, found, skins=skins, alpha_deg=exact[flow.alpha], reynolds=asked.reynolds,
                unchecked=asked.unchecked,
            ),
        )  # fmt: skip

    def mean_found(here: Marching, alpha: float, found: Averaged) -> None:
        take(alpha, _mean_point(found, exact[alpha], asked.reynolds))

    known = None
    if asked.rows and asked.transition is not None:
        clean = given_sweep(body, angles=wanted, model=asked.model_of(()), transition=asked.transition)
        known = {a: f.given.stations for a, f in clean.items() if f.flow.converged}
    if known != {}:
        given_sweep(
            body, angles=wanted, model=asked.model_of(asked.rows), rows=asked.rows,
            transition=asked.transition, known=known, recall=recall, on_solved=solved,
        )  # fmt: skip
    if time_average:
        past_steady(steady, wanted, on_steady=solved, on_averaged=mean_found)
    return tuple(
        replace(made[a], alpha_deg=exact[a]) if a in made else missing_point(exact[a], None, NOT_TRIED)
        for a in wanted
    )


def _mean_point(found: Averaged, alpha_deg: float, reynolds: float) -> FlowPoint:
    mean = found.mean
    missing = missing_point(alpha_deg, mean.flow.residual, found.remarks()[0])
    if not mean.settled:
        return replace(missing, steady=False)
    return replace(
        missing, cl=found.lift, cd=found.drag, cd_vanes=found.vane_drag, cm=mean.moment, converged=True,
        steady=False, amplitude=mean.amplitude, extrapolated=True, reynolds=reynolds,
    )  # fmt: skip
