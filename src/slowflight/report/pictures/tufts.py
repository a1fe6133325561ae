"""Tufts drawn: the wing from above at each speed, and where the air lets go against speed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from slowflight.report.pictures.canvas import (
    CLEAN,
    FAINT,
    LETS_GO,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    new_figure,
)

MARKS = {"attached": ("o", "#1a7f4b"), "unsteady": ("^", "#e0a100"), "reversed": ("X", LETS_GO)}
MOST = 8  # speeds drawn
ACROSS = 4


def draw_maps(film: Mapping[str, Any], plan: Sequence[Mapping[str, Any]], *, unit: str, per: str) -> Picture:
    """Draw the tufts of a film on the wing, one small picture for each speed.

    Parameters
    ----------
    film : mapping
        Of the record, with speeds.
    plan : sequence of mapping
        Its tufts.
    unit, per : str
        Of speeds, and as it stands in their keys.

    Returns
    -------
    Picture
    """
    known = {one["tuft"]: one for one in plan}
    every = max(math.ceil(len(film["speeds"]) / MOST), 1)
    # The slowest are what it is about: thinned from that end.
    chosen = film["speeds"][::-1][::every][::-1]
    seen = [known[name] for one in film["speeds"] for name in one["states"]]
    low, high = min(one["span_m"] for one in seen), max(one["span_m"] for one in seen)
    down = math.ceil(len(chosen) / ACROSS)
    with house_style():
        figure = new_figure(width=7.6, height=0.7 + 1.5 * down)
        for place, one in enumerate(chosen):
            axes = figure.add_subplot(down, min(ACROSS, len(chosen)), place + 1)
            for state, (mark, color) in MARKS.items():
                spots = [known[name] for name, found in one["states"].items() if found == state]
                axes.plot(
                    [spot["span_m"] for spot in spots],
                    [100.0 * spot["station"] for spot in spots],
                    mark,
                    color=color,
                    markersize=5,
                    markerfacecolor="none" if state == "attached" else color,
                    label=state,
                )
            axes.set_xlim(low - 0.12, high + 0.12)
            axes.set_ylim(100.0, 0.0)
            axes.axhline(100.0, color=MUTED, linewidth=1.0)
            axes.axhline(0.0, color=MUTED, linewidth=1.0)
            axes.set_title(f"{one[f'speed_{per}']:.0f} {unit}", fontsize=8.5, loc="left")
            axes.tick_params(labelsize=7)
            if place % ACROSS == 0:
                axes.set_ylabel("% of chord", fontsize=7.5)
        handles, labels = figure.axes[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside upper right", ncols=3, fontsize=8, frameon=False)
        figure.supxlabel("from the centerline, m", fontsize=8)
        return as_svg(
            figure,
            alt=f"Tufts of {film['name']} on the wing, nose above: "
            + "; ".join(
                f"{one[f'speed_{per}']:.0f} {unit}: {one['tally']['attached']} attached,"
                f" {one['tally']['unsteady']} unsteady, {one['tally']['reversed']} reversed"
                for one in chosen
            )
            + ".",
        )


def draw_separation(films: Sequence[Mapping[str, Any]], *, unit: str, per: str) -> Picture:
    """Draw where reversed flow begins against speed, measured and predicted, both sides.

    Parameters
    ----------
    films : sequence of mapping
        Of the record, with speeds.
    unit, per : str
        Of speeds, and as it stands in their keys.

    Returns
    -------
    Picture
    """
    with house_style():
        figure = new_figure(width=6.4, height=3.4)
        axes = figure.add_subplot()
        for place, film in enumerate(films):
            color = VANES if film["side"] == "after" else CLEAN
            shift = 0.12 * (place - 0.5 * (len(films) - 1))
            label = f"{film['side']}, measured"
            for one in film["speeds"]:
                apart = [each for each in one["stations"] if each["aft"] is not None]
                speed = one[f"speed_{per}"] + shift
                if not apart:
                    continue
                worst = min(apart, key=lambda each: each["aft"])
                low, high = 100.0 * worst["forward"], 100.0 * worst["aft"]
                axes.plot([speed, speed], [low, high], color=color, linewidth=3.5, label=label)
                label = ""
            told = [
                (one[f"speed_{per}"], one["predicted"]["station"])
                for one in film["speeds"]
                if one["predicted"] is not None and not one["predicted"]["past_stall"]
            ]
            if told:
                axes.plot(
                    [speed for speed, _ in told],
                    [100.0 if station is None else 100.0 * station for _, station in told],
                    "--",
                    color=color,
                    linewidth=1.2,
                    label=f"{film['side']}, predicted",
                )
        axes.axhline(100.0, color=FAINT, linewidth=0.8)
        axes.set_ylim(104.0, 0.0)
        axes.set_xlabel(f"calibrated at 1 g and reference mass, {unit}", fontsize=9)
        axes.set_ylabel("reversed flow from, % of chord", fontsize=9)
        if axes.get_legend_handles_labels()[0]:
            axes.legend(fontsize=8, frameon=False)
        return as_svg(
            figure,
            alt="Where reversed flow begins against speed, at the station where it is furthest forward; bars"
            " from the last calm tuft to the first reversed one, dashed lines predicted.",
        )
