"""A plain flap far down: answers through maximum lift, reached by lowering the flap."""

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.integral.sweep import _Sweeper
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.flap import PlainFlap, at_setting, deflect
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section


def flapped(angle_deg: float) -> Section:
    return deflect(naca_section("4412"), flap=PlainFlap(chord=0.2), angle=np.radians(angle_deg))


@pytest.fixture(scope="module", params=[20.0, 40.0])
def curve(request: pytest.FixtureRequest) -> LiftCurve:
    angles = [float(a) for a in range(-2, 16)]
    return lift_curve(flapped(request.param), reynolds=2e6, angles_deg=angles)


def test_every_angle_through_maximum_lift_is_answered(curve: LiftCurve) -> None:
    assert all(p.converged for p in curve.points)
    assert curve.cl_max is not None
    assert curve.alpha_cl_max_deg is not None
    assert 5.0 < curve.alpha_cl_max_deg < 14.0
    for p in curve.points:
        assert p.cd is not None
        assert p.cd > 0.0
        assert p.separation_upper is not None


def test_lift_added_lies_between_nothing_and_thin_airfoil_theory() -> None:
    """Glauert: a flap of a share E of chord adds 2 pi tau delta, tau = 1 - (t - sin t)/pi, cos t = 2E - 1."""
    at_hinge = np.arccos(2.0 * 0.2 - 1.0)
    tau = 1.0 - (at_hinge - np.sin(at_hinge)) / np.pi
    lift = {}
    for angle in (0.0, 10.0, 20.0, 40.0):
        section = naca_section("4412") if angle == 0.0 else flapped(angle)
        lift[angle] = lift_curve(section, reynolds=2e6, angles_deg=[0.0]).points[0].cl or 0.0
    shares = [(lift[a] - lift[0.0]) / (2.0 * np.pi * tau * np.radians(a)) for a in (10.0, 20.0, 40.0)]
    # the farther down, the more of the flap stands in air that has let go
    assert 1.0 > shares[0] > shares[1] > shares[2] > 0.2


def test_two_ways_lead_to_one_answer() -> None:
    """Lowered at 4 deg and followed down to 1, or lowered at 1 deg."""
    model = section_model(flapped(30.0), reynolds=2e6, transition=(0.05, 0.05))
    runner = _Sweeper(model)
    there, here = runner.lowered(np.radians(4.0)), runner.lowered(np.radians(1.0))
    assert there is not None
    assert here is not None
    followed = runner.reach(np.radians(1.0), there)
    assert followed.converged
    assert np.allclose(followed.state[:, 4], here.state[:, 4], atol=1e-5)


def test_without_a_flap_nothing_is_lowered() -> None:
    assert _Sweeper(section_model(naca_section("4412"), reynolds=2e6)).lowered(0.0) is None


def test_at_setting_draws_what_deflect_draws() -> None:
    again, direct = at_setting(flapped(30.0), angle=np.radians(12.0)), flapped(12.0)
    assert np.allclose(again.x, direct.x, atol=1e-12)
    assert np.allclose(again.y, direct.y, atol=1e-12)
    with pytest.raises(RangeError):
        at_setting(naca_section("4412"), angle=0.1)
