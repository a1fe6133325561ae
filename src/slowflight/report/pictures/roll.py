"""Rolling moment of full stick over wing angle, clean and with the row: where control fades."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from slowflight.report.pictures.canvas import (
    CLEAN,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    new_figure,
    numbers,
)
from slowflight.report.words import degrees, flap

LINES = (("clean", "clean", CLEAN), ("vanes", "with the row", VANES))


def draw_roll(roll: Mapping[str, Any], *, flap_deg: float) -> Picture | None:
    """Draw one flap setting; None without an answer.

    Parameters
    ----------
    roll : mapping
        The setting's ``in_the_air.roll``.
    flap_deg : float
        [deg]
    """
    found = [
        (words, color, roll[name])
        for name, words, color in LINES
        if roll.get(name) is not None and "problem" not in roll[name]
    ]
    if not found:
        return None
    with house_style():
        figure = new_figure(width=4.6, height=3.2)
        axes = figure.add_subplot()
        told = []
        for words, color, one in found:
            angles, moment = numbers(one["angles_deg"]), numbers(one["moment"])
            axes.plot(angles, moment, color=color, linewidth=2, label=words)
            stall = one["stall_angle_deg"]
            axes.plot(stall, np.interp(stall, angles, moment), "o", color=color, markersize=6)
            told.append(f"{words}: stall at {degrees(stall)}")
        axes.axhline(0.0, color=MUTED, linewidth=0.8)
        axes.set_ylim(bottom=min(0.0, axes.get_ylim()[0]))
        axes.set_xlabel("wing angle, degrees; dot: stall")
        axes.set_ylabel("rolling moment coefficient")
        axes.legend(frameon=False, loc="best")
        shown = f"flap {flap(flap_deg)}, stick fully over"
        axes.set_title(shown, loc="left", fontsize=10)
        return as_svg(figure, alt=f"Rolling moment over wing angle, {shown}. {'; '.join(told)}.")
