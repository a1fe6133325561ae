"""Round the stall: folds, both branches, the kind of stall, and the blend past the last answer."""

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight import sources
from slowflight.flow.integral.branch import follow_branch
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.flow.integral.sweep import _Sweeper
from slowflight.flow.integral.wake import coupled_at
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.separated_blend import FARTHEST, plate_normal_force, with_blend
from slowflight.flow.solution import LiftCurve
from slowflight.wing.naca import naca_section


@pytest.fixture(scope="module")
def thin() -> LiftCurve:
    return lift_curve(naca_section("0006"), reynolds=2e6, angles_deg=[float(a) for a in range(27)])


@pytest.fixture(scope="module")
def thick() -> LiftCurve:
    angles = [0.0, 2.0, 4.0, 8.0, *(float(a) for a in range(10, 41))]
    return lift_curve(naca_section("4412"), reynolds=2e6, angles_deg=angles)


def test_speeds_go_with_the_angle_as_said() -> None:
    """Against a difference of the speeds on the body, which no wake path changes."""
    system = section_model(naca_section("2412"), reynolds=2e6).system
    low, mid, high = (coupled_at(system, 0.1 + d, wake_nodes=36) for d in (-1e-5, 0.0, 1e-5))
    n = system.body.x.size
    assert np.allclose(mid.per_angle[:n], (high.q0[:n] - low.q0[:n]) / 2e-5, atol=1e-6)


def test_a_branch_without_folds_is_what_fixed_angles_give() -> None:
    model = section_model(naca_section("4412"), reynolds=2e6, transition=(0.05, 0.05))
    runner = _Sweeper(model)
    last = solve(model, np.radians(12.0))
    before = runner.at(np.radians(11.7), last)
    path = follow_branch(runner.bordered, before, last, until=np.radians(15.0))
    assert path[-1].alpha > np.radians(15.0)
    masses = [runner.bordered.mass(s, 1) for s in (last, *path)]
    assert masses == sorted(masses)
    again = runner.at(path[-2].alpha, path[-3])
    assert again.converged
    assert np.allclose(again.state[:, 4], path[-2].state[:, 4], atol=5e-3)  # its wake may lie by 0.1 deg


def test_a_thin_section_has_two_answers_and_stalls_at_once(thin: LiftCurve) -> None:
    assert all(p.converged for p in thin.points)
    assert thin.stall is not None
    assert thin.stall.abrupt
    assert thin.stall.kind == "from the nose"
    assert not thin.stall.vane_gain_counts
    assert thin.cl_max is not None
    assert thin.alpha_cl_max_deg is not None
    below = max((p for p in thin.points if p.alpha_deg < thin.alpha_cl_max_deg), key=lambda p: p.alpha_deg)
    assert below.stalled_cl is not None
    assert below.cl is not None
    assert below.stalled_cl < below.cl <= thin.cl_max
    assert any("two answers" in w for w in below.warnings)
    for p in thin.points:
        assert p.extrapolated == (p.alpha_deg > thin.alpha_cl_max_deg)
    assert any("no gain of vanes" in w for w in thin.warnings)
    assert set(thin.sources) <= set(sources.bibliography())


def test_a_plate_square_to_the_stream() -> None:
    """Lamb, Hydrodynamics, section 77: 2 pi / (4 + pi), or 0.880."""
    assert plate_normal_force(0.5 * math.pi) == pytest.approx(0.880, abs=5e-4)
    assert plate_normal_force(1e-6) == pytest.approx(0.5 * math.pi * 1e-6, rel=1e-5)


def test_past_the_last_answer_points_are_blended_and_say_so(thick: LiftCurve) -> None:
    assert thick.stall is not None
    assert not thick.stall.abrupt
    last = max(p.alpha_deg for p in thick.points if p.converged)
    assert 20.0 < last < 36.0
    for p in thick.points:
        if p.alpha_deg <= last:
            assert not p.blended
        elif p.blended:
            assert p.extrapolated
            assert not p.converged
            assert p.cl is not None
            assert p.cd is not None
            assert 0.5 < p.cl <= 1.1
            assert any("blended" in w for w in p.warnings)
            assert p.alpha_deg <= min(last + FARTHEST, 30.0)
        else:
            assert p.cl is None
            assert any("no blend either" in w for w in p.warnings)
    assert any(p.blended for p in thick.points)


def test_nothing_is_blended_from_air_still_on(thick: LiftCurve) -> None:
    cut = [
        replace(p, converged=False, cl=None, blended=False) if p.alpha_deg > 12.0 else p for p in thick.points
    ]
    assert not any(p.blended for p in with_blend(cut, tail=(1.0, 0.0)))
