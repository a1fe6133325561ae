"""The saved numbers as tables for a spreadsheet, each with what has to be said above it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from slowflight.report.words import predicted_by

MARK = "This aircraft only, owner-measured, not approved. Slow flight and stalls kill; only flights decide."
CURVE = ("wing_angles_deg", "cl", "cd", "speed_kt", "separation", "converged")
BAND = ("kt", "low_kt", "high_kt")


def tables_of(
    prediction: Mapping[str, Any], flights: Mapping[str, Any] | None, *, old: str
) -> Iterator[tuple[str, str]]:
    """Yield every table as name and text.

    Parameters
    ----------
    prediction, flights : mapping
        As saved; flights may be missing.
    old : str
        What to add where the prediction is out of date.

    Yields
    ------
    tuple of str
        Name without ending, and comma-separated text whose first lines begin with ``#``. A number that was
        not answered is an empty field.
    """
    title, stamp = str(prediction["aircraft"]), f"predicted, {predicted_by(prediction)}. {old}".strip()
    settings = [one for one in prediction["settings"] if one.get("predicted")]
    speeds = [
        [one["flap_deg"], side, *((one.get(f"stall_speed_{side}") or {}).get(key) for key in BAND)]
        for one in settings
        for side in ("clean", "vanes")
    ]
    yield "stall-speeds", _text(title, stamp, ["flap_deg", "wing", *BAND], speeds)
    for one in settings:
        for side in ("clean", "vanes"):
            curve = one.get(side)
            if curve:
                rows = zip(*(curve[key] for key in CURVE), strict=True)
                yield f"curve-flap-{one['flap_deg']:g}-{side}", _text(title, stamp, CURVE, rows)
    places = [
        [one["flap_deg"], table["candidate"], table["height_mm"], station, fall, loss]
        for one in settings
        for table in one.get("gain_tables", [])
        for station, fall, loss in zip(
            table["stations"], table["fall_kt"], table["cruise_loss_kt"], strict=True
        )
    ]
    heads = ["flap_deg", "vane", "height_mm", "station_share_of_chord", "fall_kt", "cruise_loss_kt"]
    yield "places-along-the-chord", _text(title, stamp, heads, places)
    if flights is not None and flights.get("decision"):
        yield from _measured(flights)


def _measured(flights: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    stamp = "measured; INVENTED: no aircraft flew this" if flights.get("note") else "measured"
    rows = []
    for one in flights["decision"]["settings"]:
        gain = one.get("gain") or {}
        rows.append([one["name"], *(gain.get(key) for key in ("value_kt", "low_kt", "high_kt", "band"))])
    heads = ["setting", "gain_kt", "low_kt", "high_kt", "band"]
    yield "measured-gain", _text(str(flights["aircraft"]), stamp, heads, rows)


def _text(title: str, stamp: str, heads: Sequence[str], rows: Iterable[Iterable[Any]]) -> str:
    made = io.StringIO()
    for line in (title, stamp, MARK):
        made.write(f"# {' '.join(line.split())}\n")
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([["" if cell is None else _safe(cell) for cell in row] for row in rows])
    return made.getvalue()


def _safe(cell: Any) -> Any:
    # A spreadsheet takes words that begin like this for a formula and runs it.
    return f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@", "\t") else cell
