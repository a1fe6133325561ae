"""With one body the solver for several is the solver for one."""

import numpy as np
import pytest

from slowflight.flow.integral import results
from slowflight.flow.integral.bodies.model import elements_model, solve_bodies
from slowflight.flow.integral.bodies.results import element_forces, total
from slowflight.flow.integral.section_flow import section_model, solve
from slowflight.wing.elements import single
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow
from tests.flow.sections import TRIPS_4412

ROW = VaneRow(
    station=0.1, height=0.006, length=0.016, pitch=0.06, gap=0.016, incidence=np.radians(17.0),
    arrangement="counter-rotating", opening="downstream", surface="upper", shape="rectangular",
)  # fmt: skip


@pytest.mark.parametrize(
    ("transition", "rows"), [((None, None), ()), (TRIPS_4412, ()), ((None, None), (ROW,))]
)
def test_one_body_is_the_single_section(
    transition: tuple[float | None, float | None], rows: tuple[VaneRow, ...]
) -> None:
    """Same coefficients, same unknowns at every station, to 1e-6: attached and with air let go."""
    section = naca_section("4412")
    alone = section_model(section, reynolds=2e6, transition=transition, vane_rows=rows, chord_m=1.4)
    several = elements_model(
        single(section), reynolds=2e6, transition=transition, vane_rows=rows, chord_m=1.4
    )
    one, same = None, None
    for alpha_deg in (2.0, 4.0, 6.0, 8.0, 10.0, 11.0, 12.0, 13.0):
        one = solve(alone, np.radians(alpha_deg), near=one)
        same = solve_bodies(several, np.radians(alpha_deg), near=same)
        assert one.converged
        assert same.converged
        found, expected = total(element_forces(several, same)), results.coefficients(alone, one)
        assert found.cl == pytest.approx(expected.cl, abs=1e-6)
        assert found.cd == pytest.approx(expected.cd, abs=1e-6)
        assert found.cm == pytest.approx(expected.cm, abs=1e-6)
        assert np.max(np.abs(same.state - one.state)) < 1e-6
    assert one is not None
    assert results.trailing_separation(results.surface_layer(alone, one, "upper")) is not None
