"""Stalls made up for tests."""

from typing import Any

from slowflight.flights.stall_record import CLEAN, IDLE, NOSE_DROP, SourceRows, StallRecord


def stall(**changes: Any) -> StallRecord:
    values: dict[str, Any] = {
        "flight": "one",
        "configuration": CLEAN,
        "flap_deg": 0.0,
        "power": IDLE,
        "centre_of_gravity": 0.25,
        "mass": 600.0,
        "ending": NOSE_DROP,
        "entry_rate": 0.5,
        "load_factor": 1.0,
        "speed_calibrated": 20.0,
        "speed_reference": 20.0,
        "speed_uncertainty": 0.2,
        "angle_of_attack": None,
        "accepted": True,
        "reason": "made up",
        "source": SourceRows(file="made up", first=1, last=2),
    }
    return StallRecord(**{**values, **changes})
