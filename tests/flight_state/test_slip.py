"""A sideslip with dihedral, against the exact series of an antisymmetric jump of angle."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slowflight.flight_state.slip import slipped
from tests.verification.lifting_line_wings import curve_of, everywhere, rounded, tapered

WING = tapered(aspect_ratio=7.0, taper=1.0)
RISE, SLIP = math.radians(3.0), math.radians(10.0)


def exact_moment(*, jump: float, slope: float, terms: int = 400) -> float:
    """Glauert's series for a rectangular wing whose halves see plus and minus an angle, by collocation."""
    turn = (np.arange(terms) + 0.5) * np.pi / (2 * terms)
    n = 2 * np.arange(1, terms + 1)
    mu = slope / (4.0 * 7.0)
    sines = np.sin(np.outer(turn, n))
    left = sines * (np.sin(turn)[:, None] + mu * n)
    found = np.linalg.lstsq(left, mu * jump * np.sin(turn), rcond=None)[0]
    return float(math.pi * 7.0 / 4.0 * found[0])  # Cl = pi AR A2 / 4


def test_short_of_the_stall_the_wing_met_first_is_lifted_by_the_exact_moment() -> None:
    slope = 5.9
    curve = curve_of(lambda alpha: slope * alpha)
    found = slipped(
        WING, spans=everywhere(curve, WING.semi_span), dihedral=RISE, angles=np.radians([2.0, 6.0]), slip=SLIP
    )
    lifted = found.at(math.radians(4.0))
    assert lifted is not None
    assert lifted == pytest.approx(exact_moment(jump=RISE * SLIP, slope=slope), rel=2e-3)
    other_way = slipped(
        WING, spans=everywhere(curve, WING.semi_span), dihedral=-RISE, angles=np.radians([2.0, 6.0])
    )
    down = other_way.at(math.radians(4.0))
    assert down is not None
    assert down < 0.0


def test_past_the_stall_the_wing_met_first_lets_go_first_and_drops() -> None:
    spans = everywhere(rounded(fall=1.5), WING.semi_span)
    found = slipped(WING, spans=spans, dihedral=RISE, angles=np.radians(np.arange(2.0, 22.5, 0.5)))
    first, drops = found.stalls_first_from(), found.drops_from()
    assert first is not None
    assert drops is not None
    assert math.radians(12.0) < first <= drops
