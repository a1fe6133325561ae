"""The band of the method itself: a stated default while cases are few, Student's law when they are not."""

from __future__ import annotations

import numpy as np
import pytest

from slowflight.compare.evidence.record import CaseError
from slowflight.compare.evidence.recorded import recorded_errors
from slowflight.compare.model_error import DEFAULT_SHARE, left_out_in_turn, section_band


def errors(values: list[float]) -> list[CaseError]:
    return [
        CaseError(
            case=f"case {k}", kind="section", tier="integral", role="checks", airfoil="x", reynolds=1e6,
            maximum_lift=value,
        )
        for k, value in enumerate(values)
    ]  # fmt: skip


def test_few_cases_give_the_stated_default_and_say_so() -> None:
    found = section_band(1.5, errors([-0.08, 0.03]))
    assert [found.low, found.high] == pytest.approx([1.35, 1.65])
    assert "2 measured cases" in found.why[0]
    assert "-8.0 to +3.0 %" in found.why[0]
    assert "stated default" in section_band(1.5, []).why[0]


def test_ten_cases_give_students_band() -> None:
    """Ten errors of mean 0 and deviation 0.05: Student's 0.95 point for 9 is 1.833 (tables)."""
    shape = np.array([-1.0, 1.0] * 5)
    values = list(0.05 * shape / np.std(shape, ddof=1))
    found = section_band(1.0, errors(values))
    half = 1.833 * 0.05 * (1.0 + 0.1) ** 0.5
    assert found.low == pytest.approx(1.0 / (1.0 + half), rel=1e-3)
    assert found.high == pytest.approx(1.0 / (1.0 - half), rel=1e-3)


def test_hit_rate_of_the_record_may_be_nine_in_ten() -> None:
    """Each case left out in turn: the exact binomial 95 % interval of the hit rate holds 90 %."""
    found = left_out_in_turn(recorded_errors(tier="integral"))
    assert found.cases >= 5
    assert found.low <= 0.90 <= found.high


def test_hit_rate_notices_a_band_that_is_too_narrow() -> None:
    narrow = errors([3.0 * DEFAULT_SHARE, -2.0 * DEFAULT_SHARE, 2.0 * DEFAULT_SHARE, 0.0] * 2)
    found = left_out_in_turn(narrow)
    assert found.hits == 2
    assert found.high < 0.90


def test_hit_rate_leaves_the_case_itself_out() -> None:
    """Ten others of mean 0 and deviation 0.05: their band reaches 0.096 (Student, 9 degrees of freedom).

    An error of 0.105 lies outside. Counted in itself it would widen the band to 0.010 +- 0.108 and hit.
    """
    shape = np.array([-1.0, 1.0] * 5)
    ten = list(0.05 * shape / np.std(shape, ddof=1))
    eleven = errors([*ten, 0.105])
    spread = np.std([*ten, 0.105], ddof=1)
    with_itself = np.mean([*ten, 0.105]) + 1.812 * spread * (1.0 + 1.0 / 11.0) ** 0.5
    assert 1.833 * 0.05 * 1.1**0.5 < 0.105 < with_itself  # tables of Student's t
    assert left_out_in_turn(eleven).hits == 10


def test_hit_rate_of_normal_errors_is_nine_in_ten() -> None:
    drawn = np.random.default_rng(7).normal(0.0, 0.04, 300)
    found = left_out_in_turn(errors(list(drawn)))
    assert found.low <= 0.90 <= found.high
    assert found.high - found.low < 0.1
