"""Closure: every derivative against central differences, over wide ranges."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slowflight.flow.integral.closure import amplification, laminar_closure, turbulent_closure
from slowflight.flow.integral.layer import turbulent_share
from slowflight.flow.solution import FloatArray

STEP = 1e-5
Values = Callable[..., Sequence[float]]


def differences(function: Values, at: tuple[float, ...], index: int, step: float = STEP) -> FloatArray:
    """Central differences of all values with respect to one argument."""
    up, down = list(at), list(at)
    up[index] += step
    down[index] -= step
    change: FloatArray = (np.array(function(*up)) - np.array(function(*down))) / (2.0 * step)
    return change


def agree(found: float, expected: float, scale: float) -> None:
    assert found == pytest.approx(expected, rel=2e-5, abs=2e-6 * max(scale, 1e-6))


@given(H=st.floats(1.06, 40.0), L=st.floats(2.0, 12.0))
def test_laminar_derivatives(H: float, L: float) -> None:
    assume(min(abs(H - 4.0), abs(H - 7.4)) > 1e-3)  # the fits join there
    values = laminar_closure(H, L)
    for index in (0, 1):
        numeric = differences(laminar_closure, (H, L), index)
        for column in (0, 3, 6):
            agree(values[column + 1 + index], float(numeric[column]), abs(values[column]))


@pytest.mark.parametrize("wake", [False, True])
@given(H=st.floats(1.02, 30.0), L=st.floats(2.0, 12.0), S=st.floats(0.005, 0.4))
def test_turbulent_derivatives(wake: bool, H: float, L: float, S: float) -> None:
    values = turbulent_closure(H, L, S, wake)
    assume(np.isfinite(values).all())
    # ln H* bends where H passes H0 and the power law of friction is held below Re_theta 20
    assume(abs(L - 3.0) > 1e-3)
    assume(abs(H - joint(L)) > 1e-2)
    step = min(STEP, 1e-3 * (H - 1.0))
    for index, columns in ((0, (0, 3, 6, 10, 13)), (1, (0, 3, 6, 10, 13)), (2, (6,))):
        numeric = differences(lambda h, lo, s: turbulent_closure(h, lo, s, wake), (H, L, S), index, step)
        for column in columns:
            place = column + 1 + index
            assert values[place] == pytest.approx(
                float(numeric[column]),
                rel=1e-4,
                abs=1e-5 * max(abs(values[column]), 1e-4) / min(1.0, H - 1.0),
            )


def joint(L: float) -> float:
    """Shape factor at which the two turbulent fits of H* meet."""
    high = float(np.exp(L))
    return float(3.0 + 400.0 / (0.5 * (high + 400.0 + np.sqrt((high - 400.0) ** 2 + 1600.0))))


@given(H=st.floats(2.05, 20.0), L=st.floats(2.0, 11.0))
def test_amplification_derivatives(H: float, L: float) -> None:
    assume(abs(H - 12.0) > 1e-3)
    value, by_shape, by_thickness = amplification(H, L)
    assert value >= 0.0
    for index, found in ((0, by_shape), (1, by_thickness)):
        numeric = float(differences(amplification, (H, L), index)[0])
        assert found == pytest.approx(numeric, rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("H", [4.0, 7.4])
def test_laminar_fits_join_without_a_jump(H: float) -> None:
    below, above = laminar_closure(H - 1e-9, 5.0), laminar_closure(H + 1e-9, 5.0)
    for column in (0, 3, 6):
        assert above[column] == pytest.approx(below[column], rel=1e-6, abs=1e-12)


@given(L=st.floats(4.0, 11.0), S=st.floats(0.01, 0.2))
def test_turbulent_fits_join_without_a_jump(L: float, S: float) -> None:
    H = joint(L)
    below, above = (np.array(turbulent_closure(H + e, L, S, False)) for e in (-1e-8, 1e-8))
    assert np.allclose(below[[0, 3, 6, 10]], above[[0, 3, 6, 10]], rtol=1e-5, atol=1e-9)


def test_turbulent_share_is_smooth_and_rises_once() -> None:
    critical = 9.0
    n = np.linspace(8.0, 11.0, 3001)
    share = np.array([turbulent_share(v, critical) for v in n])
    assert share[0, 0] == 0.0
    assert share[-1, 0] == 1.0
    assert np.all(np.diff(share[:, 0]) >= 0.0)
    numeric = np.gradient(share[:, 0], n)
    assert np.max(np.abs(numeric - share[:, 1])[1:-1]) < 4e-3  # no jump even in the slope
    assert np.max(np.abs(np.diff(share[:, 1]))) < 7e-3


def test_wake_dissipation_vanishes_as_the_velocity_defect_does() -> None:
    """Own departure: without it the far wake reaches H = 1 in a finite length."""
    near_one = turbulent_closure(1.0 + 1e-6, 8.0, 0.05, True)
    full = turbulent_closure(1.4, 8.0, 0.05, True)
    assert near_one[6] < 1e-6 * full[6]
    assert near_one[3] == 0.0  # no wall
