"""The end to how full a layer gets, exactness of the common Newton step, and lowering of the flap."""

import math
from itertools import pairwise

import numpy as np
import pytest

from slowflight.flow.integral import coupling
from slowflight.flow.integral.bodies.model import elements_model, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import lowered
from slowflight.flow.integral.full_layer import FULLEST, FULLEST_WAKE, too_full
from slowflight.wing.elements import single
from slowflight.wing.naca import naca_section
from tests.flow.bodies.cases import hung

FORCED: tuple[float, float] = (0.05, 0.05)
QUADRATIC = 30.0  # largest residual after a step over the square of that before it


@pytest.mark.parametrize("fullest", [FULLEST, FULLEST_WAKE])
@pytest.mark.parametrize("less", [-0.5, -1e-9, 0.1, 1.0])
@pytest.mark.parametrize("x", [-0.1, 0.02, 0.4])
def test_fullness_is_smooth_and_its_derivatives_are_exact(fullest: float, less: float, x: float) -> None:
    """Against central differences; nothing is added to layers that slow down or are not that full."""
    h, step = fullest - less, 1e-6

    def value_at(h: float, x: float) -> float:
        return float(too_full(h, x, fullest)[0])

    value, by_h, by_x = too_full(h, x, fullest)
    assert by_h == pytest.approx((value_at(h + step, x) - value_at(h - step, x)) / (2 * step), abs=1e-6)
    assert by_x == pytest.approx((value_at(h, x + step) - value_at(h, x - step)) / (2 * step), abs=1e-6)
    if less < 0.0 or x < 0.0:
        assert (value, by_h, by_x) == (0.0, 0.0, 0.0)
    else:
        assert value > 0.0


@pytest.mark.parametrize("fullest", [FULLEST, FULLEST_WAKE])
def test_drive_is_gone_where_it_is_said_to_be(fullest: float) -> None:
    """The energy equation's drive (H - 1) x and what is added to it cancel about 0.3 below."""
    h = np.linspace(fullest, fullest - 0.6, 601)
    left = np.exp(h) - np.array([too_full(float(v), 1.0, fullest)[0] for v in h])
    assert h[np.argmin(np.abs(left))] == pytest.approx(fullest - 0.3, abs=0.02)


def test_newton_converges_quadratically_on_two_bodies(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only an exact derivative does: layers, wakes, vortices and both Kutta conditions in one step."""
    monkeypatch.setattr(coupling, "KEPT_BELOW", 0.0)  # each step with factors of its own
    model = elements_model(hung(16.0), reynolds=2e6, transition=FORCED, flap_transition=FORCED)
    begin = solve_bodies(model, math.radians(4.0))
    assert begin.converged
    residuals: list[float] = []
    for most in range(1, 12):
        tried = solve_bodies(model, math.radians(4.5), near=begin, most_iterations=most)
        residuals.append(tried.residual)
        if tried.converged:
            break
    late = [r for r in residuals if r < 3e-2]
    assert len(late) >= 2
    assert late[-1] < 1e-7
    for before, after in pairwise(late):
        assert after < QUADRATIC * before**2 + 1e-9


def test_flap_lowered_step_by_step_comes_to_the_same_answer() -> None:
    model = elements_model(hung(20.0), reynolds=2e6, transition=FORCED, flap_transition=FORCED)
    alpha = math.radians(2.0)
    by_steps, direct = lowered(model, alpha), solve_bodies(model, alpha)
    assert by_steps is not None
    assert direct.converged
    first, second = (total(element_forces(model, s)) for s in (by_steps, direct))
    assert first.cl == pytest.approx(second.cl, abs=1e-5)
    assert first.cd == pytest.approx(second.cd, abs=1e-6)


def test_single_sections_are_never_that_full() -> None:
    """What is added in slots does not act on a section alone, from before to past maximum lift."""
    model = elements_model(single(naca_section("4412")), reynolds=2e6)
    near = None
    for alpha_deg in (-2.0, 2.0, 6.0, 10.0, 13.0):
        near = solve_bodies(model, math.radians(alpha_deg), near=near)
        assert near.converged
        body = near.state[: model.system.bodies[0].outline.x.size, 1]
        assert body.min() > FULLEST
