"""All flights of the book reduced, and the decision they allow."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from slowflight import air, units
from slowflight.errors import InputError, SlowflightError
from slowflight.flights.book.entries import AFTER, BEFORE, GROUND, Book, CruiseRun
from slowflight.flights.campaign.schedule import CLEAN_AGAIN
from slowflight.flights.cruise.climb import ClimbComparison
from slowflight.flights.cruise.field_roll import RollComparison
from slowflight.flights.cruise.speed_power import (
    ONE_KNOT,
    CruiseAnswer,
    LevelPoint,
    compare_cruise,
    fit_speed_power,
)
from slowflight.flights.reduction.air_flown_in import UNKNOWN_AIR
from slowflight.flights.reduction.flown import AircraftFacts, read_flight
from slowflight.flights.reduction.one_flight import ReducedFlight, reduce_one
from slowflight.flights.reduction.panel import nearest, uncertainty_at
from slowflight.flights.reduction.performance import climbs_compared, rolls_compared
from slowflight.flights.reduction.rolls import roll_findings
from slowflight.flights.reduction.seen import observations
from slowflight.flights.stall_record import CLEAN, VANES, StallRecord
from slowflight.flights.stalls.reducing import NOT_CALIBRATED
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.statistics.stall_terms import POSITION_SHIFT, POSITION_SHIFT_CALIBRATED
from slowflight.flights.verdict.decision import Decision, FlapSetting, decide
from slowflight.flights.verdict.judge import Situation

# Legs this close to the stall calibrate it: 1.05 stall speeds and a reading. Common practice, no source.
NEAR_STALL = 1.06
# Nearer to the others no stall is called odd; common practice, no source [m/s].
ODD = 1.5 * 1852.0 / 3600.0
CUBIC_TO_HOURLY = 3.6e6  # [m^3/s] to [l/h]: any measure of power will do, this one reads well in messages


@dataclass(frozen=True, kw_only=True, eq=False)
class ReducedCampaign:
    """Everything that came of a book.

    Parameters
    ----------
    book : Book
    flights : tuple of ReducedFlight
        In the order of the book.
    decision : Decision or None
        None where no stall was flown at all.
    position_shift : float
        Standard uncertainty of how much the airspeed error differs between the sides [m/s].
    remarks : tuple of str
        What concerns no single flight.
    climb : ClimbComparison or None
        None where it was not flown on both sides.
    field : mapping of str to RollComparison
        Take-off and landing rolls, described and never tested: no part of the decision.
    """

    book: Book
    flights: tuple[ReducedFlight, ...]
    decision: Decision | None
    position_shift: float
    remarks: tuple[str, ...]
    climb: ClimbComparison | None = None
    field: Mapping[str, RollComparison] = field(default_factory=dict)

    @property
    def records(self) -> list[StallRecord]:
        """Stalls of all flights, struck ones too."""
        return [record for flight in self.flights for record in flight.records]


def reduce_campaign(
    book: Book,
    *,
    facts: AircraftFacts,
    flaps_deg: Sequence[float],
    told: Callable[[str], None] = lambda _: None,
) -> ReducedCampaign:
    """Reduce all flights of a book and decide.

    Parameters
    ----------
    book : Book
        As read.
    facts : AircraftFacts
        From wing.toml.
    flaps_deg : sequence of float
        Settings of the aircraft [degrees], where the book names none that matter.
    told : callable, optional
        Gets the name of each flight as it is begun.

    Returns
    -------
    ReducedCampaign
        A flight that cannot be read says so and the others go on.

    Raises
    ------
    InputError
        Where the landing setting is none of those that matter.
    """
    flown = []
    for entry in book.flights:
        told(entry.name)
        flown.append(
            read_flight(entry, facts=facts, lag=book.rules.airspeed_lag, ground=book.rules.airspeed == GROUND)
        )
    flights = tuple(
        reduce_one(
            one,
            flown,
            facts=facts,
            unit=book.rules.unit,
            pitch_when_level=book.rules.pitch_when_level,
        )
        for one in flown
    )
    records = [record for flight in flights for record in flight.records]
    remarks = _indicated(records)
    if book.rules.airspeed == GROUND:
        remarks.append("stall speeds are those of ground velocity and wind, not of the panel")
    remarks += _odd(flights, book.rules.unit)
    cruise, why = _cruise(book, facts)
    if why:
        remarks.append(why)
    shift, said = position_shift(flights)
    remarks += said
    rolls, said = roll_findings(book)
    remarks += said
    climb, said = climbs_compared(book, flights, facts=facts)
    remarks += said
    on_the_field, said = rolls_compared(book, facts=facts)
    remarks += said
    decision = None
    if any(record.accepted for record in records):
        settings = _settings(book, flaps_deg)
        decision = decide(
            records,
            flaps=settings,
            reference_mass=facts.mass,
            handling=observations(book, flights, settings),
            cruise=cruise,
            other_findings=rolls,
            rule=SpeedRule(worth_having=book.rules.worth_having, looks=book.rules.looks),
            situation=Situation(
                better_line=book.rules.better_line,
                flights_left=book.rules.flights_left,
                positions_tried=book.rules.positions_tried,
                confirmed=book.rules.confirmed,
            ),
            again=CLEAN_AGAIN,
            position_shift=shift,
            air_unknown=_air_unknown(flights),
            unit=book.rules.unit,
        )
    return ReducedCampaign(
        book=book,
        flights=flights,
        decision=decision,
        position_shift=shift,
        remarks=tuple(remarks),
        climb=climb,
        field=on_the_field,
    )


def _settings(book: Book, flaps_deg: Sequence[float]) -> list[FlapSetting]:
    angles = sorted(book.rules.flaps_deg or {round(angle, 2) for angle in flaps_deg} or {0.0})
    landing = book.rules.landing_flap_deg
    landing = angles[-1] if landing is None else landing
    if landing not in angles:
        raise InputError(
            where=f"{book.path}: rules landing_flap",
            found=f"{landing:g} deg",
            needed=f"one of the settings that matter, {', '.join(f'{angle:g}' for angle in angles)} deg",
        )
    return [FlapSetting(name=f"flap {a:g} deg", flap_deg=a, landing=a == landing) for a in angles]


def _indicated(records: Sequence[StallRecord]) -> list[str]:
    """Say at which settings nobody calibrated the panel: there all speeds are indicated ones."""
    settings = sorted({r.flap_deg for r in records if r.accepted and NOT_CALIBRATED in r.reason})
    return [
        f"flap {flap:g} deg: read from the panel alone, so biased: the airspeed error grows with the angle"
        " and does not cancel between before and after"
        for flap in settings
    ]


def _odd(flights: Sequence[ReducedFlight], unit: str) -> list[str]:
    """Name stalls far from the others of their side, for the pilot to look at; none is taken out."""
    remarks = []
    numbered = [(f.name, n, r) for f in flights for n, r in enumerate(f.records, 1) if r.accepted]
    for group in sorted({(r.configuration, r.flap_deg) for _, _, r in numbered}):
        alike = [one for one in numbered if (one[2].configuration, one[2].flap_deg) == group]
        speeds = np.array([record.speed_reference for _, _, record in alike])
        middle = float(np.median(speeds))
        # Hampel's identifier, as for spikes in logs; common practice.
        limit = max(3.0 * 1.4826 * float(np.median(np.abs(speeds - middle))), ODD)
        remarks += [
            f"{name}, stall {number}, flap {record.flap_deg:g} deg:"
            f" {units.format_speed(abs(off), unit)} {'faster' if off > 0.0 else 'slower'} than the middle of"
            " its side: look at its picture, and strike it only if you see why"
            for (name, number, record), off in zip(alike, (speeds - middle).tolist(), strict=True)
            if abs(off) > limit
        ]
    return remarks


def position_shift(flights: Sequence[ReducedFlight], *, base: float | None = None) -> tuple[float, list[str]]:
    """How well the change of the airspeed error with the vanes is known, the worst setting counting.

    Parameters
    ----------
    flights : sequence of ReducedFlight
        Of the campaign.
    base : float, optional
        What is not known even with each side calibrated on its own [m/s]; by how near the legs come to the
        stall without it.

    Returns
    -------
    shift : float
        Standard uncertainty [m/s]. A calibration that several flights share is in error for all of them
        alike: their scatter does not show it, so it is added here.
    remarks : list of str
        Settings that were not calibrated near the stall on both sides.
    """
    worst, remarks = 0.0, []
    flaps = sorted({r.flap_deg for f in flights for r in f.records if r.accepted})
    for flap in flaps:
        near, shared = [], {}
        for flight in flights:
            stalls = [r for r in flight.records if r.accepted and r.flap_deg == flap]
            if not stalls or flight.flown.entry.configuration not in (CLEAN, VANES):
                continue
            if flight.flown.from_ground:
                near.append(True)
                continue
            curve = nearest(flight.curves, flap)
            if curve is None:
                near.append(False)
                continue
            speed = float(np.median([r.speed_calibrated for r in stalls]))
            mass = stalls[0].mass
            near.append(curve.same_side and curve.slowest(mass) <= NEAR_STALL * speed)
            if not curve.own:
                shared[flight.flown.entry.configuration] = uncertainty_at(curve, speed=speed, mass=mass)
        usual = POSITION_SHIFT_CALIBRATED if near and all(near) else POSITION_SHIFT
        if base is None and usual == POSITION_SHIFT:
            remarks.append(
                f"flap {flap:g} deg: not calibrated within 5 % of the stall on both sides, which widens the"
                " band of the gain; legs there are worth more than another flight"
            )
        worst = max(worst, math.hypot(usual if base is None else base, *shared.values()))
    return (worst if flaps else POSITION_SHIFT), remarks


def _air_unknown(flights: Sequence[ReducedFlight]) -> float:
    """Standard uncertainty of a difference where temperatures are missing, as a share of the speed [-].

    Days of a side are often alike, so that its flights do not average it away: once for each such side.
    """
    sides = {
        flight.flown.entry.configuration
        for flight in flights
        if not flight.flown.air_known and any(record.accepted for record in flight.records)
    }
    return UNKNOWN_AIR * math.sqrt(len(sides & {CLEAN, VANES}))


def _cruise(book: Book, facts: AircraftFacts) -> tuple[CruiseAnswer | None, str]:
    """Compare cruise at the power that the clean wing needs for the cruise speed of wing.toml."""
    points = [_level(run, facts) for run in book.cruise if run.side in (BEFORE, AFTER)]
    if not points:
        return None, ""
    density = air.standard_air(altitude=facts.density_altitude).density
    cruise_speed = facts.cruise_speed * math.sqrt(density / air.SEA_LEVEL_DENSITY)
    margin = book.rules.cruise_margin
    try:
        clean = [point for point in points if point.configuration == CLEAN]
        power = fit_speed_power(clean, reference_mass=facts.mass).power(cruise_speed)
        return compare_cruise(
            points,
            cruise_power=power,
            reference_mass=facts.mass,
            margin=ONE_KNOT if margin is None else margin,
        ), ""
    except SlowflightError as error:
        return None, f"cruise is not compared: {error}"


def _level(run: CruiseRun, facts: AircraftFacts) -> LevelPoint:
    here = air.air(pressure=air.standard_pressure(altitude=run.height), temperature=run.temperature)
    ratio = here.density / air.SEA_LEVEL_DENSITY
    return LevelPoint(
        flight=run.flight,
        configuration=CLEAN if run.side == BEFORE else VANES,
        equivalent_speed=run.true_speed * math.sqrt(ratio),
        power=run.fuel_flow * CUBIC_TO_HOURLY,
        mass=facts.mass if run.mass is None else run.mass,
        density_ratio=ratio,
    )
