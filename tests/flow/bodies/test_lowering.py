"""A flap lowered to where the air above it lets go at once: round the turns of the branch."""

import math

import numpy as np
import pytest

from slowflight.flow.integral.bodies.lowering import _Way
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies, elements_model
from slowflight.flow.integral.bodies.results import element_forces, element_layer, total
from slowflight.flow.integral.bodies.sweep import _Runner
from slowflight.flow.integral.results import trailing_separation
from slowflight.wing.elements import hung_flap
from slowflight.wing.naca import naca_section


def pair(degrees: float) -> ElementsModel:
    """A flap well below the wing, in free air rather than in a slot: it stalls at some 25 degrees."""
    both = hung_flap(
        naca_section("3315"),
        naca_section("2412"),
        chord=0.18,
        axis_aft=0.045,
        axis_below=0.06,
        axis_in_flap=0.2,
        angle=math.radians(degrees),
    )
    return elements_model(both, reynolds=2e6)


def at(model: ElementsModel, alpha: float, near: SolvedBodies | None) -> SolvedBodies:
    return _Runner(model).at(alpha, near)


def stays_on(model: ElementsModel, solved: SolvedBodies) -> float:
    """Share of the flap's upper skin that the air stays on."""
    flap = model.elements.bodies[1]
    off = trailing_separation(element_layer(model, solved, 1, "upper"))
    nose = float(element_layer(model, solved, 1, "upper").x.min())
    return 1.0 if off is None else (off - nose) / (flap.chord * math.cos(flap.angle))


def test_both_ways_down_come_to_one_answer() -> None:
    model, alpha = pair(16.0), math.radians(2.0)
    way = _Way(model, alpha, at)
    high = way.solve(math.radians(8.0), None)
    straight, round_turns = way.straight(high), way.round_turns(high)
    assert straight is not None
    assert round_turns is not None
    lifts = [total(element_forces(model, found.solved)).cl for found in (straight, round_turns)]
    assert lifts[0] == pytest.approx(lifts[1], rel=1e-6)


def test_flap_that_has_stalled_on_the_way_down_is_answered() -> None:
    """No step at a fixed setting leads there: the branch of attached air turns back before."""
    model, alpha = pair(35.0), math.radians(0.0)
    way = _Way(model, alpha, at)
    begun = way.first()
    assert begun is not None
    assert way.straight(begun) is None
    way_found = way.round_turns(begun)
    assert way_found is not None
    found = way_found.solved
    assert found.converged
    assert found.flap_angle == pytest.approx(math.radians(35.0))
    assert stays_on(model, found) < 0.2
    above = pair(math.degrees(begun.alpha))
    assert stays_on(above, begun.solved) > 0.5
    # solved at the setting itself, not on the straightened outer flow that led there
    again = at(model, alpha, found)
    assert np.abs(again.state - found.state).max() < 1e-6
