"""Bands of inputs drawn at random, against what is known exactly."""

from __future__ import annotations

import math

import pytest

from slowflight.compare.input_effects import InputEffect, input_band, worth_knowing
from slowflight.uncertainty import Banded, exactly


def effect(name: str, clean: float, fall: float = 0.0) -> InputEffect:
    return InputEffect(
        name=name, key="", low="low", high="high", measure="", clean=(-clean, clean), fall=(-fall, fall)
    )


def test_one_even_input_covers_nine_tenths_of_its_range() -> None:
    found = input_band(20.0, [(-1.0, 1.0)], why="x")
    assert found.low == pytest.approx(19.1, abs=0.03)
    assert found.high == pytest.approx(20.9, abs=0.03)


def test_many_alike_inputs_come_near_the_normal_law() -> None:
    """Central limit: twelve even inputs of half-range 1 have variance 4, so 90 % lie within 1.645 times 2."""
    found = input_band(0.0, [(-1.0, 1.0)] * 12, why="x")
    assert found.high == pytest.approx(1.645 * 2.0, rel=0.05)
    assert found.low == pytest.approx(-1.645 * 2.0, rel=0.05)


def test_one_sided_input_widens_one_side_only() -> None:
    found = input_band(5.0, [(0.0, 2.0)], why="x")
    assert found.low == 5.0
    # half the draws move it not at all, so the highest twentieth begins nine tenths up the other half
    assert found.high == pytest.approx(5.0 + 0.9 * 2.0, abs=0.05)
    assert input_band(5.0, [], why="x") == Banded(value=5.0, low=5.0, high=5.0, why=("x",))


def test_a_band_holds_its_value_where_both_ends_move_one_way() -> None:
    """An input whose either end makes it faster: nothing is below the value, and no band lies beside it."""
    found = input_band(20.0, [(1.0, 2.0)], why="x")
    assert found.low == 20.0
    assert found.high == pytest.approx(21.8, abs=0.06)
    below = input_band(20.0, [(-1.0, -2.0)], why="x")
    assert below.high == 20.0
    assert below.low == pytest.approx(18.2, abs=0.06)


def test_ranking_is_by_band_removed_and_a_wide_model_makes_every_input_worth_less() -> None:
    effects = [effect("small", 0.1), effect("large", 1.0), effect("none", 0.0), effect("vane", 0.0, 0.5)]
    ranked = worth_knowing(effects, others=exactly(0.0), fall_others=exactly(0.0))
    assert [w.effect.name for w in ranked] == ["large", "vane", "small", "none"]
    alone = 2.0 * 0.9 * 1.0 - 2.0 * 0.9 * 0.1
    assert ranked[0].clean == pytest.approx(alone, abs=0.1)
    assert ranked[-1].clean == 0.0
    wide = Banded(value=0.0, low=-5.0, high=5.0)
    veiled = worth_knowing(effects, others=wide, fall_others=exactly(0.0))
    large = next(w for w in veiled if w.effect.name == "large")
    assert 0.0 < large.clean < 0.3 * ranked[0].clean


def test_same_inputs_same_answer() -> None:
    effects = [effect("a", 0.3, 0.2), effect("b", 0.2)]
    first = worth_knowing(effects, others=exactly(0.0), fall_others=exactly(0.0))
    assert first == worth_knowing(effects, others=exactly(0.0), fall_others=exactly(0.0))
    assert math.isfinite(first[0].clean)
