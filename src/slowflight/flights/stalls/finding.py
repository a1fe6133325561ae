"""From a log to its stalls: search, classify, measure; every slow-down found is kept, with the reason."""

from __future__ import annotations

import math

import numpy as np

from slowflight.flights.logs.log import FloatArray, Log
from slowflight.flights.stall_record import FULL_STICK, UNUSABLE, SourceRows
from slowflight.flights.stalls.buffet import buffet_start
from slowflight.flights.stalls.ending import Ending, how_it_ended
from slowflight.flights.stalls.event import StallEvent
from slowflight.flights.stalls.search import SlowDown, slow_downs
from slowflight.flights.stalls.settings import STALL_SETTINGS, StallSettings
from slowflight.flights.stalls.traces import Traces, traces

# Gusts last about this long; readings closer together are not independent. Common practice, no source [s].
GUST_MEMORY = 1.5
TIMING = 0.2  # how well the moment of a stall shows at best, common practice [s]
GUSTIEST = 1.5 * 1852.0 / 3600.0  # scatter about the line beyond which a run is thrown about [m/s]


def find_stalls(
    log: Log,
    *,
    stall_speed: float,
    speed: FloatArray | None = None,
    lag: float = 0.0,
    power: str = "idle",
    settings: StallSettings = STALL_SETTINGS,
) -> list[StallEvent]:
    """Find and measure the stalls of a flight.

    Parameters
    ----------
    log : Log
        Cleaned.
    stall_speed : float
        Guessed, in the airspeed that is searched [m/s]; 20 % wrong does no harm.
    speed : FloatArray, optional
        Airspeed to search in and measure [m/s], shape (n,); indicated airspeed without it.
    lag : float, optional
        Of that airspeed's indicator, added back as rate times lag [s]. Use one value before and after.
    power : str, optional
        As flown; at ``"idle"`` an engine that was not makes the event unusable.
    settings : StallSettings, optional
        Thresholds.

    Returns
    -------
    list of StallEvent
        In the order flown, unusable ones included.

    Raises
    ------
    InputError
        Where the log is too short or has no airspeed.

    Notes
    -----
    The speed is the end of a straight line through the last six seconds, not the lowest reading, which
    depends on how gusty it was. Method: derived here; simulated flights among the tests show
    what it is worth.
    """
    prepared = traces(log, speed=speed, settings=settings)
    usual_engine = None
    if prepared.engine is not None:
        usual_engine = float(np.nanquantile(prepared.engine, 0.9))
    found = []
    for run in slow_downs(prepared, stall_speed=stall_speed, settings=settings):
        ending = how_it_ended(prepared, run, settings)
        event = _measured(log, prepared, run, ending, lag, power, usual_engine, settings)
        if event is not None and event.speed < settings.below * stall_speed:
            found.append(event)
    return found


def _measured(
    log: Log,
    prepared: Traces,
    run: SlowDown,
    ending: Ending,
    lag: float,
    power: str,
    usual_engine: float | None,
    settings: StallSettings,
) -> StallEvent | None:
    time, row = prepared.time, ending.row
    line = _line(time, prepared.speed, time[row] - settings.fit_seconds, time[row])
    if line is None:
        return None
    speed, line_slope, scatter, uncertainty = line
    if ending.ending == FULL_STICK:
        # The indicator has caught up after a second of steady flight.
        inside = (time >= time[row] + min(1.0, 0.4 * (time[ending.until] - time[row]))) & (
            time <= time[ending.until]
        )
        held = prepared.speed[inside & np.isfinite(prepared.speed)]
        if held.size:
            speed = float(np.mean(held))
            uncertainty = scatter / math.sqrt(
                max(float(time[ending.until] - time[row]) / (2.0 * GUST_MEMORY), 1.0)
            )
            lag = 0.0
    rate = _entry_rate(prepared, run, row, speed, fallback=-line_slope)
    if ending.ending != FULL_STICK:
        # The moment is known to a reading either way, or a fifth of a second: rectangular, over root three.
        moment = max(prepared.interval, TIMING) / math.sqrt(3.0)
        uncertainty = math.hypot(uncertainty, rate * moment)
    average = max(settings.load_seconds, 3.0 * prepared.interval)
    last = slice(int(np.searchsorted(time, time[row] - average)), row + 1)
    roll = _mean(prepared.roll, last)
    few = int(np.searchsorted(time, time[row] - 8.0 * prepared.interval))
    measured_load, load_uncertainty = _load(log, last, slice(min(few, last.start), row + 1))
    load = measured_load if measured_load is not None else 1.0 / math.cos(min(abs(roll or 0.0), 1.2))
    calm = slice(int(np.searchsorted(time, time[row] - 1.0)), max(ending.until, row) + 1)
    troubles = _troubles(log, prepared, run, row, rate, scatter, power, usual_engine, settings)
    why = "; ".join([*troubles, ending.why])
    shaken = buffet_start(log, prepared, run, row)
    after = slice(row, int(np.searchsorted(time, time[row] + 5.0, side="right")))
    return StallEvent(
        time=float(time[row]),
        start=float(time[run.start]),
        stop=float(time[run.stop]),
        ending=UNUSABLE if troubles else ending.ending,
        why=why,
        speed=speed - rate * lag,
        speed_uncertainty=uncertainty,
        entry_rate=rate,
        load_factor=load,
        load_uncertainty=load_uncertainty,
        load_recorded=measured_load is not None,
        pitch=_at(time, prepared.pitch, row, ending),
        roll=roll,
        climb=_at(time, prepared.climb, row, ending),
        greatest_roll=_greatest(prepared.roll, after, roll),
        height_lost=_height_lost(log, row, run.stop),
        buffet_speed=None if shaken is None else shaken - rate * lag,
        flap_deg=_degrees(log, last),
        pressure_altitude=_channel(log, "pressure_altitude", calm),
        outside_temperature=_channel(log, "outside_temperature", calm),
        source=SourceRows(file=log.source, first=int(log.rows[run.start]), last=int(log.rows[run.stop])),
    )


def _line(
    time: FloatArray, values: FloatArray, start: float, stop: float
) -> tuple[float, float, float, float] | None:
    """End of a straight line [m/s], its slope, the scatter about it, the end's standard uncertainty."""
    first, last = np.searchsorted(time, [start - 1e-6, stop + 1e-6])
    moments, found = time[first:last] - stop, values[first:last]
    there = np.isfinite(found)
    if np.count_nonzero(there) < 4:
        return None
    moments, found = moments[there], found[there]
    design = np.column_stack([np.ones(moments.size), moments])
    solved = np.linalg.lstsq(design, found, rcond=None)[0]
    left = found - design @ solved
    scatter = math.sqrt(float(left @ left) / max(moments.size - 2, 1))
    independent = max((stop - start) / (2.0 * GUST_MEMORY), 1.0)
    return float(solved[0]), float(solved[1]), scatter, scatter * math.sqrt(4.0 / max(independent, 2.0))


def _entry_rate(prepared: Traces, run: SlowDown, row: int, speed: float, *, fallback: float) -> float:
    part = prepared.smooth[run.start : row + 1]
    with np.errstate(invalid="ignore"):
        faster = np.flatnonzero(part > 1.1 * speed)
    first = run.start + (int(faster[-1]) if faster.size else 0)
    line = _line(prepared.time, prepared.speed, float(prepared.time[first]), float(prepared.time[row]))
    if line is None or prepared.time[row] - prepared.time[first] < 2.0:
        return fallback
    return -line[1]


def _troubles(
    log: Log,
    prepared: Traces,
    run: SlowDown,
    row: int,
    rate: float,
    scatter: float,
    power: str,
    usual_engine: float | None,
    settings: StallSettings,
) -> list[str]:
    time, knot = prepared.time, 1852.0 / 3600.0
    found = []
    last = slice(int(np.searchsorted(time, time[row] - 5.0)), row + 1)
    bank = _mean(prepared.roll, last)
    if bank is not None and abs(bank) > settings.steepest_bank:
        found.append(f"banked {abs(math.degrees(bank)):.0f} degrees on the way in")
    if not settings.lowest_rate <= rate <= settings.highest_rate:
        found.append(f"slowed by {rate / knot:.1f} kt/s")
    if scatter > GUSTIEST:
        found.append(f"thrown about by gusts, {scatter / knot:.1f} kt")
    engine = _mean(prepared.engine, last)
    if (
        power == "idle"
        and engine is not None
        and usual_engine is not None
        and engine > settings.idle * usual_engine
    ):
        found.append("the engine was not at idle")
    longest = float(np.max(np.diff(time[run.start : row + 2]), initial=0.0))
    missing = float(np.mean(~np.isfinite(prepared.speed[last])))
    if longest > settings.longest_gap or missing > 0.4:
        found.append("readings are missing on the way in")
    return found


def _at(time: FloatArray, values: FloatArray | None, row: int, ending: Ending) -> float | None:
    """Value at the stall: the end of a line through three seconds, or the mean of steady flight."""
    if values is None:
        return None
    if ending.ending == FULL_STICK:
        return _mean(values, slice(row, ending.until + 1))
    # The last reading may have the beginning of the fall in it: the line ends before and is carried on.
    short = max(float(np.median(np.diff(time[max(row - 20, 0) : row + 1]))), TIMING) if row else TIMING
    stop = float(time[row]) - short
    line = _line(time, values, stop - 3.0, stop)
    if line is None:
        return _mean(values, slice(max(row - 1, 0), row + 1))
    return line[0] + line[1] * short


def _load(log: Log, part: slice, wide: slice) -> tuple[float | None, float]:
    """Mean load factor over `part`, and its standard uncertainty from the scatter over `wide`."""
    if not log.has("load_factor"):
        return None, 0.0
    found = log.channels["load_factor"][part]
    found = found[np.isfinite(found)]
    around = log.channels["load_factor"][wide]
    around = around[np.isfinite(around)]
    if not found.size:
        return None, 0.0
    scatter = float(np.std(around, ddof=1)) if around.size > 2 else 0.1
    return float(np.mean(found)), scatter / math.sqrt(found.size)


def _mean(values: FloatArray | None, part: slice) -> float | None:
    if values is None:
        return None
    found = values[part]
    found = found[np.isfinite(found)]
    return float(np.mean(found)) if found.size else None


def _greatest(values: FloatArray | None, part: slice, level: float | None) -> float | None:
    if values is None or level is None or not np.isfinite(values[part]).any():
        return None
    return float(np.nanmax(np.abs(values[part] - level)))


def _height_lost(log: Log, row: int, stop: int) -> float | None:
    name = next((name for name in ("pressure_altitude", "altitude") if log.has(name)), None)
    if name is None:
        return None
    heights = log.channels[name][row : stop + 1]
    start = log.channels[name][max(row - 5, 0) : row + 1]
    if not (np.isfinite(heights).any() and np.isfinite(start).any()):
        return None
    return max(float(np.nanmean(start) - np.nanmin(heights)), 0.0)


def _channel(log: Log, name: str, part: slice) -> float | None:
    return _mean(log.channels[name], part) if log.has(name) else None


def _degrees(log: Log, part: slice) -> float | None:
    flap = _channel(log, "flap", part)
    return None if flap is None else math.degrees(flap)
