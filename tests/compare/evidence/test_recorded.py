"""The errors that come with the package: written and read back, and none where there is no record."""

from __future__ import annotations

import pytest

from slowflight.compare.evidence.record import CaseError
from slowflight.compare.evidence.recorded import errors_text, read_errors, recorded_errors
from slowflight.errors import InputError


def test_what_was_written_is_read_back() -> None:
    errors = (
        CaseError(
            case="a-6e6", kind="section", tier="integral", role="checks", airfoil="naca0012", reynolds=1.52e6,
            maximum_lift=-0.0838, slope=0.0316, stall_angle=1.25,
        ),
        CaseError(
            case="b", kind="vane", tier="integral", role="calibrates", airfoil=None, reynolds=None,
            drag=0.1092,
        ),
    )  # fmt: skip
    assert read_errors(errors_text(errors)) == errors


def test_the_record_of_the_integral_tier_calibrates_and_checks() -> None:
    found = recorded_errors(tier="integral")
    assert {error.role for error in found} == {"calibrates", "checks"}
    assert sum(error.maximum_lift is not None for error in found) == 5


def test_a_tier_without_a_record_has_no_errors() -> None:
    assert recorded_errors(tier="slab") == ()


def test_an_unknown_tier_is_refused() -> None:
    with pytest.raises(InputError, match="tier: found 'paper'"):
        recorded_errors(tier="paper")
