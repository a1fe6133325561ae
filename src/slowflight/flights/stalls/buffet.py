"""Where shaking begins on the way into a stall, from the load factor's quick part."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.stalls.search import SlowDown
from slowflight.flights.stalls.traces import Traces

SLOWEST_LOG = 8.0  # readings a second below which shaking cannot show, common practice
MORE_THAN_QUIET = 2.5  # times the shaking of the first half of the run
LASTS = 0.6  # [s]


def buffet_start(log: Log, traces: Traces, run: SlowDown, row: int) -> float | None:
    """Speed at which buffet begins.

    Parameters
    ----------
    log : Log
        With a load factor, recorded at 8 Hz or more.
    traces : Traces
        Of the same log.
    run : SlowDown
        The slow-down.
    row : int
        Of the stall.

    Returns
    -------
    float or None
        In the airspeed that was searched [m/s]; None where there was none, or the log is too slow to tell.

    Notes
    -----
    Shaking is the standard deviation of load factor less its running mean, over half a second, compared with
    the first half of the same run. Method: derived here; thresholds are common practice, no source.
    """
    if not log.has("load_factor") or not traces.interval <= 1.0 / SLOWEST_LOG:
        return None
    part = slice(run.start, row + 1)
    load = log.channels["load_factor"][part]
    if load.size < 40 or not np.isfinite(load).all():
        return None
    size = max(round(0.5 / traces.interval), 3)
    quick = load - ndimage.uniform_filter1d(load, size=size, mode="nearest")
    shaking: FloatArray = np.sqrt(ndimage.uniform_filter1d(quick**2, size=2 * size, mode="nearest"))
    quiet = float(np.median(shaking[: load.size // 2]))
    loud = shaking > MORE_THAN_QUIET * max(quiet, 1e-4)
    # It has to last until the stall, or it was a gust.
    calm = np.flatnonzero(~loud[: load.size - size // 2])
    first = int(calm[-1]) + 1 if calm.size else 0
    if (load.size - first) * traces.interval < LASTS:
        return None
    # The window sees shaking half its length before it begins.
    speed = float(traces.smooth[min(run.start + first + size, row)])
    return speed if np.isfinite(speed) else None
