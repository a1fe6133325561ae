"""One reduced flight as plain numbers and words, for files, programs and the report."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from slowflight import units
from slowflight.flights.reduction.one_flight import ReducedFlight
from slowflight.flights.reduction.panel import PanelCurve
from slowflight.flights.stall_record import StallRecord
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.picture import EventPicture
from slowflight.flights.stalls.reducing import NOT_CALIBRATED

DRAWN = 60  # points of a curve kept for the report
# Channels drawn below the airspeed: name in the record, factor from SI, decimals.
ALSO_DRAWN = (
    ("pitch", "pitch_deg", 180.0 / math.pi, 1),
    ("roll", "roll_deg", 180.0 / math.pi, 1),
    ("vertical_speed", "vertical_speed_ft_per_min", 60.0 / 0.3048, 0),
    ("stick", "stick", 1.0, 2),
)
RATE = 1852.0 / 3600.0  # [m/s^2] in a knot a second


def flight_record(flight: ReducedFlight, *, unit: str = "kt") -> dict[str, Any]:
    """Return a flight as plain data.

    Parameters
    ----------
    flight : ReducedFlight
        As reduced.
    unit : str, optional
        Of speeds; it is part of their keys, with ``/`` written ``_per_``.

    Returns
    -------
    dict
        Without NaN: calibration, stalls with the reason why each counts or not, remarks, what to fly.
    """
    entry, flown = flight.flown.entry, flight.flown
    return {
        "name": entry.name,
        "side": entry.side,
        "log": None if entry.log is None else entry.log.name,
        "readings": flown.readings,
        "mass_kg": entry.mass,
        "pilot": entry.pilot,
        "centre_of_gravity": entry.centre_of_gravity,
        "notes": entry.notes,
        "problem": flight.problem or None,
        "asks": list(flight.asks),
        "calibration": [_calibration(curve, unit) for curve in flight.curves],
        "stalls": [
            _stall(number, event, record, picture, unit)
            for number, (event, record, picture) in enumerate(
                zip(flown.events, flight.records, flown.pictures, strict=False), 1
            )
        ],
        "remarks": list(flown.remarks),
    }


def _calibration(found: PanelCurve, unit: str) -> dict[str, Any]:
    per = _per(unit)
    return {
        "flap_deg": found.curve.flap_deg,
        "from_flights": list(found.flights),
        "own": found.own,
        "same_side": found.same_side,
        "points": [
            {
                f"indicated_{per}": units.express(point.indicated, unit),
                f"add_{per}": units.express(point.calibrated - point.indicated, unit),
                f"standard_uncertainty_{per}": units.express(point.uncertainty, unit),
            }
            for point in sorted(found.points, key=lambda point: point.indicated)
        ],
    }


def _stall(
    number: int, event: StallEvent, record: StallRecord, picture: EventPicture | None, unit: str
) -> dict[str, Any]:
    per = _per(unit)
    angle = record.angle_of_attack
    return {
        "stall": number,
        "flap_deg": record.flap_deg,
        "ending": record.ending,
        "accepted": record.accepted,
        "reason": record.reason,
        f"indicated_{per}": units.express(event.speed, unit),
        f"calibrated_{per}": units.express(record.speed_calibrated, unit),
        "calibrated": NOT_CALIBRATED not in record.reason,
        f"reference_{per}": units.express(record.speed_reference, unit),
        f"standard_uncertainty_{per}": units.express(record.speed_uncertainty, unit),
        "entry_rate_kt_per_s": record.entry_rate / RATE,
        "load_factor": record.load_factor,
        "mass_kg": record.mass,
        "greatest_roll_deg": None if event.greatest_roll is None else math.degrees(event.greatest_roll),
        "height_lost_ft": None if event.height_lost is None else event.height_lost / 0.3048,
        "angle_of_attack_deg": None if angle is None else math.degrees(angle),
        "lines": [record.source.first, record.source.last],
        "trace": None if picture is None else _trace(picture, unit),
    }


def _trace(picture: EventPicture, unit: str) -> dict[str, Any]:
    """Return the curves about the event, thinned to what a picture shows."""
    step = max(picture.seconds.size // DRAWN, 1)
    curves: dict[str, Any] = {"seconds": [round(float(s), 2) for s in picture.seconds[::step]]}
    speed = picture.curves.get("indicated_airspeed")
    load = picture.curves.get("load_factor")
    if speed is not None:
        curves["indicated"] = [_plain(units.express(float(v), unit), 2) for v in speed[::step]]
    if load is not None:
        curves["load_factor"] = [_plain(float(v), 3) for v in load[::step]]
    for channel, name, scale, digits in ALSO_DRAWN:
        values = picture.curves.get(channel)
        if values is not None:
            curves[name] = [_plain(scale * float(v), digits) for v in values[::step]]
    curves["line_seconds"] = [float(s) for s in picture.line[0]]
    curves["line"] = [round(units.express(float(v), unit), 2) for v in np.asarray(picture.line[1])]
    return curves


def _plain(value: float, digits: int = 3) -> float | None:
    return round(value, digits) if math.isfinite(value) else None


def _per(unit: str) -> str:
    return unit.replace("/", "_per_")
