"""One stall out of a log, before calibration: when, how it ended, what every channel said."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.flights.stall_record import SourceRows


@dataclass(frozen=True, kw_only=True)
class StallEvent:
    """One slow-down, measured.

    Parameters
    ----------
    time : float
        Of the stall, on the log's time [s].
    start, stop : float
        Of the slow-down and its recovery [s].
    ending : str
        One of `ENDINGS`.
    why : str
        What showed the ending, and why it cannot be used where it cannot.
    speed : float
        At the stall, in the airspeed that was searched [m/s], lag corrected where it is known.
    speed_uncertainty : float
        Standard uncertainty of that speed from gusts and from when exactly it was [m/s].
    entry_rate : float
        Slowing from 1.1 times that speed down to it [m/s^2], positive.
    load_factor : float
        Mean just before [-]; 1 over the cosine of bank where none was recorded.
    load_uncertainty : float
        Standard uncertainty of that mean from shaking [-]; 0 where none was recorded.
    load_recorded : bool
        Whether the load factor was measured.
    pitch, roll : float or None
        At the stall [rad].
    climb : float or None
        Vertical speed at the stall, or of steady flight at full stick [m/s].
    greatest_roll : float or None
        Largest change of bank within five seconds after [rad].
    height_lost : float or None
        From the stall to the lowest point of the recovery [m].
    buffet_speed : float or None
        Speed at which shaking began [m/s].
    flap_deg : float or None
        As recorded [degrees].
    pressure_altitude, outside_temperature : float or None
        [m], [K].
    source : SourceRows
        Rows of the raw log.
    warning_speed : float or None
        Speed at which the stall warning came, where it was written down [m/s].
    """

    time: float
    start: float
    stop: float
    ending: str
    why: str
    speed: float
    speed_uncertainty: float
    entry_rate: float
    load_factor: float
    load_uncertainty: float
    load_recorded: bool
    pitch: float | None
    roll: float | None
    climb: float | None
    greatest_roll: float | None
    height_lost: float | None
    buffet_speed: float | None
    flap_deg: float | None
    pressure_altitude: float | None
    outside_temperature: float | None
    source: SourceRows
    warning_speed: float | None = None
