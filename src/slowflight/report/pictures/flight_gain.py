"""What the flights gained beside what was predicted, and every stall behind it, setting by setting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from slowflight.report.pictures.canvas import (
    CLEAN,
    FAINT,
    INK,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    new_figure,
)
from slowflight.report.words import number

SIDES = (("before", CLEAN), ("after", VANES), ("before again", CLEAN))


def draw_gains(rows: Sequence[Mapping[str, Any]], *, unit: str, worth_having: float) -> Picture | None:
    """Draw measured and predicted gain with their bands.

    Parameters
    ----------
    rows : sequence of mapping
        With ``name``, ``measured`` and, where there is one, ``predicted``: each ``value``, ``low``, ``high``.
    unit : str
        Of the numbers.
    worth_having : float
        Marked by a line.

    Returns
    -------
    Picture or None
        None without a row.
    """
    bars = [
        (f"{row['name']}, {what}", row[what], color)
        for row in rows
        for what, color in (("measured", VANES), ("predicted", MUTED))
        if row.get(what) is not None
    ]
    if not bars:
        return None
    with house_style():
        figure = new_figure(width=5.2, height=0.85 + 0.36 * len(bars))
        axes = figure.add_subplot()
        axes.axvline(0.0, color=INK, linewidth=0.8)
        axes.axvline(worth_having, color=FAINT, linewidth=1.2, linestyle="--")
        for level, (_, value, color) in enumerate(bars):
            axes.plot([value["low"], value["high"]], [level, level], color=color, linewidth=7, alpha=0.35)
            axes.plot(value["value"], level, "o", color=color, markersize=6)
        axes.set_yticks(range(len(bars)), [name for name, _, _ in bars])
        axes.set_ylim(len(bars) - 0.5, -0.6)
        axes.margins(x=0.1)
        axes.set_xlabel(f"gain, {unit}; dashed: worth having")
        told = [
            f"{name} {number(value['value'])} {unit}, {number(value['low'])} to {number(value['high'])}"
            for name, value, _ in bars
        ]
        return as_svg(figure, alt=f"Gains with bands. {'; '.join(told)}.")


def draw_stalls(
    flights: Sequence[Mapping[str, Any]], *, flap_deg: float, key: str, unit: str
) -> Picture | None:
    """Draw every stall of a flap setting, flight by flight; what does not count is a cross.

    Parameters
    ----------
    flights : sequence of mapping
        Flights of the record.
    flap_deg : float
        [degrees].
    key : str
        Under which a stall has its speed.
    unit : str
        Of the speed.

    Returns
    -------
    Picture or None
        None where no stall of the setting counts.
    """
    shown = [(flight, [one for one in flight["stalls"] if one["flap_deg"] == flap_deg]) for flight in flights]
    shown = [(flight, stalls) for flight, stalls in shown if stalls]
    if not any(one["accepted"] for _, stalls in shown for one in stalls):
        return None
    colors = dict(SIDES)
    with house_style():
        figure = new_figure(width=5.2, height=0.9 + 0.3 * len(shown))
        axes = figure.add_subplot()
        for level, (flight, stalls) in enumerate(shown):
            color = colors.get(flight["side"], MUTED)
            counted = [one[key] for one in stalls if one["accepted"]]
            struck = [one[key] for one in stalls if not one["accepted"] and one["calibrated"]]
            axes.plot(counted, [level] * len(counted), "o", color=color, alpha=0.55, markersize=5)
            axes.plot(struck, [level] * len(struck), "x", color=MUTED, markersize=5)
            if counted:
                axes.plot(sum(counted) / len(counted), level, "|", color=color, markersize=16, mew=2)
        axes.set_yticks(range(len(shown)), [flight["name"] for flight, _ in shown])
        axes.set_ylim(len(shown) - 0.4, -0.6)
        axes.set_xlabel(f"stall speed at 1 g and reference mass, {unit}; bar: mean of a flight")
        count = sum(one["accepted"] for _, stalls in shown for one in stalls)
        return as_svg(
            figure,
            alt=f"{count} stalls that count, flap {flap_deg:g} degrees, of {len(shown)} flights, each flight"
            " a line; crosses do not count.",
        )
