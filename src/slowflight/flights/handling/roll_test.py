"""The home roll test: bank to bank with a phone's gyroscope, at the same multiple of stall speed each time.

The gyroscope's rate about the aircraft's long axis is integrated to bank. A phone that lies ten degrees off
that axis reads 1.5 % low, alike before and after if it is strapped in the same place.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError, RangeError
from slowflight.flights.handling.scorecard import AMBER, GREEN, RED, Finding

SOURCES: tuple[str, ...] = ()

LEFT_TO_RIGHT, RIGHT_TO_LEFT = "left to right", "right to left"
BANK = math.radians(30.0)
# Common practice, no source.
SLOWER_AMBER, SLOWER_RED = 1.15, 1.40
PEAK_OVER = 0.3  # [s]
LONGEST_GAP = 0.25  # [s] between samples


@dataclass(frozen=True, kw_only=True)
class Passage:
    """One roll from a bank to the same bank on the other side.

    Parameters
    ----------
    direction : str
        ``"left to right"`` or ``"right to left"``.
    seconds : float
        From bank to bank [s].
    mean_rate, peak_rate : float
        Over the passage, and the best 0.3 s of it [rad/s].
    """

    direction: str
    seconds: float
    mean_rate: float
    peak_rate: float

    def helix_angle(self, *, span: float, true_airspeed: float) -> float:
        """Return the path angle of the wing tip, ``p b / (2 V)`` [rad], which does not fall with speed.

        Parameters
        ----------
        span : float
            [m].
        true_airspeed : float
            [m/s].
        """
        return self.peak_rate * span / (2.0 * true_airspeed)


def find_passages(
    *, time: npt.ArrayLike, roll_rate: npt.ArrayLike, still_until: float, bank: float = BANK
) -> tuple[Passage, ...]:
    """Find every roll from bank to bank in a gyroscope's record.

    Parameters
    ----------
    time : array_like, shape (n,)
        Rising [s].
    roll_rate : array_like, shape (n,)
        About the aircraft's long axis, right wing down positive [rad/s].
    still_until : float
        The record begins in steady wings-level flight that lasts until then [s]: it gives the sensor's zero,
        and bank counts from there.
    bank : float, optional
        [rad].

    Returns
    -------
    tuple of Passage
        In order. The record is used up to its first gap of more than a quarter second, for what was rolled in
        a gap is not known and bank would be wrong ever after.

    Raises
    ------
    InputError
        Where times do not rise, a number is not finite, or there are fewer than ten samples of steady flight.
    """
    t, p = np.asarray(time, dtype=float), np.asarray(roll_rate, dtype=float)
    if t.shape != p.shape or t.ndim != 1 or not (np.isfinite(t).all() and np.isfinite(p).all()):
        raise InputError(
            where="roll test", found="uneven or missing samples", needed="one finite rate for each time"
        )
    if np.any(np.diff(t) <= 0.0):
        raise InputError(where="roll test", found="times that do not rise", needed="rising times")
    still = t <= still_until
    gaps = np.flatnonzero(np.diff(t) > LONGEST_GAP)
    if gaps.size:
        t, p, still = t[: gaps[0] + 1], p[: gaps[0] + 1], still[: gaps[0] + 1]
    if still.sum() < 10:
        raise InputError(
            where="roll test",
            found=f"{int(still.sum())} samples of steady flight at the start",
            needed="at least 10 without a gap",
            fix="fly wings level for five seconds before the first roll",
        )
    p = p - float(p[still].mean())
    banks = np.concatenate([[0.0], np.cumsum(0.5 * (p[1:] + p[:-1]) * np.diff(t))])
    banks = banks - float(banks[still].mean())
    crossings = sorted(_crossings(t, banks, bank) + _crossings(t, banks, -bank))
    found = []
    for (start, low), (end, high) in itertools.pairwise(crossings):
        if low == high:
            continue
        found.append(
            Passage(
                direction=LEFT_TO_RIGHT if high > low else RIGHT_TO_LEFT,
                seconds=end - start,
                mean_rate=2.0 * bank / (end - start),
                peak_rate=_peak(t, np.abs(p), start, end),
            )
        )
    return tuple(found)


def compare_rolls(before: Sequence[Passage], after: Sequence[Passage], *, at: str) -> tuple[Finding, ...]:
    """Judge how much slower the aircraft rolls with vanes.

    Parameters
    ----------
    before, after : sequence of Passage
        At the same multiple of each configuration's own stall speed; several each way.
    at : str
        Which, such as ``"1.3 times stall speed"``.

    Returns
    -------
    tuple of Finding
        One for each direction: amber from 15 % slower, red from 40 % (common practice, no source).

    Raises
    ------
    RangeError
        Where a direction was flown fewer than three times before or after.
    """
    found = []
    for direction in (LEFT_TO_RIGHT, RIGHT_TO_LEFT):
        sides = [[one.seconds for one in rolls if one.direction == direction] for rolls in (before, after)]
        if min(len(side) for side in sides) < 3:
            raise RangeError(
                where=f"roll test, {direction}",
                found=f"{len(sides[0])} passages before and {len(sides[1])} after",
                needed="three of each",
            )
        old, new = (float(np.median(side)) for side in sides)
        ratio = new / old
        level = RED if ratio >= SLOWER_RED else AMBER if ratio >= SLOWER_AMBER else GREEN
        found.append(
            Finding(
                item=f"roll {direction} at {at}",
                level=level,
                words=f"{new:.1f} s from bank to bank, before {old:.1f} s",
            )
        )
    return tuple(found)


def _crossings(
    t: npt.NDArray[np.float64], banks: npt.NDArray[np.float64], level: float
) -> list[tuple[float, float]]:
    above = banks >= level
    at = np.flatnonzero(above[1:] != above[:-1])
    share = (level - banks[at]) / (banks[at + 1] - banks[at])
    return [(float(when), level) for when in t[at] + share * (t[at + 1] - t[at])]


def _peak(t: npt.NDArray[np.float64], rate: npt.NDArray[np.float64], start: float, end: float) -> float:
    """Return the largest mean over 0.3 s, or over the whole passage where it is shorter."""
    turned = np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * np.diff(t))])
    width = min(PEAK_OVER, end - start)
    begins = np.linspace(start, end - width, 200)
    gone = np.interp(begins + width, t, turned) - np.interp(begins, t, turned)
    return float(gone.max() / width)
