"""Where a row's line is given by numbers, and where its nose can be drawn."""

from __future__ import annotations

import math
from dataclasses import replace

from slowflight.layout.nose_gauge import NoseGauge, alike, nose_gauge
from slowflight.layout.row_line import RowPoint
from slowflight.layout.spots import ROUNDING_M
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import VaneRow

# Common practice, no source: a rib every half meter is what a builder wants beside the tape.
RIB_SPACING_M = 0.5
RIB_CLEARANCE_M = 0.05
NO_GAUGE = (
    "no nose gauge is drawn for {where}: it lies between sections that differ, and what is there was not"
    " measured"
)


def rib_stations(wing: Wing, *, start: float, end: float) -> list[float]:
    """Return the row's ends, the measured sections between, and every half meter clear of these [m]."""
    measured = [known.span_station for known in wing.stations if start < known.span_station < end]
    regular = [
        number * RIB_SPACING_M
        for number in range(math.ceil(start / RIB_SPACING_M), math.floor(end / RIB_SPACING_M) + 1)
    ]
    kept = [start, *measured, end]
    kept += [span for span in regular if min(abs(span - other) for other in kept) > RIB_CLEARANCE_M]
    return sorted(kept)


def row_gauges(wing: Wing, row: VaneRow, ribs: tuple[RowPoint, ...]) -> tuple[NoseGauge, ...]:
    """Draw the nose at the row's start, and at its end where chord or section differ."""
    constant = max(point.chord for point in ribs) - min(point.chord for point in ribs) < ROUNDING_M
    beside = [wing.neighbors(point.span_position)[:2] for point in (ribs[0], ribs[-1])]
    first, last = beside[0][0].span_station, beside[1][1].span_station
    along = [known.section for known in wing.stations if first <= known.span_station <= last]
    same = constant and all(alike(along[0], section) for section in along)
    found = (
        nose_gauge(wing=wing, span_position=point.span_position, station=row.station, surface=row.surface)
        for point in (ribs[:1] if same else (ribs[0], ribs[-1]))
    )
    return tuple(replace(gauge, everywhere=same) for gauge in found if gauge is not None)


def without_gauge(gauges: tuple[NoseGauge, ...], ribs: tuple[RowPoint, ...]) -> tuple[str, ...]:
    """Say which end of the row has no gauge."""
    if any(gauge.everywhere for gauge in gauges):
        return ()
    drawn = {gauge.span_position for gauge in gauges}
    ends = (("the row's start", ribs[0]), ("the row's end", ribs[-1]))
    missing = [words for words, point in ends if point.span_position not in drawn]
    return (NO_GAUGE.format(where=" and ".join(missing)),) if missing else ()
