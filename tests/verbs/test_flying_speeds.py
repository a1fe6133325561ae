"""Stall speeds of both sides on the owner's panel: by that side's own calibration, or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.flights.book.reading import read_book
from slowflight.flights.reduction.campaign import reduce_campaign
from slowflight.flights.simulator.demo_campaign import CLEAN_STALLS, POSITION_ERROR, TRUE_GAINS
from slowflight.project import write_demo
from slowflight.verbs.flying import aircraft_facts, flap_settings
from slowflight.verbs.flying_demo import invent_flights
from slowflight.verbs.flying_speeds import NOT_THERE, stall_speeds
from slowflight.wing.wing_file import read_wing_file

KNOT = 1852.0 / 3600.0


@pytest.fixture(scope="module", name="demo")
def fixture_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_demo(tmp_path_factory.mktemp("speeds") / "demo").folder
    invent_flights(folder)
    return folder


def speeds(demo: Path, *, without: str = "") -> list[dict[str, object]]:
    book = demo / "flights" / "flights.toml"
    text = book.read_text(encoding="utf-8")
    if without:
        start = text.index(f'[[flight]]\nname = "{without}"')
        stop = text.find("[[", start + 5)
        text = text[:start] + text[stop:]
    changed = book.with_name("changed.toml")
    runs = text.index("[[cruise]]")
    changed.write_text(text[:runs], encoding="utf-8")
    wing = read_wing_file(demo / "wing.toml")
    facts = aircraft_facts(wing)
    reduced = reduce_campaign(read_book(changed), facts=facts, flaps_deg=flap_settings(wing))
    return stall_speeds(reduced, facts=facts, unit="kt")


def test_both_sides_are_shown_calibrated_and_on_the_panel(demo: Path) -> None:
    """The simulator's indicator reads low by offset and slope in lift: 6 kt and more near the stall."""
    found = speeds(demo)
    assert [one["flap_deg"] for one in found] == [0.0, 31.0]
    offset, slope = POSITION_ERROR
    for one, flap in zip(found, (0.0, 31.0), strict=True):
        for side, true in (("clean", CLEAN_STALLS[flap]), ("vanes", CLEAN_STALLS[flap] - TRUE_GAINS[flap])):
            shown = one[side]
            assert isinstance(shown, dict)
            assert shown["low_kt"] < true / KNOT < shown["high_kt"]
            wing = read_wing_file(demo / "wing.toml")
            speed = shown["calibrated_kt"] * KNOT
            lift = 2.0 * wing.aircraft.mass * 9.80665 / (1.225 * wing.wing.area * speed**2)
            assert shown["on_panel_kt"] * KNOT == pytest.approx(speed - offset - slope * lift, abs=0.7 * KNOT)
            assert shown["panel"].endswith("kt on your panel")


def test_the_other_sides_calibration_is_not_lent(demo: Path) -> None:
    """Only the first flight of each side has legs: without it that side's panel speeds are not known."""
    one = speeds(demo, without="before-1")[0]
    assert isinstance(one["clean"], dict)
    assert isinstance(one["vanes"], dict)
    assert one["vanes"]["on_panel_kt"] is not None
    assert one["clean"]["on_panel_kt"] is None
    assert one["clean"]["panel"] == NOT_THERE
