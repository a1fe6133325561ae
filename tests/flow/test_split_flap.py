"""A split flap: its outline, its dead air, and lift through its maximum."""

import math

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.integral.panels import CLOSING, closing_length, gap_left
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.flow.lift_curve import SPLIT, lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.flap import at_setting, deflect_split
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section

BARE = naca_section("23012")


def split(angle_deg: float) -> Section:
    return deflect_split(BARE, chord=0.2, angle=math.radians(angle_deg))


def test_the_flap_is_an_exact_rotation_and_the_upper_skin_stays() -> None:
    down = split(30.0)
    assert down.flap is not None
    hinge = np.array([down.flap.hinge_x, down.flap.hinge_y])
    assert hinge[0] == pytest.approx(0.8, abs=1e-9)
    bare_edge = np.array([BARE.x[0], BARE.y[0]]) - hinge
    edge = np.array([down.x[0], down.y[0]]) - hinge
    assert math.hypot(*edge) == pytest.approx(math.hypot(*bare_edge), abs=1e-12)
    turn = math.atan2(bare_edge[1], bare_edge[0]) - math.atan2(edge[1], edge[0])
    assert math.degrees(turn) == pytest.approx(30.0, abs=1e-9)
    upper = BARE.nose_index
    assert np.array_equal(down.x[down.nose_index :], BARE.x[upper:])
    assert np.array_equal(down.y[down.nose_index :], BARE.y[upper:])
    # by the chord of a circle, but for the thickness of the section's own trailing edge
    assert down.trailing_edge_gap == pytest.approx(2 * math.hypot(*edge) * math.sin(math.pi / 12), abs=3e-3)
    assert np.allclose(at_setting(down, angle=math.radians(10.0)).x, split(10.0).x, atol=1e-12)


@pytest.mark.parametrize(("chord", "angle"), [(0.2, -0.1), (0.7, 0.2), (0.2, 2.0)])
def test_what_is_no_split_flap_is_refused(chord: float, angle: float) -> None:
    with pytest.raises(RangeError, match="flap"):
        deflect_split(BARE, chord=chord, angle=angle)


def test_a_wide_gap_closes_farther_behind_and_a_thin_one_as_ever() -> None:
    assert closing_length(0.002) == CLOSING
    assert closing_length(0.1) == pytest.approx(0.4)
    assert gap_left(0.0, 0.1) == pytest.approx(0.1)
    assert gap_left(0.2, 0.1) == pytest.approx(0.05)
    assert gap_left(0.4, 0.1) == 0.0


def test_pressures_and_circulation_give_one_lift() -> None:
    """With the dead air's pressure on the open trailing edge the two agree as they do without a flap."""
    model = section_model(split(10.0), reynolds=3e6, transition=(0.05, 0.05))
    solved = solve(model, math.radians(2.0))
    assert solved.converged
    found = coefficients(model, solved)
    assert found.cl == pytest.approx(found.cl_circulation, rel=0.04)


@pytest.fixture(scope="module")
def forty() -> LiftCurve:
    return lift_curve(split(40.0), reynolds=3e6, angles_deg=[0.0, *(float(a) for a in range(2, 19))])


def test_lift_goes_through_its_maximum_at_forty_degrees(forty: LiftCurve) -> None:
    clean = lift_curve(BARE, reynolds=3e6, angles_deg=[0.0, *(float(a) for a in range(10, 20))])
    assert all(p.converged for p in forty.points)
    assert forty.cl_max is not None
    assert clean.cl_max is not None
    assert (forty.alpha_cl_max_deg or 0.0) < (clean.alpha_cl_max_deg or 0.0)
    added = (forty.points[0].cl or 0.0) - (clean.points[0].cl or 0.0)
    # less than thin-airfoil theory (Glauert 1926), more lift at zero angle than at maximum
    at_hinge = math.acos(2.0 * 0.2 - 1.0)
    thin = 2.0 * math.pi * (1.0 - (at_hinge - math.sin(at_hinge)) / math.pi) * math.radians(40.0)
    assert 0.3 * thin < added < thin
    assert 0.3 < forty.cl_max - clean.cl_max < added
    assert SPLIT in forty.warnings
