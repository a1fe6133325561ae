"""Other explanations, by hand."""

import pytest

from slowflight.compare.rivals import lighter, misread


def test_less_weight_by_the_root() -> None:
    before = (2 * 500 * 9.80665 / (1.2 * 12 * 1.5)) ** 0.5
    found = lighter(kilograms=20.0, mass=500.0, area=12.0, density=1.2, cl_max=1.5)
    assert found == pytest.approx(before * (0.96**0.5 - 1.0))


def test_static_error_by_the_exact_root() -> None:
    """Indicated V^2 (1 - dCp) for an error that lowers the reading: half of dCp to first order."""
    exact = 20.0 * ((1.0 - 0.05) ** 0.5 - 1.0)
    assert misread(20.0, pressure_error=0.05) == pytest.approx(exact, rel=0.02)
