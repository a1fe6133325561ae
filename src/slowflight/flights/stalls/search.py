"""Find every slow-down that gets near the stall; nothing is judged here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight.flights.stalls.settings import StallSettings
from slowflight.flights.stalls.traces import Traces


@dataclass(frozen=True, kw_only=True)
class SlowDown:
    """One slow-down.

    Parameters
    ----------
    start, stop : int
        First row of the slowing and last row of what may belong to the event, recovery included.
    slowest : int
        Row at which slowing ends.
    """

    start: int
    stop: int
    slowest: int


AFTERWARD = 12.0  # how long a recovery may take [s]


def slow_downs(traces: Traces, *, stall_speed: float, settings: StallSettings) -> list[SlowDown]:
    """Find slow-downs.

    Parameters
    ----------
    traces : Traces
        Of the whole log.
    stall_speed : float
        Guessed, in the airspeed that is searched [m/s].
    settings : StallSettings
        How slow, how fast, how long.

    Returns
    -------
    list of SlowDown
        In the order flown.
    """
    time, rate = traces.time, traces.rate
    interval = traces.interval
    with np.errstate(invalid="ignore"):
        slowing = (rate < -settings.slowest_rate) & (rate > -settings.fastest_rate)
    # A gust stops the slowing for a moment, not the run.
    slowing = ndimage.binary_closing(slowing, structure=np.ones(2 * max(round(0.75 / interval), 1) + 1))
    labels, count = ndimage.label(slowing)
    found: list[SlowDown] = []
    for place in ndimage.find_objects(labels, max_label=count):
        first, last = place[0].start, place[0].stop - 1
        lowest = traces.smooth[first : last + 1]
        if (
            time[last] - time[first] < settings.shortest
            or not np.nanmin(lowest) < settings.below * stall_speed
        ):
            continue
        stop = int(np.searchsorted(time, time[last] + AFTERWARD, side="right")) - 1
        if found and time[first] < time[found[-1].slowest] + 4.0:
            # The same run, interrupted; what came first is where it began.
            found[-1] = SlowDown(start=found[-1].start, stop=stop, slowest=last)
        else:
            found.append(SlowDown(start=first, stop=stop, slowest=last))
    # The next slow-down does not belong to this one's recovery.
    return [
        SlowDown(
            start=run.start,
            slowest=run.slowest,
            stop=min(run.stop, found[i + 1].start - 1) if i + 1 < len(found) else run.stop,
        )
        for i, run in enumerate(found)
    ]
