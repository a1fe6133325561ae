"""The section at a row with its vane, in millimeters: what the page needs to draw and to zoom it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.desk.records import saved
from slowflight.errors import SlowflightError
from slowflight.project import WING_FILE

COARSE, FINE = 2.0, 0.2  # from point to point of the outline, elsewhere and about the row [mm]
ABOUT, FURTHER = 30.0, 60.0  # ahead of the row and behind it that is drawn fine [mm]
PARTS = 24  # of a vane's edge


def section_data(folder: Path) -> dict[str, Any] | None:
    """Return the outline, the rows and the tape along the skin; None where nothing is laid out.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    dict or None
        ``chord_mm``, ``at_span_mm``, ``outline`` [mm, mm], ``rows``: each with ``vane``, its outline, and
        ``ticks`` along the skin from the datum, each ``mm``, place and direction outward. The vane stands
        square to the skin and is seen along the span: its length is as the toe shortens it.
    """
    layout = saved(folder, "layout")
    if layout is None:
        return None
    # Only now: they bring a numerical library, and the desk is to open at once.
    from slowflight.wing.curve import outline_curve
    from slowflight.wing.wing_file import read_wing_file

    try:
        wing = read_wing_file(folder / WING_FILE).wing
        rows = [one for one in layout.get("rows") or [layout] if one.get("ribs")]
        if not rows:
            return None
        rib = rows[0]["ribs"][0]
        chord, span = float(rib["chord_mm"]), float(rib["span_position_mm"])
        near, _, _ = wing.neighbors(span / 1000.0)
        curve = outline_curve(near.section)
        drawn = [_row(curve, near.section, row, chord=chord) for row in rows]
    except (SlowflightError, KeyError, TypeError, ValueError):
        return None
    return {
        "aircraft": layout.get("aircraft", ""),
        "chord_mm": chord,
        "at_span_mm": span,
        "outline": _outline(curve, chord, [one["parameter_mm"] for one in drawn]),
        "rows": drawn,
    }


def _outline(curve: Any, chord: float, fine_at: list[float]) -> list[list[float]]:
    """The smooth curve through the outline's points, finer about each row [mm, mm]."""
    import numpy as np

    ends = [float(curve.knots[0]), float(curve.knots[-1])]
    steps = np.arange(ends[0], ends[1], COARSE / chord)
    near = [np.arange(at - FURTHER, at + FURTHER, FINE) / chord for at in fine_at]
    every = np.unique(np.concatenate([steps, *near, curve.knots]))
    points = chord * curve.at(every[(every >= ends[0]) & (every <= ends[1])])
    return [[round(float(x), 3), round(float(y), 3)] for x, y in points]


def _row(curve: Any, section: Any, record: Mapping[str, Any], *, chord: float) -> dict[str, Any]:
    from slowflight.layout.vane_side import SIDES
    from slowflight.wing.curve import station_parameter
    from slowflight.wing.skin import skin_station

    row = record["row"]
    surface, station = str(row["surface"]), float(row["station"])
    outward = 1.0 if surface == "upper" else -1.0
    parameter = station_parameter(curve, section, station=station, surface=surface)
    tape = skin_station(section, station=station, surface=surface, datum="foremost").skin_distance * chord
    # The curve runs from the lower trailing edge round the nose: toward the trailing edge it goes on, above,
    # and back, below.
    downstream = 1.0 if surface == "upper" else -1.0

    def at(beyond: float) -> tuple[float, float, float, float]:
        """Point so far behind the forward tip along the skin [mm], and the direction outward there."""
        where = parameter + downstream * beyond / chord
        x, y = (chord * value for value in curve.at(where))
        along, up = (downstream * value for value in curve.direction(where))
        size = math.hypot(along, up)
        return float(x), float(y), float(-outward * up / size), float(outward * along / size)

    length = float(row["length_mm"]) * math.cos(math.radians(float(row["incidence_deg"])))
    high, side = float(row["height_mm"]), SIDES[str(row["shape"])]
    shares = [n / PARTS for n in range(PARTS + 1)]
    skin = [at(length * share) for share in shares]
    tops = [
        (x + high * side(share) * nx, y + high * side(share) * ny)
        for share, (x, y, nx, ny) in zip(shares, skin, strict=True)
    ]
    vane = [*((x, y) for x, y, _, _ in skin), *tops[::-1]]
    first, last = math.ceil(max(tape - ABOUT, 0.0)), math.floor(tape + FURTHER)
    ticks = [(mm, *at(mm - tape)) for mm in range(first, last + 1)]
    return {
        "candidate": record.get("candidate", ""),
        "station": station,
        "surface": surface,
        "height_mm": high,
        "length_mm": float(row["length_mm"]),
        "toe_deg": float(row["incidence_deg"]),
        "skin_mm": round(tape, 2),
        "parameter_mm": parameter * chord,
        "vane": [[round(x, 3), round(y, 3)] for x, y in vane],
        "ticks": [[mm, *(round(value, 4) for value in tick)] for mm, *tick in ticks],
    }
