"""Stalls of simulated flights, whose truth is known: found, told apart, and measured without bias."""

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun, Turn
from slowflight.flights.stall_record import (
    ENDINGS,
    FULL_STICK,
    NOSE_DROP,
    STALL_ENDINGS,
    UNUSABLE,
    WARNING_ONLY,
    WING_DROP,
)
from slowflight.flights.stalls.finding import find_stalls
from slowflight.flights.stalls.picture import event_picture
from slowflight.flights.stalls.reducing import NOT_CALIBRATED, FlightFacts, reduce_flight, restore, strike
from tests.flights.stalls.flown import GUESS, Found, fly_and_find


@pytest.fixture(scope="module")
def ten_hertz() -> list[Found]:
    return [one for seed in range(4) for one in fly_and_find(seed)[0]]


def test_each_stall_is_found_once_and_nothing_else(ten_hertz: list[Found]) -> None:
    assert all(one.event is not None for one in ten_hertz)
    for seed in (0, 1):
        found, events, _ = fly_and_find(seed)
        named = {id(one.event) for one in found}
        # Gusts may make a slow-down of their own; none may pass for a stall.
        assert {e.ending for e in events if id(e) not in named} <= {WARNING_ONLY, UNUSABLE}


def test_endings_are_told_apart(ten_hertz: list[Found]) -> None:
    told = Counter((one.truth.run.ending, one.event.ending) for one in ten_hertz if one.event)
    for ending in ENDINGS:
        flown = sum(count for (truth, _), count in told.items() if truth == ending)
        assert flown == 24
        assert told[(ending, ending)] >= 0.85 * flown, told
    # The mistakes that would matter: a recovery taken for a stall, or an unusable run taken for anything.
    for truth in (WARNING_ONLY, UNUSABLE):
        assert sum(told[(truth, ending)] for ending in STALL_ENDINGS) == 0, told


@pytest.mark.parametrize("ending", STALL_ENDINGS)
def test_speed_at_one_g_is_not_biased(ten_hertz: list[Found], ending: str) -> None:
    errors = [
        (one.record.speed_reference - one.truth.reference_speed) / KNOT
        for one in ten_hertz
        if one.record and one.record.ending == ending == one.truth.run.ending
    ]
    assert len(errors) >= 15
    # Gusts of 0.5 kt scatter single stalls by about as much; the mean has to be right within its own error.
    assert abs(np.mean(errors)) < 3.5 * np.std(errors) / math.sqrt(len(errors)) + 0.1
    assert np.std(errors) < 0.9


def test_stated_uncertainty_is_the_scatter(ten_hertz: list[Found]) -> None:
    parts = [
        (one.record.speed_reference - one.truth.reference_speed) / one.record.speed_uncertainty
        for one in ten_hertz
        if one.record and one.record.accepted and one.record.ending == one.truth.run.ending
    ]
    assert len(parts) > 50
    assert 0.75 < np.std(parts) < 1.3


def test_entry_rate_and_angle_of_attack(ten_hertz: list[Found]) -> None:
    good = [one for one in ten_hertz if one.record and one.record.ending == one.truth.run.ending == NOSE_DROP]
    rates = [(one.record.entry_rate - one.truth.run.entry_rate) / KNOT for one in good if one.record]
    assert abs(np.mean(rates)) < 0.12
    assert np.std(rates) < 0.25
    angles = [
        math.degrees(one.record.angle_of_attack - one.truth.angle_of_attack)
        for one in good
        if one.record and one.record.angle_of_attack is not None
    ]
    assert len(angles) == len(good)
    assert abs(np.mean(angles)) < 0.5
    assert np.std(angles) < 0.8


def test_buffet_begins_near_where_it_was_put(ten_hertz: list[Found]) -> None:
    # Simulated from 1.06 calibrated stall speeds on, which the simulated position error makes 1.07 indicated.
    shaken = [
        one for one in ten_hertz if one.event and one.event.buffet_speed and one.truth.run.ending == NOSE_DROP
    ]
    assert len(shaken) > 10
    margins = [
        one.event.buffet_speed / one.event.speed for one in shaken if one.event and one.event.buffet_speed
    ]
    assert 1.04 < np.mean(margins) < 1.10


def test_without_lag_correction_the_speed_reads_high_by_rate_times_lag() -> None:
    flight = simulate(
        [StallRun(heading=0.0, entry_rate=1.0 * KNOT)] * 12,
        seed=5,
        weather=Weather(gust=0.0),
        instruments=Instruments(airspeed_lag=0.8),
    )
    log = clean(flight.log)
    plain = find_stalls(log, stall_speed=GUESS)
    mended = find_stalls(log, stall_speed=GUESS, lag=0.8)
    differences = [(a.speed - b.speed) / a.entry_rate for a, b in zip(plain, mended, strict=True)]
    assert differences == pytest.approx([0.8] * 12, rel=1e-9)


@pytest.mark.parametrize("rate", [10.0, 4.0, 1.0])
def test_shaking_before_the_break_is_not_taken_for_it(rate: float) -> None:
    """Shaking of 0.08 g drops the load now and then, but not the nose: no stall is placed a second early."""
    early = []
    for seed in range(4):
        found, _, _ = fly_and_find(seed, count=16, endings=(NOSE_DROP,), instruments=Instruments(rate=rate))
        early += [
            one.truth.time - one.event.time for one in found if one.event and one.event.ending == NOSE_DROP
        ]
    assert len(early) > 50
    assert max(early) <= max(0.8, 1.0 / rate)


@pytest.mark.parametrize(("rate", "scatter"), [(4.0, 1.0), (1.0, 1.2)])
def test_slow_logs_serve_too(rate: float, scatter: float) -> None:
    found = [one for seed in range(3) for one in fly_and_find(seed, instruments=Instruments(rate=rate))[0]]
    told = Counter((one.truth.run.ending, one.event.ending if one.event else "missed") for one in found)
    for ending in ENDINGS:
        assert told[(ending, ending)] >= 0.6 * 18, told
    assert sum(n for (truth, got), n in told.items() if truth == WARNING_ONLY and got in STALL_ENDINGS) == 0
    errors = [
        (one.record.speed_reference - one.truth.reference_speed) / KNOT
        for one in found
        if one.record and one.record.accepted and one.record.ending == one.truth.run.ending
    ]
    assert len(errors) > 20
    assert abs(np.mean(errors)) < 0.6
    assert np.std(errors) < scatter


def test_a_log_of_speed_alone_says_how_little_it_tells() -> None:
    only = (
        "load_factor",
        "pitch",
        "roll",
        "pitch_rate",
        "roll_rate",
        "stick",
        "vertical_speed",
        "engine_speed",
    )
    found, _, _ = fly_and_find(1, count=10, drop=only)
    assert all(one.event is not None for one in found)
    assert {one.event.ending for one in found if one.event} <= {WARNING_ONLY, UNUSABLE}
    assert all("only speed was recorded" in one.event.why for one in found if one.event)
    assert all(one.record is not None and not one.record.accepted for one in found)


def test_without_load_factor_pitch_and_roll_tell() -> None:
    found, _, _ = fly_and_find(2, endings=(NOSE_DROP, WING_DROP), drop=("load_factor",))
    told = Counter((one.truth.run.ending, one.event.ending if one.event else "missed") for one in found)
    assert told[(NOSE_DROP, NOSE_DROP)] >= 11, told
    assert told[(WING_DROP, WING_DROP)] >= 11, told


def test_without_stick_position_sinking_tells_full_stick() -> None:
    found, _, _ = fly_and_find(3, count=12, endings=(FULL_STICK,), drop=("stick",))
    told = Counter(one.event.ending if one.event else "missed" for one in found)
    assert told[FULL_STICK] >= 8, told


def test_a_bump_that_leaves_the_nose_where_it_is_is_no_nose_drop() -> None:
    flight = simulate([Leg(speed=60 * KNOT, heading=0.0), StallRun(heading=0.0, ending=FULL_STICK)], seed=4)
    log = clean(flight.log)
    at = flight.stalls[0].time - 2.0  # when the stick reached its stop
    bump = (log.time > at - 2.5) & (log.time < at - 1.3)
    load = np.where(bump, 0.82, log.channels["load_factor"])
    rate = np.where(bump, -0.1, log.channels["pitch_rate"])
    bumped = log.done(channels={**log.channels, "load_factor": load, "pitch_rate": rate})
    (event,) = find_stalls(bumped, stall_speed=GUESS)
    assert event.ending == FULL_STICK


def test_flying_without_stalls_has_none() -> None:
    plan: list[Leg | Turn | StallRun] = [
        Leg(speed=v * KNOT, heading=h, seconds=40) for v in (55, 70) for h in (0, 2, 4)
    ]
    plan.append(Turn(speed=55 * KNOT, heading=0.0))
    events = find_stalls(clean(simulate(plan, seed=3).log), stall_speed=GUESS)
    assert [event for event in events if event.ending in STALL_ENDINGS] == []


def test_power_left_on_is_unusable_unless_it_was_meant() -> None:
    flight = simulate([Leg(speed=60 * KNOT, heading=0.0), *[StallRun(heading=0.0)] * 3], seed=4)
    log = clean(flight.log)
    on = log.done(channels={**log.channels, "engine_speed": np.full(len(log), 40.0)})
    assert all("idle" in event.why for event in find_stalls(on, stall_speed=GUESS))
    assert all(event.ending == NOSE_DROP for event in find_stalls(on, stall_speed=GUESS, power="climb power"))


def test_gap_on_the_way_in_makes_it_unusable() -> None:
    flight = simulate([Leg(speed=60 * KNOT, heading=0.0), StallRun(heading=0.0)], seed=4)
    log = clean(flight.log)
    at = flight.stalls[0].time
    kept = (log.time < at - 6.0) | (log.time > at - 2.5)
    holed = replace(
        log,
        time=log.time[kept],
        rows=log.rows[kept],
        channels={name: values[kept] for name, values in log.channels.items()},
        flags={},
    )
    events = [e for e in find_stalls(holed, stall_speed=GUESS) if e.start - 1 < at < e.stop + 1]
    assert all(event.ending == UNUSABLE and "missing" in event.why for event in events)


def _facts() -> FlightFacts:
    return FlightFacts(flight="one", configuration="clean", mass_at=lambda time: 600.0, reference_mass=600.0)


def test_without_a_calibration_every_reason_says_so() -> None:
    _, events, _ = fly_and_find(0, count=10, endings=(NOSE_DROP,))
    records = reduce_flight(events, _facts())
    assert all(NOT_CALIBRATED in record.reason for record in records)
    assert all(record.accepted == (record.ending in STALL_ENDINGS) for record in records)


def test_stalls_far_below_the_calibration_count_all_together_or_not_at_all() -> None:
    from tests.flights.stalls.flown import known_curve

    _, events, _ = fly_and_find(0, count=10, endings=(NOSE_DROP,))
    curve = known_curve()
    high = replace(curve, lift_high=curve.lift_high * 0.75)  # as if calibrated down to 46 kt only
    records = reduce_flight(events, _facts(), curves=[high])
    assert not any(record.accepted for record in records)
    assert all(NOT_CALIBRATED in record.reason for record in records)
    assert sum(record.accepted for record in reduce_flight(events, _facts(), curves=[curve])) >= 8


def test_pilot_strikes_and_restores_with_a_reason_that_is_kept() -> None:
    _, events, _ = fly_and_find(0, count=5)
    records = reduce_flight(events, _facts())
    good = next(record for record in records if record.accepted)
    struck = strike(good, reason="hit a gust")
    assert not struck.accepted
    assert "hit a gust" in struck.reason
    assert good.reason in struck.reason
    assert restore(struck, reason="second look").accepted
    with pytest.raises(InputError, match="no reason"):
        strike(good, reason=" ")
    warning = next(record for record in records if record.ending == WARNING_ONLY)
    with pytest.raises(InputError, match="from above"):
        restore(warning, reason="looked like one")


def test_the_picture_holds_the_event_and_its_line() -> None:
    _, events, flight = fly_and_find(0, count=5)
    event = next(event for event in events if event.ending == NOSE_DROP)
    picture = event_picture(clean(flight.log), event)
    assert picture.seconds[0] < 0.0 < picture.seconds[-1]
    assert picture.line[1][-1] == event.speed
    assert {"indicated_airspeed", "load_factor", "pitch"} <= set(picture.curves)
    assert "nose drop" in picture.title


def test_same_seed_same_flight() -> None:
    a, b = (simulate([StallRun(heading=0.0)], seed=9).log for _ in range(2))
    assert all(np.array_equal(a.channels[name], b.channels[name], equal_nan=True) for name in a.channels)
