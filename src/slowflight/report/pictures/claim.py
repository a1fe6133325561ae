"""The claim check: the lift the slowest speed asks for beside the most the wing is predicted to give."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight.report.pictures.canvas import CLEAN, MUTED, VANES, Picture, as_svg, house_style, new_figure
from slowflight.report.words import banded, number


def draw_claim(claim: Mapping[str, Any]) -> Picture:
    """Draw both lift coefficients with their bands, one above the other.

    Parameters
    ----------
    claim : mapping
        The record's claim check.

    Returns
    -------
    Picture
        A missing prediction is said in the picture.
    """
    asked, given = claim["implied_cl"], claim["predicted_cl_max"]
    lines = [("Asked for by the slowest speed", asked, CLEAN), ("Predicted at most", given, VANES)]
    with house_style():
        figure = new_figure(width=4.6, height=1.75)
        axes = figure.add_subplot()
        for level, (name, value, color) in zip((1.0, 0.0), lines, strict=True):
            axes.text(0.0, level + 0.28, name, color=color, fontweight="bold", va="center", ha="left")
            if value is None or value.get("value") is None:
                axes.text(0.0, level - 0.05, "not yet predicted", color=MUTED, va="center", ha="left")
                continue
            if value.get("low") is not None and value.get("high") is not None:
                axes.plot([value["low"], value["high"]], [level, level], color=color, linewidth=7, alpha=0.35)
            axes.plot(value["value"], level, "o", color=color, markersize=6)
            axes.annotate(
                number(value["value"], 2),
                (value["value"], level),
                xytext=(0, -7),
                textcoords="offset points",
                ha="center",
                va="top",
            )
        tops = [
            value.get("high") or value.get("value") or 0.0 for value in (asked, given) if value is not None
        ]
        axes.set(xlim=(0.0, max([1.5, *tops]) * 1.06), ylim=(-0.5, 1.5), yticks=[])
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("lift coefficient of the wing; bar: band")
        alt = (
            f"Two bars. Lift coefficient that the slowest speed asks for: {banded(asked)}. "
            f"Most that this wing is predicted to give: {banded(given)}."
        )
        return as_svg(figure, alt=alt)
