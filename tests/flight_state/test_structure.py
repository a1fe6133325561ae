"""Maneuvering speed against a handbook rule and a published examination question."""

from __future__ import annotations

import pytest

from slowflight.compare.stall_speed import stall_speed
from slowflight.errors import RangeError
from slowflight.flight_state.structure import at_weight, load_at, maneuvering_speed


def test_maneuvering_speed_falls_with_the_stall_speed() -> None:
    """14 CFR 23.335(c): at least ``V_S sqrt(n)``; at 3.8 g that is 1.949 stall speeds, exactly."""
    before, after = (maneuvering_speed(stall_speed=v, load_factor=3.8) for v in (40.0, 36.0))
    assert before / 40.0 == pytest.approx(3.8**0.5, rel=1e-15)
    assert after == pytest.approx(0.9 * before, rel=1e-15)
    # at the old placard the slower wing pulls more than its limit
    assert load_at(speed=before, stall_speed=36.0) == pytest.approx(3.8 / 0.81, rel=1e-14)


def test_maneuvering_speed_at_another_weight() -> None:
    """EASA question bank 2020, principles of flight: 181 kt at 5.7 t is about 154 kt at 4.1 t."""
    found = at_weight(speed=181.0, mass=4100.0, reference_mass=5700.0)
    assert found == pytest.approx(154.0, abs=0.5)
    # Norwegian private pilots' course text, 2025: 120 kt at 2300 lb is 111.9 kt at 2000 lb
    assert at_weight(speed=120.0, mass=2000.0, reference_mass=2300.0) == pytest.approx(111.9, abs=0.05)


def test_weight_load_factor_and_density_are_exact() -> None:
    common = {"area": 12.0, "cl_max": 1.6}
    base = stall_speed(mass=450.0, density=1.2, **common)
    assert stall_speed(mass=900.0, density=1.2, **common) / base == pytest.approx(2.0**0.5, rel=1e-15)
    assert stall_speed(mass=450.0, density=0.6, **common) / base == pytest.approx(2.0**0.5, rel=1e-15)
    turning = stall_speed(mass=450.0, density=1.2, load_factor=2.0, **common)
    assert turning / base == pytest.approx(2.0**0.5, rel=1e-15)
    assert at_weight(speed=base, mass=600.0, reference_mass=450.0) == pytest.approx(
        stall_speed(mass=600.0, density=1.2, **common), rel=1e-15
    )
    with pytest.raises(RangeError, match="mass"):
        at_weight(speed=1.0, mass=0.0, reference_mass=1.0)
