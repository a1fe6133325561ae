"""The numbers behind the slider: saved curves and the section's outline, as the page needs them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from slowflight.desk.records import saved
from slowflight.errors import SlowflightError
from slowflight.project import WING_FILE
from slowflight.report.saved import of_same_wing


def live_data(folder: Path) -> dict[str, Any] | None:
    """Return saved curves by flap setting, marks and the outline; nothing is computed here.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    dict or None
        None where nothing is predicted yet.
    """
    record = saved(folder, "prediction")
    if record is None:
        return None
    attitude = record.get("attitude") or {}
    opinion = saved(folder, "second-opinion")
    if not of_same_wing(record, opinion):
        opinion = None
    return {
        "aircraft": record["aircraft"],
        "mass_kg": (record.get("conditions") or {}).get("mass_kg"),
        "incidence_deg": attitude.get("incidence_deg"),
        "three_point_deg": attitude.get("three_point_deg"),
        "chord_mm": 1000.0 * ((record.get("conditions") or {}).get("mean_chord_m") or 1.0),
        "outline": _outline(folder),
        "grid": None if opinion is None else opinion["grid"],
        "settings": [
            {**_setting(record, number, one), "minutes": _minutes(opinion, one)}
            for number, one in enumerate(record["settings"])
            if one.get("predicted") and one.get("clean")
        ],
    }


CURVE = ("wing_angles_deg", "cl", "speed_kt", "separation", "converged")


def _minutes(opinion: dict[str, Any] | None, setting: dict[str, Any]) -> dict[str, Any] | None:
    """What the minutes tier says at a flap setting; None where it has no lift curve there."""
    found = [
        one for one in (opinion or {}).get("settings", [])
        if abs(one["flap_deg"] - setting["flap_deg"]) < 0.05 and not one["problem"]
    ]  # fmt: skip
    if not found or found[0]["clean"]["minutes"]["curve"] is None:
        return None
    clean = found[0]["clean"]["minutes"]
    rows = [
        {
            "name": row["name"],
            "station": row["stations"][0],
            "single": row["single"],
            "chosen": row["chosen"],
            # as the quick tier's numbers on that page: no more than was ever measured
            "curve": _curve(row["minutes"]["credited"]["curve"]),
            "stall": row["minutes"]["credited"]["stall_speed"],
            "fall": row["minutes"]["credited"]["fall"],
        }
        for row in found[0]["rows"]
    ]
    return {"clean": _curve(clean["curve"]), "stall_clean": clean["stall_speed"], "rows": rows}


def _curve(curve: dict[str, Any] | None) -> dict[str, Any] | None:
    return None if curve is None else {key: curve.get(key) for key in CURVE}


def _setting(record: dict[str, Any], number: int, one: dict[str, Any]) -> dict[str, Any]:
    row, best = one.get("row"), one.get("best")
    return {
        "number": number,
        "flap_deg": one["flap_deg"],
        "trend": bool(one.get("trend")),
        "clean": _curve(one["clean"]),
        "vanes": _curve(one.get("vanes") or None),
        "stall_clean": one.get("stall_speed_clean"),
        "stall_vanes": one.get("stall_speed_vanes"),
        "row": row
        and {key: row.get(key) for key in ("station", "height_mm", "length_mm", "candidate", "fall")},
        "best": best and {key: best.get(key) for key in ("station", "height_mm", "candidate", "fall")},
        "tables": [
            {
                key: table.get(key)
                for key in ("candidate", "height_mm", "stations", "fall_kt", "cruise_loss_kt")
            }
            for table in one.get("gain_tables", [])
        ],
        "flow": [
            {"number": index, "wing_angle_deg": pair["wing_angle_deg"]}
            for index, pair in enumerate(record.get("pictures", []))
            if pair.get("flap_deg") == one["flap_deg"]
        ],
    }


def _outline(folder: Path) -> list[list[float]]:
    from slowflight.wing.wing_file import read_wing_file

    try:
        section = read_wing_file(folder / WING_FILE).wing.stations[0].section
    except SlowflightError:
        return []
    return [[round(float(x), 5), round(float(y), 5)] for x, y in zip(section.x, section.y, strict=True)]
