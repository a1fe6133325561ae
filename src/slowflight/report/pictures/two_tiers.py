"""Both tiers on one question: lift over wing angle by each, and the fall of stall speed by place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import Colormap

from slowflight.report.pictures.canvas import (
    CLEAN,
    INK,
    MUTED,
    VANES,
    Picture,
    as_svg,
    house_style,
    literal,
    new_figure,
    numbers,
)

TIERS = ("seconds", "minutes")
NAMES = {"seconds": "quick (seconds) tier", "minutes": "minutes tier"}
COLORS = {"seconds": CLEAN, "minutes": VANES}
DASHES = ((0, (5, 2)), (0, (1, 1.5)), (0, (5, 1.5, 1, 1.5)))  # of rows that are not single ones
AFTMOST_COLOR = 0.30  # station at which the color scale ends
FROM_ANGLE = -2.0  # below it nobody flies slowly [deg]
Record = Mapping[str, Any]


def draw_two_tiers(record: Record) -> Picture | None:
    """Draw a second opinion.

    Parameters
    ----------
    record : mapping
        As the second opinion is kept.

    Returns
    -------
    Picture or None
        None where no flap setting could be asked.
    """
    settings = [one for one in record["settings"] if not one["problem"]]
    if not settings:
        return None
    with house_style():
        figure = new_figure(width=1.0 + 3.1 * len(settings), height=8.6)
        grid = figure.subplots(3, len(settings), squeeze=False, sharey="row")
        for column, setting in enumerate(settings):
            for line, tier in enumerate(TIERS):
                axes = grid[line][column]
                _lift(axes, setting, tier, reach=record["three_point_wing_deg"], first=column == 0)
                axes.set_title(literal(f"flap {setting['flap_deg']:.0f}°, {NAMES[tier]}"), fontsize=9.5)
            _falls(grid[2][column], setting, first=column == 0)
        top = max(float(np.nanmax(axes.dataLim.intervaly)) for row in grid[:2] for axes in row)
        for row in grid[:2]:
            row[0].set_ylim(0.0, 1.06 * top)
        figure.suptitle("PREDICTED, uncalibrated, by two tiers, as computed", fontsize=10)
        handles, labels = _legend(grid[0])
        figure.legend(handles, labels, loc="outside lower center", ncols=4, fontsize=8, frameon=False)
        return as_svg(figure, alt=described(settings))


def described(settings: Sequence[Record]) -> str:
    """Return the picture in words."""
    said = []
    for setting in settings:
        parts = []
        for tier in TIERS:
            clean = setting["clean"][tier]["cl_max"]
            falls = [
                (row[tier]["fall"]["kt"], row["name"])
                for row in setting["rows"]
                if row[tier]["fall"] is not None
            ]
            largest = "no largest lift" if clean is None else f"largest lift {clean:.2f} without vanes"
            best = (
                "no row answered" if not falls else f"best row {max(falls)[1]}, {max(falls)[0]:.1f} kt slower"
            )
            parts.append(f"{NAMES[tier]}: {largest}, {best}")
        said.append(f"Flap {setting['flap_deg']:.0f} degrees, {'; '.join(parts)}.")
    return "Both tiers, predicted, uncalibrated. " + " ".join(said)


def _lift(axes: Axes, setting: Record, tier: str, *, reach: float, first: bool) -> None:
    scale = mpl.colormaps["viridis"]
    axes.axvspan(FROM_ANGLE, reach, color="#eef1f4", zorder=0)
    others = 0
    for row in setting["rows"]:
        dashes: Any = "solid"
        color = _color(scale, row)
        if not row["single"]:
            dashes, others = DASHES[others % len(DASHES)], others + 1
            color = "#b0407a"
        _curve(axes, row[tier]["curve"], label=row["name"], color=color, linestyle=dashes, linewidth=1.3)
    clean = setting["clean"][tier]
    _curve(axes, clean["curve"], label="without vanes", color=INK, linewidth=2.0)
    if clean["curve"] is None:
        axes.text(0.5, 0.5, "no answer", transform=axes.transAxes, ha="center", color=MUTED)
    axes.set_xlim(FROM_ANGLE, 26.0)
    axes.set_xlabel("wing angle, degrees (shaded: on three wheels)", fontsize=8.5)
    if first:
        axes.set_ylabel("lift coefficient of the wing", fontsize=9)


def _color(scale: Colormap, row: Record) -> Any:
    return scale(min(0.92, row["stations"][0] / AFTMOST_COLOR))


def _curve(axes: Axes, curve: Record | None, **style: Any) -> None:
    if curve is not None:
        axes.plot(numbers(curve["wing_angles_deg"]), numbers(curve["cl"]), **style)


def _falls(axes: Axes, setting: Record, *, first: bool) -> None:
    for shift, tier in zip((-0.15, 0.15), TIERS, strict=True):
        rows = [row for row in setting["rows"] if row["single"] and row[tier]["fall"] is not None]
        if not rows:
            continue
        places = np.array([100.0 * row["stations"][0] + shift for row in rows])
        falls = np.array([row[tier]["fall"]["kt"] for row in rows])
        bands = [np.array([row[tier]["fall"][end] for row in rows]) for end in ("low_kt", "high_kt")]
        axes.errorbar(
            places, falls, yerr=[falls - bands[0], bands[1] - falls], color=COLORS[tier], marker="o",
            markersize=4, linewidth=1.4, elinewidth=0.8, capsize=2, label=NAMES[tier],
        )  # fmt: skip
        rising = np.array([row[tier]["rising"] for row in rows])
        axes.plot(places[rising], falls[rising], "^", color=COLORS[tier], markersize=7)
    axes.axhline(0.0, color=MUTED, linewidth=0.8)
    axes.set_xlim(
        0.0, 1.0 + max(20.0, *(100.0 * row["stations"][0] for row in setting["rows"] if row["single"]))
    )
    axes.set_xlabel("row at, per cent of chord (\u25b2: at least; lift still rises)", fontsize=8.5)
    axes.set_title("fall of stall speed, uncalibrated", fontsize=9.5)
    if axes.get_legend_handles_labels()[0]:
        # room for the names above the bands
        axes.set_ylim(top=1.35 * max(0.1, axes.dataLim.intervaly[1]))
        axes.legend(fontsize=8, frameon=False, loc="upper right")
    if first:
        axes.set_ylabel("kt slower", fontsize=9)


def _legend(axes: Sequence[Axes]) -> tuple[list[Any], list[str]]:
    found: dict[str, Any] = {}
    for one in axes:
        for handle, label in zip(*one.get_legend_handles_labels(), strict=True):
            found.setdefault(label, handle)
    return list(found.values()), list(found)
