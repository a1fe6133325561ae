"""Measured stall speeds of both sides, calibrated and as the owner's own panel shows them."""

from __future__ import annotations

import math
from typing import Any

from slowflight import units
from slowflight.flights.airspeed.position_error import on_the_panel
from slowflight.flights.reduction.campaign import ReducedCampaign
from slowflight.flights.reduction.flown import AircraftFacts
from slowflight.flights.reduction.panel import nearest
from slowflight.flights.stall_record import CLEAN, VANES
from slowflight.flights.statistics.budget import Term, absolute
from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.headline import LIKELY
from slowflight.flights.statistics.stall_terms import absolute_terms

NOT_THERE = "your panel is not calibrated there"


def measured_stall_speed(gain: Gain, configuration: str) -> tuple[float, float]:
    """Return the measured stall speed of one side and the half-width of its 90 % band [m/s].

    Parameters
    ----------
    gain : Gain
        Of the flap setting.
    configuration : str
        Clean or with vanes.

    Returns
    -------
    tuple of float
        Equivalent airspeed at 1 g and reference mass. By itself a stall speed is known worse than a
        difference: errors that cancel there count here.
    """
    own = [one for one in gain.readings if one.configuration == configuration]
    mean = sum(one.speed for one in own) / len(own)
    stalls = sum(one.stalls for one in own)
    every = gain.sets[0 if configuration == gain.sets[0].configuration else 1].stalls
    mass = sum(record.mass for record in every) / len(every)
    error = math.sqrt(gain.between**2 / len(own) + gain.within**2 / stalls)
    scatter = Term(name="flights", half_width=error, degrees_of_freedom=max(float(len(own) - 1), 1.0))
    return mean, absolute((scatter, *absolute_terms(speed=mean, mass=mass))).half_band(LIKELY)


def stall_speeds(reduced: ReducedCampaign, *, facts: AircraftFacts, unit: str) -> list[dict[str, Any]]:
    """Return the stall speeds of each flap setting measured on both sides.

    Parameters
    ----------
    reduced : ReducedCampaign
        With its decision.
    facts : AircraftFacts
        Of the aircraft.
    unit : str
        Of speeds; part of their keys.

    Returns
    -------
    list of dict
        Calibrated with band, and on the panel of that side, or None and the reason in words.
    """
    if reduced.decision is None:
        return []
    per = unit.replace("/", "_per_")
    found = []
    for setting in reduced.decision.settings:
        if setting.gain is None:
            continue
        flap = setting.gain.sets[0].stalls[0].flap_deg
        sides = {}
        for side, configuration in (("clean", CLEAN), ("vanes", VANES)):
            speed, half = measured_stall_speed(setting.gain, configuration)
            shown = _on_panel(reduced, configuration, flap, speed, facts.mass)
            sides[side] = {
                f"calibrated_{per}": units.express(speed, unit),
                f"low_{per}": units.express(speed - half, unit),
                f"high_{per}": units.express(speed + half, unit),
                f"on_panel_{per}": None if shown is None else units.express(shown, unit),
                "panel": f"{units.format_speed(shown, unit)} on your panel" if shown else NOT_THERE,
            }
        found.append({"name": setting.name, "flap_deg": flap, "landing": setting.landing, **sides})
    return found


def _on_panel(
    reduced: ReducedCampaign, configuration: str, flap: float, speed: float, mass: float
) -> float | None:
    """By the calibrations of that side's own flights, their mean; None where none reaches so low."""
    shown = []
    for flight in reduced.flights:
        if flight.flown.entry.configuration != configuration or flight.flown.from_ground:
            continue
        curve = nearest(flight.curves, flap)
        if curve is None or not curve.same_side:
            continue
        found = on_the_panel(speed, curve.curve, mass=mass)
        if found is not None:
            shown.append(found.value)
    return sum(shown) / len(shown) if shown else None
