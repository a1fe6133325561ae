"""A lift curve by the minutes tier."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from slowflight import __version__
from slowflight.errors import InputError, RangeError
from slowflight.flow.compiled import interruptible
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.rans.given_sweep import GivenFlow, given_sweep, whole_force
from slowflight.flow.rans.grid import FAMILIES, Grid, section_grid
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching
from slowflight.flow.rans.past_steady import Averaged, past_steady
from slowflight.flow.rans.surface import reversed_stretches, skin, trailing_separation
from slowflight.flow.rans.total_pressure import total_pressure
from slowflight.flow.rans.vane_remarks import UNCALIBRATED, effects, held_far, row_remarks
from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceSummary
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

SOURCES = (
    "Allmaras2012",
    "Chorin1967",
    "Roe1981",
    "ThomasSalas1986",
    "MulderVanLeer1985",
    "Martins2003",
    "SaadSchultz1986",
    "Dembo1982",
    "DuffReid1983",
    "CarsonHigham2018",
)
VANE_SOURCES = ("Wendt2001", "SpalartAllmaras", "Coles1956")
TRANSITION_SOURCES = ("DrelaGiles1987", "Thwaites1949")
FULLY = "fully turbulent: layers are taken to be turbulent from the stagnation point on"
NO_BUBBLES = (
    "laminar runs end where the layer turns turbulent by growth of disturbances or lets go, as marched by the"
    " seconds tier on this solver's pressure; laminar bubbles are not computed"
)
NARROWEST_REYNOLDS, WIDEST_REYNOLDS = 5e5, 1e7
BANDS = (
    "predicted, steady: turbulence models differ by some 6 % at maximum lift, this one"
    " tends to stall late; no stall speed follows from it"
)
LAMINAR_TO = 0.99  # station from which a side counts as laminar throughout
NOT_TRIED = "not tried: an angle before it had no answer"
COARSE = "the preview grid is for a first look: its drag may be a third low and its stall early"


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
    recall, keep : callable, optional
        Return the converged flow kept for an angle [rad], or ``None``; and keep one.
    time_average : bool
        Whether angles past the last steady answer are averaged over time, minutes each.
    on_point : callable, optional
        Called with each finished ``FlowPoint``, in the order of solution.

    Returns
    -------
    LiftCurve
        Points without a converged answer hold nulls and say why. Layers are not filled yet.

    Raises
    ------
    InputError
        For vanes without a chord.
    RangeError
        For numbers outside what is sensible, or no such grid.

    Notes
    -----
    Formulation: see ``slowflight.flow.rans``; sources are recorded in the result.
    """
    check_sweep(reynolds, angles_deg, transition, grid)
    rows = tuple(row for row in vane_rows if row.height > 0.0)
    if rows and chord_m is None:
        raise InputError(
            where="chord_m", found="none", needed="the chord in meters, because vanes are measured in mm"
        )
    made: dict[float, FlowPoint] = {}
    body = section_grid(section, reynolds=reynolds, family=grid)
    wanted = [math.radians(a) for a in angles_deg]
    exact = dict(zip(wanted, (float(a) for a in angles_deg), strict=True))
    begun = time.perf_counter()
    steady: dict[float, tuple[Marching, GivenFlow]] = {}

    def solved(here: Marching, found: GivenFlow) -> None:
        nonlocal begun
        flow = found.flow
        if flow.converged:
            steady[flow.alpha] = (here, found)
        if keep is not None:
            keep(flow)
        now = time.perf_counter()
        point = _point(here, body, found, exact[flow.alpha], reynolds, now - begun)
        begun = now
        made[flow.alpha] = point
        if on_point is not None:
            on_point(point)

    def mean_found(here: Marching, alpha: float, found: Averaged) -> None:
        nonlocal begun
        now = time.perf_counter()
        made[alpha] = _mean_point(found, exact[alpha], reynolds, now - begun)
        begun = now
        if on_point is not None:
            on_point(made[alpha])

    def model_of(rows: Sequence[VaneRow]) -> SectionModel:
        return section_model(
            section, reynolds=reynolds, vane_rows=rows, chord_m=chord_m,
            critical_amplification=critical_amplification,
        )  # fmt: skip

    with interruptible():
        known = None
        if rows and transition is not None:
            clean = given_sweep(
                body, reynolds=reynolds, angles=wanted, model=model_of(()), transition=transition
            )
            known = {a: f.given.stations for a, f in clean.items() if f.flow.converged}
        if known != {}:
            given_sweep(
                body, reynolds=reynolds, angles=wanted, model=model_of(rows), rows=rows,
                transition=transition, known=known, recall=recall, on_solved=solved,
            )  # fmt: skip
        if time_average:
            past_steady(steady, wanted, on_steady=solved, on_averaged=mean_found)
    points = tuple(
        replace(made[a], alpha_deg=exact[a]) if a in made else missing_point(exact[a], None, 0.0, NOT_TRIED)
        for a in wanted
    )
    peak = maximum_lift([(p.alpha_deg, p.cl) for p in points])
    failed = [p.alpha_deg for p in points if not p.converged]
    warnings = [BANDS]
    warnings.append(FULLY if transition is None else NO_BUBBLES)
    if rows:
        warnings.append(UNCALIBRATED)
    if grid == "preview":
        warnings.append(COARSE)
    if failed:
        warnings.append("no answer at " + ", ".join(f"{a:g}" for a in failed) + " deg")
    if len(points) > 2 and peak is None:
        warnings.append("maximum lift is not bracketed by the angles asked for and answered")
    return LiftCurve(
        airfoil=section.name,
        reynolds=reynolds,
        tier="rans",
        reference={
            "chord": "main section without flap, 1",
            "moment_about": "quarter chord, nose up positive",
            "angle_of_attack_from": "chord line",
            "lift_from": "pressure and friction on the skin and the push on the vanes",
            "flow": "incompressible, Reynolds-averaged, steady or averaged over time where marked",
            "transition": "fully turbulent"
            if transition is None
            else {"upper": transition[0], "lower": transition[1]},
            "critical_amplification_factor": None if transition is None else critical_amplification,
            "chord_m": chord_m,
            "vane_rows": len(rows),
            "grid": grid,
            "cells": body.cells,
        },
        points=points,
        cl_max=None if peak is None else peak[1],
        alpha_cl_max_deg=None if peak is None else peak[0],
        sources=SOURCES + (VANE_SOURCES if rows else ()) + (() if transition is None else TRANSITION_SOURCES),
        warnings=tuple(warnings),
        version=__version__,
    )


def check_sweep(
    reynolds: float,
    angles_deg: Sequence[float],
    transition: tuple[float | None, float | None] | None,
    grid: str,
) -> None:
    """Refuse numbers outside what is sensible, and grids that are not there, by a RangeError."""
    if not (math.isfinite(reynolds) and 1e5 <= reynolds <= 1e8):
        raise RangeError(where="reynolds", found=f"{reynolds:g}", needed="a number from 1e5 to 1e8")
    if len(angles_deg) == 0:
        raise RangeError(where="angles_deg", found="no angle", needed="at least one")
    for angle in angles_deg:
        if not (math.isfinite(angle) and -30.0 <= angle <= 40.0):
            raise RangeError(where="angles_deg", found=f"{angle:g}", needed="angles from -30 to 40 degrees")
    for name, station in zip(("upper", "lower"), transition or (None, None), strict=True):
        if station is not None and not 0.0 < station <= 1.0:
            needed = "a fraction of chord above 0, at most 1"
            raise RangeError(where=f"{name} transition", found=f"{station:g}", needed=needed)
    if grid not in FAMILIES:
        raise RangeError(where="grid", found=grid, needed=" or ".join(FAMILIES))


def _point(
    here: Marching, grid: Grid, found: GivenFlow, alpha_deg: float, reynolds: float, seconds: float
) -> FlowPoint:
    flow = found.flow
    if not flow.converged:
        why = (
            f"no steady answer: residual {flow.residual:.1e} after {flow.steps} steps, needed"
            f" {TOLERANCE:.0e}; smaller steps did not help"
        )
        return missing_point(alpha_deg, flow.residual, seconds, why)
    problem = here.at(flow.alpha, flow.circulation)
    lift, drag, moment, vane_drag = whole_force(here, found)
    surface = skin(problem, grid, flow.q)
    upper, lower = reversed_stretches(surface, "upper"), reversed_stretches(surface, "lower")
    sides = (
        SurfaceSummary(None if station >= LAMINAR_TO else station, stretches)
        for station, stretches in zip(found.given.stations, (upper, lower), strict=True)
    )
    warnings = list(row_remarks(found))
    coarse = total_pressure(problem, flow.q).remark()
    if coarse is not None:
        warnings.append(coarse)
    if float(np.max(surface.height)) > 2.0:
        warnings.append(f"first cells reach a y+ of {np.max(surface.height):.1f}: friction is less certain")
    return FlowPoint(
        alpha_deg=alpha_deg,
        cl=lift,
        cd=drag,
        cd_vanes=vane_drag,
        cm=moment,
        converged=True,
        residual=flow.residual,
        steady=True,
        amplitude=0.0,
        extrapolated=held_far(found) or not NARROWEST_REYNOLDS <= reynolds <= WIDEST_REYNOLDS,
        separation_upper=trailing_separation(upper),
        elements=(ElementSummary("main", *sides),),
        warnings=tuple(warnings),
        seconds=seconds,
        reynolds=reynolds,
        vane_effects=effects(found),
    )


def _mean_point(found: Averaged, alpha_deg: float, reynolds: float, seconds: float) -> FlowPoint:
    mean = found.mean
    missing = missing_point(alpha_deg, mean.flow.residual, seconds, found.remarks()[0])
    if not mean.settled:
        return replace(missing, steady=False)
    return replace(
        missing, cl=found.lift, cd=found.drag, cd_vanes=found.vane_drag, cm=mean.moment, converged=True,
        steady=False, amplitude=mean.amplitude, extrapolated=True, reynolds=reynolds,
    )  # fmt: skip


def missing_point(alpha_deg: float, residual: float | None, seconds: float, why: str) -> FlowPoint:
    """Point without an answer: nulls, and why."""
    if residual is not None and not math.isfinite(residual):
        residual = None
    return FlowPoint(
        alpha_deg=alpha_deg, cl=None, cd=None, cd_vanes=None, cm=None, converged=False,
        residual=residual, steady=True, amplitude=None, extrapolated=False, separation_upper=None,
        elements=(), warnings=(why,), seconds=seconds, reynolds=None,
    )  # fmt: skip
