"""A lift curve of one section by the minutes tier."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from slowflight.errors import InputError
from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.rans.curve_points import (
    FULLY,
    TRANSITION_SOURCES,
    VANE_SOURCES,
    check_sweep,
    curve_of,
)
from slowflight.flow.rans.grid import section_grid
from slowflight.flow.rans.gridded import gridded_section
from slowflight.flow.rans.newton import Flow
from slowflight.flow.rans.swept_points import Asked, swept_points
from slowflight.flow.rans.turbulence import TwoEquation
from slowflight.flow.rans.two_models import BOTH, ONE, beside, spread_remark
from slowflight.flow.rans.two_models import SOURCES as TWO_SOURCES
from slowflight.flow.rans.vane_remarks import UNCALIBRATED, rows_that_act
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

NO_BUBBLES = (
    "laminar runs end where the layer turns turbulent by growth of disturbances or lets go, as marched by the"
    " seconds tier on this solver's pressure; laminar bubbles are not computed"
)


def rans_lift_curve(
    section: Section,
    *,
    reynolds: float,
    angles_deg: Sequence[float],
    transition: tuple[float | None, float | None] | None = None,
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    grid: str = "default",
    turbulence: str = ONE,
    recall: Callable[[float], Flow | None] | None = None,
    keep: Callable[[Flow], None] | None = None,
    time_average: bool = False,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute a lift curve by Reynolds-averaged flow, steady.

    Valid for incompressible flow about one section at Reynolds numbers 5e5 to 1e7, as far as steady answers
    are found. What it was measured to be worth stands in the documents ('How the minutes tier computes').

    Parameters
    ----------
    section : Section
    reynolds : float
        On chord and flight speed [-], 1e5 to 1e8; outside 5e5 to 1e7 points are marked extrapolated.
    angles_deg : sequence of float
        Angles of attack from the chord line [deg], any order.
    transition : tuple of (float or None, float or None) or None
        Upper and lower trip [fraction of chord], ``None`` for a free side; ``None`` alone is fully turbulent.
        With rows of vanes the stations are those of the section without vanes at the same angle, but for a
        row's own trip.
    critical_amplification : float
        Critical amplification factor [-].
    vane_rows : sequence of VaneRow
        Rows on the section; they act together, each marched in the layers of this solver.
    chord_m : float or None
        Real chord [m], needed with vanes.
    grid : str
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    turbulence : str
        ``"one-equation"``, or ``"both"``: the two-equation model at each angle too, fully turbulent only.
    recall, keep : callable, optional
        Return the converged flow kept for an angle [rad], or ``None``; and keep one. Of the one-equation
        model only.
    time_average : bool
        Whether angles past the last steady answer are averaged over time, minutes each.
    on_point : callable, optional
        Called with each finished ``FlowPoint``, in the order of solution; those of the second model follow.

    Returns
    -------
    LiftCurve
        Points without a converged answer hold nulls and say why. Layers are not filled yet.

    Raises
    ------
    InputError
        For vanes without a chord, and both models with laminar layers.
    RangeError
        For numbers outside what is sensible, or no such grid.

    Notes
    -----
    Formulation: see ``slowflight.flow.rans``; sources are recorded in the result.
    """
    check_sweep(reynolds, angles_deg, transition, grid)
    if turbulence == BOTH and transition is not None:
        raise InputError(
            where="turbulence", found="both models with laminar layers",
            needed="fully turbulent layers: the two-equation model is computed with no others",
        )  # fmt: skip
    rows = rows_that_act(vane_rows, chord_m)

    def model_of(rows: Sequence[VaneRow]) -> SectionModel:
        return section_model(
            section, reynolds=reynolds, vane_rows=rows, chord_m=chord_m,
            critical_amplification=critical_amplification,
        )  # fmt: skip

    with interruptible():
        cells = section_grid(section, reynolds=reynolds, family=grid)
        body = gridded_section(cells, reynolds=reynolds)
        asked = Asked(
            angles_deg=angles_deg, reynolds=reynolds, names=("main",), model_of=model_of,
            rows=rows, transition=transition,
        )  # fmt: skip
        points = swept_points(
            body, asked, time_average=time_average, recall=recall, keep=keep, on_point=on_point
        )
        if turbulence == BOTH:
            second = gridded_section(cells, reynolds=reynolds, model=TwoEquation())
            points = beside(points, swept_points(second, asked, on_point=on_point))
    return curve_of(
        points,
        name=section.name,
        reynolds=reynolds,
        grid=grid,
        reference={
            "angle_of_attack_from": "chord line",
            "lift_from": "pressure and friction on the skin and the push on the vanes",
            "flow": "incompressible, Reynolds-averaged, steady or averaged over time where marked",
            "transition": "fully turbulent"
            if transition is None
            else {"upper": transition[0], "lower": transition[1]},
            "critical_amplification_factor": None if transition is None else critical_amplification,
            "chord_m": chord_m,
            "turbulence": "one-equation model"
            + (", two-equation model beside it" if turbulence == BOTH else ""),
            "vane_rows": len(rows),
            "cells": body.columns.whole,
        },
        sources=(TWO_SOURCES if turbulence == BOTH else ())
        + (VANE_SOURCES if rows else ())
        + (() if transition is None else TRANSITION_SOURCES),
        remarks=(
            *((spread_remark(points),) if turbulence == BOTH else ()),
            FULLY if transition is None else NO_BUBBLES,
            *((UNCALIBRATED,) if rows else ()),
        ),
    )
