"""Stall speed clean and with the best row, every predicted flap setting below the other, with bands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from slowflight.report.pictures.canvas import CLEAN, VANES, Picture, as_svg, house_style, new_figure
from slowflight.report.words import flap, number, speed, speed_band


def draw_stall_speeds(settings: Sequence[Mapping[str, Any]]) -> Picture | None:
    """Draw the bars of each predicted flap setting; a speed without an answer has none.

    Parameters
    ----------
    settings : sequence of mapping
        The predicted flap settings of the record, at least one.

    Returns
    -------
    Picture or None
        None where no speed has an answer.
    """
    rows = [
        (setting["flap_deg"], name, setting[key], color)
        for setting in settings
        for key, name, color in (
            ("stall_speed_clean", "clean", CLEAN),
            ("stall_speed_vanes", "with the row", VANES),
        )
        if setting[key] is not None and setting[key].get("kt") is not None
    ]
    if not rows:
        return None
    with house_style():
        figure = new_figure(width=4.6, height=0.75 + 0.36 * len(rows))
        axes = figure.add_subplot()
        for level, (_, _, value, color) in enumerate(rows):
            if value.get("low_kt") is not None and value.get("high_kt") is not None:
                axes.plot(
                    [value["low_kt"], value["high_kt"]], [level, level], color=color, linewidth=7, alpha=0.35
                )
            axes.plot(value["kt"], level, "o", color=color, markersize=6)
            axes.annotate(
                number(value["kt"]),
                (value["kt"], level),
                xytext=(0, 5),
                textcoords="offset points",
                ha="center",
                va="bottom",
                fontsize=9,
            )
        axes.set_yticks(range(len(rows)), [f"flap {flap(setting)}, {name}" for setting, name, _, _ in rows])
        for label, (_, _, _, color) in zip(axes.get_yticklabels(), rows, strict=True):
            label.set_color(color)
        axes.set_ylim(len(rows) - 0.5, -0.75)
        axes.margins(x=0.12)
        axes.set_xlabel("stall speed, kt; bar: band")
        told = [
            f"Flap {flap(setting)}, {name}: {speed(value)}, {speed_band(value)}"
            for setting, name, value, _ in rows
        ]
        return as_svg(figure, alt=f"Stall speeds with bands. {'; '.join(told)}.")
