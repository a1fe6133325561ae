"""Two bodies without layers against the exact solution of Williams, ARC R&M 3717 (1973)."""

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from slowflight.flow.integral.bodies.panel_system import BodiesSystem, Body, bodies_system, velocities
from slowflight.flow.integral.outline import Outline
from slowflight.flow.solution import FloatArray
from tests.flow.bodies.cases import williams_element, williams_pressures

NAMES = ("main", "flap")
# His trailing edges are sharp: next to nothing is rounded off them here.
SHARP = {"fairing": 2e-4, "least_gap": 1e-5}


def paneled(panels: tuple[int, int], **edges: float) -> BodiesSystem:
    return bodies_system(tuple(williams_element(n) for n in NAMES), panels=panels, **edges)


def node_speeds(system: BodiesSystem, k: int) -> FloatArray:
    """At zero angle of attack."""
    return np.asarray(system.unit_speed[system.node_from[k] : system.node_from[k + 1], 0])


def lift(system: BodiesSystem, k: int) -> float:
    pressure = 1.0 - node_speeds(system, k) ** 2
    return -float(np.sum(0.5 * (pressure[1:] + pressure[:-1]) * np.diff(system.bodies[k].outline.x)))


def exact_lift(name: str) -> float:
    """By trapezoids over the table, which the two published figures 2.898 and 0.829 are."""
    x, pressure = williams_pressures(name)
    return -float(np.sum(0.5 * (pressure[1:] + pressure[:-1]) * np.diff(x)))


def arc_of(outline: Outline, x: FloatArray) -> FloatArray:
    """Places on the outline of the table's points, which come lower trailing edge first."""
    nose, turn = int(np.argmin(outline.x)), int(np.argmin(x))
    lower = np.interp(x[:turn], outline.x[nose::-1], outline.arc[nose::-1])
    upper = np.interp(x[turn:], outline.x[nose:], outline.arc[nose:])
    return np.concatenate((lower, upper))


def pressure_errors(body: Body, speeds: FloatArray, name: str) -> FloatArray:
    """Error of the pressure over the local speed squared, not within 2 % of chord of nose and tail.

    The table's places have five digits: at the nose, where x hardly changes along the skin, they say nothing.
    """
    x, exact = williams_pressures(name)
    found = 1.0 - CubicSpline(body.outline.arc, speeds)(arc_of(body.outline, x)) ** 2
    clear = (x > x.min() + 0.02 * body.chord) & (x < x.max() - 0.02 * body.chord)
    return np.asarray(((found - exact) / np.maximum(1.0 - exact, 0.5))[clear])


@pytest.mark.parametrize("k", [0, 1])
def test_lift_within_one_per_cent(k: int) -> None:
    """With the panels and the trailing edges that the layers are computed on, and with sharp ones."""
    for edges in ({}, SHARP):
        assert lift(paneled((160, 100), **edges), k) == pytest.approx(exact_lift(NAMES[k]), rel=0.003)


def test_table_gives_the_published_lift() -> None:
    assert exact_lift("main") == pytest.approx(2.898, abs=5e-4)
    assert exact_lift("flap") == pytest.approx(0.829, abs=5e-4)


@pytest.mark.parametrize(("k", "worst", "mean"), [(0, 0.06, 0.01), (1, 0.03, 0.008)])
def test_pressures_point_by_point(k: int, worst: float, mean: float) -> None:
    """To within the table's own outline: resampled, it waves on the main airfoil's lower side at 0.41."""
    system = paneled((160, 100), **SHARP)
    errors = pressure_errors(system.bodies[k], node_speeds(system, k), NAMES[k])
    assert errors.size > 45
    assert np.max(np.abs(errors)) < worst
    assert np.sqrt(np.mean(errors**2)) < mean


def test_suction_peaks() -> None:
    system = paneled((160, 100), **SHARP)
    for k, name in enumerate(NAMES):
        peak = 1.0 - float(np.max(node_speeds(system, k) ** 2))
        assert peak == pytest.approx(float(np.min(williams_pressures(name)[1])), rel=0.06), name


def test_lift_settles_as_panels_are_refined() -> None:
    """Each halving takes at least half of the change away: first order or better, in both bodies together."""
    coarse, middle, fine = (
        sum(lift(paneled(n, **SHARP), k) for k in (0, 1)) for n in ((80, 50), (160, 100), (320, 200))
    )
    assert abs(fine - middle) < 0.5 * abs(middle - coarse)


def test_no_air_through_the_skin_of_either() -> None:
    """The exact condition of the method: nothing crosses a panel, whichever body blows or turns the air."""
    system = paneled((160, 100))
    inside = 1e-7
    normal_x, normal_y = -np.sin(system.angle), np.cos(system.angle)
    x, y = system.middle_x - inside * normal_x, system.middle_y - inside * normal_y
    w = np.full(x.size, complex(np.cos(0.1), -np.sin(0.1)))
    q = system.unit_speed @ np.array([np.cos(0.1), np.sin(0.1)])
    for k, body in enumerate(system.bodies):
        vortex, _ = velocities(body, x, y)
        w = w + vortex @ q[system.node_from[k] : system.node_from[k + 1]]
    assert np.max(np.abs(w.real * normal_x - w.imag * normal_y)) < 2e-4
