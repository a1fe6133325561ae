"""A channel whose unit changes on the way, as when a display is switched from knots to miles per hour."""

from __future__ import annotations

import itertools

import numpy as np

from slowflight.flights.logs.log import FloatArray
from slowflight.units import LENGTH, SPEED

WINDOW = 5
CLOSENESS = 0.03
HARDEST_SPEED_CHANGE = 4.0  # along the path, common practice, no source [m/s^2]
HARDEST_CLIMB = 40.0  # [m/s]


def _ratios(factors: dict[str, float]) -> tuple[float, ...]:
    return tuple(a / b for a, b in itertools.permutations(factors.values(), 2))


SPEED_RATIOS = _ratios(dict(SPEED.factors))
HEIGHT_RATIOS = _ratios({name: LENGTH.factors[name] for name in ("m", "ft")})


def unit_changes(
    time: FloatArray, values: FloatArray, *, speed: bool
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.bool_]], float]:
    """Find where a channel is in another unit than most of it.

    Parameters
    ----------
    time : FloatArray
        Rising [s], shape (n,).
    values : FloatArray
        Speeds [m/s] or heights [m], shape (n,).
    speed : bool
        Which of the two.

    Returns
    -------
    changed : BoolArray
        True over the smaller part, shape (n,); which unit is right is for the owner to say.
    ratio : float
        By which it changes first, NaN where it does not.

    Notes
    -----
    A change of unit is a step from one row to the next by the ratio of two units, in the medians over five
    rows before and after too, harder than any aircraft of this kind can do. Method: derived here.
    """
    changed = np.zeros(values.size, dtype=np.bool_)
    there = np.flatnonzero(np.isfinite(values))
    if there.size < 2 * WINDOW:
        return changed, float("nan")
    found, moments = values[there], time[there]
    step, lasted = np.diff(found), np.maximum(np.diff(moments), 1e-3)
    hardest = HARDEST_SPEED_CHANGE if speed else HARDEST_CLIMB
    suspects = np.flatnonzero((np.abs(step) / lasted > hardest) & (np.abs(found[:-1]) > 5.0))
    if suspects.size > 2000:
        return changed, float("nan")
    level, levels = 1.0, np.ones(there.size)
    ratios, first = (SPEED_RATIOS if speed else HEIGHT_RATIOS), float("nan")
    for i in suspects:
        before = found[max(i - WINDOW + 1, 0) : i + 1]
        after = found[i + 1 : i + 1 + WINDOW]
        if min(before.size, after.size) < WINDOW:
            continue
        seen = float(np.median(after) / np.median(before)), float(found[i + 1] / found[i])
        ratio = next((r for r in ratios if all(abs(s / r - 1.0) < CLOSENESS for s in seen)), None)
        if ratio is None:
            continue
        first = ratio if np.isnan(first) else first
        level *= ratio
        levels[i + 1 :] = level
    if np.isnan(first):
        return changed, first
    # Rounding keeps levels that are equal up to closeness together.
    kinds = np.round(np.log(levels) / np.log1p(CLOSENESS))
    names, counts = np.unique(kinds, return_counts=True)
    changed[there[kinds != names[np.argmax(counts)]]] = True
    return changed, first
