"""The errors as data for bands: what counts, once, and pooled where there is too little."""

from __future__ import annotations

import numpy as np
import pytest

from slowflight.compare.evidence.comparison import NOT_CONVERGED, Comparison
from slowflight.compare.evidence.record import CaseError, error_record, spread_of
from slowflight.compare.evidence.spread import spreads
from tests.compare.evidence.comparisons import compared


def errors(count: int, *, kind: str = "section", start: float = 0.0) -> list[CaseError]:
    return [
        CaseError(
            case=f"{kind}-{k}", kind=kind, tier="integral", role="checks", airfoil=None, reynolds=1e6,
            maximum_lift=start + 0.01 * k,
        )
        for k in range(count)
    ]  # fmt: skip


def test_several_numbers_of_one_case_are_one_error() -> None:
    """Three grits on one section are one case: their mean."""
    (found,) = error_record([compared(1.5), compared(1.53), compared(1.56)])
    assert found.maximum_lift == pytest.approx(0.02)
    assert (found.case, found.kind, found.tier, found.role, found.reynolds) == (
        "a",
        "section",
        "integral",
        "checks",
        3e6,
    )


def test_each_sort_has_its_own_unit() -> None:
    results = [
        compared(1.65),
        compared(0.105, quantity="lift slope", published=0.1),
        compared(17.0, quantity="angle of maximum lift", published=15.0),
        compared(0.009, quantity="mean drag", published=0.01),
    ]
    (found,) = error_record(results)
    assert found.maximum_lift == pytest.approx(0.10)
    assert found.slope == pytest.approx(0.05)
    assert found.stall_angle == pytest.approx(2.0)
    assert found.drag == pytest.approx(-0.10)


@pytest.mark.parametrize(
    "left_out",
    [
        compared(9.0, name="b", provenance="from memory"),
        compared(9.0, name="b", provenance="exact"),
        compared(None, name="b", status=NOT_CONVERGED),
        compared(9.0, name="b", quantity="lift"),
    ],
    ids=["from memory", "exact", "no answer", "no sort of error"],
)
def test_left_out_of_the_record(left_out: Comparison) -> None:
    assert [error.case for error in error_record([compared(1.5), left_out])] == ["a"]


def test_tiers_are_kept_apart() -> None:
    found = error_record([compared(1.5), compared(1.8, tier="rans")])
    assert [(e.tier, round(e.maximum_lift or 0.0, 6)) for e in found] == [("integral", 0.0), ("rans", 0.2)]
    with pytest.raises(ValueError, match="several tiers"):
        spread_of(found, kind="section")


def test_ten_cases_stand_alone() -> None:
    found = spread_of(errors(10) + errors(3, kind="flap", start=5.0), kind="section")
    assert (found.count, found.own_count, found.pooled_with, found.enough) == (10, 10, (), True)
    assert found.mean == pytest.approx(0.045)
    assert found.deviation == pytest.approx(float(np.std(0.01 * np.arange(10), ddof=1)))
    assert "pooled" not in found.sentence


def test_nine_are_pooled_with_other_thin_kinds_and_say_so() -> None:
    found = spread_of(errors(9) + errors(2, kind="flap") + errors(10, kind="vane"), kind="section")
    assert (found.count, found.own_count, found.pooled_with, found.enough) == (11, 9, ("flap",), True)
    assert found.sentence == "9 measured cases of kind section, fewer than 10: pooled with flap to 11"


def test_too_few_even_when_pooled() -> None:
    found = spread_of(errors(3) + errors(1, kind="flap"), kind="flap")
    assert (found.count, found.enough) == (4, False)
    assert found.sentence.startswith("1 measured case of kind flap")
    assert "too few for a statistical band" in found.sentence


def test_a_kind_without_cases_borrows_none() -> None:
    """Nothing measured says that the error of clean sections carries over to vanes."""
    found = spread_of(errors(9), kind="vane")
    assert (found.count, found.mean, found.deviation, found.enough) == (0, None, None, False)
    assert found.sentence == "0 measured cases of kind vane; no band follows from none"


def test_one_case_has_no_deviation() -> None:
    found = spread_of(errors(1), kind="section")
    assert (found.mean, found.deviation) == (0.0, None)


def test_by_role() -> None:
    calibrating = CaseError(
        case="c",
        kind="section",
        tier="integral",
        role="calibrates",
        airfoil=None,
        reynolds=1e6,
        maximum_lift=9.0,
    )
    found = spread_of([*errors(2), calibrating], kind="section", role="checks")
    assert found.count == 2
    assert found.mean == pytest.approx(0.005)


@pytest.mark.parametrize(("kind", "sort"), [("tail", "drag"), ("section", "noise")])
def test_unknown_kind_or_sort(kind: str, sort: str) -> None:
    with pytest.raises(ValueError, match="no errors of kind"):
        spread_of([], kind=kind, sort=sort)


def test_lines_of_the_table_count_no_remembered_value() -> None:
    results = [compared(1.5), compared(9.0, name="b", provenance="from memory"), compared(1.8, name="c")]
    lines = {(line.by, line.group): line for line in spreads(results) if line.quantity == "maximum lift"}
    assert lines["kind", "section"].count == 2
    assert lines["kind", "section"].mean == pytest.approx(0.1)
    assert lines["kind", "section"].deviation == pytest.approx(0.2 / 2**0.5)  # of a sample: 0 and 0.2
    assert lines["Reynolds number", "1 to 3 million"].count == 2
    assert lines["role", "checks"].count == 2
    assert lines["kind", "vane"].count == 0
    assert lines["kind", "vane"].note.startswith("0 measured cases of kind vane")


def test_exact_solutions_have_their_own_lines() -> None:
    exact = compared(
        4.6, name="w", kind="wing", provenance="exact", quantity="wing lift slope", published=4.5
    )
    lines = spreads([compared(1.5), exact])
    (own,) = (line for line in lines if line.by == "exact solution")
    assert (own.group, own.count) == ("wing", 1)
    assert own.mean == pytest.approx(0.1 / 4.5)
    assert not any(line.quantity == "wing lift slope" for line in lines if line is not own)
