"""The seconds tier beside measured sections: which aims are met, which missed, and the page that says so."""

import re

import pytest

from docs.make_evidence import PAGE, Comparison, comparisons, drag, lift_4412, page, pressures_4412

# Every aim that is missed by a row read or computed from its source: error [% or deg] and reason.
MISSES = {
    (
        "NACA 4412",
        1.52e6,
        "tripped",
        "maximum lift",
    ): -8.4,  # separates too early: one lag constant for two sections
    ("NACA 0012", 6e6, "tripped", "lift slope"): 3.2,  # steep on all three measurements, reason unknown
}
NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def rows() -> list[Comparison]:
    return comparisons()


def test_the_aims_missed_are_those_that_are_known(rows: list[Comparison]) -> None:
    """Both ways: a new miss and a mended one are noticed. Rows from memory decide nothing."""
    missed = {(c.section, c.reynolds, c.surface, c.quantity): c.error for c in rows if c.counts and c.missed}
    assert missed.keys() == MISSES.keys()
    for case, error in MISSES.items():
        assert missed[case] == pytest.approx(error, abs=0.4)


def test_rows_from_memory_count_in_no_mean(rows: list[Comparison]) -> None:
    remembered = [c for c in rows if c.how_known == "from memory"]
    assert len(remembered) == 10
    assert not any(c.counts for c in remembered)
    assert {c.role for c in rows if c.counts} == {"calibrates", "checks"}


def test_lift_of_4412_from_pressures() -> None:
    """Coles and Wadcock 1979: 1.668 at 13.87 deg; the tier is 8.4 % low."""
    measured, predicted = lift_4412()
    assert measured == 1.668
    assert 100.0 * (predicted / measured - 1.0) == pytest.approx(-8.4, abs=0.4)


def test_pressures_of_4412_away_from_the_nose() -> None:
    """Coles and Wadcock 1979, 51 pressures: known misses of 0.28 above and 0.12 below [-]."""
    found = pressures_4412()
    assert found.upper == pytest.approx(0.276, abs=0.02)
    assert found.lower == pytest.approx(0.116, abs=0.02)
    assert found.separation_predicted < 0.84  # earlier than measured, 0.84 to 0.90


def test_drag_of_the_0012() -> None:
    """Ladson tripped within 4 % (root mean square); Abbott and von Doenhoff smooth a tenth low: known."""
    ladson, abbott = drag()
    assert abs(ladson.mean) < 2.0
    assert ladson.rms < 4.0
    assert abbott.mean == pytest.approx(-10.5, abs=1.5)


def test_the_page_is_not_stale() -> None:
    """Same words, and each number within one and a half units of its last digit."""
    printed, computed = PAGE.read_text(encoding="utf-8"), page()
    assert NUMBER.sub("#", printed) == NUMBER.sub("#", computed), "run: python docs/make_evidence.py"
    for old, new in zip(NUMBER.findall(printed), NUMBER.findall(computed), strict=True):
        digits = len(old.partition(".")[2])
        assert float(new) == pytest.approx(float(old), abs=1.5 * 10.0**-digits), (
            "run: python docs/make_evidence.py"
        )
