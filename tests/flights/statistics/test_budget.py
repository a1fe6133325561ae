"""Budgets against the Guide's own worked example and the worked budgets of a stall speed."""

import math

import pytest

from slowflight.errors import InputError, RangeError
from slowflight.flights.statistics.budget import Term, absolute, factor, of_difference


def test_end_gauge_of_the_guide() -> None:
    """GUM, example H.1: u_c 32 nm, effective degrees of freedom 16, U99 93 nm (terms of table H.1)."""
    terms = (
        Term(name="standard", half_width=25.0, degrees_of_freedom=18),
        Term(name="measured difference", half_width=9.7, degrees_of_freedom=25.6),
        Term(name="expansion coefficients", half_width=2.9, degrees_of_freedom=50),
        Term(name="temperature difference", half_width=16.6, degrees_of_freedom=2),
    )
    budget = absolute(terms)
    assert round(budget.standard_uncertainty) == 32
    assert math.floor(budget.degrees_of_freedom) == 16
    # The Guide rounds u_c to 32 nm and takes k = 2.92.
    assert factor(0.99, 16) == pytest.approx(2.92, abs=0.005)
    assert budget.half_band(0.99) == pytest.approx(93.0, rel=0.015)


# Worked budgets of one stall speed and of a difference [kt], computed independently (in-house worked vector).
ABSOLUTE = (
    Term(name="repeats", half_width=0.204),
    Term(name="instrument", half_width=1.0, distribution="two sigma", shared=True),
    Term(name="position error", half_width=1.5, distribution="two sigma", shared=True),
    Term(name="mass", half_width=20.0, distribution="rectangular", sensitivity=39.0 / (2.0 * 1320.0)),
    Term(name="entry rate", half_width=0.3, distribution="rectangular", sensitivity=0.7),
    Term(name="load factor", half_width=0.02, distribution="rectangular", sensitivity=0.5 * 39.0),
    Term(name="center of gravity", half_width=0.07),
    Term(name="idle thrust", half_width=0.20, shared=True),
)
DIFFERENCE = (
    Term(name="stalls within flights", half_width=0.289),
    Term(name="flight to flight", half_width=0.327),
    Term(name="mass", half_width=0.121),
    Term(name="load factor", half_width=0.159),
    Term(name="center of gravity", half_width=0.054),
    Term(name="entry rate", half_width=0.114),
    Term(name="position error at the higher angle", half_width=0.50),
)


def test_one_stall_speed_is_known_to_two_knots() -> None:
    parts = {term.name: term.contribution for term in ABSOLUTE}
    assert parts["mass"] == pytest.approx(0.17, abs=0.005)
    assert parts["entry rate"] == pytest.approx(0.121, abs=0.001)
    assert parts["load factor"] == pytest.approx(0.225, abs=0.001)
    assert absolute(ABSOLUTE).standard_uncertainty == pytest.approx(1.00, abs=0.01)


def test_a_difference_and_what_the_position_error_costs() -> None:
    assert of_difference(DIFFERENCE).standard_uncertainty == pytest.approx(0.704, abs=0.001)
    assert of_difference(DIFFERENCE[:-1]).standard_uncertainty == pytest.approx(0.496, abs=0.001)
    assert of_difference(DIFFERENCE).terms[0].name == "position error at the higher angle"


def test_shared_terms_cancel_in_a_difference_and_are_named() -> None:
    budget = of_difference(ABSOLUTE)
    assert {term.name for term in budget.canceled} == {"instrument", "position error", "idle thrust"}
    assert budget.standard_uncertainty < 0.5 < absolute(ABSOLUTE).standard_uncertainty


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(InputError, match="distribution 'bell'"):
        Term(name="mass", half_width=1.0, distribution="bell")
    with pytest.raises(RangeError, match="half-width -1"):
        Term(name="mass", half_width=-1.0)
