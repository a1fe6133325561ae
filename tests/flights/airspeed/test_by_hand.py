"""Legs from a card, and the panel's faults from a log."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.flights.airspeed.by_hand import read_leg_card
from slowflight.flights.airspeed.calibrating import speed_points
from slowflight.flights.airspeed.panel_health import panel_faults
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, Instruments
from slowflight.flights.simulator.maneuvers import Leg, StallRun


def test_the_published_example_from_a_card(tmp_path: Path) -> None:
    # D. Gray, 1998: (140, 192), (112, 283), (120, 20) give a true airspeed of 130.0 kt.
    (tmp_path / "legs.csv").write_text(
        "ground speed kt, track deg, indicated kt, height ft\n"
        "140, 192, 127, 0\n112, 283, 127, 0\n120, 20, 127, 0\n",
        encoding="utf-8",
    )
    (one,) = speed_points(read_leg_card(tmp_path / "legs.csv"), flap_deg=0.0, mass_at=lambda time: 600.0)
    assert one.wind.true_airspeed.value / KNOT == pytest.approx(130.0, abs=0.05)
    # At sea level in standard air true and calibrated airspeed are one.
    assert one.point.calibrated / KNOT == pytest.approx(130.0, abs=0.05)


def test_a_panel_that_goes_blank_near_the_stall_is_a_finding() -> None:
    plan: list[Leg | StallRun] = [Leg(speed=60.0 * KNOT, heading=0.0), StallRun(heading=0.0)]
    blind = simulate(plan, seed=1, instruments=Instruments(blank_below=40.0 * KNOT))
    (fault,) = panel_faults(clean(blind.log))
    assert fault.kind == "blank"
    assert fault.start < blind.stalls[0].time < fault.stop
    assert "blank for" in fault.sentence
    assert "over the ground" in fault.sentence
    assert panel_faults(clean(simulate(plan, seed=1).log)) == []


def test_a_panel_that_sticks_is_a_finding() -> None:
    flight = simulate([Leg(speed=60.0 * KNOT, heading=0.0), StallRun(heading=0.0)], seed=1)
    log = flight.log
    at = int(np.searchsorted(log.time, flight.stalls[0].time))
    shown = log.channels["indicated_airspeed"].copy()
    shown[at - 80 : at + 60] = shown[at - 80]
    faults = panel_faults(clean(log.done(channels={**log.channels, "indicated_airspeed": shown})))
    assert [fault.kind for fault in faults] == ["stuck"]
