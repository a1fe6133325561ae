"""The minutes tier's flow, clean and with a row, side by side: speed, pressure, and where a push helps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap, Normalize, SymLogNorm
from matplotlib.figure import Figure
from numpy.typing import NDArray

from slowflight.report.pictures.canvas import INK, LETS_GO, MUTED, new_figure
from slowflight.report.pictures.field import turned
from slowflight.report.pictures.flow import FASTEST, SLOWEST, SPEED

# orange and blue of even lightness on both sides of white: told apart by every kind of color vision
BOTH_WAYS = LinearSegmentedColormap.from_list(
    "both ways", ["#7a3b00", "#c8741f", "#f0c391", "#ffffff", "#a3c6e3", "#2f78b3", "#0b3c68"]
)
LOWEST_PRESSURE, HIGHEST_PRESSURE = -3.0, 1.0
PRESSURE = LinearSegmentedColormap.from_list(
    "pressure", ["#0b2447", "#1f5488", "#4a86b0", "#86b3c9", "#bcd3d6", "#e3e8dd", "#fffdf5"]
)
PUSH_LINEAR, PUSH_MOST = 1.0, 300.0
STREAMLINES = 16
BEHIND, BELOW = 0.05, 0.2  # of chord, from where backflow is marked above and below


def pair_figure(
    clean: Mapping[str, Any], vanes: Mapping[str, Any], *, station: float, knots: float
) -> Figure:
    """Draw both flows.

    Parameters
    ----------
    clean, vanes : mapping
        Results of picture cases at one angle.
    station : float
        Of the row [fraction of chord].
    knots : float
        Flight speed that the Reynolds number belongs to [kt].

    Returns
    -------
    Figure
    """
    figure = new_figure(width=10.0, height=9.4)
    grid = figure.subplots(3, 2)
    kinds = (
        ("speed over flight speed; hatched where air runs back", SPEED, Normalize(SLOWEST, FASTEST), "max"),
        ("pressure coefficient", PRESSURE, Normalize(LOWEST_PRESSURE, HIGHEST_PRESSURE), "min"),
        (
            "lift coefficient per push on the air along its course",
            BOTH_WAYS,
            SymLogNorm(PUSH_LINEAR, vmin=-PUSH_MOST, vmax=PUSH_MOST),
            "both",
        ),
    )
    for column, (result, name) in enumerate(
        ((clean, "clean section"), (vanes, f"row at {100.0 * station:g} % of chord"))
    ):
        for line, (_, colors, norm, _) in enumerate(kinds):
            axes = grid[line, column]
            values = _values(result, line)
            drawn = axes.pcolormesh(
                result["x"],
                result["y"],
                np.ma.masked_invalid(values),
                cmap=colors,
                norm=norm,
                rasterized=True,
            )
            for outline in _outlines(result):
                axes.fill(*outline, facecolor="#f3efe6", edgecolor=INK, linewidth=0.8)
            if line == 0:
                _streamlines(axes, result)
                axes.set_title(name, fontsize=11, color=INK)
            if column == 1:
                _mark(axes, result, station)
            axes.set(
                xlim=(result["x"][0], result["x"][-1]), ylim=(result["y"][0], result["y"][-1]), aspect="equal"
            )
            axes.set_axis_off()
            if column == 1:
                label, extend = kinds[line][0], kinds[line][3]
                bar = figure.colorbar(
                    drawn, ax=list(grid[line]), orientation="horizontal", extend=extend, aspect=60,
                    shrink=0.7, pad=0.02,
                )  # fmt: skip
                bar.set_label(label, fontsize=9)
        grid[2, column].text(
            0.5, -0.04, _told(result), transform=grid[2, column].transAxes, ha="center", va="top",
            fontsize=9.0, color=INK,
        )  # fmt: skip
    figure.supxlabel(_compared(clean, vanes, knots), fontsize=9.5, color=MUTED)
    figure.suptitle(
        f"Predicted, not measured, uncalibrated: {clean['alpha_deg']:g} degrees angle of attack", fontsize=11
    )
    return figure


def _outlines(result: Mapping[str, Any]) -> list[NDArray[np.float64]]:
    """Of each section, shape (2, n) each, where they lie behind one another with no number between."""
    both = np.stack((result["outline_x"], result["outline_y"]))
    parts = np.split(both, np.flatnonzero(np.isnan(both[0])), axis=1)
    return [part[:, ~np.isnan(part[0])] for part in parts]


def _values(result: Mapping[str, Any], line: int) -> Any:
    if line == 0:
        return np.hypot(result["u"], result["v"])
    return result["pressure"] if line == 1 else result["push"]


def _streamlines(axes: Axes, result: Mapping[str, Any]) -> None:
    u, v = np.nan_to_num(result["u"]), np.nan_to_num(result["v"])
    y = result["y"]
    seeds = np.column_stack((np.full(STREAMLINES, result["x"][2]), np.linspace(y[3], y[-4], STREAMLINES)))
    axes.streamplot(
        result["x"], y, u, v, start_points=seeds, color=INK, linewidth=0.5, arrowsize=0.5, density=6,
        broken_streamlines=False, integration_direction="forward",
    )  # fmt: skip
    along, _ = turned(result["u"], result["v"], angle_deg=float(result["alpha_deg"]))
    # ahead of the nose air turns back round the stagnation point, which is no backflow
    x = np.asarray(result["x"])[None, :]
    ahead = x < BEHIND
    if result["alpha_deg"] > 0.0:  # it moves aft below the nose, most with a flap down
        ahead = ahead | ((x < BELOW) & (np.asarray(y)[:, None] < 0.0))
    back = np.where(np.isnan(along) | ahead, 1.0, along)
    if back.min() < 0.0:
        hatched = axes.contourf(
            result["x"], y, back, levels=[-10.0, 0.0], colors="none", hatches=["////"], zorder=4
        )
        hatched.set_edgecolor(LETS_GO)
        hatched.set_linewidth(0.0)
        axes.contour(result["x"], y, back, levels=[0.0], colors=[LETS_GO], linewidths=1.0, zorder=5)


def _mark(axes: Axes, result: Mapping[str, Any], station: float) -> None:
    x, y = _outlines(result)[0]
    upper = y > 0.0
    at = int(np.argmin(np.where(upper, np.abs(x - station), 9.0)))
    axes.annotate(
        "row", (x[at], y[at]), xytext=(x[at] - 0.08, y[at] + 0.16), fontsize=9, color=INK, ha="center",
        arrowprops={"arrowstyle": "-|>", "color": INK, "shrinkB": 0}, zorder=8,
    )  # fmt: skip


def _told(result: Mapping[str, Any]) -> str:
    separation = result["separation_upper"]
    where = (
        "air stays on to the trailing edge"
        if separation is None
        else f"air at the skin runs back from {100.0 * separation:.0f} % on"
    )
    return f"lift {result['cl']:.3f}, drag {1e4 * result['cd']:.0f} counts; {where}"


def _compared(clean: Mapping[str, Any], vanes: Mapping[str, Any], knots: float) -> str:
    """Counts and knots of the pair; the speed at which this section carries the same load at this angle."""
    slower = knots * np.sqrt(clean["cl"] / vanes["cl"])
    return (
        f"the row changes lift by {vanes['cl'] - clean['cl']:+.3f} and drag by"
        f" {1e4 * (vanes['cd'] - clean['cd']):+.0f} counts at this angle; what the clean section carries at"
        f" {knots:.1f} kt,\nit carries with the row at {slower:.1f} kt: a section's number, no stall speed"
    )
