"""One stall, large: airspeed with the line whose end counts, load factor, attitude, sink and stick."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight.report.pictures.canvas import (
    CLEAN,
    LETS_GO,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    new_figure,
    numbers,
)

# Rows below the airspeed: axis label, and the channels with their names and colors.
ROWS = (
    ("load, g", (("load_factor", "load factor", VANES),)),
    ("degrees", (("pitch_deg", "pitch", VANES), ("roll_deg", "roll", CLEAN))),
    ("ft/min", (("vertical_speed_ft_per_min", "climb", VANES),)),
    ("stick", (("stick", "stick, 1 full aft", VANES),)),
)


def draw_stall_event(one: Mapping[str, Any], *, flight: str, unit: str) -> Picture | None:
    """Draw one event.

    Parameters
    ----------
    one : mapping
        A stall of the record.
    flight : str
        Its flight, for the words.
    unit : str
        Of its airspeeds.

    Returns
    -------
    Picture or None
        None for a stall from a card, of which there is nothing to draw.
    """
    trace = one["trace"]
    if not trace or "indicated" not in trace:
        return None
    rows = [row for row in ROWS if any(name in trace for name, _, _ in row[1])]
    with house_style():
        figure = new_figure(width=4.6, height=1.6 + 0.85 * len(rows))
        every = figure.subplots(
            1 + len(rows), 1, sharex=True, height_ratios=[2.0, *(1.0 for _ in rows)], squeeze=False
        )[:, 0]
        seconds = numbers(trace["seconds"])
        top = every[0]
        top.plot(
            seconds, numbers(trace["indicated"]), color=VANES if one["accepted"] else MUTED, linewidth=1.1
        )
        top.plot(trace["line_seconds"], trace["line"], color=LETS_GO, linewidth=1.6)
        top.plot(trace["line_seconds"][-1], trace["line"][-1], "o", color=LETS_GO, markersize=4.5)
        top.set_ylabel(f"panel, {unit}", fontsize=8)
        for axes, (label, channels) in zip(every[1:], rows, strict=True):
            for name, words, color in channels:
                if name in trace:
                    axes.plot(seconds, numbers(trace[name]), color=color, linewidth=0.9, label=words)
            axes.set_ylabel(label, fontsize=8)
            if sum(name in trace for name, _, _ in channels) > 1:
                axes.legend(fontsize=7, frameon=False, loc="upper left", ncols=2, borderaxespad=0.1)
        for axes in every:
            axes.axvline(0.0, color=MUTED, linewidth=0.6)
            axes.tick_params(labelsize=7.5)
        every[-1].set_xlabel("seconds from the stall", fontsize=8)
        counts = "counts" if one["accepted"] else "does not count"
        shown = ", ".join(label for label, _ in rows)
        return as_svg(
            figure,
            alt=f"Stall {one['stall']} of {flight}: {one['ending']}, {counts}. Airspeed on the panel with the"
            f" line whose end is the speed at the stall; below it {shown or 'nothing'}.",
        )
