"""Climbs and ground rolls of the book, brought to reference conditions and set side by side."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from slowflight import air
from slowflight.errors import SlowflightError
from slowflight.flights.airspeed.position_error import calibrate
from slowflight.flights.book.entries import AFTER, BEFORE, Book, TimedClimb
from slowflight.flights.cruise.climb import (
    ClimbComparison,
    ClimbRun,
    compare_climb,
    reference_climb,
    true_rate,
)
from slowflight.flights.cruise.field_roll import Roll, RollComparison, compare_field_rolls
from slowflight.flights.reduction.flown import AircraftFacts
from slowflight.flights.reduction.one_flight import ReducedFlight
from slowflight.flights.reduction.panel import nearest
from slowflight.flights.stall_record import CLEAN, VANES
from slowflight.flights.statistics.headline import LIKELY

TAKE_OFF, LANDING = "take-off", "landing"
FOOT_A_MINUTE = 0.3048 / 60.0  # [m/s]


def climbs_compared(
    book: Book, flights: Sequence[ReducedFlight], *, facts: AircraftFacts
) -> tuple[ClimbComparison | None, list[str]]:
    """Compare the climbs of a book.

    Parameters
    ----------
    book : Book
        With its climbs; those clean again are left out.
    flights : sequence of ReducedFlight
        Whose airspeed calibrations are used.
    facts : AircraftFacts
        Of the aircraft.

    Returns
    -------
    comparison : ClimbComparison or None
        None where no climb was flown, or they cannot be compared.
    remarks : list of str
        Why not, and where speeds are those of an uncalibrated panel.
    """
    flown = [run for run in book.climbs if run.side in (BEFORE, AFTER)]
    if not flown:
        return None, []
    by_name = {one.name: one for one in flights}
    remarks, runs = [], []
    bare = False
    for run in flown:
        speed = _calibrated(run, by_name[run.flight], facts)
        bare = bare or speed is None
        runs.append(_reduced(run, run.indicated if speed is None else speed, facts))
    if bare:
        remarks.append("climbs: the panel is not calibrated at some of their speeds, taken as it showed them")
    try:
        return compare_climb(runs), remarks
    except SlowflightError as error:
        return None, [f"climbs are not compared: {error}"]


def rolls_compared(book: Book, *, facts: AircraftFacts) -> tuple[dict[str, RollComparison], list[str]]:
    """Set the ground rolls of a book side by side.

    Parameters
    ----------
    book : Book
        With its rolls.
    facts : AircraftFacts
        Of the aircraft.

    Returns
    -------
    comparisons : dict of str to RollComparison
        ``"take-off"``, ``"landing"`` or both.
    remarks : list of str
        Why a kind that was written down is not compared.
    """
    found, remarks = {}, []
    for kind in (TAKE_OFF, LANDING):
        every = [one for one in book.field if one.landing == (kind == LANDING)]
        if not every:
            continue
        sides = [
            [
                Roll(
                    distance=one.distance,
                    ground_speed=one.ground_speed,
                    headwind=one.headwind,
                    mass=facts.mass if one.mass is None else one.mass,
                )
                for one in every
                if one.side == side
            ]
            for side in (BEFORE, AFTER)
        ]
        try:
            found[kind] = compare_field_rolls(
                sides[0], sides[1], reference_mass=facts.mass, landing=kind == LANDING
            )
        except SlowflightError as error:
            remarks.append(f"{kind} rolls are not compared: {error}")
    return found, remarks


def climb_record(found: ClimbComparison | None) -> dict[str, Any] | None:
    """Return a comparison of climbs as plain numbers [ft/min] and words, or None."""
    if found is None:
        return None
    low, high = (None, None) if found.difference is None else found.difference.band(LIKELY)
    change = sum(found.after) / len(found.after) - sum(found.before) / len(found.before)
    return {
        "before_ft_per_min": [rate / FOOT_A_MINUTE for rate in found.before],
        "after_ft_per_min": [rate / FOOT_A_MINUTE for rate in found.after],
        "change_ft_per_min": change / FOOT_A_MINUTE,
        "low_ft_per_min": None if low is None else low / FOOT_A_MINUTE,
        "high_ft_per_min": None if high is None else high / FOOT_A_MINUTE,
        "band": LIKELY,
        "speed_m_per_s": found.speed,
        "remarks": list(found.remarks),
    }


def rolls_record(found: Mapping[str, RollComparison]) -> dict[str, dict[str, Any]]:
    """Return comparisons of ground rolls as plain numbers [m] and words, by kind."""
    return {
        kind: {
            "before_m": list(one.before),
            "after_m": list(one.after),
            "words": one.words,
            "remarks": list(one.remarks),
        }
        for kind, one in found.items()
    }


def _calibrated(run: TimedClimb, flight: ReducedFlight, facts: AircraftFacts) -> float | None:
    """Calibrated airspeed by the flight's calibration with flap up, or None [m/s]."""
    curve = nearest(flight.curves, 0.0)
    if curve is None:
        return None
    found = calibrate(run.indicated, curve.curve, mass=_mass(run, facts))
    return None if found is None else found.speed.value


def _reduced(run: TimedClimb, speed: float, facts: AircraftFacts) -> ClimbRun:
    middle = 0.5 * (run.bottom + run.top)
    standard = air.standard_air(altitude=middle)
    here = air.air(pressure=standard.pressure, temperature=run.temperature)
    ratio = here.density / air.SEA_LEVEL_DENSITY
    mass = _mass(run, facts)
    rate = true_rate(
        pressure_height_rate=(run.top - run.bottom) / run.seconds,
        temperature=run.temperature,
        standard_temperature=standard.temperature,
    )
    return ClimbRun(
        flight=run.flight,
        configuration=CLEAN if run.side == BEFORE else VANES,
        speed=speed * math.sqrt(facts.mass / mass),
        rate=reference_climb(true_rate=rate, density_ratio=ratio, mass=mass, reference_mass=facts.mass),
        density_ratio=ratio,
        heading=run.heading,
    )


def _mass(run: TimedClimb, facts: AircraftFacts) -> float:
    return facts.mass if run.mass is None else run.mass
