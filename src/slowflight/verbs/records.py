"""Results as plain values for JSON: nulls for what could not be computed, never NaN."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

import numpy as np

from slowflight.flow.solution import ElementSummary, FlowPoint, LiftCurve, SurfaceSummary


def lift_curve_record(curve: LiftCurve) -> dict[str, Any]:
    """Return a lift curve as the values that the command line prints as JSON.

    Parameters
    ----------
    curve : LiftCurve
        The result of a sweep.

    Returns
    -------
    dict
        Of dicts, lists, text, numbers, booleans and None only.
    """
    record = {
        "airfoil": curve.airfoil,
        "reynolds": curve.reynolds,
        "tier": curve.tier,
        "reference": curve.reference,
        "points": [_point(point) for point in curve.points],
        "cl_max": curve.cl_max,
        "alpha_cl_max_deg": curve.alpha_cl_max_deg,
        "stall": None if curve.stall is None else asdict(curve.stall),
        "sources": curve.sources,
        "warnings": curve.warnings,
        "version": curve.version,
    }
    return {key: _plain(value) for key, value in record.items()}


def shortfall(curve: LiftCurve) -> tuple[float, ...]:
    """Return the angles asked for that have no converged answer [deg].

    Parameters
    ----------
    curve : LiftCurve
        The result of a sweep.

    Returns
    -------
    tuple of float
        In the order of the curve; empty where all is well.
    """
    return tuple(point.alpha_deg for point in curve.points if not point.converged or point.cl is None)


def _point(point: FlowPoint) -> dict[str, Any]:
    return {
        "alpha_deg": point.alpha_deg,
        "cl": point.cl,
        "cd": point.cd,
        "cd_vanes": point.cd_vanes,
        "cm": point.cm,
        "converged": point.converged,
        "residual": point.residual,
        "steady": point.steady,
        "amplitude": point.amplitude,
        "extrapolated": point.extrapolated,
        "blended": point.blended,
        "stalled_cl": point.stalled_cl,
        "two_equation": None if point.two_equation is None else asdict(point.two_equation),
        "separation_upper": point.separation_upper,
        "elements": [_element(element) for element in point.elements],
        "warnings": point.warnings,
        "seconds": point.seconds,
    }


def _element(element: ElementSummary) -> dict[str, Any]:
    return {"name": element.name, "upper": _surface(element.upper), "lower": _surface(element.lower)}


def _surface(surface: SurfaceSummary) -> dict[str, Any]:
    return {"transition": surface.transition, "separated": surface.separated, "bubbles": surface.bubbles}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(part) for key, part in value.items()}
    if isinstance(value, np.ndarray):
        return _plain(value.tolist())
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, np.generic):
        return _plain(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
