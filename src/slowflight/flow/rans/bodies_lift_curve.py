"""A lift curve of a wing section with a flap that is an airfoil of its own, by Reynolds-averaged flow."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence

import numpy as np

from slowflight import __version__
from slowflight.flow.compiled import interruptible
from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.rans.bodies_flow import bodies_start
from slowflight.flow.rans.bodies_grid import BodiesGrid
from slowflight.flow.rans.bodies_gridding import bodies_grid
from slowflight.flow.rans.bodies_mesh import Numbered, skin_faces
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.lift_curve import (
    BANDS,
    COARSE,
    FULLY,
    NOT_TRIED,
    SOURCES,
    check_sweep,
    missing_point,
)
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching
from slowflight.flow.rans.surface import Skin, reversed_stretches, skin_along, trailing_separation
from slowflight.flow.rans.sweep import EASY_ANGLE, step_to
from slowflight.flow.rans.total_pressure import total_pressure
from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceSummary
from slowflight.wing.elements import Elements

UNCHECKED = (
    "wing and flap by the minutes tier are unchecked: no measured or exact case stands beside them here, and"
    " the trailing edges are closed over the last tenth of each chord"
)


def bodies_lift_curve(
    elements: Elements,
    *,
    reynolds: float,
    angles_deg: Sequence[float],
    grid: str = "default",
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute a lift curve of wing and flap, fully turbulent, steady, without vanes.

    Unchecked against measurement: every point is marked extrapolated.

    Parameters
    ----------
    elements : Elements
        A main element and a flap.
    reynolds : float
        On the main chord and flight speed [-], 1e5 to 1e8.
    angles_deg : sequence of float
        Angles of attack from the main chord line [deg], any order.
    grid : str
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    on_point : callable, optional
        Called with each finished ``FlowPoint``, in the order of solution.

    Returns
    -------
    LiftCurve
        On the main chord. Points without a converged answer hold nulls and say why.

    Raises
    ------
    InputError
        Where no grid can be made, with the reason.
    RangeError
        For numbers outside what is sensible, or no such grid.
    """
    check_sweep(reynolds, angles_deg, None, grid)
    body = bodies_grid(elements, reynolds=reynolds, family=grid)
    reader = _Reader(body, elements, reynolds)
    made: dict[float, FlowPoint] = {}
    begun = time.perf_counter()

    def take(here: Marching, flow: Flow, angle: float) -> None:
        nonlocal begun
        now = time.perf_counter()
        made[angle] = reader.point(here, flow, angle, now - begun)
        begun = now
        if on_point is not None:
            on_point(made[angle])

    ordered = sorted({float(a) for a in angles_deg})
    start = min(ordered, key=lambda a: abs(math.radians(a) - EASY_ANGLE))
    with interruptible():
        here, first = bodies_start(body, alpha=math.radians(start), reynolds=reynolds)
        take(here, first, start)
        for branch in ([a for a in ordered if a > start], [a for a in reversed(ordered) if a < start]):
            flow = first
            for angle in branch:
                if not flow.converged:
                    break
                flow = step_to(here, flow, alpha=math.radians(angle))
                take(here, flow, angle)
    points = tuple(made.get(float(a)) or missing_point(float(a), None, 0.0, NOT_TRIED) for a in angles_deg)
    peak = maximum_lift([(p.alpha_deg, p.cl) for p in points])
    failed = [p.alpha_deg for p in points if not p.converged]
    warnings = [BANDS, FULLY, UNCHECKED]
    if grid == "preview":
        warnings.append(COARSE)
    if failed:
        warnings.append("no answer at " + ", ".join(f"{a:g}" for a in failed) + " deg")
    if len(points) > 2 and peak is None:
        warnings.append("maximum lift is not bracketed by the angles asked for and answered")
    return LiftCurve(
        airfoil=elements.name,
        reynolds=reynolds,
        tier="rans",
        reference={
            "chord": "main section without flap, 1",
            "moment_about": "quarter chord, nose up positive",
            "angle_of_attack_from": "chord line of the main section",
            "lift_from": "pressure and friction on both skins",
            "flow": "incompressible, steady, Reynolds-averaged",
            "transition": "fully turbulent",
            "vane_rows": 0,
            "grid": grid,
            "cells": body.cells,
        },
        points=points,
        cl_max=None if peak is None else peak[1],
        alpha_cl_max_deg=None if peak is None else peak[0],
        sources=SOURCES,
        warnings=tuple(warnings),
        version=__version__,
    )


class _Reader:
    """Makes points of flows."""

    def __init__(self, grid: BodiesGrid, elements: Elements, reynolds: float) -> None:
        self._numbered, self._elements, self._reynolds = Numbered(grid), elements, reynolds

    def point(self, here: Marching, flow: Flow, angle: float, seconds: float) -> FlowPoint:
        """Numbers of a flow, or nulls and the reason."""
        if not flow.converged:
            why = (
                f"no steady answer: residual {flow.residual:.1e} after {flow.steps} steps, needed"
                f" {TOLERANCE:.0e}; smaller steps did not help"
            )
            return missing_point(angle, flow.residual, seconds, why)
        problem = here.at(flow.alpha, flow.circulation)
        now = force(problem, flow.q, alpha=flow.alpha)
        wing, flap = (
            skin_along(problem, skin_faces(problem.mesh, nodes), flow.q)
            for nodes in (self._numbered.wing_skin, self._numbered.flap_skin)
        )
        names = [element.name for element in self._elements.bodies]
        coarse = total_pressure(problem, flow.q).remark()
        tall = max(float(np.max(wing.height)), float(np.max(flap.height)))
        warnings = [] if coarse is None else [coarse]
        if tall > 2.0:
            warnings.append(f"first cells reach a y+ of {tall:.1f}: friction is less certain")
        return FlowPoint(
            alpha_deg=angle, cl=now.lift, cd=now.drag, cd_vanes=0.0, cm=now.moment, converged=True,
            residual=flow.residual, steady=True, amplitude=0.0, extrapolated=True,
            separation_upper=trailing_separation(reversed_stretches(wing, "upper")),
            elements=tuple(_summary(n, s) for n, s in zip(names, (wing, flap), strict=True)),
            warnings=tuple(warnings), seconds=seconds, reynolds=self._reynolds,
        )  # fmt: skip


def _summary(name: str, found: Skin) -> ElementSummary:
    upper, lower = (SurfaceSummary(0.0, reversed_stretches(found, side)) for side in ("upper", "lower"))
    return ElementSummary(name, upper, lower)
