"""Airborne spells of a log that ran on while the aircraft stood on the ground between flights."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from slowflight.flights.logs.log import Log, Step

# Common practice, no source.
FLYING = 13.0  # faster than anybody taxies, slower than anybody here flies [m/s]
SHORTEST_FLIGHT = 180.0  # [s]
SHORTEST_STOP = 90.0  # [s]; shorter is a touch-and-go
AROUND = 60.0  # kept before and after a flight [s]


def airborne_spells(log: Log) -> list[Log]:
    """Cut a log into flights where the aircraft stood or taxied in between.

    Parameters
    ----------
    log : Log
        Cleaned, with ground speed or indicated airspeed.

    Returns
    -------
    list of Log
        One for each flight of at least three minutes, with a minute around it; the whole log alone where it
        holds a single flight or nothing that looks like one.
    """
    name = next((n for n in ("ground_speed", "indicated_airspeed") if log.has(n)), None)
    if name is None or len(log) < 20:
        return [log]
    speed = log.channels[name]
    there = np.isfinite(speed)
    fast = np.interp(log.time, log.time[there], speed[there]) > FLYING
    # Fill in what is too short to be a stop; time decides, not rows.
    labels, count = ndimage.label(~fast)
    for place in ndimage.find_objects(labels, max_label=count):
        part = place[0]
        if log.time[part.stop - 1] - log.time[part.start] < SHORTEST_STOP:
            fast[part] = True
    labels, count = ndimage.label(fast)
    spans = [
        (float(log.time[place[0].start]), float(log.time[place[0].stop - 1]))
        for place in ndimage.find_objects(labels, max_label=count)
    ]
    spans = [(start, stop) for start, stop in spans if stop - start >= SHORTEST_FLIGHT]
    if len(spans) < 2:
        return [log]
    found = []
    for i, (start, stop) in enumerate(spans):
        begin = max(start - AROUND, spans[i - 1][1] + 1.0 if i else -np.inf)
        end = min(stop + AROUND, spans[i + 1][0] - 1.0 if i + 1 < len(spans) else np.inf)
        step = Step(what=f"flight {i + 1} of {len(spans)} in one recording", by="airborne_spells")
        found.append(log.between(begin, end).done(step, part=log.part + i))
    return found
