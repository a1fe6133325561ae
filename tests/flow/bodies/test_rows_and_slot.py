"""Rows close to the nose of a wing whose flap is down, and the lower layer at the slot's mouth."""

import math

import numpy as np
import pytest

from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.bodies.model import COVE_TRIP, elements_model, outer_flow, solve_bodies
from slowflight.wing.elements import single
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.bodies.cases import hung

ROW = VaneRow(station=0.03, height=0.0085, length=0.026, pitch=0.085, gap=0.028, incidence=math.radians(16.0))


def test_a_row_near_the_nose_has_answers_with_the_flap_down() -> None:
    """The sceptic's 3 %: it stands in a laminar layer that is about to let go, and lift rises evenly."""
    angles = [0.0, 4.0, 8.0, 10.0, 12.0]
    curve = elements_lift_curve(
        hung(16.0), reynolds=2.6e6, angles_deg=angles, vane_rows=(ROW,), chord_m=1.37, speed_follows_lift=True
    )
    assert all(point.converged for point in curve.points)
    lift = np.array([point.cl for point in curve.points], dtype=np.float64)
    slopes = np.diff(lift) / np.diff(angles)
    assert np.all(slopes > 0.08)
    assert np.max(slopes) < 1.3 * np.min(slopes)


def test_lower_layer_is_turbulent_at_the_slots_mouth_only_with_a_slot() -> None:
    with_flap = elements_model(hung(16.0), reynolds=2e6)
    ahead = elements_model(hung(16.0), reynolds=2e6, transition=(None, 0.3))
    alone = elements_model(single(naca_section("4414")), reynolds=2e6)
    lower = with_flap.sections[0]
    assert lower.trips.shape == (1, 3)
    at = np.interp(lower.trips[0, 1], lower.system.body.arc, lower.system.body.x)
    assert lower.trips[0, 0] == 0.0
    assert at == pytest.approx(COVE_TRIP, abs=2e-3)
    assert np.interp(
        ahead.sections[0].trips[0, 1], lower.system.body.arc, lower.system.body.x
    ) == pytest.approx(0.3, abs=2e-3)
    assert alone.sections[0].trips.shape[0] == 0


def test_outer_flow_is_shared_between_rows_on_one_shape_and_stays_as_it_was() -> None:
    model, other = (elements_model(hung(angle), reynolds=2e6) for angle in (16.0, 20.0))
    again = elements_model(hung(16.0), reynolds=1e6, transition=(0.1, 0.1))
    alpha = math.radians(4.0)
    kept = outer_flow(model, alpha)
    q0, D = kept.q0.copy(), kept.D.copy()
    assert outer_flow(again, alpha) is kept
    assert outer_flow(other, alpha) is not kept
    assert outer_flow(model, math.radians(5.0)) is not kept
    assert solve_bodies(model, alpha).converged
    assert np.array_equal(kept.q0, q0)
    assert np.array_equal(kept.D, D)
