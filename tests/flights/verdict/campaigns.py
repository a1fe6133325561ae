"""Campaigns made up for verdicts: what is green, and records of a known gain."""

import math
from dataclasses import replace

import numpy as np

from slowflight import units
from slowflight.flights.campaign.invented import Truth, invent_records
from slowflight.flights.cruise.speed_power import CruiseAnswer
from slowflight.flights.handling.observation import Observation
from slowflight.flights.handling.scorecard import Scorecard, score
from slowflight.flights.stall_record import CLEAN, VANES, StallRecord
from slowflight.flights.statistics.equivalence import within_margin
from slowflight.flights.statistics.gain import Gain, measure_gain
from slowflight.flights.statistics.stall_terms import difference_terms
from slowflight.flights.statistics.two_samples import TDifference

KNOT = units.speed("1 kt", where="test")
TERMS = difference_terms(speed=39.0 * KNOT, mass=600.0)
BENIGN = Observation(
    roll_at_stall=math.radians(4.0),
    roll_held=True,
    wing_drop="none",
    warning=True,
    warning_margin=6.0 * KNOT,
    stick_stop_first=False,
    flare="as before",
    pitch="as before",
    height_lost=45.0,
    recovery="as before",
    sink=3.0,
    rudder="as before",
    shake="none new",
    ailerons="as before",
)
GREEN_CARD: Scorecard = score(before=BENIGN, after=BENIGN)


def cruise(change: float = -0.1, error: float = 0.15) -> CruiseAnswer:
    """Return a cruise answer of that change and standard error [kt]; margin 1 kt."""
    difference = TDifference(value=change * KNOT, standard_error=error * KNOT, degrees_of_freedom=6.0)
    return CruiseAnswer(
        difference=difference, equivalence=within_margin(difference, margin=KNOT), flights=(4, 4)
    )


def records(
    gain: float, *, seed: int = 1, flights: tuple[int, int] = (3, 3), **truth: float
) -> list[StallRecord]:
    """Return the stalls of a campaign with that true gain [kt]."""
    return invent_records(
        Truth(gain=gain * KNOT, **truth),
        random=np.random.default_rng(seed),
        flights=((CLEAN, flights[0]), (VANES, flights[1])),
    )


def measured(gain: float, *, seed: int = 1, flights: tuple[int, int] = (3, 3)) -> Gain:
    """Return a gain whose value is exactly that [kt], with the band of a usual campaign."""
    found = records(gain, seed=seed, flights=flights, between=0.3 * KNOT, within=0.4 * KNOT)
    first = measure_gain(found, terms=TERMS)
    missed = gain * KNOT - first.value
    return measure_gain([_slower(one, missed) for one in found], terms=TERMS)


def _slower(record: StallRecord, by: float) -> StallRecord:
    return (
        replace(record, speed_reference=record.speed_reference - by)
        if record.configuration == VANES
        else record
    )
