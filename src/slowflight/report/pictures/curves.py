"""Lift, and the speed it takes to carry the weight, against wing angle: clean and with the row."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from slowflight.report.pictures.canvas import (
    CLEAN,
    HALO,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    literal,
    new_figure,
    numbers,
    spread,
)
from slowflight.report.words import degrees, miles_per_hour, number

_KNOTS_PER_MPH = 1.0 / miles_per_hour(1.0)


def draw_lift(setting: Mapping[str, Any], *, marks: Sequence[Mapping[str, Any]]) -> Picture:
    """Draw the wing's lift coefficient against wing angle.

    Parameters
    ----------
    setting : mapping
        One predicted flap setting of the record.
    marks : sequence of mapping
        The attitudes, name and wing_angle_deg each.

    Returns
    -------
    Picture
        Points that did not converge are hollow.
    """
    with house_style():
        figure = new_figure(width=4.6, height=3.6)
        axes = figure.add_subplot()
        curves = _draw_curves(axes, setting=setting, what="cl")
        axes.set_xlabel("wing angle, degrees")
        axes.set_ylabel("lift coefficient of the wing")
        axes.margins(y=0.08)
        axes.set_ylim(bottom=min(0.0, axes.get_ylim()[0]))
        _name_curves(axes, curves=curves)
        _draw_marks(axes, marks=marks, at_top=False)
        return as_svg(figure, alt=_described(curves, marks=marks, what="Lift coefficient", best=np.nanmax))


def draw_speed(setting: Mapping[str, Any], *, marks: Sequence[Mapping[str, Any]]) -> Picture:
    """Draw the speed at which the lift carries the weight against wing angle; parameters as `draw_lift`."""
    with house_style():
        figure = new_figure(width=4.6, height=3.6)
        axes = figure.add_subplot()
        curves = _draw_curves(axes, setting=setting, what="speed_kt")
        axes.set_xlabel("wing angle, degrees")
        axes.set_ylabel("speed that carries the weight, kt")
        every = np.concatenate([values for _, values, _, _ in curves]) if curves else np.array([np.nan])
        if not np.isnan(every).all():
            slowest = float(np.nanmin(every))
            axes.set_ylim(0.85 * slowest, min(1.05 * float(np.nanmax(every)), 2.6 * slowest))
        other = axes.secondary_yaxis("right", functions=(_from_knots, _to_knots))
        other.set_ylabel("mph")
        _name_curves(axes, curves=curves)
        _draw_marks(axes, marks=marks, at_top=True)
        return as_svg(figure, alt=_described(curves, marks=marks, what="Speed in knots", best=np.nanmin))


def _from_knots(knots: Any) -> Any:
    return knots / _KNOTS_PER_MPH


def _to_knots(mph: Any) -> Any:
    return mph * _KNOTS_PER_MPH


Curve = tuple[NDArray[np.float64], NDArray[np.float64], str, str]


def _draw_curves(axes: Axes, *, setting: Mapping[str, Any], what: str) -> list[Curve]:
    drawn: list[Curve] = []
    for key, name, color, dashes in (
        # The dashed line last, so that both show where they run together.
        ("vanes", "with the row", VANES, "solid"),
        ("clean", "clean", CLEAN, (0, (5, 2.5))),
    ):
        curve = setting[key]
        if curve is None:
            continue
        angles, values = numbers(curve["wing_angles_deg"]), numbers(curve[what])
        axes.plot(angles, values, color=color, linewidth=1.9, linestyle=dashes)
        failed = ~np.array(curve.get("converged") or [True] * angles.size, dtype=bool)
        axes.plot(angles[failed], values[failed], "o", color=color, markerfacecolor="white", markersize=5)
        drawn.append((angles, values, name, color))
    return drawn


def _name_curves(axes: Axes, *, curves: Sequence[Curve]) -> None:
    """Write each name after its curve's end, apart from the other where both end together."""
    ends = []
    for angles, values, name, color in curves:
        answered = np.flatnonzero(~np.isnan(values))
        if answered.size:
            ends.append((angles[answered[-1]], values[answered[-1]], name, color))
    low, high = axes.get_ylim()
    wanted = [float(np.clip(value, low, high)) for _, value, _, _ in ends]
    places = spread(wanted, room=[0.06 * (high - low)] * len(ends), low=low, high=high)
    left, right = axes.get_xlim()
    axes.set_xlim(left, right + 0.32 * (right - left))
    for (end, _, name, color), place in zip(ends, places, strict=True):
        axes.annotate(
            name,
            (end, place),
            xytext=(5, 0),
            textcoords="offset points",
            color=color,
            fontweight="bold",
            fontsize=9.5,
            ha="left",
            va="center",
        )


def _draw_marks(axes: Axes, *, marks: Sequence[Mapping[str, Any]], at_top: bool) -> None:
    low, high = axes.get_xlim()
    shown = [mark for mark in marks if low <= mark["wing_angle_deg"] <= high]
    texts = [textwrap.fill(f"{mark['name']} {degrees(mark['wing_angle_deg'])}", 24) for mark in shown]
    line_height = 12.0 * (high - low) / (3.7 * 72)
    places = spread(
        [mark["wing_angle_deg"] for mark in shown],
        room=[line_height * (text.count("\n") + 1.2) for text in texts],
        low=low,
        high=high,
    )
    for mark, text, place in zip(shown, texts, places, strict=True):
        axes.axvline(mark["wing_angle_deg"], color=MUTED, linewidth=0.9, linestyle=(0, (2, 2)), zorder=0.5)
        axes.text(
            place,
            0.985 if at_top else 0.015,
            literal(text),
            transform=axes.get_xaxis_transform(),
            rotation=90,
            fontsize=9,
            ha="center",
            va="top" if at_top else "bottom",
            bbox=HALO,
        )


def _described(curves: Sequence[Curve], *, marks: Sequence[Mapping[str, Any]], what: str, best: Any) -> str:
    parts = []
    for angles, values, name, _ in curves:
        if np.isnan(values).all():
            parts.append(f"{name}: no answer")
            continue
        end = float(best(values))
        at = float(angles[int(np.flatnonzero(values == end)[0])])
        which = "largest" if best is np.nanmax else "least"
        parts.append(f"{name}: {which} {number(end, 2)} at {degrees(at)}")
    named = [f"{mark['name']} at {degrees(mark['wing_angle_deg'])}" for mark in marks]
    text = f"{what} against wing angle; {'; '.join(parts) or 'no answer'}."
    return f"{text} Marked: {', '.join(named)}." if named else text
