"""Where help would help with a hung flap: exact derivatives against the flow solved anew."""

import math

import numpy as np
import pytest

from slowflight.flow.integral.bodies.mixing_problem import elements_problem
from slowflight.flow.integral.bodies.model import elements_model
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.bodies.sweep import sweep_elements
from slowflight.flow.integral.mixing_problem import section_problem
from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.integral.sensitivity import sensitivity
from slowflight.wing.elements import single
from slowflight.wing.naca import naca_section
from tests.flow.bodies.cases import hung
from tests.flow.sections import TRIPS_4412, followed
from tests.flow.test_sensitivity import EXACT, differences


@pytest.mark.parametrize(("flap_deg", "alpha_deg"), [(16.0, 4.0), (16.0, 12.0), (31.0, 8.0)])
def test_gradient_against_differences(flap_deg: float, alpha_deg: float) -> None:
    """Stations on both bodies; at 31 deg air is off the flap and the wing's wake stands still."""
    model = elements_model(
        hung(flap_deg), reynolds=2e6, transition=(0.05, 0.1), flap_transition=(0.1, 0.1),
        speed_follows_lift=alpha_deg == 4.0,
    )  # fmt: skip
    (point,) = sweep_elements(model, [math.radians(alpha_deg)])
    assert point.solved is not None
    problem = elements_problem(model, point.solved)
    found = sensitivity(problem)
    # the sweep's own flow may have the wake of an angle close by: their lifts differ by up to 1.4e-4
    assert found.cl == pytest.approx(total(element_forces(model, point.solved)).cl, rel=3e-4)
    for body, count in (("main", 5), ("flap", 3)):
        skin = found.skin(body)
        turbulent = np.flatnonzero(skin.turbulent_share > 0.0)
        stations = np.random.default_rng(7).choice(turbulent, count, replace=False)
        for exact, by_difference in zip(
            (skin.lift, skin.backflow), differences(problem, body, stations), strict=True
        ):
            assert np.abs(by_difference / exact[stations] - 1.0).max() < EXACT


def test_one_element_is_the_section_alone() -> None:
    section = naca_section("4412")
    model = elements_model(single(section), reynolds=1.52e6, transition=TRIPS_4412)
    (point,) = sweep_elements(model, [math.radians(10.0)])
    assert point.solved is not None
    found = sensitivity(elements_problem(model, point.solved)).skin()
    alone = section_model(section, reynolds=1.52e6, transition=TRIPS_4412)
    wanted = sensitivity(section_problem(alone, followed(alone, 10.0))).skin()
    assert np.abs(found.lift - wanted.lift).max() < 1e-4 * np.abs(wanted.lift).max()
