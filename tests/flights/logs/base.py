"""A good log to break: every row carries its own number, so that what is left can be checked row by row."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np

from slowflight.flights.logs.channel import CHANNELS
from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.simulator.flying import simulate
from slowflight.flights.simulator.invented import KNOT, Instruments, Weather
from slowflight.flights.simulator.maneuvers import Leg, StallRun

NUMBER = "angle_of_attack_raw"  # holds the row's number
COLUMNS: dict[str, tuple[str, str, int]] = {
    "IAS (kt)": ("indicated_airspeed", "kt", 2),
    "Ground speed (kt)": ("ground_speed", "kt", 2),
    "Track (deg)": ("track", "deg", 1),
    "Latitude (deg)": ("latitude", "deg", 7),
    "Longitude (deg)": ("longitude", "deg", 7),
    "Pressure altitude (ft)": ("pressure_altitude", "ft", 1),
    "Pitch (deg)": ("pitch", "deg", 2),
    "Normal acceleration (g)": ("load_factor", "g", 3),
    "AOA": (NUMBER, "number", 0),
}


@cache
def good(rate: float = 1.0) -> Log:
    """Legs on four headings and two stalls, about five minutes."""
    flight = simulate(
        [Leg(speed=55.0 * KNOT, heading=i * math.pi / 2.0, seconds=40.0) for i in range(4)]
        + [StallRun(heading=0.0), StallRun(heading=math.pi)],
        seed=11,
        instruments=Instruments(rate=rate, airspeed_noise=0.02),
        weather=Weather(gust=0.1),
    )
    log = flight.log
    return log.done(channels={**log.channels, NUMBER: np.arange(len(log), dtype=np.float64)})


def cells(log: Log, name: str) -> list[str]:
    """One column as it is written."""
    channel, unit, digits = COLUMNS[name]
    scale = CHANNELS[channel].quantity.units[unit]
    values: FloatArray = (log.channels[channel] - scale.offset) / scale.factor
    return [f"{value:.{digits}f}" for value in values.tolist()]


def stamps(log: Log) -> list[str]:
    """ISO times with Z."""
    whole = np.datetime64("1970-01-01T00:00:00.000")
    return [f"{whole + np.timedelta64(round(second * 1000.0), 'ms')}Z" for second in log.time.tolist()]


def clocks(log: Log, *, shift: float = 0.0) -> list[str]:
    """Times of day, around midnight too."""
    texts = []
    for second in (log.time + shift).tolist():
        hours, rest = divmod(second % 86_400.0, 3600.0)
        minutes, seconds = divmod(rest, 60.0)
        texts.append(f"{int(hours):02d}:{int(minutes):02d}:{seconds:06.3f}")
    return texts


def table(
    log: Log | None = None, *, times: list[str] | None = None, time_name: str = "Time (UTC)"
) -> list[list[str]]:
    """The log as rows of cells, names first."""
    log = good() if log is None else log
    columns = [stamps(log) if times is None else times, *(cells(log, name) for name in COLUMNS)]
    return [[time_name, *COLUMNS], *(list(row) for row in zip(*columns, strict=True))]


def text(rows: list[list[str]], delimiter: str = ",") -> str:
    return "\n".join(delimiter.join(row) for row in rows) + "\n"


def write(folder: Path, content: str | bytes, name: str = "broken.csv") -> Path:
    path = folder / name
    if isinstance(content, bytes):
        path.write_bytes(content)
    else:
        path.write_bytes(content.encode("utf-8"))
    return path


def differences(log: Log, *, base: Log | None = None) -> dict[str, float]:
    """Largest difference of each channel from the good log, row number by row number; blanks do not count."""
    base = good() if base is None else base
    numbers = log.channels[NUMBER].astype(np.intp)
    worst = {}
    for name, values in log.channels.items():
        if name in base.channels:
            off = np.abs(values - base.channels[name][numbers])
            worst[name] = float(np.nanmax(off)) if np.isfinite(off).any() else 0.0
    return worst


# Half of the last digit written, in SI, with a little for arithmetic.
ROUNDING = {
    "indicated_airspeed": 0.0027,
    "ground_speed": 0.0027,
    "track": 0.0009,
    "latitude": 1e-9,
    "longitude": 1e-9,
    "pressure_altitude": 0.016,
    "pitch": 9e-5,
    "load_factor": 6e-4,
    NUMBER: 0.0,
}
