"""What a row brings and what it costs, against its place: fall of stall speed, loss of cruise speed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from slowflight.report.pictures.canvas import (
    FAINT,
    HALO,
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
from slowflight.report.pictures.station_axis import mark_stations
from slowflight.report.words import number, per_cent, speed, speed_band


def draw_against_station(setting: Mapping[str, Any], *, what: str) -> Picture:
    """Draw fall of stall speed or loss of cruise speed against the place of the row.

    Parameters
    ----------
    setting : mapping
        One predicted flap setting of the record.
    what : str
        ``"fall"`` or ``"cruise_loss"``.

    Returns
    -------
    Picture
        The best row and its ties with their bands; every other candidate and height as faint lines.
    """
    best, ties, tables = setting["best"], setting["ties"], setting["gain_tables"]
    with house_style():
        figure = new_figure(width=4.6, height=2.5)
        axes = figure.add_subplot()
        if best is not None and what == "fall" and _has_band(best["fall"]):
            low, high = best["fall"]["low_kt"], best["fall"]["high_kt"]
            axes.axhspan(low, high, color=VANES, alpha=0.09, linewidth=0)
            axes.annotate(
                "band of the best row",
                (1.0, high),
                xycoords=("axes fraction", "data"),
                xytext=(-3, -3),
                textcoords="offset points",
                fontsize=9,
                color=VANES,
                ha="right",
                va="top",
            )
        for table in sorted(tables, key=lambda table: _same_vane(table, best)):
            _draw_line(axes, table=table, what=what, chosen=_same_vane(table, best))
        for tie in ties:
            _draw_row(axes, row=tie, what=what, marker="D", face="white", name="")
        if best is not None:
            _draw_row(axes, row=best, what=what, marker="o", face=VANES, name="best row")
        axes.axhline(0.0, color=MUTED, linewidth=0.8)
        mark_stations(axes, [station for table in tables for station in table["stations"]])
        axes.set_ylabel("fall of stall speed, kt" if what == "fall" else "loss of cruise speed, kt")
        return as_svg(figure, alt=_described(setting, what=what))


def _draw_line(axes: Any, *, table: Mapping[str, Any], what: str, chosen: bool) -> None:
    values = numbers(table[f"{what}_kt"])
    answered = np.array(table.get("answered") or [True] * values.size, dtype=bool)
    stations = 100.0 * numbers(table["stations"])
    axes.plot(
        stations,
        np.where(answered, values, np.nan),
        color=VANES if chosen else FAINT,
        linewidth=1.8 if chosen else 1.0,
        zorder=2.0 if chosen else 1.5,
        marker="." if chosen else None,
    )
    if chosen and not answered.all():
        axes.plot(
            stations[~answered],
            np.zeros(int((~answered).sum())),
            "x",
            color=MUTED,
            transform=axes.get_xaxis_transform(),
            clip_on=False,
        )


def _draw_row(axes: Any, *, row: Mapping[str, Any], what: str, marker: str, face: str, name: str) -> None:
    value = row[what]
    if value is None or value.get("kt") is None or row["station"] is None:
        return
    station = 100.0 * row["station"]
    if _has_band(value):
        axes.plot([station] * 2, [value["low_kt"], value["high_kt"]], color=VANES, linewidth=1.0, zorder=3)
    axes.plot(
        station,
        value["kt"],
        marker,
        markersize=7 if name else 6,
        color=VANES,
        markerfacecolor=face,
        zorder=5 if name else 4,
    )
    if name:
        axes.annotate(
            literal(f"{name}, {per_cent(row['station'])}\n{number(value['kt'])} kt"),
            (station, value["kt"]),
            xytext=(9, 6),
            textcoords="offset points",
            fontsize=9,
            color=INK,
            bbox=HALO,
        )


def _has_band(value: Mapping[str, Any] | None) -> bool:
    return value is not None and value.get("low_kt") is not None and value.get("high_kt") is not None


def _same_vane(table: Mapping[str, Any], row: Mapping[str, Any] | None) -> bool:
    return (
        row is not None and table["candidate"] == row["candidate"] and table["height_mm"] == row["height_mm"]
    )


def _described(setting: Mapping[str, Any], *, what: str) -> str:
    subject = "Fall of stall speed" if what == "fall" else "Loss of cruise speed"
    best = setting["best"]
    if best is None:
        return f"{subject} against the row's place, for every candidate and height; there is no best row."
    text = (
        f"{subject} against the row's place. Best row at {per_cent(best['station'])}: {speed(best[what])}, "
        f"band {speed_band(best[what])}."
    )
    ties = [
        f"{tie['candidate']} at {per_cent(tie['station'])}: {speed(tie[what])}" for tie in setting["ties"]
    ]
    return f"{text} Ties: {'; '.join(ties)}." if ties else text
