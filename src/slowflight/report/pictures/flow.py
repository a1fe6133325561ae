"""The air around the section, clean and with the row, side by side on one color scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from numpy.typing import NDArray

from slowflight.report.pictures.canvas import (
    HALO,
    INK,
    LETS_GO,
    Picture,
    as_png,
    as_svg,
    house_style,
    new_figure,
)
from slowflight.report.pictures.field import FlowField, LevelField, level
from slowflight.report.words import degrees, number, per_cent

# Light is slow and dark is fast, in one hue that darkens evenly, so it survives gray print.
SPEED = LinearSegmentedColormap.from_list(
    "speed", ["#fffdf5", "#e3e8dd", "#bcd3d6", "#86b3c9", "#4a86b0", "#1f5488", "#0b2447"]
)
SLOWEST, FASTEST = 0.0, 2.2
_LEFT, _RIGHT, _BOTTOM, _TOP = -0.22, 1.42, -0.48, 0.36
_LOWEST_TOP, _HIGHEST_BOTTOM = 0.24, -0.38


def draw_pair(picture: Mapping[str, Any], *, clean: FlowField, vanes: FlowField) -> tuple[Picture, Picture]:
    """Draw both of a pair, in the same window and on the same color scale.

    Parameters
    ----------
    picture : mapping
        The record's entry for the pair.
    clean, vanes : FlowField
        The two saved fields.

    Returns
    -------
    tuple of Picture
        Clean, then with the row.
    """
    return draw_side(clean, picture, "clean"), draw_side(vanes, picture, "vanes")


def draw_side(field: FlowField, picture: Mapping[str, Any], side: str) -> Picture:
    """Draw one of a pair, ``"clean"`` or ``"vanes"``, as `draw_pair` does."""
    name = "Clean section" if side == "clean" else "Section with the row"
    with house_style():
        figure = flow_figure(field, angle_deg=picture["section_angle_deg"], told=picture[side])
        return as_png(figure, alt=_described(picture, side=side, name=name))


def flow_figure(field: FlowField, *, angle_deg: float, told: Mapping[str, Any]) -> Figure:
    """Return the figure of one field: speed as color, streamlines, separated air hatched.

    Parameters
    ----------
    field : FlowField
        As saved.
    angle_deg : float
        Section angle [deg]; the picture is turned by it.
    told : mapping
        The record's entry: separation and, with a row, its station, as shares of chord.

    Returns
    -------
    Figure
    """
    window = _window(field, angle_deg=angle_deg)
    air = level(field, angle_deg=angle_deg, window=window)
    height = 4.6 * (window[3] - window[2]) / (window[1] - window[0])
    figure = new_figure(width=4.6, height=height, fitted=False)
    # The whole paper is air, so that both of a pair are drawn to the same size whatever is written on them.
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.imshow(
        np.ma.masked_invalid(np.hypot(air.u, air.v)),
        extent=window,
        origin="lower",
        cmap=SPEED,
        norm=Normalize(SLOWEST, FASTEST),
        interpolation="bilinear",
    )
    _draw_streamlines(axes, air=air)
    _draw_separated(axes, air=air)
    for x, y in ((air.outline_x, air.outline_y), (air.flap_outline_x, air.flap_outline_y)):
        axes.fill(x, y, facecolor="#f3efe6", edgecolor=INK, linewidth=1.0, zorder=6)
    row, separation = told.get("station"), told.get("separation")
    if row is not None:
        at = _on_upper_skin(air, angle_deg=angle_deg, share=row)
        _point_out(axes, f"row {per_cent(row)}", at=at, written=(at[0] - 0.02, window[3] - 0.06), color=INK)
    if separation is not None:
        at = _on_upper_skin(air, angle_deg=angle_deg, share=separation)
        beside = max(at[0] + 0.12, (row or 0.0) + 0.45)
        text = f"air lets go, {per_cent(separation)}"
        _point_out(axes, text, at=at, written=(min(beside, 1.15), window[3] - 0.06), color=LETS_GO)
    axes.set(xlim=window[:2], ylim=window[2:], aspect="equal")
    return figure


def draw_speed_scale() -> Picture:
    """Draw the color scale that both pictures of every pair share."""
    with house_style():
        figure = new_figure(width=4.6, height=0.72)
        axes = figure.add_subplot()
        bar = figure.colorbar(
            ScalarMappable(Normalize(SLOWEST, FASTEST), SPEED), cax=axes, orientation="horizontal"
        )
        bar.set_ticks([0.0, 0.5, 1.0, 1.5, FASTEST], labels=["0", "0.5", "1", "1.5", f"{FASTEST:g} and more"])
        bar.set_label("air speed over flight speed, both pictures")
        return as_svg(
            figure,
            alt=f"Color scale of air speed over flight speed, from {SLOWEST:g}, pale, to {FASTEST:g}, dark.",
        )


def _window(field: FlowField, *, angle_deg: float) -> tuple[float, float, float, float]:
    """Return the picture's edges: its corners within the saved field where that leaves room for the flow."""
    sine, cosine = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    top = min((float(field.y[-1]) - side * sine) / cosine for side in (_LEFT, _RIGHT))
    bottom = max((float(field.y[0]) - side * sine) / cosine for side in (_LEFT, _RIGHT))
    return (
        _LEFT,
        _RIGHT,
        float(np.clip(bottom, _BOTTOM, _HIGHEST_BOTTOM)),
        float(np.clip(top, _LOWEST_TOP, _TOP)),
    )


def _draw_streamlines(axes: Axes, *, air: LevelField) -> None:
    hidden = air.solid | np.isnan(air.u) | np.isnan(air.v)
    u, v = np.ma.masked_array(air.u, hidden), np.ma.masked_array(air.v, hidden)
    ink: dict[str, Any] = {"color": INK, "linewidth": 0.55, "arrowsize": 0.55, "zorder": 3}
    first = 2
    seeds = [(air.x[first], y) for y in air.y[4:-4:9] if not hidden[np.searchsorted(air.y, y), first]]
    if seeds:
        axes.streamplot(
            air.x, air.y, u, v, start_points=seeds, integration_direction="forward",
            broken_streamlines=False, density=3, **ink,
        )  # fmt: skip
    slow = np.argwhere((air.slow > 0.9) & ~hidden)
    if slow.size:
        inner = slow[:: max(1, len(slow) // 14)]
        axes.streamplot(
            air.x, air.y, u, v, start_points=np.column_stack((air.x[inner[:, 1]], air.y[inner[:, 0]])),
            density=2.0, maxlength=0.4, **ink,
        )  # fmt: skip


def _draw_separated(axes: Axes, *, air: LevelField) -> None:
    share = np.where(np.isnan(air.slow) | air.solid, 0.0, air.slow)
    if share.max() < 0.5:
        return
    axes.contourf(air.x, air.y, share, levels=[0.5, 2.0], colors=[LETS_GO], alpha=0.13, zorder=4)
    hatched = axes.contourf(air.x, air.y, share, levels=[0.5, 2.0], colors="none", hatches=["//"], zorder=4)
    hatched.set_edgecolor(LETS_GO)
    hatched.set_linewidth(0.0)
    axes.contour(air.x, air.y, share, levels=[0.5], colors=[LETS_GO], linewidths=1.3, zorder=5)


def _point_out(
    axes: Axes, text: str, *, at: tuple[float, float], written: tuple[float, float], color: str
) -> None:
    axes.annotate(
        text,
        at,
        xytext=written,
        color=color,
        fontsize=9,
        fontweight="bold",
        ha="center",
        va="center",
        bbox=HALO,
        arrowprops={"arrowstyle": "-|>", "color": color, "linewidth": 1.2, "shrinkB": 0},
        zorder=8,
    )


def _on_upper_skin(air: LevelField, *, angle_deg: float, share: float) -> tuple[float, float]:
    sine, cosine = np.sin(np.radians(angle_deg)), np.cos(np.radians(angle_deg))
    # Back to the section's own axes, where the upper point at a share of chord is the higher of two.
    x: NDArray[np.float64] = air.outline_x * cosine - air.outline_y * sine
    y: NDArray[np.float64] = air.outline_x * sine + air.outline_y * cosine
    near = np.abs(x - share)
    close = near <= max(float(near.min()), 0.02)
    best = int(np.flatnonzero(close)[int(np.argmax(y[close]))])
    return float(air.outline_x[best]), float(air.outline_y[best])


def _described(picture: Mapping[str, Any], *, side: str, name: str) -> str:
    told = picture[side]
    text = (
        f"{name} at {degrees(picture['section_angle_deg'])} section angle, streamlines from the left; "
        f"lift coefficient {number(told['cl'], 2)}. "
    )
    if told["separation"] is None:
        return f"{text}The air stays on to the trailing edge."
    return f"{text}The air lets go of the upper skin at {per_cent(told['separation'])} of chord."
