"""Velocities about a section with a hung flap, and their way into a picture."""

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from slowflight.errors import Unconverged
from slowflight.flow.flow_field import elements_flow_field, flow_field
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, elements_model
from slowflight.flow.integral.bodies.outer_velocity import outer_velocity
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import sweep_elements
from slowflight.flow.solution import FloatArray
from slowflight.report.pictures.field import level, read_field
from slowflight.study.field_case import FieldCase
from slowflight.study.section_case import SectionCase
from slowflight.wing.elements import single
from slowflight.wing.naca import naca_section
from tests.flow.bodies.cases import hung

TRIPS = (0.05, 0.1)


@cache
def flowing() -> tuple[ElementsModel, SolvedBodies]:
    model = elements_model(hung(16.0), reynolds=2e6, transition=TRIPS, flap_transition=TRIPS)
    (point,) = sweep_elements(model, [math.radians(6.0)])
    assert point.solved is not None
    assert point.solved.converged
    return model, point.solved


def test_air_just_off_both_skins_has_the_edge_speed() -> None:
    """Mean over the panels away from nose and trailing edge, where speed bends least across a panel."""
    model, solved = flowing()
    for k, body in enumerate(model.system.bodies):
        o = body.outline
        speed = np.exp(solved.state[solved.starts[k] : solved.starts[k] + o.x.size, 4])
        mx, my = 0.5 * (o.x[1:] + o.x[:-1]), 0.5 * (o.y[1:] + o.y[:-1])
        dx, dy = np.diff(o.x), np.diff(o.y)
        size = np.hypot(dx, dy)
        # lower trailing edge, nose, upper trailing edge: outside lies to the left
        x, y = mx - 1e-5 * dy / size, my + 1e-5 * dx / size
        found = np.abs(outer_velocity(model, solved, x, y))
        panel = np.arange(size.size)
        away = (np.abs(panel - body.nose) > 12) & (panel > 8) & (panel < size.size - 8)
        wanted = 0.5 * (speed[1:] + speed[:-1])
        assert np.abs(found / wanted - 1.0)[away].max() < 0.02, body
        assert np.abs(found / wanted - 1.0)[away].mean() < 0.005


def test_circulation_about_both_is_that_of_their_lift() -> None:
    """Kutta and Joukowski: lift coefficient is twice the circulation over speed and chord.

    The wakes' sources have no circulation.
    """
    model, solved = flowing()
    turn = np.linspace(0.0, 2.0 * np.pi, 4000, endpoint=False)
    x, y = 0.6 + 6.0 * np.cos(turn), 6.0 * np.sin(turn)
    w = outer_velocity(model, solved, x, y)
    around = np.mean(w.real * -np.sin(turn) - w.imag * np.cos(turn)) * 2.0 * np.pi * 6.0
    wanted = total(element_forces(model, solved)).cl_circulation
    assert -2.0 * around == pytest.approx(wanted, rel=2e-3)


def grid() -> tuple[FloatArray, FloatArray]:
    return np.linspace(-0.5, 1.7, 45), np.linspace(-0.7, 0.8, 31)


def test_one_element_is_drawn_as_the_section_alone() -> None:
    x, y = grid()
    section = naca_section("4412")
    alone = flow_field(section, reynolds=2e6, alpha_deg=8.0, x=x, y=y, transition=TRIPS)
    found = elements_flow_field(single(section), reynolds=2e6, alpha_deg=8.0, x=x, y=y, transition=TRIPS)
    assert found.flap_outline_x is None
    assert np.array_equal(np.isnan(found.u), np.isnan(alone.u))
    assert np.nanmax(np.abs(found.u - alone.u)) < 2e-3
    assert found.cl == pytest.approx(alone.cl, rel=1e-5)


def test_no_answer_is_no_field() -> None:
    x, y = grid()
    with pytest.raises(Unconverged, match="no converged flow at 60 deg"):
        elements_flow_field(hung(16.0), reynolds=2e6, alpha_deg=60.0, x=x, y=y)


def test_a_picture_of_two_bodies_is_kept_and_read_again(tmp_path: Path) -> None:
    elements = hung(16.0)
    case = FieldCase(
        case=SectionCase(
            section=elements.bodies[0].section, flap=elements.bodies[1], chord=1.4,
            reynolds_at_unit_lift=2e6, angles_deg=(6.0,), transition=TRIPS,
        ),
        alpha_deg=6.0,
    )  # fmt: skip
    result = case.compute()
    assert "problem" not in result
    file = tmp_path / "field.nc"
    file.write_bytes(case.encode(result))
    assert np.array_equal(case.decode(file.read_bytes())["flap_outline_x"], result["flap_outline_x"])
    field = read_field(file)
    nose_x, nose_y = elements.bodies[1].outline
    assert field.flap_outline_x.min() == pytest.approx(nose_x.min(), abs=1e-3)
    assert field.flap_outline_y.min() == pytest.approx(nose_y.min(), abs=2e-3)
    # still air inside both bodies, and the flap turns with the picture
    middle_x, middle_y = field.flap_outline_x.mean(), field.flap_outline_y.mean()
    column, row = np.argmin(np.abs(field.x - middle_x)), np.argmin(np.abs(field.y - middle_y))
    assert np.isnan(field.u[row, column])
    air = level(field, angle_deg=6.0, window=(-0.2, 1.4, -0.4, 0.3))
    assert air.flap_outline_y.min() < field.flap_outline_y.min() - 0.08
