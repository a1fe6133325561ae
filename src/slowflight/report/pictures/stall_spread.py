"""Where along the span sections are past their own maximum, angle by angle: how the stall spreads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight.report.pictures.canvas import CLEAN, INK, VANES, Picture, as_svg, house_style, new_figure
from slowflight.report.words import degrees, flap

SIDES = (("clean", "clean", CLEAN), ("vanes", "with the row", VANES))


def draw_stall_spread(spread: Mapping[str, Any], *, flap_deg: float, semi_span: float) -> Picture | None:
    """Draw one flap setting, clean beside the row; None where nothing stalls on the way.

    Parameters
    ----------
    spread : mapping
        The setting's ``in_the_air.spread``.
    flap_deg, semi_span : float
        [deg], [m]
    """
    found = [
        (words, color, spread[name])
        for name, words, color in SIDES
        if name in spread and spread[name]["rows"]
    ]
    if not found:
        return None
    with house_style():
        figure = new_figure(width=4.6, height=3.0)
        axes = figure.subplots(1, len(found), sharey=True, squeeze=False)[0]
        told = []
        for place, (words, color, one) in zip(axes, found, strict=True):
            for row in one["rows"]:
                for inner, outer in row["stalled_m"]:
                    place.barh(
                        row["wing_angle_deg"], outer - inner, left=inner, height=0.9, color=color, alpha=0.75
                    )
            if one["stall_angle_deg"] is not None:
                place.axhline(one["stall_angle_deg"], color=INK, linewidth=1.0, linestyle="--")
            place.set_xlim(0.0, semi_span)
            place.set_title(words, loc="left", fontsize=10, color=color)
            place.set_xlabel("from the centerline, m")
            first = one["rows"][0]
            told.append(f"{words}: first stalled at {degrees(first['wing_angle_deg'])}")
        axes[0].set_ylabel("wing angle, degrees")
        return as_svg(
            figure,
            alt=f"Stalled part of the half-span over wing angle, flap {flap(flap_deg)}; dashed: most lift."
            f" {'; '.join(told)}.",
        )
