"""flights.toml: what an owner may write, and what a slip says."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.flights.book.reading import read_book
from slowflight.flights.book.writing import append, flight_text, mark_stall, new_book
from slowflight.flights.handling.observation import CHOICES

KNOT = 1852.0 / 3600.0
FLIGHT = '[[flight]]\nname = "one"\nside = "before"\nlog = "one.csv"\n'

CLIMB = (
    '[[climb]]\nflight = "one"\nindicated = "55 kt"\nseconds = "90 s"\nfrom = "2500 ft"\nto = "3500 ft"\n'
    'temperature = "9 C"\nheading = "out"\n'
)


def book(tmp_path: Path, text: str) -> Path:
    place = tmp_path / "flights.toml"
    place.write_text(text, encoding="utf-8")
    return place


def test_every_value_is_read_in_its_unit(tmp_path: Path) -> None:
    text = (
        '[rules]\nunit = "mph"\nworth_having = "2 mph"\nflaps = ["30 deg", "0 deg"]\n'
        'airspeed_lag = "0.4 s"\napproach = "60 mph"\n'
        + FLIGHT
        + 'mass = "1200 lb"\nfuel_burn = "18 l/h"\nflap = "10 deg"\ncentre_of_gravity = "27 %"\n'
        'strike = [{stall = 2, reason = "gust"}]\n'
        '[[handling]]\nside = "after"\nflap = "0 deg"\nroll_at_stall = "10 deg"\nwarning_margin = "-2 kt"\n'
        'sink = "600 ft/min"\nshake = "new"\n'
        '[[cruise]]\nflight = "one"\ntrue_speed = "80 kt"\nfuel_flow = "14 l/h"\nheight = "3000 ft"\n'
        'temperature = "-3 C"\n'
    )
    found = read_book(book(tmp_path, text))
    # The statute mile and the avoirdupois pound are exact: NIST SP 811 (2008), appendix B.8.
    assert found.rules.worth_having == pytest.approx(2.0 * 0.44704)
    assert found.rules.flaps_deg == (0.0, 30.0)
    assert found.rules.airspeed_lag == 0.4
    (flight,) = found.flights
    assert flight.log == tmp_path / "one.csv"
    assert flight.mass == pytest.approx(1200.0 * 0.45359237)
    assert flight.fuel_burn == pytest.approx(18.0 * 0.72 / 3600.0)
    assert (flight.flap_deg, flight.centre_of_gravity, flight.configuration) == (10.0, 0.27, "clean")
    assert (flight.marks[0].stall, flight.marks[0].counts) == (2, False)
    seen = found.handling[0].seen
    assert seen.roll_at_stall == pytest.approx(math.radians(10.0))
    assert seen.warning_margin == pytest.approx(-2.0 * KNOT)
    assert seen.sink == pytest.approx(600.0 * 0.3048 / 60.0)
    assert seen.warning is None
    run = found.cruise[0]
    assert run.temperature == pytest.approx(270.15)
    assert run.fuel_flow == pytest.approx(14e-3 / 3600.0)


@pytest.mark.parametrize(
    ("text", "where", "found"),
    [
        (FLIGHT.replace('"before"', '"befor"'), "flight 1 (one) side", "befor"),
        (FLIGHT + "mass = 540\n", "mass", "540"),
        (FLIGHT + 'mass = "54 kg"\n', "mass", "54 kg"),
        (FLIGHT + 'wieght = "540 kg"\n', "flight 1", "wieght"),
        (FLIGHT + 'flap = "200 deg"\n', "flap", "200 deg"),
        (FLIGHT + "strike = [{stall = 2}]\n", "strike", "stall"),
        (FLIGHT + 'strike = [{stall = 0, reason = "x"}]\n', "stall", "0"),
        (FLIGHT + FLIGHT, "flights.toml", "two flights"),
        (FLIGHT + FLIGHT.replace('"one"', '"two"', 1), "flights.toml", "'two'"),
        ('[[flight]]\nname = "x"\nside = "after"\n', "flight 1 (x)", "no log"),
        ('[[flight]]\nside = "after"\n', "flight 1", "no name"),
        ('[flight]\nname = "x"\n', "flight", "one table"),
        ('[[handling]]\nside = "after"\nflap = "0 deg"\nshake = "bad"\n', "handling 1 shake", "bad"),
        ('[[handling]]\nside = "after"\n', "handling 1", "no flap"),
        ('[[handling]]\nside = "after"\nflap = "0 deg"\n' * 2, "flights.toml", "two handling cards"),
        ('[[handling]]\nside = "after"\nflap = "0 deg"\nsink = "600"\n', "sink", "600"),
        ('[[handling]]\nside = "after"\nflap = "0 deg"\nwarning = "perhaps"\n', "warning", "perhaps"),
        (FLIGHT + '[[cruise]]\nflight = "two"\n', "cruise 1 flight", "two"),
        (FLIGHT + '[[cruise]]\nflight = "one"\n', "cruise 1", "not complete"),
        (FLIGHT + '[[climb]]\nflight = "one"\nindicated = "55 kt"\n', "climb 1", "not complete"),
        (FLIGHT + CLIMB.replace('"3500 ft"', '"2000 ft"'), "climb 1", "no height"),
        ('[[field_roll]]\nside = "after"\nkind = "landing"\n', "field_roll 1", "not complete"),
        ('[[field_roll]]\nside = "after"\nkind = "taxi"\n', "field_roll 1 kind", "taxi"),
        ('[[field_roll]]\nside = "after"\nkind = "landing"\ncones = [["0 m"]]\n', "cones", "0 m"),
        (FLIGHT + 'clocks_apart = "an hour"\n', "clocks_apart", "an hour"),
        ('[rules]\nairspeed_lag = "9 s"\n', "airspeed_lag", "9 s"),
        ("[rules]\nlooks = 0\n", "looks", "0"),
        ('[[flights]]\nname = "x"\n', "flights.toml", "flights"),
        ("[rules\n", "flights.toml", "slip"),
    ],
)
def test_a_slip_names_table_and_key(tmp_path: Path, text: str, where: str, found: str) -> None:
    with pytest.raises(InputError) as error:
        read_book(book(tmp_path, text))
    assert where in error.value.where
    assert found in error.value.found


def test_climbs_and_filmed_rolls_are_read(tmp_path: Path) -> None:
    cones = ", ".join(f'["{10 * n} m", "{(20.0 * n / 1.5) ** 0.5 + 3.0:.4f} s"]' for n in range(9))
    text = (
        FLIGHT
        + CLIMB
        + f'[[field_roll]]\nside = "before"\nkind = "take-off"\ncones = [{cones}]\nat = "11 s"\n'
        'headwind = "-2 kt"\nmass = "540 kg"\n'
    )
    found = read_book(book(tmp_path, text))
    (climb,) = found.climbs
    assert (climb.seconds, climb.heading, climb.side) == (90.0, "out", "before")
    assert climb.top - climb.bottom == pytest.approx(304.8)
    (roll,) = found.field
    # From rest at 1.5 m/s^2 for 8 s: 48 m and 12 m/s.
    assert roll.distance == pytest.approx(48.0, abs=0.2)
    assert roll.ground_speed == pytest.approx(12.0, abs=0.2)
    assert roll.headwind == pytest.approx(-2.0 * KNOT)
    assert roll.filmed
    assert not roll.landing


def test_one_log_under_two_names_is_refused(tmp_path: Path) -> None:
    """The flight is what counts: a log counted twice would make the answer look surer than it is."""
    same = [
        flight_text({"name": n, "side": "before", "log": f"{n}.csv", "sha256": "abc"}) for n in ("a", "b")
    ]
    with pytest.raises(InputError, match="each flight once"):
        read_book(book(tmp_path, "".join(same)))
    parts = [
        flight_text({"name": f"p{n}", "side": "before", "log": "a.csv", "sha256": "abc", "part": n})
        for n in (1, 2)
    ]
    assert len(read_book(book(tmp_path, "".join(parts))).flights) == 2


def test_striking_and_restoring_keeps_the_reasons_and_everything_else(tmp_path: Path) -> None:
    place = book(tmp_path, "# mine\n" + FLIGHT + "# at the end\n" + FLIGHT.replace('"one', '"two'))
    mark_stall(place, flight="two", stall=3, counts=False, reason='a "gust"')
    mark_stall(place, flight="two", stall=1, counts=False, reason="power still on")
    found = read_book(place).flights[1]
    assert [(m.stall, m.counts, m.reason) for m in found.marks] == [
        (3, False, 'a "gust"'),
        (1, False, "power still on"),
    ]
    mark_stall(place, flight="two", stall=3, counts=True, reason="looked again")
    # What it was struck for stays beside.
    assert [(m.stall, m.counts) for m in read_book(place).flights[1].marks] == [
        (3, False),
        (1, False),
        (3, True),
    ]
    mark_stall(place, flight="two", stall=3, counts=False, reason="a gust after all")
    marks = read_book(place).flights[1].marks
    assert [(m.stall, m.counts, m.reason) for m in marks if m.stall == 3] == [(3, False, "a gust after all")]
    assert read_book(place).flights[0].marks == ()
    assert "# mine\n" in place.read_text()
    assert "# at the end\n" in place.read_text()
    with pytest.raises(InputError, match="no flight 'three'; needs one of one, two"):
        mark_stall(place, flight="three", stall=1, counts=False, reason="x")


def test_an_empty_book_reads_and_the_owners_remarks_stay(tmp_path: Path) -> None:
    place = tmp_path / "flights.toml"
    fresh = new_book(
        unit="kt", worth="1 kt", margin="1.5 kt", flaps=["0 deg", "31 deg"], landing="31 deg", flights=4
    )
    append(place, flight_text({"name": 'say "one"', "side": "before", "log": "a b.csv"}), fresh=fresh)
    place.write_text(place.read_text() + "# mine, no newline", encoding="utf-8")
    append(place, flight_text({"name": "two", "side": "after", "log": "c.csv"}))
    assert "# mine, no newline\n" in place.read_text()
    found = read_book(place)
    assert [flight.name for flight in found.flights] == ['say "one"', "two"]
    assert found.rules.flights_a_side == 4
    assert found.rules.landing_flap_deg == 31.0
    assert len(found.handling) == 4


def test_the_example_of_the_page_is_read_as_it_stands(tmp_path: Path) -> None:
    page = (Path(__file__).parents[3] / "docs" / "flying-the-test.md").read_text(encoding="utf-8")
    (example,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    found = read_book(book(tmp_path, example))
    assert found.flights[0].marks[0].reason == "gust"
    assert found.handling[0].seen.ailerons == "as before"
    assert len(found.cruise) == 1
    assert found.rolls[0].times == 1.3
    assert len(found.climbs) == 1
    assert [roll.filmed for roll in found.field] == [False, True]
    for key, choices in CHOICES.items():
        line = next(line for line in example.splitlines() if line.startswith(f"{key} = "))
        assert all(choice in line for choice in choices), key
