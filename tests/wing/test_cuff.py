"""A cuff changes the nose and nothing behind it."""

import math

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.wing.cuff import cuffed
from slowflight.wing.flap import PlainFlap, deflect
from slowflight.wing.naca import naca_section

BARE = naca_section("0012")


def test_no_cuff_is_the_section() -> None:
    same = cuffed(BARE, back_to=0.2, droop=0.0)
    assert np.allclose(same.section.x, BARE.x, atol=1e-9)
    assert np.allclose(same.section.y, BARE.y, atol=1e-9)
    assert (same.chord, same.nose_down) == pytest.approx((1.0, 0.0), abs=1e-12)


def test_a_drooped_nose_lies_where_it_is_said_to() -> None:
    """Of a symmetric section the nose is at (0, 0): the new chord follows from Pythagoras."""
    made = cuffed(BARE, back_to=0.2, droop=0.03, extension=0.04)
    assert made.chord == pytest.approx(math.hypot(1.04, 0.03), abs=2e-4)
    assert made.nose_down == pytest.approx(math.atan2(0.03, 1.04), abs=2e-3)
    # back in the old axes, everything behind the cuff is where it was
    x, y = made.chord * made.section.x, made.chord * made.section.y
    cosine, sine = math.cos(made.nose_down), math.sin(made.nose_down)
    old_x, old_y = x * cosine - y * sine, y * cosine + x * sine
    old_x, old_y = old_x + 1.0 - old_x[0], old_y - 0.5 * (old_y[0] + old_y[-1])
    behind = BARE.x > 0.2
    assert np.allclose(old_x[behind], BARE.x[behind], atol=1e-9)
    assert np.allclose(old_y[behind], BARE.y[behind], atol=1e-9)
    assert old_y[BARE.x < 0.01].min() < -0.03


def test_there_is_no_kink_where_it_ends() -> None:
    made = cuffed(BARE, back_to=0.2, droop=0.04, extension=0.04).section
    dx, dy = np.diff(made.x), np.diff(made.y)
    turn = np.abs(np.angle(np.exp(1j * np.diff(np.unwrap(np.arctan2(dy, dx))))))
    assert np.degrees(turn[made.x[1:-1] > 0.1]).max() < 3.0


@pytest.mark.parametrize(("back_to", "droop"), [(0.02, 0.01), (0.2, 0.2), (0.2, math.nan)])
def test_what_is_no_cuff_is_refused(back_to: float, droop: float) -> None:
    with pytest.raises(RangeError, match="cuff"):
        cuffed(BARE, back_to=back_to, droop=droop)


def test_a_turned_flap_is_refused() -> None:
    with pytest.raises(RangeError, match="flap"):
        cuffed(deflect(BARE, flap=PlainFlap(chord=0.2), angle=0.2), back_to=0.2, droop=0.02)
