"""The one measured wing with a flap of this kind that was read: Noyes, NACA TN 524 (1935).

Sign, rank and size, through the lifting line on wing and flap area; NACA 4412 stands in for Clark Y and the
Reynolds number is assumed (see ``noyes``), so a few per cent of every figure belong to that.
"""

import pytest

from slowflight.flow.lifting_line import WingLift
from tests.flow.bodies.noyes import NOYES, noyes_curve, noyes_wing


@pytest.fixture(scope="module")
def wings() -> dict[float | None, WingLift]:
    return {d: noyes_wing(noyes_curve(d)) for d in (None, 0.0, 20.0, NOYES["maximum_lift_flap_deg"])}


def largest(wing: WingLift) -> float:
    """The cautious maximum: when the first strip reaches the maximum of its section."""
    assert wing.cl_max_first_station is not None
    return wing.cl_max_first_station


def test_maximum_lift_of_plain_and_flapped_wing(wings: dict[float | None, WingLift]) -> None:
    """Found 1.30 and 1.69 where 1.25 and 1.81 were measured."""
    assert largest(wings[None]) == pytest.approx(NOYES["maximum_lift_plain"], rel=0.12)
    flapped = largest(wings[NOYES["maximum_lift_flap_deg"]])
    assert flapped == pytest.approx(NOYES["maximum_lift_flap"], rel=0.12)


def test_increment_has_the_sign_but_falls_short(wings: dict[float | None, WingLift]) -> None:
    """Found 0.40 where 0.56 was measured: outside 12 per cent, which the documents say."""
    found = largest(wings[NOYES["maximum_lift_flap_deg"]]) - largest(wings[None])
    measured = NOYES["maximum_lift_flap"] - NOYES["maximum_lift_plain"]
    assert 0.6 * measured < found < 1.1 * measured


def test_rank_of_settings(wings: dict[float | None, WingLift]) -> None:
    assert largest(wings[0.0]) < largest(wings[20.0]) < largest(wings[NOYES["maximum_lift_flap_deg"]])
