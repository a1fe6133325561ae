"""Fits against certified values and the worked example of one flight."""

import numpy as np
import pytest

from slowflight import units
from slowflight.errors import InputError
from slowflight.flights.statistics.entry_rate import STANDARD_ENTRY_RATE, read_at_standard_rate
from slowflight.flights.statistics.linear_fit import fit_linear
from tests.flights.statistics import nist

KNOT = units.speed("1 kt", where="test")


def test_line_has_eleven_certified_digits() -> None:
    y, x = np.array(nist.NORRIS_Y_X).T
    fit = fit_linear(design=np.column_stack([np.ones_like(x), x]), values=y)
    assert fit.coefficients == pytest.approx(nist.NORRIS_COEFFICIENTS, rel=1e-11)
    assert fit.standard_errors == pytest.approx(nist.NORRIS_ERRORS, rel=1e-11)
    assert fit.residual_deviation == pytest.approx(nist.NORRIS_RESIDUAL, rel=1e-11)
    assert fit.degrees_of_freedom == 34


def test_fit_without_intercept_has_twelve_certified_digits() -> None:
    fit = fit_linear(design=np.array(nist.NOINT1_X)[:, None], values=nist.NOINT1_Y)
    assert fit.coefficients[0] == pytest.approx(nist.NOINT1_SLOPE, rel=1e-12)
    assert fit.standard_errors[0] == pytest.approx(nist.NOINT1_ERROR, rel=1e-12)
    assert fit.residual_deviation == pytest.approx(nist.NOINT1_RESIDUAL, rel=1e-12)


# Worked example of one flight: speeds at 1 g and 1,320 lb and entry rates in knots; the fit was computed
# independently with general statistics software (in-house worked vector).
RATES = (0.6, 0.8, 1.0, 1.3, 1.5, 0.9)
SPEEDS = (40.8308, 40.4335, 40.5434, 40.0555, 40.3767, 40.4128)


def test_one_flight_is_read_at_one_knot_a_second() -> None:
    reading = read_at_standard_rate(
        entry_rate=np.array(RATES) * STANDARD_ENTRY_RATE, speed=np.array(SPEEDS) * KNOT
    )
    assert reading.speed / KNOT == pytest.approx(40.451, abs=1e-3)
    assert reading.slope == pytest.approx(-0.5462, abs=1e-4)  # kt per kt/s is seconds as well
    assert reading.slope_error == pytest.approx(0.2636, abs=1e-4)
    assert reading.residual_deviation / KNOT == pytest.approx(0.195, abs=1e-3)
    assert reading.standard_error / KNOT == pytest.approx(0.0798, abs=1e-4)


@pytest.mark.parametrize(
    ("rates", "speeds", "found"),
    [((0.5, 0.6), (20.0, 20.1), "2"), ((0.5, 0.5, 0.5), (20.0, 20.1, 20.2), "entry rates all alike")],
)
def test_a_flight_that_cannot_be_read_says_why(
    rates: tuple[float, ...], speeds: tuple[float, ...], found: str
) -> None:
    with pytest.raises(InputError, match=f"stalls of one flight: found {found}"):
        read_at_standard_rate(entry_rate=rates, speed=speeds)


@pytest.mark.parametrize(
    ("design", "values"),
    [
        ([[1.0, 1.0], [1.0, 1.0], [1.0, 1.0]], [1.0, 2.0, 3.0]),
        ([[1.0], [np.nan]], [1.0, 2.0]),
        ([[0.0], [0.0]], [1.0, 2.0]),
        ([[1.0, 2.0], [1.0, 3.0]], [1.0, 2.0]),
    ],
)
def test_fits_that_have_no_answer_are_refused(design: list[list[float]], values: list[float]) -> None:
    with pytest.raises(InputError):
        fit_linear(design=design, values=values)
