"""Where would help help: a strip along the upper skin for each flap setting, with the effect below it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch, Rectangle

from slowflight.report.pictures.canvas import (
    INK,
    MUTED,
    PAPER,
    VANES,
    Picture,
    as_svg,
    house_style,
    literal,
    new_figure,
    numbers,
)
from slowflight.report.words import degrees, number

# blue and brown are told apart with every common color vision; hatches and words tell them in gray
LOOKS: Mapping[str, Mapping[str, Any]] = {
    "helps": {"facecolor": "#2477b3", "hatch": "", "edgecolor": PAPER},
    "no matter": {"facecolor": "#e9e6df", "hatch": "", "edgecolor": MUTED},
    "hurts": {"facecolor": "#e0a468", "hatch": "////", "edgecolor": "#6b2f00"},
    "laminar": {"facecolor": PAPER, "hatch": "....", "edgecolor": MUTED},
}
MEANING = {
    "helps": "mixing helps",
    "no matter": "no matter, or in doubt",
    "hurts": "mixing hurts",
    "laminar": "laminar: not answered, vanes trip it",
}
SHORT = "Predicted, uncalibrated: read direction, not size. The strip shows where mixing has to arrive; a row stands ahead of that."  # noqa: E501
_NARROWEST_NAMED = 0.075  # share of the strip that a word needs


def draw_help_strips(strips: Sequence[Mapping[str, Any]]) -> Picture | None:
    """Draw one strip for each flap setting, all on one scale.

    Parameters
    ----------
    strips : sequence of mapping
        As ``compare.help_strip.help_strip`` returns them.

    Returns
    -------
    Picture or None
        None where there is no strip.
    """
    if not strips:
        return None
    with house_style():
        figure = new_figure(width=7.2, height=1.5 + 2.05 * len(strips))
        _draw(figure, strips)
        return as_svg(figure, alt=described(strips))


def _draw(figure: Figure, strips: Sequence[Mapping[str, Any]]) -> None:
    heights = [part for _ in strips for part in (0.32, 1.0)]
    grid = figure.add_gridspec(2 * len(strips), 1, height_ratios=heights, hspace=0.02)
    end = max(float(max(strip["places"]["along_skin_mm"])) for strip in strips)
    limit = 1.08 * max(_largest(strip) for strip in strips)
    for k, strip in enumerate(strips):
        bar = figure.add_subplot(grid[2 * k])
        below = figure.add_subplot(grid[2 * k + 1], sharex=bar)
        _draw_bar(bar, strip, end=end)
        _draw_effect(below, strip, limit=limit)
        bar.set_xlim(0.0, 1.01 * end)
        below.tick_params(labelbottom=k == len(strips) - 1)
        if k == len(strips) - 1:
            below.set_xlabel("mm from the nose, along the upper skin")
            _add_chord_axis(below, strip)
    kinds = [kind for kind in LOOKS if any(kind in strip["places"]["kind"] for strip in strips)]
    figure.legend(
        handles=[Patch(label=MEANING[kind], linewidth=0.6, **LOOKS[kind]) for kind in kinds],
        loc="outside upper left", ncols=2, frameon=False, fontsize=8.5, handlelength=1.8,
    )  # fmt: skip
    figure.supxlabel(textwrap.fill(SHORT, 110), fontsize=8.5, color=INK, x=0.01, ha="left")


def _add_chord_axis(axes: Axes, strip: Mapping[str, Any]) -> None:
    """The same places along the chord line; by the last strip, whose skin is that of all."""
    skin, chord = numbers(strip["places"]["along_skin_mm"]), numbers(strip["places"]["along_chord_mm"])
    skin, chord = np.append(0.0, skin), np.append(0.0, chord)

    def to_chord(at: Any) -> Any:
        return np.interp(at, skin, chord)

    def to_skin(at: Any) -> Any:
        return np.interp(at, chord, skin)

    other = axes.secondary_xaxis(-0.42, functions=(to_chord, to_skin))
    other.set_xlabel("mm from the nose, along the chord line")


def _largest(strip: Mapping[str, Any]) -> float:
    """The largest effect: the band may run out of the picture, where it would flatten every line."""
    solved = [check["resolved"] for check in strip["checks"] if check["resolved"] is not None]
    return float(np.max(np.abs([1e-6, *strip["places"]["effect"], *solved])))


def _draw_bar(axes: Axes, strip: Mapping[str, Any], *, end: float) -> None:
    for stretch in strip["stretches"]:
        left, right = stretch["from_skin_mm"], stretch["to_skin_mm"]
        look = LOOKS[stretch["kind"]]
        axes.add_patch(Rectangle((left, 0.0), right - left, 1.0, linewidth=0.6, **look))
        if right - left > _NARROWEST_NAMED * end:
            white = stretch["kind"] == "helps"
            axes.text(
                0.5 * (left + right), 0.5, f"{stretch['kind']}\n{left:.0f}–{right:.0f}", ha="center",
                va="center", fontsize=8, linespacing=0.95, color=PAPER if white else INK,
                bbox=None if white else {"facecolor": look["facecolor"], "edgecolor": "none", "pad": 1.0},
            )  # fmt: skip
    angle, lift = degrees(strip["angle_deg"]), number(strip["lift_coefficient"], 2)
    title = f"{strip['setting']}: section at maximum lift, {angle}, lift coefficient {lift}"
    axes.set_title(literal(title), loc="left", fontsize=9.5)
    axes.set(ylim=(0.0, 1.0), yticks=[])
    axes.tick_params(bottom=False, labelbottom=False)
    axes.spines[["left", "bottom"]].set_visible(False)


def _draw_effect(axes: Axes, strip: Mapping[str, Any], *, limit: float) -> None:
    places = strip["places"]
    at, effect = numbers(places["along_skin_mm"]), numbers(places["effect"])
    answered = np.array([kind != "laminar" for kind in places["kind"]])
    low, high = numbers(places["low"]), numbers(places["high"])
    axes.fill_between(
        at, 1e3 * np.clip(low, -limit, limit), 1e3 * np.clip(high, -limit, limit), where=answered,
        color=VANES, alpha=0.16, linewidth=0, label="band",
    )  # fmt: skip
    axes.plot(
        at, 1e3 * np.where(answered, effect, np.nan), color=VANES, linewidth=1.6, label="one dose, linear"
    )
    solved = [c for c in strip["checks"] if c["resolved"] is not None]
    lost = [c for c in strip["checks"] if c["resolved"] is None]
    axes.plot(
        [c["along_skin_mm"] for c in solved], [1e3 * c["resolved"] for c in solved], "o", markersize=4.5,
        color=INK, markerfacecolor=PAPER, label="one dose, solved anew",
    )  # fmt: skip
    if lost:
        axes.plot([c["along_skin_mm"] for c in lost], [0.0] * len(lost), "x", color=INK, label="no answer")
    axes.axhline(0.0, color=MUTED, linewidth=0.8)
    axes.set_ylim(-1.3e3 * limit, 1e3 * limit)
    axes.set_ylabel("change of lift\ncoefficient, thousandths", fontsize=8.5)
    axes.legend(loc="lower right", ncols=4, frameon=False, fontsize=8, borderaxespad=0.1)


def described(strips: Sequence[Mapping[str, Any]]) -> str:
    """What the picture shows, in words."""
    told = []
    for strip in strips:
        parts = [
            f"{s['from_skin_mm']:.0f} to {s['to_skin_mm']:.0f} mm {MEANING[s['kind']]}"
            for s in strip["stretches"]
        ]
        told.append(
            f"{strip['setting']}, section at {degrees(strip['angle_deg'])}: {'; '.join(parts)}"
            if parts
            else f"{strip['setting']}: no answer"
        )
    return (
        "Where on the upper skin more mixing would raise or lower maximum lift, from the nose along the skin."
        f" {'. '.join(told)}. {SHORT}"
    )
