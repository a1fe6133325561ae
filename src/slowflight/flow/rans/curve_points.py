"""Points and curves of the minutes tier as results, whatever bodies they are of."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight import __version__
from slowflight.errors import RangeError
from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.rans.given_flow import GivenFlow, whole_force
from slowflight.flow.rans.grid import FAMILIES
from slowflight.flow.rans.mesh import Indices
from slowflight.flow.rans.newton import TOLERANCE, Marching
from slowflight.flow.rans.surface import reversed_stretches, skin_along, trailing_separation
from slowflight.flow.rans.total_pressure import total_pressure
from slowflight.flow.rans.transition import FULLY_TURBULENT
from slowflight.flow.rans.vane_remarks import effects, held_far, row_remarks
from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceSummary

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
NARROWEST_REYNOLDS, WIDEST_REYNOLDS = 5e5, 1e7
BANDS = (
    "predicted, steady: turbulence models differ by some 6 % at maximum lift, this one"
    " tends to stall late; no stall speed follows from it"
)
LAMINAR_TO = 0.99  # station from which a side counts as laminar throughout
TALLEST_FIRST_CELL = 2.0  # in wall units: friction is less certain above
NOT_TRIED = "not tried: an angle before it had no answer"
COARSE = "the preview grid is for a first look: its drag may be a third low and its stall early"


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


def steady_point(
    here: Marching,
    found: GivenFlow,
    *,
    skins: Mapping[str, Indices],
    alpha_deg: float,
    reynolds: float,
    unchecked: bool = False,
) -> FlowPoint:
    """Read a steady flow off as a point, or nulls and the reason where it did not converge.

    How long it took is left to whom it was solved for.

    Parameters
    ----------
    here : Marching
        The problem with what was given.
    found : GivenFlow
    skins : mapping
        By the element's name the boundary faces of its skin, lower trailing edge first; the one whose layers
        may be laminar first.
    alpha_deg : float
        As it was asked for [deg].
    reynolds : float
    unchecked : bool
        Whether it is marked extrapolated whatever it is.
    """
    flow = found.flow
    if not flow.converged:
        why = (
            f"no steady answer: residual {flow.residual:.1e} after {flow.steps} steps, needed"
            f" {TOLERANCE:.0e}; smaller steps did not help"
        )
        return missing_point(alpha_deg, flow.residual, why)
    problem = here.at(flow.alpha, flow.circulation)
    lift, drag, moment, vane_drag = whole_force(here, found)
    elements, tall, stations = [], 0.0, found.given.stations
    for name, faces in skins.items():
        surface = skin_along(problem, faces, flow.q)
        sides = (
            SurfaceSummary(None if station >= LAMINAR_TO else station, reversed_stretches(surface, side))
            for station, side in zip(stations, ("upper", "lower"), strict=True)
        )
        elements.append(ElementSummary(name, *sides))
        tall, stations = max(tall, float(np.max(surface.height))), FULLY_TURBULENT
    warnings = list(row_remarks(found))
    coarse = total_pressure(problem, flow.q).remark()
    if coarse is not None:
        warnings.append(coarse)
    if tall > TALLEST_FIRST_CELL:
        warnings.append(f"first cells reach a y+ of {tall:.1f}: friction is less certain")
    outside = not NARROWEST_REYNOLDS <= reynolds <= WIDEST_REYNOLDS
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
        extrapolated=unchecked or held_far(found) or outside,
        separation_upper=trailing_separation(elements[0].upper.separated),
        elements=tuple(elements),
        warnings=tuple(warnings),
        seconds=0.0,
        reynolds=reynolds,
        vane_effects=effects(found),
    )


def missing_point(alpha_deg: float, residual: float | None, why: str) -> FlowPoint:
    """Point without an answer: nulls, and why."""
    if residual is not None and not math.isfinite(residual):
        residual = None
    return FlowPoint(
        alpha_deg=alpha_deg, cl=None, cd=None, cd_vanes=None, cm=None, converged=False,
        residual=residual, steady=True, amplitude=None, extrapolated=False, separation_upper=None,
        elements=(), warnings=(why,), seconds=0.0, reynolds=None,
    )  # fmt: skip


def curve_of(
    points: Sequence[FlowPoint],
    *,
    name: str,
    reynolds: float,
    grid: str,
    reference: Mapping[str, Any],
    sources: Sequence[str],
    remarks: Sequence[str],
) -> LiftCurve:
    """Make a curve of its points, in the order asked for.

    Parameters
    ----------
    points : sequence of FlowPoint
    name : str
        What to call the section.
    reynolds : float
    grid : str
        Name of the family.
    reference : mapping
        What numbers refer to beside what all curves of this tier share.
    sources : sequence of str
        Beside those all curves of this tier rest on.
    remarks : sequence of str
        Beside what is said of every curve of this tier.
    """
    peak = maximum_lift([(p.alpha_deg, p.cl) for p in points])
    failed = [p.alpha_deg for p in points if not p.converged]
    warnings = [BANDS, *remarks]
    if grid == "preview":
        warnings.append(COARSE)
    if failed:
        warnings.append("no answer at " + ", ".join(f"{a:g}" for a in failed) + " deg")
    if len(points) > 2 and peak is None:
        warnings.append("maximum lift is not bracketed by the angles asked for and answered")
    return LiftCurve(
        airfoil=name,
        reynolds=reynolds,
        tier="rans",
        reference={
            "chord": "main section without flap, 1",
            "moment_about": "quarter chord, nose up positive",
            **reference,
            "grid": grid,
        },
        points=tuple(points),
        cl_max=None if peak is None else peak[1],
        alpha_cl_max_deg=None if peak is None else peak[0],
        sources=SOURCES + tuple(sources),
        warnings=tuple(warnings),
        version=__version__,
    )
