"""One interval of a layer: exact derivatives, and N and S carried without a remainder."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slowflight.flow.integral.carried import NO_LIMIT, follow, most_forced, share_place
from slowflight.flow.integral.layer import (
    NO_VANES,
    RECORD,
    dead_air,
    interval,
    log_mean,
    spread_over,
    station,
    turbulent_share,
)
from slowflight.flow.solution import FloatArray

REYNOLDS, LAG, CRITICAL = 2e6, 5.0, 9.0


def residuals(
    q1: FloatArray, q2: FloatArray, ds: float, forced: float, handed: FloatArray, wake: bool
) -> tuple[FloatArray, FloatArray, FloatArray]:
    c1, c2 = np.empty(RECORD), np.empty(RECORD)
    station(q1, REYNOLDS, LAG, CRITICAL, wake, c1)
    station(q2, REYNOLDS, LAG, CRITICAL, wake, c2)
    R, J1, J2 = np.empty(4), np.empty((4, 5)), np.empty((4, 5))
    interval(q1, q2, c1, c2, ds, forced, handed, R, J1, J2)
    return R, J1, J2


layers = st.tuples(
    st.floats(np.log(5e-5), np.log(2e-2)),
    st.floats(np.log(0.25), np.log(12.0)),
    st.floats(np.log(0.01), np.log(0.2)),
    st.floats(0.0, 12.0),
    st.floats(np.log(0.1), np.log(3.0)),
)
changes = st.tuples(*[st.floats(-0.2, 0.2)] * 5)


@pytest.mark.parametrize("wake", [False, True])
@given(
    first=layers, change=changes, ds=st.floats(1e-4, 0.05),
    handed=st.sampled_from([NO_VANES, np.array([1e-4, 0.03, 2e-5, 1e-3, -1e-5])]),
)  # fmt: skip
def test_derivatives_of_the_residuals(
    wake: bool,
    first: tuple[float, ...],
    change: tuple[float, ...],
    ds: float,
    handed: FloatArray,
) -> None:
    q1 = np.array(first)
    q2 = q1 + change
    for q in (q1, q2):
        # away from the joints of the piecewise fits, where a central difference means nothing
        H = 1.0 + np.exp(q[1])
        high = REYNOLDS * np.exp(q[0] + q[4])
        joint = 3.0 + 400.0 / (0.5 * (high + 400.0 + np.sqrt((high - 400.0) ** 2 + 1600.0)))
        assume(min(abs(H - 4.0), abs(H - 7.4), abs(H - 12.0), abs(H - joint)) > 1e-3)
        assume(H < 12.9 and abs(np.log(high) - 3.0) > 1e-3)
    R, J1, J2 = residuals(q1, q2, ds, 0.0, handed, wake)
    step = 1e-6
    for which, exact in ((0, J1), (1, J2)):
        for v in range(5):
            ends = [[q1.copy(), q2.copy()] for _ in range(2)]
            ends[0][which][v] += step
            ends[1][which][v] -= step
            up, down = (residuals(a, b, ds, 0.0, handed, wake)[0] for a, b in ends)
            numeric = (up - down) / (2.0 * step)
            # round-off of the residuals over the step, which grows with the size of their terms
            scale = 1.0 + np.abs(R) + np.max(np.abs(exact), axis=1)
            assert np.all(np.abs(numeric - exact[:, v]) < 2e-5 * scale), (which, v, numeric, exact[:, v])


@given(
    first=layers, change=changes, ds=st.floats(1e-4, 0.05), forced=st.sampled_from([0.0, 0.4, 12.0]),
    wake=st.booleans(), limit=st.sampled_from([NO_LIMIT, CRITICAL + 0.3, CRITICAL + 0.9]),
)  # fmt: skip
def test_amplification_and_shear_are_carried_without_remainder(
    first: tuple[float, ...], change: tuple[float, ...], ds: float, forced: float, wake: bool, limit: float
) -> None:
    q1 = np.array(first)
    q2 = q1 + change
    c1, c2 = np.empty(RECORD), np.empty(RECORD)
    station(q1, REYNOLDS, LAG, CRITICAL, wake, c1)
    given, held = follow(q1, q2, c1, c2, ds, forced, REYNOLDS, LAG, CRITICAL, wake, limit)
    R, J1, J2 = np.empty(4), np.empty((4, 5)), np.empty((4, 5))
    interval(q1, q2, c1, c2, ds, given, NO_VANES, R, J1, J2)
    assert abs(R[2]) < 1e-8
    if held:
        assert q2[3] == limit
        assert 0.0 < given < forced
    elif not wake:
        assert abs(R[3]) < 1e-8 * max(1.0, q2[3])


@given(first=layers, change=changes, gaps=st.tuples(st.floats(0.0, 0.005), st.floats(0.0, 0.005)))
def test_derivatives_of_the_dead_air(
    first: tuple[float, ...], change: tuple[float, ...], gaps: tuple[float, float]
) -> None:
    ends = [np.array(first), np.array(first) + change]

    def added(q1: FloatArray, q2: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        R, J1, J2 = np.zeros(4), np.zeros((4, 5)), np.zeros((4, 5))
        dead_air(q1, q2, *gaps, R, J1, J2)
        return R, J1, J2

    exact = added(*ends)[1:]
    for which in range(2):
        for v in range(5):
            up, down = ([q.copy() for q in ends] for _ in range(2))
            up[which][v] += 1e-6
            down[which][v] -= 1e-6
            numeric = (added(*up)[0] - added(*down)[0]) / 2e-6
            assert numeric == pytest.approx(exact[which][:, v], rel=1e-5, abs=1e-6)


def test_dead_air_pulls_momentum_from_the_wake() -> None:
    """Exact: without friction, d(u^2 theta) = -(delta* + gap) u du, here over a small step of the speed."""
    theta, gap, x = 0.01, 0.004, 1e-4
    q1 = np.array([np.log(theta), np.log(0.4), np.log(0.05), 20.0, 0.0])
    q2 = q1 + np.array([0.0, 0.0, 0.0, 0.0, x])
    R, J1, J2 = residuals(q1, q2, 0.01, 0.0, NO_VANES, True)
    dead_air(q1, q2, gap, gap, R, J1, J2)
    q2[0] -= R[0]  # the momentum thickness that the equation asks for
    pull = np.exp(q2[0] + 2.0 * x) - theta
    assert pull == pytest.approx(-(1.4 * theta + gap) * x, rel=1e-3)


@given(u=st.floats(0.05, 3.0), x=st.floats(-0.5, 0.5))
def test_logarithmic_mean_joins_its_series_and_its_derivatives_are_exact(u: float, x: float) -> None:
    assume(abs(abs(x) - 1e-4) > 1e-5)
    value, by_first, by_second = log_mean(u, u * np.exp(x))
    assert min(1.0, np.exp(x)) * u * (1 - 1e-12) <= value <= max(1.0, np.exp(x)) * u * (1 + 1e-12)
    e = 1e-5
    first = (log_mean(u * np.exp(e), u * np.exp(x))[0] - log_mean(u * np.exp(-e), u * np.exp(x))[0]) / (2 * e)
    second = (log_mean(u, u * np.exp(x + e))[0] - log_mean(u, u * np.exp(x - e))[0]) / (2 * e)
    assert by_first == pytest.approx(first, rel=1e-4)
    assert by_second == pytest.approx(second, rel=1e-4)


def test_a_uniform_stream_without_friction_keeps_its_layer() -> None:
    """Exact: in a wake of even speed momentum thickness does not change."""
    q1 = np.array([np.log(0.01), np.log(0.5), np.log(0.05), 20.0, 0.0])
    R, _, _ = residuals(q1, q1.copy(), 0.05, 0.0, NO_VANES, True)
    assert R[0] == pytest.approx(0.0, abs=1e-14)


def test_spreading_takes_two_panels_at_least() -> None:
    for ds in (1e-4, 1e-2):
        assert spread_over(ds, 1e-9)[0] <= 1.0
        value, by_thickness = spread_over(ds, 1e-4)
        numeric = (spread_over(ds, 1e-4 * np.exp(1e-6))[0] - spread_over(ds, 1e-4 * np.exp(-1e-6))[0]) / 2e-6
        assert value > 0.0
        assert by_thickness == pytest.approx(numeric, rel=1e-4)


def test_a_trips_turbulent_share_is_the_part_of_its_length_behind_it() -> None:
    """Exact by construction, over a panel longer than a trip and over one shorter."""
    for a1, a2, length in ((0.10, 0.12, 0.02), (0.10, 0.102, 0.008)):
        for part in (0.1, 0.5, 0.9):
            trips = np.array([[1.0, a2 - part * length, 12.0], [0.0, a2 - 0.5 * length, 12.0]])
            most = most_forced(a1, a2, trips, 1, 0.0, CRITICAL)
            assert turbulent_share(most, CRITICAL)[0] == pytest.approx(part)
        assert most_forced(a1, a2, np.array([[1.0, a2 + 1e-6, 12.0]]), 1, 0.0, CRITICAL) == NO_LIMIT
        assert most_forced(a1, a2, np.array([[1.0, a2 - 2.0 * length, 12.0]]), 1, 0.0, CRITICAL) == NO_LIMIT
    assert share_place(0.5) == pytest.approx(0.5)
