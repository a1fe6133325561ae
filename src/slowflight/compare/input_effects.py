"""What each thing that nobody knows exactly does to the answer, and what measuring it would be worth.

Each input is moved alone to the ends of its range and everything behind it computed again. Between the ends
the effect is taken as straight on either side; all inputs together are then drawn at random, each evenly over
its range, which gives the band and, with one input held, how much of the band that input is (a variance-free
form of the GUM's propagation of distributions, Supplement 1 of ISO/IEC Guide 98-3).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.solution import FloatArray
from slowflight.uncertainty import Banded

DRAWS = 4000
SEED = 20260425
COVERED = (5.0, 95.0)  # per cent: nine in ten draws lie in the band


@dataclass(frozen=True, kw_only=True)
class InputEffect:
    """One input at the ends of its range.

    Parameters
    ----------
    name : str
        In a builder's words.
    key : str
        As `set_value` takes it; empty where wing.toml has no such key.
    low, high : str
        The ends, with their units.
    measure : str
        How to learn more about it.
    clean : tuple of float
        Change of the clean stall speed at the low and the high end [m/s].
    fall : tuple of float
        Change of the fall of stall speed with the best row at the low and the high end [m/s]; zeros where
        there is no best row.
    """

    name: str
    key: str
    low: str
    high: str
    measure: str
    clean: tuple[float, float]
    fall: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Worth:
    """What knowing one input would remove.

    Parameters
    ----------
    effect : InputEffect
    clean, fall : float
        By how much the bands of the clean stall speed and of the fall would narrow [m/s], not below zero.
    """

    effect: InputEffect
    clean: float
    fall: float


def input_band(value: float, effects: Sequence[tuple[float, float]], *, why: str) -> Banded:
    """Put the band of all inputs together round a value.

    Parameters
    ----------
    value : float
        With every input at its own value.
    effects : sequence of (float, float)
        Change at the low and the high end of each input, in the value's unit.
    why : str
        Where the band comes from.

    Returns
    -------
    Banded
        Nine in ten draws lie in it; it holds the value.
    """
    low, high = _ends(_drawn(effects))
    return Banded(value=value, low=value + min(low, 0.0), high=value + max(high, 0.0), why=(why,))


def worth_knowing(
    effects: Sequence[InputEffect], *, others: Banded, fall_others: Banded
) -> tuple[Worth, ...]:
    """Rank inputs by how much of the bands each is.

    Parameters
    ----------
    effects : sequence of InputEffect
    others, fall_others : Banded
        Bands of clean stall speed and fall that have nothing to do with these inputs (the model's): with a
        wide one, knowing an input narrows the whole by little [m/s].

    Returns
    -------
    tuple of Worth
        The most worth first: by the clean stall speed and the fall together.
    """
    found = []
    for k, effect in enumerate(effects):
        clean = _removed([e.clean for e in effects], k, others)
        fall = _removed([e.fall for e in effects], k, fall_others)
        found.append(Worth(effect=effect, clean=clean, fall=fall))
    return tuple(sorted(found, key=lambda w: -(w.clean + w.fall)))


def _removed(effects: Sequence[tuple[float, float]], index: int, others: Banded) -> float:
    model = np.random.default_rng(SEED + 1).uniform(-1.0, 1.0, DRAWS)
    spread = np.where(model < 0.0, model * others.below, model * others.above)
    each = _each(effects)
    every = np.sum(each, axis=0) + spread
    without = every - each[index]
    wide, narrow = (float(np.diff(np.percentile(v, COVERED))[0]) for v in (every, without))
    return max(0.0, wide - narrow)


def _each(effects: Sequence[tuple[float, float]]) -> FloatArray:
    # the same draws whatever the effects, so that a comparison is not between two throws of the dice
    shares = np.random.default_rng(SEED).uniform(-1.0, 1.0, (len(effects), DRAWS))
    ends = np.array(effects, dtype=np.float64).reshape(-1, 2)
    return np.where(shares < 0.0, -shares * ends[:, :1], shares * ends[:, 1:])


def _drawn(effects: Sequence[tuple[float, float]]) -> FloatArray:
    total: FloatArray = np.sum(_each(effects), axis=0) if effects else np.zeros(DRAWS)
    return total


def _ends(draws: FloatArray) -> tuple[float, float]:
    low, high = np.percentile(draws, COVERED)
    return float(low), float(high)
