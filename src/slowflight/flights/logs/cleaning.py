"""Readings that cannot be right, taken out and counted; nothing is invented in their place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight.flights.logs.channel import CHANNELS, Channel
from slowflight.flights.logs.log import (
    BLANK,
    NO_FIX,
    OTHER_UNIT,
    OUTSIDE,
    SPIKE,
    STUCK,
    FlagArray,
    FloatArray,
    Log,
    Step,
)
from slowflight.flights.logs.unit_change import unit_changes

BoolArray = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
_POSITION = ("latitude", "longitude", "altitude", "ground_speed", "track")
_SPEEDS = ("indicated_airspeed", "calibrated_airspeed", "true_airspeed", "ground_speed")


@dataclass(frozen=True, kw_only=True)
class Cleaning:
    """When a reading is taken out. Common practice, no source, except where said.

    Parameters
    ----------
    window : int
        Readings in the running median against which spikes show (Hampel's identifier).
    deviations : float
        How many robust standard deviations make a spike; it must exceed the channel's own jump too.
    stuck_for : float
        An instrument that shows one value for longer than this while others move is stuck [s].
    blank_above : float
        An airspeed of nothing at a ground speed above this is a blank, not a speed [m/s].
    worst_dilution : float
        Largest horizontal dilution of a usable fix [-].
    fewest_satellites : float
        In a usable fix.
    quick_interval : float
        In logs slower than this, pitch, roll, rates and loads are not searched for spikes [s]: a stall is
        as quick.
    """

    window: int = 7
    deviations: float = 3.0
    stuck_for: float = 5.0
    blank_above: float = 12.0
    worst_dilution: float = 3.0
    fewest_satellites: float = 6.0
    quick_interval: float = 0.3


CLEANING = Cleaning()


def clean(log: Log, settings: Cleaning = CLEANING) -> Log:
    """Take out readings that cannot be right.

    Parameters
    ----------
    log : Log
        As read.
    settings : Cleaning, optional
        When a reading is taken out.

    Returns
    -------
    Log
        With NaN in place of what was taken out, `Log.flags` saying why, and a step of history for each kind.

    Notes
    -----
    Spikes: Hampel's identifier, a running median with its median absolute deviation times 1.4826.
    """
    values = {name: found.copy() for name, found in log.channels.items()}
    flags: dict[str, FlagArray] = {}
    steps: list[Step] = []

    def take_out(name: str, wrong: BoolArray, flag: int, what: str, **thresholds: float) -> None:
        wrong = wrong & np.isfinite(values[name])
        if not wrong.any():
            return
        flags.setdefault(name, np.zeros(len(log), dtype=np.uint8))[wrong] |= flag
        values[name][wrong] = np.nan
        rows = log.rows[wrong]
        steps.append(
            Step(
                what=what,
                by="clean",
                channel=name,
                count=int(wrong.sum()),
                first_row=int(rows.min()),
                last_row=int(rows.max()),
                settings=tuple(thresholds.items()),
            )
        )

    poor = _poor_fix(log, settings)
    for name in _POSITION:
        if name in values and poor.any():
            take_out(name, poor, NO_FIX, "left out: the receiver had no good fix")
    for name in list(values):
        channel = CHANNELS[name]
        with np.errstate(invalid="ignore"):
            outside = (values[name] < channel.low) | (values[name] > channel.high)
        take_out(
            name, outside, OUTSIDE, "left out: outside what is possible", low=channel.low, high=channel.high
        )
    for name in ("indicated_airspeed", "calibrated_airspeed", "true_airspeed"):
        if name in values and "ground_speed" in values:
            with np.errstate(invalid="ignore"):
                blank = (values[name] <= 0.5) & (values["ground_speed"] > settings.blank_above)
            take_out(name, blank, BLANK, "left out: the indicator showed nothing in flight")
    for name in list(values):
        if name in _SPEEDS or CHANNELS[name].unit == "m":
            changed, ratio = unit_changes(log.time, values[name], speed=name in _SPEEDS)
            take_out(
                name, changed, OTHER_UNIT, f"left out: the unit seems to change here by a factor {ratio:.3g}"
            )
    for name in list(values):
        slow = CHANNELS[name].quick and log.interval > settings.quick_interval
        if np.isfinite(CHANNELS[name].jump) and not slow:
            take_out(
                name,
                _spikes(values[name], CHANNELS[name], settings),
                SPIKE,
                "left out: far off its neighbors",
                window=settings.window,
                deviations=settings.deviations,
                jump=CHANNELS[name].jump,
            )
    for name in _SPEEDS:
        if name in values:
            stuck = _stuck(log, values, name, settings)
            take_out(name, stuck, STUCK, "left out: stuck while others moved", longer_than=settings.stuck_for)
    return log.done(*steps, channels=values, flags={**log.flags, **flags})


def _poor_fix(log: Log, settings: Cleaning) -> BoolArray:
    poor = np.zeros(len(log), dtype=np.bool_)
    with np.errstate(invalid="ignore"):
        if "dilution" in log.channels:
            poor |= log.channels["dilution"] > settings.worst_dilution
        if "satellites" in log.channels:
            poor |= log.channels["satellites"] < settings.fewest_satellites
    return poor


def _spikes(values: FloatArray, channel: Channel, settings: Cleaning) -> BoolArray:
    wrong = np.zeros(values.size, dtype=np.bool_)
    there = np.flatnonzero(np.isfinite(values))
    if there.size < settings.window:
        return wrong
    found = values[there]
    off = np.abs(found - ndimage.median_filter(found, size=settings.window, mode="nearest"))
    suspects = off > channel.jump
    if not suspects.any():
        return wrong
    spread = ndimage.median_filter(off, size=settings.window, mode="nearest")
    wrong[there[suspects & (off > settings.deviations * 1.4826 * spread)]] = True
    return wrong


def _stuck(log: Log, values: dict[str, FloatArray], name: str, settings: Cleaning) -> BoolArray:
    wrong = np.zeros(len(log), dtype=np.bool_)
    found = values[name]
    with np.errstate(invalid="ignore"):
        changes = np.flatnonzero(np.concatenate([[True], ~(np.diff(found) == 0.0), [True]]))
    starts, stops = changes[:-1], changes[1:]
    lasted = log.time[stops - 1] - log.time[starts]
    # A coarse display holds one value for a while in any flight; stuck is much longer than it usually does.
    usual = float(np.quantile(lasted, 0.95)) if lasted.size else 0.0
    other = next((values[n] for n in _SPEEDS if n != name and n in values), None)
    if other is None:
        return wrong
    for i in np.flatnonzero(lasted > max(settings.stuck_for, 3.0 * usual)):
        part = slice(int(starts[i]), int(stops[i]))
        moved = other[part][np.isfinite(other[part])]
        if found[part.start] > 1.0 and moved.size and np.ptp(moved) > 4.0:
            wrong[part.start + 1 : part.stop] = True
    return wrong
