"""Every stall of a flight as its log has it, small: airspeed, the line whose end counts, load factor."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from slowflight.report.pictures.canvas import (
    LETS_GO,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    new_figure,
    numbers,
)

ACROSS = 5


def draw_traces(flight: Mapping[str, Any], *, unit: str) -> Picture | None:
    """Draw the stalls of a flight.

    Parameters
    ----------
    flight : mapping
        Of the record.
    unit : str
        Of its airspeeds.

    Returns
    -------
    Picture or None
        None where no stall comes from a log.
    """
    stalls = [one for one in flight["stalls"] if one["trace"] and "indicated" in one["trace"]]
    if not stalls:
        return None
    down = math.ceil(len(stalls) / ACROSS)
    with house_style():
        figure = new_figure(width=7.6, height=0.35 + 1.15 * down)
        for place, one in enumerate(stalls, 1):
            axes = figure.add_subplot(down, min(ACROSS, len(stalls)), place)
            _draw_one(axes, one, unit=unit, first=(place - 1) % ACROSS == 0)
        figure.supxlabel("seconds from the stall", fontsize=8)
        words = "; ".join(
            f"{one['stall']} {one['ending']}, {'counts' if one['accepted'] else 'does not count'}"
            for one in stalls
        )
        return as_svg(figure, alt=f"Airspeed about each stall of {flight['name']}: {words}.")


def _draw_one(axes: Any, one: Mapping[str, Any], *, unit: str, first: bool) -> None:
    trace = one["trace"]
    color = VANES if one["accepted"] else MUTED
    axes.plot(numbers(trace["seconds"]), numbers(trace["indicated"]), color=color, linewidth=0.9)
    axes.plot(trace["line_seconds"], trace["line"], color=LETS_GO, linewidth=1.4)
    axes.axvline(0.0, color=MUTED, linewidth=0.5)
    mark = "" if one["accepted"] else ", not counted"
    axes.set_title(f"{one['stall']}: {one['ending'].replace('-', ' ')}{mark}", fontsize=7, loc="left")
    axes.tick_params(labelsize=6.5)
    if first:
        axes.set_ylabel(f"panel, {unit}", fontsize=7)
    load = trace.get("load_factor")
    if load is not None:
        other = axes.twinx()
        other.plot(numbers(trace["seconds"]), numbers(load), color=MUTED, linewidth=0.5, alpha=0.7)
        other.set_ylim(-1.5, 1.6)
        other.set_yticks([])
        other.spines["right"].set_visible(False)


def draw_panel(flights: Sequence[Mapping[str, Any]], *, unit: str, per: str) -> Picture | None:
    """Draw what has to be added to the panel, by flight with legs of its own and by flap setting.

    Parameters
    ----------
    flights : sequence of mapping
        Of the record.
    unit, per : str
        Unit of the speeds, and as it stands in their keys.

    Returns
    -------
    Picture or None
        None where no flight has legs of its own.
    """
    curves = [
        (flight["name"], curve) for flight in flights for curve in flight["calibration"] if curve["own"]
    ]
    if not curves:
        return None
    with house_style():
        figure = new_figure(width=5.2, height=3.0)
        axes = figure.add_subplot()
        for place, (name, curve) in enumerate(curves):
            points = curve["points"]
            axes.errorbar(
                [point[f"indicated_{per}"] for point in points],
                [point[f"add_{per}"] for point in points],
                yerr=[2.0 * point[f"standard_uncertainty_{per}"] for point in points],
                fmt="osD^v<>"[place % 7] + "-",
                linewidth=0.9,
                markersize=4,
                capsize=2,
                label=f"{name}, flap {curve['flap_deg']:g} deg",
            )
        axes.axhline(0.0, color=MUTED, linewidth=0.6)
        axes.set_xlabel(f"shown by the panel, {unit}")
        axes.set_ylabel(f"to be added, {unit}")
        axes.legend(fontsize=7.5, frameon=False)
        return as_svg(
            figure,
            alt="What to add to the panel against what it shows, with bars of two standard uncertainties: "
            + "; ".join(f"{name}, flap {curve['flap_deg']:g} degrees" for name, curve in curves)
            + ".",
        )
