"""The cards read back from their own pages."""

import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from slowflight.errors import InputError, RangeError
from slowflight.flights.cards.card import Card, Sheet
from slowflight.flights.cards.deck import deck
from slowflight.flights.cards.rules import CAMERA, CAUTIONS, CREW, STOP, WEATHER
from slowflight.flights.cards.settings import FLOOR, START_HEIGHT, CardSettings, FlapCard
from slowflight.flights.cards.write import write_cards
from tests.flights.cards.aircraft import FULL, HALF, KNOT, UP, settings

SETTLES = (
    "3 flights a side: about 1.2 kt either way; a true gain of 2.5 kt is shown 8 in 10, and vanes that do"
    " nothing"
    " are dismissed 5 in 10",
)


def plain(text: str) -> str:
    return " ".join(text.split())


def pages(folder: Path, own: CardSettings | None = None, paper: str = "a4") -> list[str]:
    chosen = own or settings()
    path = write_cards(deck(chosen, settles=SETTLES), folder / "cards.pdf", settings=chosen, paper=paper)
    return [plain(page.extract_text()) for page in PdfReader(path).pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_holds_floor_weather_stops_cautions_and_local_rules(tmp_path: Path, paper: str) -> None:
    found = pages(tmp_path, paper=paper)
    assert len(found) == len(deck(settings())) == 15
    for text in found:
        assert "FLOOR 3,000 ft ABOVE GROUND" in text
        assert "slow flight begins at 5,000 ft or higher" in text
        assert "Local rules come first." in text
        for line in (*STOP, *WEATHER, *CAUTIONS):
            assert plain(line) in text
    assert any("roll or yaw beyond 15 degrees" in line for line in STOP)
    assert any("no stall warning" in line for line in STOP)
    assert any("freezes, blanks" in line for line in STOP)


def test_crew_and_camera_rules_are_on_the_card_before_each_flight(tmp_path: Path) -> None:
    before = pages(tmp_path)[1]
    for line in (*CREW, *CAMERA):
        assert plain(line) in before
    assert "vanes counted, left / right" in before


def test_build_up_and_order_of_flap_settings() -> None:
    titles = [card.title for card in deck(settings())]
    order = [
        "Airspeed and wind",
        "Slow flight",
        "Approach to the stall",
        "close above the stall",
        "flap up",
        "half flap",
        "full flap",
        "Handling",
    ]
    places = [next(number for number, title in enumerate(titles) if words in title) for words in order]
    assert places == sorted(places)
    cards = {card.title: card for card in deck(settings())}
    slow = cards["Slow flight, step by step"].sheet
    assert slow is not None
    # 1.3, 1.2 and 1.1 times 38 kt flap up, then half, then full.
    assert [row[2] for row in slow.rows] == ["49", "46", "42", "44", "41", "37", "40", "37", "34"]


def test_the_indicator_is_calibrated_close_to_the_stall_and_only_after_the_warning_card() -> None:
    (near,) = [card for card in deck(settings()) if card.title == "Airspeed close above the stall"]
    assert "warning cards flown today" in near.gates[0]
    assert near.sheet is not None
    slowest = [
        min(float(row[2]) for row in near.sheet.rows if row[0] == flap.name) for flap in (UP, HALF, FULL)
    ]
    assert all(
        s - flap.expected_stall / KNOT <= 2.0 for s, flap in zip(slowest, (UP, HALF, FULL), strict=True)
    )
    (wind,) = [card for card in deck(settings()) if card.title == "Airspeed and wind"]
    assert wind.sheet is not None
    assert min(float(row[2]) for row in wind.sheet.rows) >= 1.29 * FULL.expected_stall / KNOT


def test_full_flap_only_after_flap_up_and_half() -> None:
    stalls = [card for card in deck(settings()) if card.title.startswith("Full stalls")]
    needed = [[gate for gate in card.gates if gate.startswith("stall card")] for card in stalls]
    assert needed == [
        [],
        ["stall card 'flap up' flown, all runs benign"],
        ["stall card 'flap up' flown, all runs benign", "stall card 'half flap' flown, all runs benign"],
    ]
    assert all("warning card flown today at this setting" in card.gates for card in stalls)
    assert all(any("flown clean before" in gate for gate in card.gates) for card in stalls)


def test_no_aileron_at_full_droop_and_only_there() -> None:
    for card in deck(settings()):
        told = " ".join(card.steps)
        assert ("NO AILERON" in told) == ("Full stalls, full flap" in card.title)
    roll = next(card for card in deck(settings()) if card.title == "Bank to bank")
    assert roll.sheet is not None
    assert {row[0] for row in roll.sheet.rows} == {"flap up", "half flap"}


def test_stalls_come_in_reciprocal_pairs_at_shuffled_rates_about_one_knot_a_second() -> None:
    stalls = [card for card in deck(settings()) if card.title.startswith("Full stalls")]
    orders = []
    for card in stalls:
        assert card.sheet is not None
        assert [row[1] for row in card.sheet.rows] == ["out", "back"] * 3
        rates = [float(row[2]) for row in card.sheet.rows]
        assert sorted(rates) == [0.6, 0.8, 1.0, 1.0, 1.3, 1.5]
        orders.append(rates)
        assert "about 1.0 kt each second and never more than 2.0 kt" in " ".join(card.steps)
    assert orders[0] != orders[1] != orders[2]
    later = next(card for card in deck(settings(), flight=2) if card.title.startswith("Full stalls"))
    assert later.sheet is not None
    assert [float(row[2]) for row in later.sheet.rows] != orders[0]


def test_no_card_of_spins_turning_or_power_on_stalls() -> None:
    for card in deck(settings()):
        told = card.title + " " + " ".join(card.steps)
        assert not re.search(r"turning stall|full power stall|power on|enter a spin", told, re.IGNORECASE)


def test_owners_units_and_heights(tmp_path: Path) -> None:
    mph = settings(unit="mph", floor=1200.0, start_height=1800.0)
    found = pages(tmp_path, mph)
    assert all("FLOOR 3,937 ft" in text and "begins at 5,906 ft" in text for text in found)
    assert "about 1.2 mph each second" in found[6]  # 1 kt/s is 1.15 mph/s
    assert "Trim at 61 mph" in found[6]  # 1.4 times 38 kt


def test_same_call_same_bytes(tmp_path: Path) -> None:
    own = settings()
    first = write_cards(deck(own), tmp_path / "one.pdf", settings=own, paper="a4").read_bytes()
    assert write_cards(deck(own), tmp_path / "two.pdf", settings=own, paper="a4").read_bytes() == first


def test_nothing_leaves_the_page(tmp_path: Path) -> None:
    path = write_cards(
        deck(settings(), settles=SETTLES), tmp_path / "c.pdf", settings=settings(), paper="letter"
    )
    for page in PdfReader(path).pages:
        seen: list[tuple[float, float]] = []

        def place(text: str, cm: Any, tm: Any, _font: Any, _size: Any, seen: Any = seen) -> None:
            if text.strip():
                seen.append((cm[4] + tm[4] * cm[0], cm[5] + tm[5] * cm[3]))

        page.extract_text(visitor_text=place)
        assert len(seen) > 20
        assert all(15.0 < x < 612.0 - 15.0 and 15.0 < y < 792.0 - 15.0 for x, y in seen)


def test_a_card_that_does_not_fit_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    sheet = Sheet(columns=("a",), widths=(1.0,), rows=(("x",),) * 60)
    card = Card(title="Too long", gates=(), steps=(), sheet=sheet)
    with pytest.raises(InputError, match="card 'Too long': found more than one page holds"):
        write_cards([card], tmp_path / "cards.pdf", settings=settings(), paper="a4")
    wordy = Card(title="Wordy", gates=(), steps=("word " * 2500,))
    with pytest.raises(InputError, match="card 'Wordy'"):
        write_cards([wordy], tmp_path / "cards.pdf", settings=settings(), paper="a4")
    wide = Card(
        title="Wide", gates=(), steps=(), sheet=Sheet(columns=("a",), widths=(1.0,), rows=(("x " * 500,),))
    )
    with pytest.raises(InputError, match="card 'Wide'"):
        write_cards([wide], tmp_path / "cards.pdf", settings=settings(), paper="a4")
    with pytest.raises(InputError, match="a4 or letter"):
        write_cards([], tmp_path / "cards.pdf", settings=settings(), paper="a5")
    assert list(tmp_path.iterdir()) == []


def test_four_flap_settings_and_five_flights_a_side_still_fit(tmp_path: Path) -> None:
    slight = FlapCard(name="slight flap", flap_deg=9.0, expected_stall=36.0 * KNOT)
    many = settings(flaps=(UP, slight, HALF, FULL), flights=5)
    assert len(pages(tmp_path, many, paper="letter")) == 16


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"flaps": ()}, "no flap setting"),
        ({"flaps": (FULL, UP)}, "the smallest first"),
        ({"unit": "furlongs"}, "km/h"),
        ({"floor": 300.0}, "1,500 ft or more"),
        ({"floor": FLOOR, "start_height": FLOOR + 100.0}, "1,500 ft above it"),
    ],
)
def test_settings_that_would_make_unsafe_cards_are_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words):
        settings(**changes)


def test_speeds_that_make_no_sense_are_refused() -> None:
    with pytest.raises(RangeError, match="between 10 and 117 kt"):
        FlapCard(name="up", flap_deg=0.0, expected_stall=38.0 * 3.6)
    with pytest.raises(RangeError, match=r"room to begin at 1\.5"):
        FlapCard(name="full", flap_deg=30.0, expected_stall=20.0, limit_speed=25.0)
    assert START_HEIGHT > FLOOR
