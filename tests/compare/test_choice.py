"""The best row at a price, and the rows that cannot be told from it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.compare.choice import LEAST_STEP, SHARE_OF_FALL, choose
from tests.compare.rows import KNOT, answer

PRICE = 1.5 * KNOT


def test_best_is_the_largest_fall_that_is_not_too_dear() -> None:
    rows = [answer(fall=1.0), answer(fall=3.0, loss=1.6), answer(fall=2.0, loss=1.4), answer(fall=None)]
    choice = choose(rows, cruise_price=PRICE)
    assert choice.best is rows[2]
    assert choice.too_dear == 1
    assert choice.unanswered == 1


def test_a_dear_row_that_gains_nothing_is_not_counted_as_too_dear() -> None:
    """'3 cost more' must not hide that these three raise the stall speed."""
    rows = [answer(fall=-1.0, loss=2.0), answer(fall=0.0, loss=2.0), answer(fall=0.4, loss=2.0)]
    assert choose(rows, cruise_price=PRICE).too_dear == 1
    assert choose(rows[:2], cruise_price=PRICE).too_dear == 0


def test_rows_within_the_band_are_ties_and_others_are_not() -> None:
    rows = [answer(fall=2.0), answer(fall=1.5), answer(fall=1.45), answer(fall=1.3)]
    choice = choose(rows, cruise_price=PRICE)
    # by hand: root of (0.3 of 2 kt) squared and (0.05 m/s, 0.097 kt) squared is 0.608 kt
    assert choice.band / KNOT == pytest.approx((0.6**2 + (LEAST_STEP / KNOT) ** 2) ** 0.5)
    assert choice.ties == (rows[1], rows[2])


def test_same_fall_goes_to_the_cheaper_row_then_the_lower_vane() -> None:
    rows = [
        answer(fall=1.0, loss=0.5, height=0.004),
        answer(fall=1.0, loss=0.2, height=0.007),
        answer(fall=1.0, loss=0.2, height=0.005),
    ]
    assert choose(rows, cruise_price=PRICE).best is rows[2]


@pytest.mark.parametrize("rows", [[], [answer(fall=0.0)], [answer(fall=-1.0)], [answer(fall=None)]])
def test_no_row_that_helps_is_no_best(rows: list[object]) -> None:
    choice = choose(rows, cruise_price=PRICE)  # type: ignore[arg-type]
    assert choice.best is None
    assert choice.ties == ()


@given(st.lists(st.tuples(st.floats(-3.0, 5.0), st.floats(0.0, 3.0)), max_size=12))
def test_nothing_dearer_or_worse_is_ever_chosen(falls: list[tuple[float, float]]) -> None:
    rows = [answer(fall=fall, loss=loss) for fall, loss in falls]
    choice = choose(rows, cruise_price=PRICE)
    fair = [row for row in rows if row.cruise_loss is not None and row.cruise_loss <= PRICE]
    best = max((row.fall for row in fair if row.fall is not None), default=0.0)
    if choice.best is None:
        assert best <= 1e-4  # a fall that is no number on paper is none
        return
    assert choice.best in fair
    assert choice.best.fall == pytest.approx(best, abs=1e-4)
    for tie in choice.ties:
        assert tie in fair
        assert tie is not choice.best
        assert tie.fall is not None
        assert best - tie.fall <= SHARE_OF_FALL * best + LEAST_STEP + 1e-4
