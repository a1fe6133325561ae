"""Climbs and ground rolls of the book, from owners' units to what may be said of them."""

from __future__ import annotations

import pytest

from slowflight.flights.reduction.performance import FOOT_A_MINUTE, climb_record, rolls_record
from tests.flights.reduction.flown_campaign import Reduce


def climb(flight: str, *, seconds: float, heading: str, temperature: str = "5 C") -> str:
    return (
        f'[[climb]]\nflight = "{flight}"\nindicated = "52 kt"\nseconds = "{seconds:g} s"\n'
        f'from = "4500 ft"\nto = "5500 ft"\ntemperature = "{temperature}"\nheading = "{heading}"\n'
        'mass = "550 kg"\n'
    )


def test_climbs_come_out_in_true_height_at_reference_mass(reduce: Reduce) -> None:
    """1,000 ft in 100 s at 5,000 ft and 25 C is 600 ft/min of pressure height.

    In true height that is 600 x 298.15/278.244 = 642.9 ft/min (worked vector of the tapeline climb), and
    by the root of the density ratio 0.80416 (ideal gas at 84,307 Pa) 576.5 ft/min at sea level.
    """
    more = "".join(
        climb(flight, seconds=seconds + 0.5 * number, heading=heading, temperature="25 C")
        for side, seconds in (("before", 100.0), ("after", 100.0 / 0.95))
        for number, flight in enumerate((f"{side}-1", f"{side}-2"))
        for heading in ("out", "back")
    )
    found = climb_record(reduce(more=more).climb)
    assert found is not None
    assert found["before_ft_per_min"][0] == pytest.approx(576.5, abs=0.7)
    assert found["change_ft_per_min"] == pytest.approx(-0.05 * 575.0, abs=2.0)
    assert found["low_ft_per_min"] < found["change_ft_per_min"] < found["high_ft_per_min"]
    assert found["remarks"] == []
    assert pytest.approx(0.508) == FOOT_A_MINUTE * 100.0  # NIST SP 811 (2008): 1 ft is 0.3048 m


def test_one_side_alone_is_said_not_to_compare(reduce: Reduce) -> None:
    found = reduce(more=climb("before-1", seconds=100.0, heading="out"))
    assert found.climb is None
    assert any("climbs are not compared: climb: found no run vanes" in remark for remark in found.remarks)


def test_ground_rolls_are_shown_and_decide_nothing(reduce: Reduce) -> None:
    roll = (
        '[[field_roll]]\nside = "{side}"\nkind = "landing"\ndistance = "{distance} m"\n'
        'ground_speed = "33 kt"\nheadwind = "{wind} kt"\n'
    )
    more = "".join(
        roll.format(side=side, distance=distance + number, wind=3)
        for side, distance in (("before", 120), ("after", 90))
        for number in range(6)
    )
    found = reduce(more=more)
    words = rolls_record(found.field)["landing"]["words"]
    assert words.startswith("landing roll, middle value")
    assert "descriptive" in words
    plain = reduce()
    assert found.decision is not None
    assert plain.decision is not None
    assert found.decision.verdict == plain.decision.verdict
    one_sided = roll.format(side="after", distance=90, wind=0).replace("landing", "take-off")
    said = reduce(more=one_sided).remarks
    assert any("take-off rolls are not compared" in remark for remark in said)
