"""The numbers behind the slider: saved curves and the section's outline, as the page needs them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from slowflight.desk.records import saved
from slowflight.errors import SlowflightError
from slowflight.project import WING_FILE


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
    return {
        "aircraft": record["aircraft"],
        "mass_kg": (record.get("conditions") or {}).get("mass_kg"),
        "incidence_deg": attitude.get("incidence_deg"),
        "three_point_deg": attitude.get("three_point_deg"),
        "chord_mm": 1000.0 * ((record.get("conditions") or {}).get("mean_chord_m") or 1.0),
        "outline": _outline(folder),
        "settings": [
            _setting(record, number, one)
            for number, one in enumerate(record["settings"])
            if one.get("predicted") and one.get("clean")
        ],
    }


def _setting(record: dict[str, Any], number: int, one: dict[str, Any]) -> dict[str, Any]:
    row, best = one.get("row"), one.get("best")
    curve_keys = ("wing_angles_deg", "cl", "speed_kt", "separation", "converged")
    return {
        "number": number,
        "flap_deg": one["flap_deg"],
        "trend": bool(one.get("trend")),
        "clean": {key: one["clean"].get(key) for key in curve_keys},
        "vanes": None if not one.get("vanes") else {key: one["vanes"].get(key) for key in curve_keys},
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
