"""The half wing from above and what of it is past its own maximum, by angle as saved: for the slider."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from slowflight.desk.records import saved
from slowflight.errors import SlowflightError
from slowflight.project import WING_FILE

SIDES = ("clean", "vanes")


def planform_data(folder: Path) -> dict[str, Any] | None:
    """Return the half wing and how its stall spreads; nothing is computed here.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    dict or None
        ``stations``: from the centerline and chord [m]; ``row``: span from and to [m]; ``incidence_deg``;
        ``settings`` in the order of the slider's, each with ``clean`` and ``vanes``: ``first_angle_deg``,
        ``stall_angle_deg`` and ``rows`` of wing angle and stalled stretches [m], and the row's ``station``.
        None where nothing is predicted or the wing file cannot be read.
    """
    record = saved(folder, "prediction")
    if record is None:
        return None
    # Only now: it brings a numerical library, and the desk is to open at once.
    from slowflight.wing.wing_file import read_wing_file

    try:
        file = read_wing_file(folder / WING_FILE)
    except SlowflightError:
        return None
    ends = (file.question.row_from, file.question.row_to)
    return {
        "stations": [[one.span_station, one.chord] for one in file.wing.stations],
        "semi_span": file.wing.semi_span,
        "row": [ends[0] or 0.0, ends[1] or file.wing.semi_span],
        "incidence_deg": (record.get("attitude") or {}).get("incidence_deg") or 0.0,
        "settings": [
            _setting(one) for one in record["settings"] if one.get("predicted") and one.get("clean")
        ],
    }


def _setting(one: dict[str, Any]) -> dict[str, Any]:
    spread = (one.get("in_the_air") or {}).get("spread") or {}
    return {
        "station": (one.get("row") or {}).get("station"),
        **{
            side: {
                "rows": spread[side]["rows"],
                "stall_angle_deg": spread[side].get("stall_angle_deg"),
                "first_angle_deg": spread[side].get("first_angle_deg"),
            }
            for side in SIDES
            if spread.get(side)
        },
    }
