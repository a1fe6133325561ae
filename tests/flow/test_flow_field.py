"""Velocities around a solved section agree with what the solution says on its surface and far away."""

from __future__ import annotations

import numpy as np
import pytest

from slowflight.errors import Unconverged
from slowflight.flow.flow_field import flow_field
from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.integral.outer_velocity import outer_velocity
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.flow.integral.sweep import SweepPoint
from slowflight.flow.lift_curve import lift_curve
from slowflight.wing.naca import naca_section

REYNOLDS = 1.5e6


def test_velocity_beside_the_surface_is_that_of_the_layers_edge() -> None:
    model = section_model(naca_section("naca4415"), reynolds=REYNOLDS)
    solved = solve(model, 0.1)
    system, nb = model.system, model.body_stations
    x = system.middle_x - 1e-6 * np.sin(system.angle)
    y = system.middle_y + 1e-6 * np.cos(system.angle)
    local = outer_velocity(model, solved, x, y) * np.exp(1j * system.angle)
    lower = np.arange(nb) <= solved.stagnation
    speed = np.where(lower, -1.0, 1.0) * np.exp(solved.state[:nb, 4])
    mass = np.where(lower, -1.0, 1.0) * mass_defects(solved.state)[:nb]
    blown = np.diff(mass) / np.diff(system.body.arc)
    # mid-panel speeds of a linear sheet, and the normal velocity that a source panel blows
    np.testing.assert_allclose(local.real, 0.5 * (speed[1:] + speed[:-1]), atol=0.03)
    np.testing.assert_allclose(-local.imag, blown, atol=2e-4)


def test_far_field_is_the_stream_and_a_vortex_of_the_lift() -> None:
    """Circulation of cl/2 times chord and speed (Kutta and Joukowski), and the sources of the wake."""
    model = section_model(naca_section("naca4415"), reynolds=REYNOLDS)
    solved = solve(model, 0.1)
    around = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    radius = 60.0
    z = 0.5 + radius * np.exp(1j * around)
    w = outer_velocity(model, solved, z.real, z.imag)
    free = complex(np.cos(0.1), -np.sin(0.1))
    loop = np.sum((w - free) * 1j * radius * np.exp(1j * around)).real * (around[1] - around[0])
    curve = lift_curve(naca_section("naca4415"), reynolds=REYNOLDS, angles_deg=[float(np.degrees(0.1))])
    assert curve.points[0].cl is not None
    # the wake has no circulation of its own, so pressures and circulation differ by its curvature's lift
    assert -2.0 * loop == pytest.approx(curve.points[0].cl, rel=0.03)


def test_field_marks_the_air_that_has_let_go_behind_its_start() -> None:
    x, y = np.linspace(-0.3, 1.5, 91), np.linspace(-0.3, 0.4, 71)
    field = flow_field(naca_section("naca4415"), reynolds=REYNOLDS, alpha_deg=17.0, x=x, y=y)
    assert field.separation_upper is not None
    columns = np.nonzero(field.slow.any(axis=0))[0]
    # nothing but a thin nose bubble lies ahead of the separation
    assert x[columns].max() > 1.0
    tall = field.slow.sum(axis=0)
    assert np.all(tall[x < field.separation_upper - 0.05] <= 1)
    assert np.all(np.isnan(field.u) == np.isnan(field.v))
    assert np.isnan(field.u).any()
    calm = flow_field(naca_section("naca4415"), reynolds=REYNOLDS, alpha_deg=3.0, x=x, y=y)
    assert calm.slow.sum() < 0.02 * field.slow.sum()


def test_angle_without_answer_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    module = "slowflight.flow.flow_field.sweep"
    monkeypatch.setattr(module, lambda model, angles, begin: [SweepPoint(angles[-1], None, "failed")])
    grid = np.linspace(-0.5, 1.5, 5)
    with pytest.raises(Unconverged, match="NACA 4415: no converged flow at 20 deg"):
        flow_field(naca_section("naca4415"), reynolds=REYNOLDS, alpha_deg=20.0, x=grid, y=grid)


def test_speed_follows_lift_at_each_angle() -> None:
    curve = lift_curve(
        naca_section("naca4415"),
        reynolds=REYNOLDS,
        angles_deg=[-4.0, 2.0, 8.0, 14.0],
        speed_follows_lift=True,
    )
    for point in curve.points:
        assert point.cl is not None
        assert point.reynolds is not None
        held = max(point.cl, 0.2)
        assert point.reynolds * held**0.5 == pytest.approx(REYNOLDS, rel=5e-4)
    alone = lift_curve(naca_section("naca4415"), reynolds=curve.points[2].reynolds or 0.0, angles_deg=[8.0])
    assert alone.points[0].cl == pytest.approx(curve.points[2].cl, abs=2e-5)
