"""From a measured event to the record that statistics use: calibrated, at 1 g and reference mass."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight import air
from slowflight.errors import InputError
from slowflight.flights.airspeed.conversion import from_calibrated
from slowflight.flights.airspeed.position_error import FURTHEST, PositionError, calibrate
from slowflight.flights.stall_record import STALL_ENDINGS, UNUSABLE, StallRecord
from slowflight.flights.stalls.angle_of_attack import angle_of_attack
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.one_g import reference_speed, speed_uncertainty

NOT_CALIBRATED = "your panel is not calibrated there, so the speed is indicated"
# Of one weighing with fuel reckoned, and of one reading of the load factor; common practice, no source.
MASS_UNCERTAINTY = 5.0  # [kg]
LOAD_UNCERTAINTY = 0.012  # [-]
LOAD_UNCERTAINTY_UNRECORDED = 0.03
SAME_FLAP = 2.0  # [degrees]


@dataclass(frozen=True, kw_only=True)
class FlightFacts:
    """What the log does not say.

    Parameters
    ----------
    flight : str
        Its name.
    configuration : str
        ``"clean"``, ``"vanes"`` or another name.
    mass_at : callable
        Mass [kg] at a time of the log [s].
    reference_mass : float
        To which speeds are brought [kg].
    flap_deg : float or None
        Where the log has no flap [degrees].
    power : str
        ``"idle"`` or what it was.
    centre_of_gravity : float or None
        Fraction of mean chord [-].
    pitch_datum : float or None
        Added to pitch as shown to get the wing's reference line [rad]; None where it was not measured, and
        then no angle of attack is given.
    """

    flight: str
    configuration: str
    mass_at: Callable[[float], float]
    reference_mass: float
    flap_deg: float | None = None
    power: str = "idle"
    centre_of_gravity: float | None = None
    pitch_datum: float | None = None


def burning(*, start_mass: float, fuel_per_second: float, start: float) -> Callable[[float], float]:
    """Mass of a flight that burns fuel steadily: start mass [kg], burn [kg/s], time of start [s]."""
    return lambda time: start_mass - fuel_per_second * (time - start)


def reduce_flight(
    events: Sequence[StallEvent],
    facts: FlightFacts,
    *,
    curves: Sequence[PositionError] = (),
    speed_is_calibrated: bool = False,
    near_enough: Mapping[float, bool] | None = None,
) -> list[StallRecord]:
    """Reduce the stalls of one flight.

    Parameters
    ----------
    events : sequence of StallEvent
        As found in the log.
    facts : FlightFacts
        What the log does not say.
    curves : sequence of PositionError, optional
        Airspeed calibrations, one for each flap setting; the nearest within two degrees is used.
    speed_is_calibrated : bool, optional
        The events' speeds are calibrated already, as from ground speed and wind.
    near_enough : mapping of float to bool, optional
        By flap setting [degrees], rounded to a tenth: whether its calibration comes near enough to the stall,
        where that was judged for several flights together; judged for this flight alone without it.

    Returns
    -------
    list of StallRecord
        Each accepted unless unusable or a warning only; the reason says what showed it. Without any curve all
        speeds are indicated ones and every reason says so.

    Raises
    ------
    InputError
        Where neither log nor facts give a flap setting.

    Notes
    -----
    Stalls at one flap setting are calibrated together or not at all: leaving out only those that lie below
    the slowest calibrated speed would leave out the slowest, and raise the mean. Where their median lies
    more than 2 kt below it, none of them counts until the panel is calibrated nearer the stall.
    """
    settings = sorted({_flap(event, facts) for event in events})
    judged = near_enough or {}
    near: dict[float, bool] = {}
    for flap in settings:
        curve = _curve(curves, flap)
        alike = [e for e in events if _flap(e, facts) == flap and e.ending in STALL_ENDINGS]
        if curve is None or not alike:
            near[flap] = curve is not None
            continue
        beyond = [beyond_calibration(event, curve, mass=facts.mass_at(event.time)) for event in alike]
        near[flap] = judged.get(flap, float(np.median(beyond)) <= FURTHEST)
    return [
        _reduced(
            event,
            facts,
            curve=None if speed_is_calibrated else _curve(curves, _flap(event, facts)),
            near=near[_flap(event, facts)],
            speed_is_calibrated=speed_is_calibrated,
        )
        for event in events
    ]


def _reduced(
    event: StallEvent,
    facts: FlightFacts,
    *,
    curve: PositionError | None,
    near: bool,
    speed_is_calibrated: bool,
) -> StallRecord:
    """Weight and load factor after 14 CFR 25.103, see `one_g`; centre of gravity and thrust stay as flown."""
    mass = facts.mass_at(event.time)
    calibrated, rate, remark = event.speed, event.entry_rate, ""
    accepted = event.ending in STALL_ENDINGS
    if not speed_is_calibrated:
        found = None
        if curve is not None and near:
            found = _calibrated(event, curve, mass)
        if found is None:
            remark = NOT_CALIBRATED
            accepted = accepted and curve is None
        else:
            calibrated, rate = found
    here = _air(event)
    speeds = from_calibrated(calibrated, air=here)
    load = min(max(event.load_factor, 0.5), 2.0)
    reference = reference_speed(
        equivalent=speeds.equivalent, mass=mass, load_factor=load, reference_mass=facts.reference_mass
    )
    recorded = LOAD_UNCERTAINTY if event.load_recorded else LOAD_UNCERTAINTY_UNRECORDED
    return StallRecord(
        flight=facts.flight,
        configuration=facts.configuration,
        flap_deg=_flap(event, facts),
        power=facts.power,
        centre_of_gravity=facts.centre_of_gravity,
        mass=mass,
        ending=event.ending,
        entry_rate=rate,
        load_factor=event.load_factor,
        speed_calibrated=calibrated,
        speed_reference=reference,
        speed_uncertainty=speed_uncertainty(
            reference=reference,
            reading=event.speed_uncertainty,
            mass=mass,
            mass_uncertainty=MASS_UNCERTAINTY,
            load_factor=load,
            load_uncertainty=math.hypot(recorded, event.load_uncertainty),
        ),
        angle_of_attack=_angle(event, facts, true=speeds.true),
        accepted=accepted,
        reason="; ".join(part for part in (event.why, remark) if part),
        source=event.source,
    )


def _calibrated(event: StallEvent, curve: PositionError, mass: float) -> tuple[float, float] | None:
    """Calibrated speed [m/s] and entry rate [m/s^2]: an error that changes with speed changes the rate."""
    speeds = [
        calibrate(shown, curve, mass=mass, load_factor=event.load_factor, furthest=2.0 * FURTHEST)
        for shown in (event.speed, 1.1 * event.speed)
    ]
    if speeds[0] is None or speeds[1] is None:
        return None
    low, high = speeds[0].speed.value, speeds[1].speed.value
    return low, event.entry_rate * (high - low) / (0.1 * event.speed)


def beyond_calibration(event: StallEvent, curve: PositionError, *, mass: float) -> float:
    """How far beyond the calibrated speeds an event lies [m/s], at its mass [kg]; infinite without an end."""
    found = calibrate(event.speed, curve, mass=mass, load_factor=event.load_factor, furthest=math.inf)
    return math.inf if found is None else found.beyond


def _curve(curves: Sequence[PositionError], flap: float) -> PositionError | None:
    close = [curve for curve in curves if abs(curve.flap_deg - flap) <= SAME_FLAP]
    return min(close, key=lambda curve: abs(curve.flap_deg - flap), default=None)


def _flap(event: StallEvent, facts: FlightFacts) -> float:
    flap = event.flap_deg if event.flap_deg is not None else facts.flap_deg
    if flap is None:
        raise InputError(
            where=f"{event.source.file} lines {event.source.first} to {event.source.last}",
            found="no flap setting",
            needed="the flap setting of each stall",
            fix="give the flap setting of the flight",
        )
    return round(flap, 1)


def strike(record: StallRecord, *, reason: str) -> StallRecord:
    """Return a record that the pilot does not want to count; the reason is kept with the old one.

    Raises
    ------
    InputError
        Where no reason is given.
    """
    if not reason.strip():
        raise InputError(where=record.source.file, found="no reason", needed="why this stall does not count")
    return replace(record, accepted=False, reason=f"struck: {reason.strip()} ({record.reason})")


def restore(record: StallRecord, *, reason: str) -> StallRecord:
    """Return a struck record that counts again.

    Raises
    ------
    InputError
        Where no reason is given, or the event is unusable or a warning only, which no reason mends.
    """
    if not reason.strip():
        raise InputError(
            where=record.source.file, found="no reason", needed="why this stall counts after all"
        )
    if record.ending not in STALL_ENDINGS:
        raise InputError(
            where=record.source.file,
            found=f"an event that ended {record.ending}",
            needed="a stall",
            fix="it cannot count as one"
            if record.ending == UNUSABLE
            else "it bounds the stall speed from above only",
        )
    return replace(record, accepted=True, reason=f"restored: {reason.strip()} ({record.reason})")


def _air(event: StallEvent) -> air.Air:
    altitude = event.pressure_altitude or 0.0
    standard = air.standard_air(altitude=altitude)
    temperature = event.outside_temperature or standard.temperature
    return air.air(pressure=standard.pressure, temperature=temperature)


def _angle(event: StallEvent, facts: FlightFacts, *, true: float) -> float | None:
    if event.pitch is None or event.climb is None or facts.pitch_datum is None:
        return None
    found = angle_of_attack(
        pitch=np.array([event.pitch]),
        vertical_speed=np.array([event.climb]),
        true_airspeed=np.array([true]),
        roll=event.roll or 0.0,
        datum=facts.pitch_datum,
    )
    return float(found[0]) if math.isfinite(found[0]) else None
