"""The number that a run has for what was published: the same measure taken of both."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from slowflight.compare.evidence.case import Case, Measured
from slowflight.flow.solution import FloatArray

LEAST_POINTS = 3


@dataclass(frozen=True)
class Pair:
    """What was published and what follows from the run, with the scatter where both are means."""

    published: float
    predicted: float
    scatter: float | None = None


@dataclass(frozen=True)
class NoAnswer:
    """What was published, and why the run has nothing to set beside it."""

    published: float
    reason: str


def pair_of(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
    """Take the measure that a published number is of.

    Parameters
    ----------
    case : Case
    measured : Measured
    result : mapping
        Of the run.

    Returns
    -------
    Pair or NoAnswer
    """
    return _MEASURES[measured.quantity](case, measured, result)


def _maximum(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
    return _plain(measured, result["cl_max"], "no maximum between the answered angles")


def _angle(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
    return _plain(measured, result["alpha_cl_max_deg"], "no maximum between the answered angles")


def _wing(key: str) -> Callable[[Case, Measured, Mapping[str, Any]], Pair | NoAnswer]:
    def of_wing(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
        return _plain(measured, result[key], "no answer")

    return of_wing


def _at_angle(key: str) -> Callable[[Case, Measured, Mapping[str, Any]], Pair | NoAnswer]:
    def of_point(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
        point = _point(result, measured.angle_deg)
        value = None if point is None else point[key]
        return _plain(measured, value, f"no answer at {measured.angle_deg:g} deg")

    return of_point


def _plain(measured: Measured, predicted: float | None, reason: str) -> Pair | NoAnswer:
    assert measured.value is not None
    return NoAnswer(measured.value, reason) if predicted is None else Pair(measured.value, float(predicted))


def _slope(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
    """Straight lines through measured and computed lift at the measured angles."""
    table = _stretch(case, measured, "alpha_deg")
    published = measured.value
    if published is None:
        published = float(np.polyfit(table["alpha_deg"], table["cl"], 1)[0])
    spline = _over(result, "alpha_deg", "cl", table["alpha_deg"])
    if isinstance(spline, str):
        return NoAnswer(published, spline)
    return Pair(published, float(np.polyfit(table["alpha_deg"], spline, 1)[0]))


def _drag(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
    """Mean drag over the table, at equal angles or at equal lift."""
    table = _stretch(case, measured, measured.against)
    published = float(table["cd"].mean())
    spline = _over(result, measured.against, "cd", table[measured.against])
    if isinstance(spline, str):
        return NoAnswer(published, spline)
    scatter = float(np.sqrt(np.mean((spline / table["cd"] - 1.0) ** 2)))
    return Pair(published, float(spline.mean()), scatter)


def _pressure(side: str) -> Callable[[Case, Measured, Mapping[str, Any]], Pair | NoAnswer]:
    def of_side(case: Case, measured: Measured, result: Mapping[str, Any]) -> Pair | NoAnswer:
        table = case.table
        start, end = measured.span or (0.0, 1.0)
        taps = [
            (float(x), float(c))
            for s, x, c in zip(table["side"], table["x"], table["pressure_coefficient"], strict=True)
            if s == side and start < float(x) <= end
        ]
        x, published = np.array([t[0] for t in taps]), np.array([t[1] for t in taps])
        found = result["pressures"].get(f"{measured.angle_deg:g}")
        if found is None:
            return NoAnswer(float(published.mean()), f"no answer at {measured.angle_deg:g} deg")
        layer_x, layer_c = (np.array(found[side][key]) for key in ("x", "pressure_coefficient"))
        # The layer begins where the air divides, which may be on the other side: from the nose on.
        nose = int(np.argmin(layer_x))
        predicted = np.interp(x, layer_x[nose:], layer_c[nose:])
        scatter = float(np.sqrt(np.mean((predicted - published) ** 2)))
        return Pair(float(published.mean()), float(predicted.mean()), scatter)

    return of_side


def _stretch(case: Case, measured: Measured, column: str) -> dict[str, FloatArray]:
    columns = {name: np.array(values, dtype=float) for name, values in case.table.items()}
    start, end = measured.span or (-np.inf, np.inf)
    inside = (columns[column] >= start) & (columns[column] <= end)
    return {name: values[inside] for name, values in columns.items()}


def _over(result: Mapping[str, Any], across: str, up: str, at: FloatArray) -> FloatArray | str:
    """Computed values at given places by a spline, or why there are none."""
    points = _answered(result)
    if across == "cl":
        # only where lift still rises is drag a function of it
        points = _rising(points)
    places = [float(p[across]) for p in points]
    if len(places) < LEAST_POINTS or at.min() < places[0] or at.max() > places[-1]:
        return f"no answer over all of {at.min():g} to {at.max():g}"
    return np.asarray(CubicSpline(places, [float(p[up]) for p in points])(at))


def _answered(result: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    # lift that was blended in past the last answer is no answer
    known = [p for p in result["points"] if p["cl"] is not None and p.get("converged", True)]
    return sorted(known, key=lambda p: float(p["alpha_deg"]))


def _rising(points: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    kept: list[Mapping[str, Any]] = []
    for point in points:
        if kept and point["cl"] <= kept[-1]["cl"]:
            break
        kept.append(point)
    return kept


def _point(result: Mapping[str, Any], angle: float | None) -> Mapping[str, Any] | None:
    for point in _answered(result):
        if angle is not None and abs(point["alpha_deg"] - angle) < 1e-6:
            return point
    return None


_MEASURES: Mapping[str, Callable[[Case, Measured, Mapping[str, Any]], Pair | NoAnswer]] = {
    "maximum lift": _maximum,
    "angle of maximum lift": _angle,
    "lift slope": _slope,
    "lift": _at_angle("cl"),
    "mean drag": _drag,
    "separation": _at_angle("separation_upper"),
    "mean pressure coefficient, upper side": _pressure("upper"),
    "mean pressure coefficient, lower side": _pressure("lower"),
    "wing lift slope": _wing("slope"),
    "span efficiency": _wing("span_efficiency"),
    "largest local lift over wing lift": _wing("largest_local"),
}
"""Quantities that a run can answer; the others belong to cases that no tier computes yet."""
ANSWERABLE = frozenset(_MEASURES)
