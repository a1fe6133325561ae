"""Bring two recorders to one clock, by what both felt; a match has to stand out to be accepted."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy import ndimage, signal

from slowflight.errors import InputError
from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.log import FloatArray, Log, Step

# Pairs of channels that feel the same thing, best first.
COMMON = (
    ("ground_speed", "ground_speed"),
    ("pressure_altitude", "pressure_altitude"),
    ("altitude", "altitude"),
    ("altitude", "pressure_altitude"),
    ("pressure_altitude", "altitude"),
    ("load_factor", "load_factor"),
    ("pitch_rate", "pitch_rate"),
    ("roll_rate", "roll_rate"),
)
# Common practice, no source.
LEAST_CORRELATION = 0.8
LARGEST_SECOND = 0.9  # of the best
FINEST_STEP = 0.1  # [s]


@dataclass(frozen=True, kw_only=True)
class Offset:
    """How far one clock is from the other.

    Parameters
    ----------
    seconds : float
        To add to the other log's time to get the base log's [s].
    correlation : float
        Of the match, 1 at best [-].
    second : float
        Of the next best match [-].
    channels : tuple of str
        What was compared.
    uncertainty : float
        Standard uncertainty [s]; at 1 kt/s so many knots of stall speed.
    """

    seconds: float
    correlation: float
    second: float
    channels: tuple[str, str]
    uncertainty: float


def find_offset(base: Log, other: Log, *, around: float = 0.0, search: float = 30.0) -> Offset:
    """Find the offset between two logs of one flight.

    Parameters
    ----------
    base, other : Log
        Cleaned.
    around : float, optional
        Offset to search around [s]; 0 where both clocks are UTC.
    search : float, optional
        How far to either side [s].

    Returns
    -------
    Offset

    Raises
    ------
    InputError
        Where the logs share no channel, do not overlap, or no match stands out.

    Notes
    -----
    Normalized cross-correlation of both channels, their slow parts taken off, with a parabola through the
    peak. In the uncertainty a tenth of a second stands for what filters in the recorders do (common
    practice, no source).
    """
    where = f"{base.source} and {other.source}"
    pair = next(((a, b) for a, b in COMMON if base.has(a) and other.has(b)), None)
    if pair is None:
        raise InputError(
            where=where, found="no channel in common", needed="ground speed, height or load factor in both"
        )
    step = max(FINEST_STEP, min(base.interval, other.interval))
    moved = other.time + around
    start, stop = max(base.time[0], moved[0] - search), min(base.time[-1], moved[-1] + search)
    if stop - start < 60.0:
        raise InputError(
            where=where,
            found=f"{max(stop - start, 0.0):.0f} s in common",
            needed="at least 60 s of one flight in both",
            fix="give the offset of their clocks roughly, where they differ by more than that",
        )
    grid = np.arange(start - search, stop + search, step)
    a = _felt(base.time, base.channels[pair[0]], grid, step)
    b = _felt(moved, other.channels[pair[1]], grid, step)
    shifts, correlation = _correlated(a, b, step, search)
    best = int(np.argmax(correlation))
    peak = float(correlation[best])
    others = [int(i) for i in signal.find_peaks(correlation)[0] if i != best]
    second = float(np.max(correlation[others], initial=-1.0)) if others else -1.0
    if peak < LEAST_CORRELATION or second > LARGEST_SECOND * peak:
        raise InputError(
            where=where,
            found=f"a best match of {peak:.2f} and a next best of {second:.2f}",
            needed=f"one match above {LEAST_CORRELATION} that stands out",
            fix="mark both logs in flight with three sharp pulls, or give the offset",
        )
    fine = 0.0
    if 0 < best < correlation.size - 1:
        left, middle, right = correlation[best - 1 : best + 2]
        bend = left - 2.0 * middle + right
        fine = 0.5 * float(left - right) / float(bend) * step if bend < 0.0 else 0.0
    return Offset(
        seconds=around + float(shifts[best]) + fine,
        correlation=peak,
        second=second,
        channels=pair,
        uncertainty=float(np.hypot(0.1, step / np.sqrt(12.0))),
    )


def joined(base: Log, other: Log, offset: Offset, *, longest_gap: float = 2.0) -> Log:
    """Put channels of another log beside those of the base log.

    Parameters
    ----------
    base : Log
        Keeps its rows and its own channels.
    other : Log
        Of which only channels that the base has not are taken, between readings by straight lines.
    offset : Offset
        From `find_offset`, or made by hand.
    longest_gap : float, optional
        Longest stretch without readings that is bridged [s].

    Returns
    -------
    Log
        Of kind ``"joined"``, its history saying what came from where. Both logs stay as they are.
    """
    channels = dict(base.channels)
    taken = []
    for name, values in other.channels.items():
        if name in channels:
            continue
        channels[name] = _at(base.time - offset.seconds, other.time, values, name, longest_gap)
        taken.append(name)
    step = Step(
        what=f"{', '.join(taken) or 'nothing'} taken from {other.source}, moved by {offset.seconds:+.2f} s",
        by="joined",
        count=len(taken),
        settings=(("offset_s", offset.seconds), ("correlation", offset.correlation)),
    )
    return replace(
        base.done(*other.history, step),
        source=f"{base.source} + {other.source}",
        kind="joined",
        channels=channels,
    )


def _at(when: FloatArray, time: FloatArray, values: FloatArray, name: str, longest_gap: float) -> FloatArray:
    there = np.isfinite(values)
    if np.count_nonzero(there) < 2:
        return np.full(when.size, np.nan)
    known, found = time[there], values[there]
    if CHANNELS[name].around:
        found = np.unwrap(found)
    result = np.interp(when, known, found, left=np.nan, right=np.nan)
    after = np.clip(np.searchsorted(known, when), 1, known.size - 1)
    result[known[after] - known[after - 1] > longest_gap] = np.nan
    return np.asarray(result % (2.0 * np.pi) if CHANNELS[name].around else result, dtype=np.float64)


def _felt(time: FloatArray, values: FloatArray, grid: FloatArray, step: float) -> FloatArray:
    """A channel on the grid, its slow part taken off; NaN where there is none."""
    there = np.isfinite(values)
    found = np.interp(grid, time[there], values[there], left=np.nan, right=np.nan)
    inside = np.isfinite(found)
    filled = np.where(inside, found, np.nanmean(found))
    slow = ndimage.uniform_filter1d(filled, size=max(round(60.0 / step), 3), mode="nearest")
    return np.where(inside, filled - slow, np.nan)


def _correlated(a: FloatArray, b: FloatArray, step: float, search: float) -> tuple[FloatArray, FloatArray]:
    """Correlation of `a` with `b` moved later by each shift, over what both have."""
    has_a, has_b = np.isfinite(a).astype(np.float64), np.isfinite(b).astype(np.float64)
    a, b = np.where(has_a > 0, a, 0.0), np.where(has_b > 0, b, 0.0)
    both = signal.fftconvolve(a, b[::-1])
    power_a = signal.fftconvolve(a**2, has_b[::-1])
    power_b = signal.fftconvolve(has_a, (b**2)[::-1])
    common = signal.fftconvolve(has_a, has_b[::-1])
    lags = np.arange(-(b.size - 1), a.size)
    enough = (np.abs(lags) <= search / step) & (common > 30.0 / step)
    bottom = np.sqrt(np.maximum(power_a * power_b, 1e-12))
    found = np.where(enough, both / bottom, -1.0)
    keep = np.abs(lags) <= search / step
    return np.asarray(lags[keep] * step, dtype=np.float64), np.asarray(found[keep], dtype=np.float64)
