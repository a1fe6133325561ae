"""Whether the airspeed indicator went blank or stuck in flight, and how slow the aircraft was when it did."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flights.logs.log import BLANK, STUCK, Log
from slowflight.units import format_speed

SHORTEST = 1.0  # a shorter blank is a gap of the recorder [s]


@dataclass(frozen=True, kw_only=True)
class PanelFault:
    """A time without an airspeed to go by.

    Parameters
    ----------
    kind : str
        ``"blank"`` or ``"stuck"``.
    start, stop : float
        [s], of the log's time.
    first_row, last_row : int
        Lines of the raw file.
    sentence : str
        For the pilot.
    """

    kind: str
    start: float
    stop: float
    first_row: int
    last_row: int
    sentence: str


def panel_faults(log: Log) -> list[PanelFault]:
    """Find the times when the indicator showed nothing or one speed.

    Parameters
    ----------
    log : Log
        Cleaned, so that its flags say why readings are missing.

    Returns
    -------
    list of PanelFault
        In the order flown. Any of them is a reason to stop the test: at high angle the indicator cannot be
        flown by.
    """
    flags = log.flags.get("indicated_airspeed")
    if flags is None:
        return []
    found = []
    for kind, bit in (("blank", BLANK), ("stuck", STUCK)):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], (flags & bit) > 0, [0]]).astype(np.int8)))
        for first, stop in zip(edges[::2], edges[1::2], strict=True):
            last = stop - 1
            if log.time[last] - log.time[first] < SHORTEST:
                continue
            shown = ""
            if log.has("ground_speed"):
                slowest = float(np.nanmin(log.channels["ground_speed"][first:stop]))
                if np.isfinite(slowest):
                    shown = f", at down to {format_speed(slowest, 'kt', decimals=0)} over the ground"
            lasted = log.time[last] - log.time[first]
            found.append(
                PanelFault(
                    kind=kind,
                    start=float(log.time[first]),
                    stop=float(log.time[last]),
                    first_row=int(log.rows[first]),
                    last_row=int(log.rows[last]),
                    sentence=f"The airspeed indicator was {kind} for {lasted:.0f} s{shown}: find out why.",
                )
            )
    return sorted(found, key=lambda fault: fault.start)
