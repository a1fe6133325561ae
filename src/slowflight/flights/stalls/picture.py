"""What a pilot sees of one event when asked to accept or strike it; the report draws it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.stalls.event import StallEvent

BEFORE, AFTER = 5.0, 3.0  # shown beyond either end [s]
SHOWN = ("indicated_airspeed", "load_factor", "pitch", "roll", "vertical_speed", "stick", "engine_speed")


@dataclass(frozen=True, kw_only=True, eq=False)
class EventPicture:
    """Curves of one event.

    Parameters
    ----------
    seconds : FloatArray
        From the stall [s], shape (n,).
    curves : dict of str to FloatArray
        By channel, SI, each of shape (n,); channels without readings are left out.
    line : tuple of FloatArray
        Seconds and speeds of the straight line whose end is the speed at the stall.
    title : str
        The ending, in words.
    """

    seconds: FloatArray
    curves: dict[str, FloatArray]
    line: tuple[FloatArray, FloatArray]
    title: str


def event_picture(log: Log, event: StallEvent, *, fit_seconds: float = 6.0) -> EventPicture:
    """Cut an event's curves out of its log.

    Parameters
    ----------
    log : Log
        The event came from.
    event : StallEvent
        As found.
    fit_seconds : float, optional
        Length of the line [s].

    Returns
    -------
    EventPicture
    """
    part = log.between(event.start - BEFORE, event.stop + AFTER)
    ends = np.array([-fit_seconds, 0.0])
    return EventPicture(
        seconds=part.time - event.time,
        curves={name: part.channels[name] for name in SHOWN if part.has(name)},
        line=(ends, event.speed - event.entry_rate * ends),
        title=f"{event.ending.replace('-', ' ')}: {event.why}",
    )
