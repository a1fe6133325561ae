"""Maximum lift and lift slope beside measured sections; the aims are 8 %, 1.5 degrees and 3 % of slope.

The first two cases calibrate (the lag constant was set on them), the others check. A miss is listed with its
size, so that a change either way is noticed. The table of docs/seconds-tier.md is this one.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from slowflight.flow.lift_curve import lift_curve
from slowflight.wing.naca import naca_section

PAGE = Path(__file__).parents[2] / "docs" / "seconds-tier.md"
ANGLES = [float(a) for a in range(-4, 22)]


@dataclass(frozen=True)
class Case:
    """Measured maximum lift, its angle [deg] and lift slope [1/deg] of a section, with the tier's errors."""

    digits: str
    reynolds: float
    trips: tuple[float | None, float | None]
    source: str
    cl_max: float
    alpha_deg: float
    slope: float | None
    error: float  # of maximum lift [%], as printed in the documents
    angle_error: float  # [deg]


CASES = (
    Case(
        "0012",
        6e6,
        (0.05, 0.05),
        "Ladson, NASA TM 4074 (mean of three grits)",
        1.623,
        17.17,
        0.1082,
        0.9,
        0.2,
    ),
    Case("4412", 1.52e6, (0.025, 0.103), "Coles and Wadcock 1979, pressures", 1.668, 13.87, None, -8.4, 0.5),
    Case("0012", 6e6, (None, None), "Abbott and von Doenhoff, smooth", 1.596, 16.38, 0.1063, 3.1, 1.2),
    Case("0012", 3e6, (0.05, 0.05), "Gregory and O'Reilly, ARC R&M 3726", 1.561, 16.1, 0.1073, -1.2, 0.8),
    Case("2412", 5.7e6, (None, None), "NACA Report 824 (second hand)", 1.67, 16.0, None, 2.2, 0.4),
)
IDS = [f"NACA {c.digits} Re {c.reynolds:.3g}, {c.source}" for c in CASES]
MISSES_LIFT = {("4412", 1.52e6)}  # 8.4 % low against an aim of 8 %


@pytest.mark.parametrize("case", CASES, ids=IDS)
def test_maximum_lift_beside_the_measurement(case: Case) -> None:
    section = naca_section(case.digits, closed_trailing_edge=case.digits == "0012")
    found = lift_curve(section, reynolds=case.reynolds, angles_deg=ANGLES, transition=case.trips)
    assert found.cl_max is not None
    assert found.alpha_cl_max_deg is not None
    error = 100.0 * (found.cl_max / case.cl_max - 1.0)
    angle_error = found.alpha_cl_max_deg - case.alpha_deg
    assert error == pytest.approx(case.error, abs=0.3)
    assert angle_error == pytest.approx(case.angle_error, abs=0.3)
    assert (abs(error) > 8.0) == ((case.digits, case.reynolds) in MISSES_LIFT)
    assert abs(angle_error) <= 1.5
    if case.slope is not None:
        lift = {p.alpha_deg: p.cl for p in found.points}
        low, high = lift[-4.0], lift[8.0]
        assert low is not None
        assert high is not None
        # measured over about -4 to 8 deg; this tier is 2.9 to 3.2 % steep where the aim was 3 %
        assert (high - low) / 12.0 / case.slope - 1.0 == pytest.approx(0.0305, abs=0.0045)


def test_the_page_prints_these_errors() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for case in CASES:
        assert f"{case.error:+.1f} %".replace("-", "−") in text
