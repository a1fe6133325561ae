"""A flap set behind a section: places, slot and refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.elements import Element, Elements, hung_flap, planned, single
from slowflight.wing.flap import PlainFlap, deflect
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.naca import naca_section

MAIN, FLAP = naca_section("0012"), naca_section("0012")


def hung(
    angle_deg: float = 0.0,
    *,
    chord: float = 0.2,
    axis_aft: float = 0.0125,
    axis_below: float = 0.05,
    axis_in_flap: float = 0.2,
) -> Elements:
    return hung_flap(
        MAIN, FLAP, chord=chord, axis_aft=axis_aft, axis_below=axis_below, axis_in_flap=axis_in_flap,
        angle=math.radians(angle_deg),
    )  # fmt: skip


@pytest.mark.parametrize("angle_deg", [-10.0, 0.0, 31.0, 40.0])
def test_axis_stays_and_trailing_edge_goes_down(angle_deg: float) -> None:
    """Plane geometry: the axis is fixed; the flap's ends lie on its chord line either side of it."""
    flap = hung(angle_deg).bodies[1]
    angle = math.radians(angle_deg)
    for own, behind in ((0.0, -0.04), (0.2, 0.0), (1.0, 0.16)):
        x, y = flap.placed(np.array([own]), np.array([0.0]))
        assert x[0] == pytest.approx(1.0125 + behind * math.cos(angle), abs=1e-12)
        assert y[0] == pytest.approx(-0.05 - behind * math.sin(angle), abs=1e-12)


def test_own_undoes_placed() -> None:
    flap = hung(27.0).bodies[1]
    x, y = flap.own(*flap.placed(FLAP.x, FLAP.y))
    np.testing.assert_allclose(x, FLAP.x, atol=1e-14)
    np.testing.assert_allclose(y, FLAP.y, atol=1e-14)


def test_slot_of_a_flap_level_below() -> None:
    """Counted by hand: the nose 4 % ahead of an axis 1.25 % aft; the skin's top below the wing's tail.

    The flap's skin 2.75 % of the main chord behind its nose, 13.75 % of its own chord, stands under the tail:
    0.0098 chord above the flap's chord line by the 0012's formula (NACA Report 460), 0.0402 below the tail;
    the shortest way is a little less.
    """
    elements = hung()
    assert elements.overlap == pytest.approx(0.0275, abs=1e-6)
    t = 0.1375
    half = 5 * 0.12 * (0.2969 * t**0.5 - 0.1260 * t - 0.3516 * t**2 + 0.2843 * t**3 - 0.1015 * t**4) * 0.2
    # the tail itself is open by 0.25 % of chord: its lower corner is nearer
    straight_down = 0.05 - half - 0.00126
    assert elements.gap is not None
    assert straight_down - 0.001 < elements.gap <= straight_down
    assert elements.clearance is not None
    assert elements.clearance <= elements.gap


def test_slot_far_behind_is_the_distance_of_tail_and_nose() -> None:
    elements = hung(axis_aft=0.25, axis_below=0.0, axis_in_flap=0.0)
    assert elements.overlap == pytest.approx(-0.25, abs=1e-9)
    assert elements.gap == pytest.approx(0.25, abs=1e-5)  # from a corner of the open tail
    assert elements.clearance == pytest.approx(0.25, abs=1e-5)


def test_flap_turned_into_the_wing_is_refused() -> None:
    """A long nose ahead of an axis close below comes up through the lower skin; the setting is named."""
    hung(0.0, axis_below=0.03, axis_in_flap=0.35)
    with pytest.raises(
        SectionError, match=r"flap setting 40\.0 deg: found a flap that crosses the wing at 9"
    ):
        hung(40.0, axis_below=0.03, axis_in_flap=0.35)


def test_flap_drawn_inside_the_wing_is_refused() -> None:
    with pytest.raises(SectionError, match="crosses"):
        hung(0.0, chord=0.05, axis_aft=-0.3, axis_below=0.0)


def test_skins_that_touch_are_refused() -> None:
    """Half a thousandth of chord of air is less than anyone measures."""
    hung(axis_in_flap=0.0, axis_aft=0.002, axis_below=0.0)
    with pytest.raises(SectionError, match="touches the wing at 100"):
        hung(axis_in_flap=0.0, axis_aft=0.0005, axis_below=0.0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"chord": 0.04}, "flap chord: found 4.0 %"),
        ({"chord": math.nan}, "flap chord"),
        ({"axis_aft": 0.31}, "flap axis_aft"),
        ({"axis_below": -0.4}, "flap axis_below"),
        ({"axis_in_flap": 1.2}, "flap axis_in_flap"),
        ({"angle_deg": 61.0}, "flap setting: found 61.0 deg"),
        ({"angle_deg": math.inf}, "flap setting"),
    ],
)
def test_numbers_out_of_range_are_refused(change: dict[str, float], words: str) -> None:
    with pytest.raises(RangeError, match=words):
        hung(**change)


def test_names_and_angle() -> None:
    assert single(MAIN).name == "NACA 0012"
    assert single(MAIN).flap_angle == 0.0
    assert hung(31.0).name == "NACA 0012 with NACA 0012 flap of 20.0 % chord at 31.0 deg"
    assert hung(31.0).flap_angle == pytest.approx(math.radians(31.0))


PLAN = FlapPlan(
    kind="hung", chord=0.2, settings=(0.0, 0.5), axis_aft=0.0125, axis_below=0.05, axis_in_flap=0.2
)


def test_owner_plan_gives_the_same_flap() -> None:
    by_plan, by_hand = planned(MAIN, FLAP, plan=PLAN, angle=0.5), hung(math.degrees(0.5))
    np.testing.assert_array_equal(by_plan.bodies[1].outline, by_hand.bodies[1].outline)
    assert by_plan.gap == by_hand.gap


def test_plan_that_does_not_say_where_the_axis_is() -> None:
    with pytest.raises(InputError, match="flap axis_below: found unknown"):
        planned(MAIN, FLAP, plan=replace(PLAN, axis_below=None), angle=0.0)
    with pytest.raises(InputError, match="flap kind: found plain"):
        planned(MAIN, FLAP, plan=FlapPlan(kind="plain", chord=0.2, settings=(0.0,)), angle=0.0)


def test_section_with_a_flap_of_its_own_is_refused() -> None:
    bent = deflect(MAIN, flap=PlainFlap(chord=0.2), angle=0.1)
    with pytest.raises(InputError, match="a flap already turned"):
        hung_flap(bent, FLAP, chord=0.2, axis_aft=0.01, axis_below=0.05, axis_in_flap=0.2, angle=0.0)


def test_element_alone_stands_where_its_section_does() -> None:
    x, y = Element(name="main", section=MAIN).outline
    np.testing.assert_array_equal(x, MAIN.x)
    np.testing.assert_array_equal(y, MAIN.y)
