"""Two bodies round the stall: the angle as an unknown, and the blend past the last answer."""

import math

import numpy as np

from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.bodies.model import elements_model, outer_flow
from slowflight.wing.elements import Elements, hung_flap
from slowflight.wing.naca import naca_section


def hung(angle_deg: float) -> Elements:
    return hung_flap(
        naca_section("4415"), naca_section("2412"), chord=0.2, axis_aft=0.011, axis_below=0.05,
        axis_in_flap=0.26, angle=math.radians(angle_deg),
    )  # fmt: skip


def test_speeds_go_with_the_angle_as_said() -> None:
    """Against a difference of the speeds on both bodies, which no wake path changes."""
    model = elements_model(hung(20.0), reynolds=2e6)
    low, mid, high = (outer_flow(model, 0.1 + d) for d in (-1e-5, 0.0, 1e-5))
    for k, body in enumerate(model.system.bodies):
        own = slice(mid.starts[k], mid.starts[k] + body.outline.x.size)
        assert np.allclose(mid.per_angle[own], (high.q0[own] - low.q0[own]) / 2e-5, atol=1e-6)


def test_every_angle_to_26_degrees_has_an_answer_or_a_marked_blend() -> None:
    angles = [2.0, 5.0, *(float(a) for a in range(8, 27))]
    curve = elements_lift_curve(hung(30.0), reynolds=1.5e6, angles_deg=angles)
    most = max(p.cl or 0.0 for p in curve.points if p.converged)
    for p in curve.points:
        assert p.cl is not None
        assert p.converged != p.blended
        assert p.extrapolated or not p.blended
        assert p.cl <= most
