"""Stalls of one flight, calibrated and marked by the pilot, and why a calibration was not good enough."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.airspeed.position_error import FURTHEST
from slowflight.flights.reduction.flown import AircraftFacts, FlownFlight
from slowflight.flights.reduction.panel import PanelCurve, curves_for, nearest, same_wing
from slowflight.flights.stall_record import STALL_ENDINGS, StallRecord
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.reducing import (
    FlightFacts,
    beyond_calibration,
    reduce_flight,
    restore,
    strike,
)


@dataclass(frozen=True, kw_only=True, eq=False)
class ReducedFlight:
    """A flight and what came of it.

    Parameters
    ----------
    flown : FlownFlight
    curves : tuple of PanelCurve
        Calibrations used, by flap setting.
    records : tuple of StallRecord
        One for each event, in the same order.
    problem : str
        Why there are no records; "" where nothing is wrong.
    asks : tuple of str
        What the pilot should fly or write down, in words: calibrations above all.
    """

    flown: FlownFlight
    curves: tuple[PanelCurve, ...] = ()
    records: tuple[StallRecord, ...] = ()
    problem: str = ""
    asks: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """Of the flight."""
        return self.flown.entry.name


def reduce_one(
    flight: FlownFlight,
    every: Sequence[FlownFlight],
    *,
    facts: AircraftFacts,
    unit: str = "kt",
    pitch_when_level: float | None = None,
) -> ReducedFlight:
    """Reduce one flight of a campaign.

    Parameters
    ----------
    flight : FlownFlight
    every : sequence of FlownFlight
        All flights of the campaign: their legs calibrate where the flight has none of its own.
    facts : AircraftFacts
        Of the aircraft.
    unit : str, optional
        For the words.
    pitch_when_level : float, optional
        Of the rules, where the flight has none of its own [rad].

    Returns
    -------
    ReducedFlight
        Where stalls do not count because the panel is not calibrated that slow, `asks` says for how many, by
        how much, and which legs would bring them in.
    """
    if flight.problem:
        return ReducedFlight(flown=flight, problem=flight.problem)
    entry = flight.entry
    curves = curves_for(flight, every, area=facts.area)
    level = pitch_when_level if entry.pitch_when_level is None else entry.pitch_when_level
    beyond = _side_beyond(flight, every, area=facts.area)
    try:
        records = reduce_flight(
            flight.events,
            FlightFacts(
                flight=entry.name,
                configuration=entry.configuration,
                mass_at=flight.mass_at,
                reference_mass=facts.mass,
                flap_deg=entry.flap_deg,
                power=entry.power,
                centre_of_gravity=entry.centre_of_gravity,
                pitch_datum=None if level is None else facts.incidence - level,
            ),
            curves=[one.curve for one in curves],
            speed_is_calibrated=flight.from_ground,
            near_enough={flap: off <= FURTHEST for flap, off in beyond.items()},
        )
        records = _marked(records, flight)
    except InputError as error:
        return ReducedFlight(flown=flight, curves=tuple(curves), problem=str(error))
    return ReducedFlight(
        flown=flight,
        curves=tuple(curves),
        records=tuple(records),
        asks=() if flight.from_ground else tuple(_asks(flight, records, curves, beyond, unit)),
    )


def _marked(records: list[StallRecord], flight: FlownFlight) -> list[StallRecord]:
    found = list(records)
    for mark in flight.entry.marks:
        if mark.stall > len(found):
            raise InputError(
                where=flight.entry.where,
                found=f"a mark on stall {mark.stall}",
                needed=f"one of the {len(found)} that were found",
            )
        change = restore if mark.counts else strike
        found[mark.stall - 1] = change(found[mark.stall - 1], reason=mark.reason)
    return found


def _side_beyond(flight: FlownFlight, every: Sequence[FlownFlight], *, area: float) -> dict[float, float]:
    """How far the middle stall of a side lies below its calibrations [m/s], by flap setting.

    Judged for all flights of the side together: flight by flight those that stalled slowest would drop out,
    and the mean of the others would be too fast.
    """
    found: dict[float, list[float]] = {}
    for one in every:
        if one.problem or not same_wing(one, flight):
            continue
        curves = curves_for(one, every, area=area)
        for event in one.events:
            flap = event.flap_deg if event.flap_deg is not None else one.entry.flap_deg
            curve = None if flap is None else nearest(curves, flap)
            if flap is None or curve is None or event.ending not in STALL_ENDINGS:
                continue
            off = beyond_calibration(event, curve.curve, mass=one.mass_at(event.time))
            found.setdefault(round(flap, 1), []).append(off)
    return {flap: float(np.median(off)) for flap, off in found.items()}


def _asks(
    flight: FlownFlight,
    records: Sequence[StallRecord],
    curves: Sequence[PanelCurve],
    beyond: Mapping[float, float],
    unit: str,
) -> list[str]:
    asks = []
    for flap in sorted({record.flap_deg for record in records}):
        stalls = [
            event
            for event, record in zip(flight.events, records, strict=True)
            if record.flap_deg == flap and record.ending in STALL_ENDINGS
        ]
        if not stalls:
            continue
        curve = nearest(curves, flap)
        if curve is None:
            asks.append(
                f"flap {flap:g} deg: no airspeed calibration, so {len(stalls)} stall speeds are indicated"
                " ones and a comparison is biased: fly legs on three headings at three speeds or more, from"
                " just above the stall to cruise, at this setting"
            )
            continue
        off = beyond.get(flap, 0.0)
        if off > FURTHEST:
            asks.append(_too_slow(flight, stalls, curve, off, flap, unit))
        if not curve.same_side:
            asks.append(
                f"flap {flap:g} deg: calibrated with legs of {', '.join(curve.flights)}, flown with the"
                " wing as it is on the other side; the airspeed error at this wing's stall angle was not"
                " measured"
            )
    return asks


def _too_slow(
    flight: FlownFlight,
    stalls: Sequence[StallEvent],
    curve: PanelCurve,
    off: float,
    flap: float,
    unit: str,
) -> str:
    """Say that the panel is not calibrated slow enough, by how much, and what to fly."""
    shown = float(np.median([event.speed for event in stalls]))
    how_far = (
        f"{units.format_speed(off, unit)} below the slowest calibrated speed"
        if np.isfinite(off)
        else "far below the slowest calibrated speed"
    )
    low, high = (units.format_speed(times * shown, unit, decimals=0) for times in (1.05, 1.3))
    slowest = units.format_speed(curve.slowest(flight.mass_at(stalls[0].time)), unit)
    return (
        f"flap {flap:g} deg: none of {len(stalls)} stalls counts, because the middle one of this side lies"
        f" {how_far} ({slowest} calibrated); nothing is wrong with the stalls: fly calibration legs at {low}"
        f" to {high} indicated, on three headings, at this setting, and they count"
    )
