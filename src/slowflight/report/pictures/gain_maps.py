"""Gain over station, wing angle and flap setting: one map for each setting, one color scale, bands below."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize, TwoSlopeNorm
from matplotlib.figure import Figure
from numpy.typing import NDArray

from slowflight.report.pictures.canvas import (
    INK,
    PAPER,
    Picture,
    as_svg,
    house_style,
    literal,
    new_figure,
    numbers,
)
from slowflight.report.pictures.gain_map import CHANGE, edges, hatch_unanswered
from slowflight.report.pictures.station_axis import mark_stations
from slowflight.report.words import degrees, per_cent

LEAST_RANGE = 0.02  # of the color scale: rows that do nothing are drawn as nothing and not as noise
BAND_COLORS = "Greys"
SHORT = "Predicted. Hatched: no answer. Dot: the band reaches across zero, gain and loss are both possible."
_LETTERS = "ABCDEFGH"


def draw_gain_maps(maps: Sequence[Mapping[str, Any]], *, what: str = "lift coefficient") -> Picture | None:
    """Draw the gain of one row at several flap settings side by side, and its band under each.

    Parameters
    ----------
    maps : sequence of mapping
        One for each setting: ``setting`` (words), ``stations`` (shares of chord), ``angles_deg`` (wing),
        ``gain``, ``band`` (half its width, or None where it is not known) and ``answered``, each by station
        and then by angle, and ``marks``, with ``name`` and ``angle_deg`` each.
    what : str
        The number that changes.

    Returns
    -------
    Picture or None
        None where there is no map.
    """
    if not maps:
        return None
    cells = [_cells(one) for one in maps]
    with house_style():
        figure = new_figure(width=max(4.6, 1.1 + 2.1 * len(maps)), height=6.3)
        _draw(figure, maps, cells, what=what)
        return as_svg(figure, alt=described(maps, what=what))


def _cells(one: Mapping[str, Any]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Gain and half band by angle and then by station; NaN where there is no answer."""
    shape = (len(one["stations"]), len(one["angles_deg"]))
    gain, band = (np.array([numbers(line) for line in one[key]]).reshape(shape).T for key in ("gain", "band"))
    answered = np.array(one["answered"], dtype=bool).reshape(shape).T
    gain = np.where(answered, gain, np.nan)
    return gain, np.where(np.isnan(gain), np.nan, band)


def _draw(
    figure: Figure,
    maps: Sequence[Mapping[str, Any]],
    cells: Sequence[tuple[NDArray[np.float64], NDArray[np.float64]]],
    *,
    what: str,
) -> None:
    limit = max([LEAST_RANGE, *(float(v) for gain, _ in cells for v in np.abs(gain[~np.isnan(gain)]))])
    widest = max([0.5 * LEAST_RANGE, *(float(v) for _, band in cells for v in band[~np.isnan(band)])])
    names = [name for one in maps for name in (mark["name"] for mark in one["marks"])]
    letters = {name: _LETTERS[k % len(_LETTERS)] for k, name in enumerate(dict.fromkeys(names))}
    above = figure.subplots(2, len(maps), sharey=True, squeeze=False, height_ratios=(1.6, 1.0))
    colors = TwoSlopeNorm(0.0, -limit, limit), Normalize(0.0, widest)
    for column, (one, (gain, band)) in enumerate(zip(maps, cells, strict=True)):
        stations, angles = numbers(one["stations"]), numbers(one["angles_deg"])
        across, up = edges(100.0 * stations), edges(angles)
        upper, lower = above[0, column], above[1, column]
        style: dict[str, Any] = {"edgecolors": "face", "linewidth": 0.3}
        upper.pcolormesh(across, up, np.ma.masked_invalid(gain), cmap=CHANGE, norm=colors[0], **style)
        lower.pcolormesh(across, up, np.ma.masked_invalid(band), cmap=BAND_COLORS, norm=colors[1], **style)
        for axes, values in ((upper, gain), (lower, band)):
            hatch_unanswered(axes, gain=values, across=across, up=up)
            axes.set_xlim(across[0], across[-1])
            mark_stations(axes, stations.tolist())
            axes.tick_params(labelsize=8)
            axes.xaxis.label.set_fontsize(9.0)
            _draw_marks(axes, one["marks"], letters)
        row, col = np.nonzero(np.abs(gain) < band)
        upper.plot(100.0 * stations[col], angles[row], ".", color=INK, markersize=2.5, label="in doubt")
        upper.set_title(literal(textwrap.fill(one["setting"], 24)), fontsize=10)
        upper.set_xlabel("")
    low = min(float(edges(numbers(one["angles_deg"]))[0]) for one in maps)
    high = max(float(edges(numbers(one["angles_deg"]))[-1]) for one in maps)
    above[0, 0].set_ylim(low, high)
    for place in (0, 1):
        above[place, 0].set_ylabel("wing angle, degrees")
    bar = figure.colorbar(
        ScalarMappable(colors[0], CHANGE), ax=list(above[0]), location="right", aspect=30, pad=0.02
    )
    bar.set_label(f"change of {what}", fontsize=9)
    bar = figure.colorbar(
        ScalarMappable(colors[1], BAND_COLORS), ax=list(above[1]), location="right", aspect=18, pad=0.02
    )
    bar.set_label("band, ±", fontsize=9)
    key = "; ".join(f"{letter} {name}" for name, letter in letters.items())
    told = f"{SHORT} {key}." if key else SHORT
    figure.supxlabel(literal(textwrap.fill(told, 40 + 26 * len(maps))), fontsize=8.5, x=0.01, ha="left")


def _draw_marks(axes: Axes, marks: Sequence[Mapping[str, Any]], letters: Mapping[str, str]) -> None:
    left, right = axes.get_xlim()
    for mark in marks:
        at = mark["angle_deg"]
        # dark dashes on a pale line: seen on the palest and on the darkest cell
        axes.axhline(at, color=PAPER, linewidth=2.0, alpha=0.75)
        axes.axhline(at, color=INK, linewidth=1.0, linestyle=(0, (5, 2)))
        # letters a little apart, for attitudes that are close to each other
        place = right - (0.05 + 0.11 * (ord(letters[mark["name"]]) - ord("A"))) * (right - left)
        axes.text(
            place, at, letters[mark["name"]], fontsize=8, ha="center", va="center", clip_on=True,
            bbox={"facecolor": PAPER, "edgecolor": INK, "linewidth": 0.6, "pad": 1.2},
        )  # fmt: skip


def described(maps: Sequence[Mapping[str, Any]], *, what: str) -> str:
    """What the picture shows, in words."""
    told = []
    for one in maps:
        gain, band = _cells(one)
        missing = int(np.isnan(gain).sum())
        text = f"{one['setting']}: "
        if missing == gain.size:
            text += "no cell has an answer"
        else:
            row, column = np.unravel_index(int(np.nanargmax(gain)), gain.shape)
            known = not np.isnan(band[row, column])
            text += (
                f"largest {gain[row, column]:+.3f}"
                + (f" (band ± {band[row, column]:.3f})" if known else " (band not known)")
                + f" at {per_cent(one['stations'][column])} of chord and {degrees(one['angles_deg'][row])},"
                f" least {np.nanmin(gain):+.3f}; {missing} of {gain.size} cells have no answer"
            )
        marks = ", ".join(f"{mark['name']} at {degrees(mark['angle_deg'])}" for mark in one["marks"])
        told.append(text + (f"; marked: {marks}" if marks else ""))
    return f"Change of {what} by a row over its place and the wing angle. {'. '.join(told)}. {SHORT}"
