"""Change of lift coefficient over station and wing angle: why a row can do nothing here and much there."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, TwoSlopeNorm
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from slowflight.report.pictures.canvas import (
    INK,
    MUTED,
    PAPER,
    Picture,
    as_svg,
    house_style,
    literal,
    new_figure,
    numbers,
    spread,
)
from slowflight.report.pictures.station_axis import mark_stations
from slowflight.report.words import degrees, number, per_cent

# Brown for less lift, blue for more: told apart with every common color vision, and in gray by the marks.
CHANGE = LinearSegmentedColormap.from_list(
    "change", ["#6b2f00", "#b8641a", "#eab981", "#f8f7f4", "#8fbfe0", "#2477b3", "#08335c"]
)
_LEAST_RANGE = 0.02


def full_range(tables: Sequence[Mapping[str, Any]]) -> float:
    """Return one range for all maps of a flap setting: the largest change in any, either way.

    Parameters
    ----------
    tables : sequence of mapping
        The record's gain tables.

    Returns
    -------
    float
        At least 0.02, so that a row that does nothing is drawn as nothing and not as noise.
    """
    changes: list[float] = [
        abs(gain) for table in tables for line in table["gain"] for gain in line if gain is not None
    ]
    return max([_LEAST_RANGE, *changes])


def draw_gain_map(
    table: Mapping[str, Any],
    *,
    limit: float,
    marks: Sequence[Mapping[str, Any]],
    best_station: float | None = None,
    small: bool = False,
) -> Picture:
    """Draw one gain table, zero in the middle of the color scale, the owner's attitudes as lines.

    Parameters
    ----------
    table : mapping
        One gain table of the record: station by wing angle.
    limit : float
        Ends of the color scale, the same both ways and for all maps beside each other.
    marks : sequence of mapping
        The attitudes, name and wing_angle_deg each.
    best_station : float, optional
        Where the best row stands, as a share of chord, when it is of this candidate and height.
    small : bool, optional
        One of several beside each other: no names at the marks and no color bar.

    Returns
    -------
    Picture
    """
    stations, angles = numbers(table["stations"]), numbers(table["angles_deg"])
    gain = np.array([numbers(line) for line in table["gain"]]).reshape(stations.size, angles.size).T
    across, up = edges(100.0 * stations), edges(angles)
    with house_style():
        figure = new_figure(width=3.0 if small else 4.6, height=2.5 if small else 5.3)
        axes = figure.add_subplot()
        mesh = axes.pcolormesh(
            across,
            up,
            np.ma.masked_invalid(gain),
            cmap=CHANGE,
            norm=TwoSlopeNorm(0.0, -limit, limit),
            edgecolors="face",
            linewidth=0.3,
        )
        hatch_unanswered(axes, gain=gain, across=across, up=up)
        axes.set(xlim=(across[0], across[-1]), ylim=(up[0], up[-1]))
        mark_stations(axes, stations.tolist())
        axes.set_ylabel("wing angle, degrees")
        _draw_marks(axes, marks=marks, named=not small, height_points=3.8 * 72)
        if best_station is not None and across[0] <= 100.0 * best_station <= across[-1]:
            axes.plot(
                100.0 * best_station, 1.0, "v", color=INK, transform=axes.get_xaxis_transform(), clip_on=False
            )
            axes.annotate(
                f"best row, {per_cent(best_station)}",
                (100.0 * best_station, 1.0),
                xycoords=("data", "axes fraction"),
                xytext=(7, 3),
                textcoords="offset points",
                fontsize=9.5,
            )
        if small:
            axes.tick_params(labelsize=7.5)
            axes.xaxis.label.set_fontsize(9.0)
            axes.yaxis.label.set_fontsize(9.0)
        else:
            bar = figure.colorbar(mesh, ax=axes, location="bottom", aspect=32, pad=0.02)
            ticks = [-limit, -limit / 2, 0.0, limit / 2, limit]
            bar.set_ticks(ticks, labels=[_change(tick) for tick in ticks])
            bar.ax.axvline(0.0, color=INK, linewidth=1.2)
            bar.set_label("change of lift coefficient; hatched: no answer")
        return as_svg(figure, alt=_described(table, gain=gain, marks=marks))


def edges(centers: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return cell edges half-way between the values tried, the outer cells as wide as their inner halves."""
    if centers.size == 1:
        return np.array([centers[0] - 0.5, centers[0] + 0.5])
    middle = 0.5 * (centers[1:] + centers[:-1])
    return np.concatenate(([2 * centers[0] - middle[0]], middle, [2 * centers[-1] - middle[-1]]))


def hatch_unanswered(
    axes: Axes, *, gain: NDArray[np.float64], across: NDArray[np.float64], up: NDArray[np.float64]
) -> None:
    """Hatch every cell whose gain is NaN."""
    for row, column in zip(*np.nonzero(np.isnan(gain)), strict=True):
        corner = (across[column], up[row])
        width, height = across[column + 1] - across[column], up[row + 1] - up[row]
        axes.add_patch(
            Rectangle(
                corner, width, height, facecolor="#e9e6df", edgecolor=MUTED, hatch="/////", linewidth=0.0
            )
        )


def _draw_marks(axes: Axes, *, marks: Sequence[Mapping[str, Any]], named: bool, height_points: float) -> None:
    low, high = axes.get_ylim()
    shown = [mark for mark in marks if low <= mark["wing_angle_deg"] <= high]
    for mark in shown:
        # Dark dashes on a pale line: seen on the palest and on the darkest cell.
        axes.axhline(mark["wing_angle_deg"], color=PAPER, linewidth=2.2, alpha=0.75)
        axes.axhline(mark["wing_angle_deg"], color=INK, linewidth=1.1, linestyle=(0, (5, 2)))
    if not named:
        return
    texts = [textwrap.fill(f"{mark['name']} {degrees(mark['wing_angle_deg'])}", 15) for mark in shown]
    line_height = 12.0 * (high - low) / height_points
    places = spread(
        [mark["wing_angle_deg"] for mark in shown],
        room=[line_height * (text.count("\n") + 1.3) for text in texts],
        low=low,
        high=high,
    )
    for mark, text, place in zip(shown, texts, places, strict=True):
        axes.annotate(
            literal(text),
            (1.0, mark["wing_angle_deg"]),
            xycoords=("axes fraction", "data"),
            xytext=(1.045, place),
            textcoords=("axes fraction", "data"),
            fontsize=9,
            va="center",
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.7, "shrinkA": 0, "shrinkB": 0},
        )


def _change(value: float) -> str:
    if value == 0.0:
        return "0\nno change"
    return f"{value:+.2g}".replace("-", "−")


def _described(
    table: Mapping[str, Any], *, gain: NDArray[np.float64], marks: Sequence[Mapping[str, Any]]
) -> str:
    text = (
        f"Map of the change of lift coefficient by a row of {table['candidate']} vanes "
        f"{number(table['height_mm'])} mm high, over the row's place and the wing angle. "
    )
    if np.isnan(gain).all():
        return f"{text}No cell has an answer."
    row, column = np.unravel_index(int(np.nanargmax(gain)), gain.shape)
    text += (
        f"Largest gain {gain[row, column]:+.3f} at {per_cent(table['stations'][column])} of chord and "
        f"{degrees(table['angles_deg'][row])}; least {np.nanmin(gain):+.3f}. "
        f"{int(np.isnan(gain).sum())} of {gain.size} cells have no answer. "
    )
    named = [f"{mark['name']} at {degrees(mark['wing_angle_deg'])}" for mark in marks]
    return text + (f"Marked: {', '.join(named)}." if named else "")
