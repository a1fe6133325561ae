"""Speeds smoothed without being shifted in time."""

from __future__ import annotations

import numpy as np
from scipy import ndimage, signal

from slowflight.flights.logs.log import FloatArray

FAST_ENOUGH = 4.0  # below this rate a median of three is all that can be done [1/s]


def smoothed(time: FloatArray, values: FloatArray, *, cut_off: float) -> FloatArray:
    """Smooth a channel both ways, so that nothing lags.

    Parameters
    ----------
    time : FloatArray
        Rising [s], shape (n,).
    values : FloatArray
        Any channel, NaN where missing, shape (n,).
    cut_off : float
        Of the low-pass [1/s].

    Returns
    -------
    FloatArray
        In the channel's unit; missing readings of up to two seconds are bridged, longer ones stay NaN.

    Notes
    -----
    A second-order Butterworth filter run forward and backward; below 4 readings a second a median of three.
    """
    there = np.isfinite(values)
    if np.count_nonzero(there) < 9:
        return values.copy()
    bridged = np.interp(time, time[there], values[there])
    interval = float(np.median(np.diff(time)))
    if interval > 1.0 / FAST_ENOUGH:
        found = ndimage.median_filter(bridged, size=3, mode="nearest")
    else:
        coefficients = signal.butter(2, cut_off, fs=1.0 / interval, output="sos")
        found = signal.sosfiltfilt(coefficients, bridged)
    found = np.asarray(found, dtype=np.float64)
    found[_far_from(time, there)] = np.nan
    return found


def slope(time: FloatArray, values: FloatArray, *, seconds: float) -> FloatArray:
    """Rate of change of a channel.

    Parameters
    ----------
    time : FloatArray
        Rising [s], shape (n,).
    values : FloatArray
        Any channel, shape (n,).
    seconds : float
        Length of the stretch around each reading over which it is taken [s].

    Returns
    -------
    FloatArray
        In the channel's unit per second, NaN near the ends and near missing readings, shape (n,).

    Notes
    -----
    Readings and times are weighted by how many rows they are from the middle, and the sums divided: the
    slope of least squares where rows are evenly spaced, exact for a straight line however they are spaced.
    """
    if time.size < 3:
        return np.full(time.size, np.nan)
    interval = float(np.median(np.diff(time)))
    half = max(round(0.5 * seconds / interval), 1)
    if time.size < 2 * half + 1:
        return np.full(time.size, np.nan)
    weights = np.arange(-half, half + 1, dtype=np.float64)
    filled = np.where(np.isfinite(values), values, 0.0)
    rise = ndimage.correlate1d(filled, weights, mode="nearest")
    run = ndimage.correlate1d(time - time[0], weights, mode="nearest")
    found = rise / np.where(run > 0.0, run, np.nan)
    missing = ndimage.maximum_filter1d(
        (~np.isfinite(values)).astype(np.uint8), size=2 * half + 1, mode="nearest"
    )
    found[missing > 0] = np.nan
    found[:half], found[found.size - half :] = np.nan, np.nan
    return np.asarray(found, dtype=np.float64)


def _far_from(
    time: FloatArray, there: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], limit: float = 2.0
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether no reading lies within `limit` on one of both sides [s]."""
    known = time[there]
    after = np.clip(np.searchsorted(known, time), 0, known.size - 1)
    before = np.clip(np.searchsorted(known, time, side="right") - 1, 0, known.size - 1)
    return np.asarray(known[after] - known[before] > limit)
