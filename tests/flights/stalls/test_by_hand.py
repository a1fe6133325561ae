"""Cards written by hand give the same kind of stalls as logs do."""

import math
from pathlib import Path

import pytest

from slowflight.errors import InputError, UnitError
from slowflight.flights.stall_record import FULL_STICK, NOSE_DROP, UNUSABLE
from slowflight.flights.stalls.by_hand import read_stall_card
from slowflight.flights.stalls.reducing import NOT_CALIBRATED, FlightFacts, burning, reduce_flight
from slowflight.units import MASS, SPEED

KT, LB = SPEED.factors["kt"], MASS.factors["lb"]
CARD = """\
# first flight, clean
time min, flap deg, speed kt, rate kt/s, ending, load factor g, warning kt, sink ft/min, remark
10, 0, 38.8, 0.6, nose drop, 0.99, 44, ,
14, 0, 38.6, 0.8, nose-drop, 1.00, 43, , smooth
18, 0, 38.3, 1.0, Full stick, 0.98, , 900,
22, 0, 37.0, 2.5, nose-drop, , , , too fast
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "card.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_card_gives_events(tmp_path: Path) -> None:
    events = read_stall_card(write(tmp_path, CARD))
    assert [event.ending for event in events] == [NOSE_DROP, NOSE_DROP, FULL_STICK, UNUSABLE]
    assert events[0].speed == pytest.approx(38.8 * KT)
    assert events[0].warning_speed == pytest.approx(44 * KT)
    assert events[2].climb == pytest.approx(-900 * 0.3048 / 60.0)
    assert events[1].source.first == events[1].source.last == 4
    assert "smooth" in events[1].why
    assert "2.5 kt/s" in events[3].why


def test_events_of_a_card_reduce_like_any_other(tmp_path: Path) -> None:
    # The first runs of the worked example among the tests of `one_g`, here with their masses from fuel burnt.
    facts = FlightFacts(
        flight="one",
        configuration="clean",
        mass_at=burning(start_mass=1206.5 * LB, fuel_per_second=0.25 * LB / 60.0, start=0.0),
        reference_mass=1320.0 * LB,
    )
    records = reduce_flight(read_stall_card(write(tmp_path, CARD)), facts)
    assert [record.accepted for record in records] == [True, True, True, False]
    assert records[0].mass / LB == pytest.approx(1204.0)
    assert records[0].speed_reference / KT == pytest.approx(40.8308, abs=0.005)
    assert records[1].speed_reference / KT == pytest.approx(40.4335, abs=0.005)
    assert NOT_CALIBRATED in records[0].reason
    assert all(math.isfinite(record.speed_uncertainty) for record in records)


@pytest.mark.parametrize(
    ("change", "error", "message"),
    [
        (("speed kt", "speed"), UnitError, "'speed' without a unit"),
        (("speed kt", "speed furlong"), UnitError, "'speed' in 'furlong'"),
        (("speed kt", "haste kt"), InputError, "column 'haste kt'"),
        (("ending,", "remark,"), InputError, "no column 'ending'"),
        (("Full stick", "mush"), InputError, "line 5, ending: found 'mush'; needs one of nose-drop"),
        (("38.3", "thirty"), InputError, "line 5, speed: found 'thirty'"),
        (("38.3", ""), InputError, "line 5: found no speed"),
        (("38.3", "-3"), InputError, "above 0"),
        (("smooth", "smooth, calm, late"), InputError, "line 4: found 11 cells"),
    ],
)
def test_slips_are_named(
    change: tuple[str, str], error: type[InputError], message: str, tmp_path: Path
) -> None:
    assert change[0] in CARD
    with pytest.raises(error, match=message):
        read_stall_card(write(tmp_path, CARD.replace(*change, 1)))


def test_semicolons_with_decimal_commas(tmp_path: Path) -> None:
    text = "time s; flap deg; speed km/h; rate m/s2; ending\n60; 30; 63,5; 0,5; wing-drop\n"
    (event,) = read_stall_card(write(tmp_path, text))
    assert event.speed == pytest.approx(63.5 / 3.6)
    assert event.flap_deg == pytest.approx(30.0)
