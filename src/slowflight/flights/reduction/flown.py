"""One flight of the book, read: its log cleaned, its legs and its slow-downs found."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.airspeed.by_hand import read_leg_card
from slowflight.flights.airspeed.calibrating import SpeedPoint, speed_points
from slowflight.flights.airspeed.steady import FoundLeg, find_legs
from slowflight.flights.airspeed.turns import turn_points
from slowflight.flights.book.entries import FlightEntry
from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.reduction.air_flown_in import with_air
from slowflight.flights.reduction.from_ground import airspeed_from_ground
from slowflight.flights.reduction.recorders import read_recorders
from slowflight.flights.stalls.by_hand import read_stall_card
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.picture import EventPicture, event_picture
from slowflight.flights.stalls.reducing import burning

SLOWEST_SHARE = 0.02


@dataclass(frozen=True, kw_only=True)
class AircraftFacts:
    """What wing.toml says that flights need.

    Parameters
    ----------
    area : float
        Of the wing [m^2].
    mass : float
        To which speeds are brought, and of a flight that was not weighed [kg].
    stall_guess : float
        Slowest speed seen on the indicator [m/s].
    cruise_speed : float
        True, in cruise [m/s].
    density_altitude : float
        Where that speed is flown [m].
    incidence : float
        Of the root's chord line above the line on which the aircraft stands level [rad].
    """

    area: float
    mass: float
    stall_guess: float
    cruise_speed: float
    density_altitude: float
    incidence: float = 0.0


@dataclass(frozen=True, kw_only=True, eq=False)
class FlownFlight:
    """A flight as read.

    Parameters
    ----------
    entry : FlightEntry
    mass_at : callable
        Mass [kg] at a time of the log [s].
    points : mapping of float to tuple of SpeedPoint
        Calibrated speeds, by flap setting [degrees].
    events : tuple of StallEvent
        From the log and the card.
    pictures : tuple of EventPicture or None
        Beside each event; None for one from a card.
    remarks : tuple of str
        What was done to the log and what is wrong with it, for the pilot.
    problem : str
        Why nothing could be made of it; "" where something could.
    readings : int
        In the log.
    from_ground : bool
        Whether the events' speeds are calibrated already.
    air_known : bool
        Whether the temperature was recorded or written down.
    """

    entry: FlightEntry
    mass_at: Callable[[float], float]
    points: Mapping[float, tuple[SpeedPoint, ...]] = field(default_factory=dict)
    events: tuple[StallEvent, ...] = ()
    pictures: tuple[EventPicture | None, ...] = ()
    remarks: tuple[str, ...] = ()
    problem: str = ""
    readings: int = 0
    from_ground: bool = False
    air_known: bool = True


def read_flight(
    entry: FlightEntry, *, facts: AircraftFacts, lag: float = 0.0, ground: bool = False
) -> FlownFlight:
    """Read one flight.

    Parameters
    ----------
    entry : FlightEntry
        From the book.
    facts : AircraftFacts
        From wing.toml.
    lag : float, optional
        Of the airspeed indicator [s].
    ground : bool, optional
        Measure stalls by ground velocity and the wind of the flight's own legs, not by the panel.

    Returns
    -------
    FlownFlight
        A flight that cannot be used has its `problem` in words and nothing else: the others go on.
    """
    start_mass = facts.mass if entry.mass is None else entry.mass
    remarks = [] if entry.mass is not None else ["mass not written down: taken as that of wing.toml"]

    def mass_from(start: float) -> Callable[[float], float]:
        return burning(start_mass=start_mass, fuel_per_second=entry.fuel_burn, start=start)

    try:
        legs: dict[float, list[FoundLeg]] = {}
        events: list[StallEvent] = []
        pictures: list[EventPicture | None] = []
        log, mass_at, from_ground = None, mass_from(0.0), ground
        warm = entry.temperature
        if entry.log is not None:
            log, told, clock = read_recorders(entry)
            log, missing = with_air(log, entry)
            remarks += [*told, *missing]
            mass_at = mass_from(float(log.time[0]))
            if log.has("outside_temperature"):
                warm = float(np.nanmean(log.channels["outside_temperature"]))
            if log.has("ground_speed", "track") and log.has("pressure_altitude"):
                legs = _by_flap(find_legs(log), log, entry)
            elif not log.has("ground_speed", "track"):
                remarks.append("no ground speed and track in the log: no airspeed calibration from it")
        if entry.leg_card is not None:
            legs.setdefault(_card_flap(entry), []).extend(read_leg_card(entry.leg_card))
        points = {
            flap: tuple(speed_points(found, flap_deg=flap, mass_at=mass_at, temperature=warm))
            for flap, found in sorted(legs.items())
        }
        if log is not None:
            around = turn_points(log, flap_deg=entry.flap_deg, mass_at=mass_at, temperature=warm)
            points = {
                flap: (*points.get(flap, ()), *around.get(flap, ())) for flap in sorted({*points, *around})
            }
            remarks += [
                f"flap {flap:g} deg: {len(found)} full turns calibrate too; legs are better where flown"
                for flap, found in sorted(around.items())
            ]
            speed = airspeed_from_ground(log, points) if ground else None
            events, said = _events(log, entry, facts=facts, lag=lag, speed=speed)
            # When a stall was comes from one recorder and how fast it was from the other.
            events = [
                replace(one, speed_uncertainty=math.hypot(one.speed_uncertainty, clock * one.entry_rate))
                for one in events
            ]
            remarks += said
            pictures += [event_picture(log, event) for event in events]
        if entry.stall_card is not None:
            typed = read_stall_card(entry.stall_card)
            if events:
                remarks.append("stalls are taken from the log; those of the card are the same, not more")
            else:
                events, from_ground = typed, False
                pictures = [None] * len(typed)
    except InputError as error:
        return FlownFlight(entry=entry, mass_at=mass_from(0.0), remarks=tuple(remarks), problem=str(error))
    except OSError as error:
        reason = f"{entry.where}: {error.strerror or error}"
        return FlownFlight(entry=entry, mass_at=mass_from(0.0), remarks=tuple(remarks), problem=reason)
    return FlownFlight(
        entry=entry,
        mass_at=mass_at,
        points={flap: found for flap, found in points.items() if found},
        events=tuple(events),
        pictures=tuple(pictures),
        remarks=tuple(remarks),
        readings=0 if log is None else len(log),
        from_ground=from_ground,
        air_known=warm is not None,
    )


def _events(
    log: Log, entry: FlightEntry, *, facts: AircraftFacts, lag: float, speed: FloatArray | None
) -> tuple[list[StallEvent], list[str]]:
    if speed is not None:
        if not np.isfinite(speed).any():
            return [], [
                "no wind for its stalls: legs on three headings within ten minutes and 500 ft of them are"
                " needed, and ground speed, track, vertical speed and pressure altitude in the log"
            ]
        # The slowest of a flight with stalls is near the stall, whatever the panel shows there.
        guess = max(facts.stall_guess, float(np.nanquantile(speed, SLOWEST_SHARE)))
        return find_stalls(log, stall_speed=guess, speed=speed, power=entry.power), []
    if not log.has("indicated_airspeed"):
        return [], ["no indicated airspeed in the log: stalls of this flight come from the card only"]
    found = find_stalls(log, stall_speed=facts.stall_guess, lag=lag, power=entry.power)
    return found, []


def _by_flap(legs: list[FoundLeg], log: Log, entry: FlightEntry) -> dict[float, list[FoundLeg]]:
    """Sort legs by flap setting, rounded to a degree where the log tells it."""
    found: dict[float, list[FoundLeg]] = {}
    for leg in legs:
        flap = entry.flap_deg
        if log.has("flap"):
            part = log.between(leg.start, leg.stop).channels["flap"]
            if np.isfinite(part).any():
                flap = float(round(math.degrees(float(np.nanmean(part)))))
        if flap is not None:
            found.setdefault(flap, []).append(leg)
    return found


def _card_flap(entry: FlightEntry) -> float:
    if entry.flap_deg is None:
        raise InputError(
            where=entry.where,
            found="a leg card without a flap setting",
            needed="the setting at which its legs were flown",
            fix='add flap = "0 deg"',
        )
    return entry.flap_deg
