"""A lift curve of a wing section with a flap that is an airfoil of its own, by Reynolds-averaged flow."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from slowflight.errors import InputError
from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.rans.bodies_flow import gridded_bodies
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.curve_points import FULLY, VANE_SOURCES, check_sweep, curve_of
from slowflight.flow.rans.newton import Flow
from slowflight.flow.rans.swept_points import Asked, swept_points
from slowflight.flow.rans.vane_remarks import UNCALIBRATED, rows_that_act
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.wing.elements import Elements
from slowflight.wing.vane_row import VaneRow

UNCHECKED = (
    "wing and flap by the minutes tier are unchecked against measurement: only air without friction was put"
    " beside an exact case, and the trailing edges are closed over the last tenth of each chord"
)
ENDS_AT_EDGE = (
    "vanes ahead of a flap: what their vortices do is marched and counted up to the wing's trailing edge;"
    " what is left of them over the flap is not in"
)


def bodies_lift_curve(
    elements: Elements,
    *,
    reynolds: float,
    angles_deg: Sequence[float],
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    grid: str = "default",
    recall: Callable[[float], Flow | None] | None = None,
    keep: Callable[[Flow], None] | None = None,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute a lift curve of wing and flap, fully turbulent, steady, clean or with vanes on the wing.

    Unchecked against measurement: every point is marked extrapolated.

    Parameters
    ----------
    elements : Elements
        A main element and a flap.
    reynolds : float
        On the main chord and flight speed [-], 1e5 to 1e8.
    angles_deg : sequence of float
        Angles of attack from the main chord line [deg], any order.
    vane_rows : sequence of VaneRow
        Rows on the main element's upper skin; they act together, each marched in the layers of this solver.
    chord_m : float or None
        Real main chord [m], needed with vanes.
    grid : str
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    recall, keep : callable, optional
        Return the converged flow kept for an angle [rad], or ``None``; and keep one.
    on_point : callable, optional
        Called with each finished ``FlowPoint``, in the order of solution.

    Returns
    -------
    LiftCurve
        On the main chord. Points without a converged answer hold nulls and say why.

    Raises
    ------
    InputError
        Where no grid can be made, with the reason; for vanes without a chord, or on another skin.
    RangeError
        For numbers outside what is sensible, or no such grid.
    """
    check_sweep(reynolds, angles_deg, None, grid)
    rows = rows_that_act(vane_rows, chord_m)
    refuse_other_skins(rows)
    main = elements.bodies[0]

    def model_of(rows: Sequence[VaneRow]) -> SectionModel:
        return section_model(main.section, reynolds=reynolds, vane_rows=rows, chord_m=chord_m)

    with interruptible():
        both = bodies_grid(elements, reynolds=reynolds, family=grid)
        body = gridded_bodies(both, reynolds=reynolds)
        asked = Asked(
            angles_deg=angles_deg, reynolds=reynolds, names=tuple(e.name for e in elements.bodies),
            model_of=model_of, rows=rows, unchecked=True,
        )  # fmt: skip
        points = swept_points(body, asked, recall=recall, keep=keep, on_point=on_point)
    return curve_of(
        points,
        name=elements.name,
        reynolds=reynolds,
        grid=grid,
        reference={
            "angle_of_attack_from": "chord line of the main section",
            "lift_from": "pressure and friction on both skins and the push on the vanes",
            "flow": "incompressible, steady, Reynolds-averaged",
            "transition": "fully turbulent",
            "chord_m": chord_m,
            "vane_rows": len(rows),
            "cells": both.cells,
        },
        sources=VANE_SOURCES if rows else (),
        remarks=(FULLY, UNCHECKED, *((UNCALIBRATED, ENDS_AT_EDGE) if rows else ())),
    )


def refuse_other_skins(rows: Sequence[VaneRow]) -> None:
    """Refuse rows that do not stand on the wing's upper skin, by an InputError."""
    for row in rows:
        if row.element != "main":
            raise InputError(
                where="vane_row element",
                found=repr(row.element),
                needed="'main': no vanes on moving surfaces",
                fix="they change a moving surface's loads and can start flutter",
            )
        if row.surface != "upper":
            raise InputError(
                where="vane_row surface",
                found=repr(row.surface),
                needed="'upper' with a hung or slotted flap and --tier rans",
                fix="on the lower skin the air behind the vanes goes into the slot, which is not marched",
            )
