"""Averages over time on a very small grid: order of the steps, rest of a steady flow, the error of a mean."""

import numpy as np
import pytest
from scipy.signal import lfilter

from slowflight.flow.rans.forces import force
from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.newton import Flow, Marching, solve, uniform_state
from slowflight.flow.rans.sweep import marching
from slowflight.flow.rans.time_average import averaged, batch_error, steady_enough
from slowflight.wing.naca import naca_section

ANGLE = np.radians(4.0)


@pytest.fixture(scope="module")
def solved() -> tuple[Marching, Flow]:
    grid = section_grid(
        naca_section("naca0012", closed_trailing_edge=True), reynolds=1e6, family=GridSize(32, 8, 48, 4)
    )
    here = marching(grid, reynolds=1e6)
    flow = solve(here, alpha=ANGLE, q=uniform_state(here, alpha=ANGLE), first_cfl=5.0, most_steps=150)
    assert flow.converged
    return here, flow


def test_a_steady_flow_stays(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    found = averaged(here, start=flow, alpha=ANGLE, step=0.5, thrown_away=1.0, longest=20.0)
    assert found.settled
    assert found.amplitude < 1e-7
    assert found.lift == pytest.approx(2.0 * flow.circulation, abs=1e-7)


def test_steps_of_time_are_second_order(solved: tuple[Marching, Flow]) -> None:
    here, flow = solved
    ends = []
    for step in (0.2, 0.1, 0.05):
        lifts: list[float] = []
        averaged(
            here, start=flow, alpha=ANGLE + 0.02, step=step, thrown_away=2.0, longest=0.0,
            on_step=lambda time, lift, lifts=lifts: lifts.append(lift),  # type: ignore[misc]
        )  # fmt: skip
        assert len(lifts) == round(2.0 / step)
        ends.append(lifts[-1])
    steady = force(here.at(ANGLE, flow.circulation), flow.q, alpha=ANGLE).lift
    assert abs(ends[-1] - steady) > 100.0 * abs(ends[-1] - ends[-2])  # it moves, and by more than the error
    order = np.log2(abs(ends[0] - ends[1]) / abs(ends[1] - ends[2]))
    assert 1.5 < order < 2.6


def test_error_of_a_mean_is_that_of_a_series_that_remembers() -> None:
    """First-order autoregressive series: standard error of the mean s sqrt((1 + r) / (1 - r) / n).

    Box and Jenkins 1976, chapter 3. The 90 % half band has to hold about nine times of ten.
    """
    rng = np.random.default_rng(4)
    memory, n, held, bands = 0.95, 4000, 0, []
    for _ in range(300):
        noise = rng.normal(size=n)
        noise[0] /= np.sqrt(1.0 - memory**2)
        series = lfilter([1.0], [1.0, -memory], noise)
        bands.append(batch_error(series))
        held += int(abs(np.mean(series)) < bands[-1])
    expected = np.sqrt((1.0 + memory) / (1.0 - memory) / n / (1.0 - memory**2))
    assert np.mean(bands) / 1.895 == pytest.approx(expected, rel=0.1)  # Student's 95th of 100 with 7 degrees
    assert 0.85 < held / 300 < 0.95


def test_a_drift_does_not_settle() -> None:
    t = np.arange(2000.0)
    assert steady_enough(1.0 + 0.01 * np.sin(t))
    assert not steady_enough(1.0 + 0.2 * t / 2000.0 + 0.01 * np.sin(t))
