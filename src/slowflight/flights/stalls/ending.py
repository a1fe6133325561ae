"""How a slow-down ended: the first of nose drop, wing drop, full stick and recovery that shows in the log."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight.flights.logs.log import FloatArray
from slowflight.flights.stall_record import FULL_STICK, NOSE_DROP, WARNING_ONLY, WING_DROP
from slowflight.flights.stalls.search import SlowDown
from slowflight.flights.stalls.settings import StallSettings
from slowflight.flights.stalls.traces import Traces

NOSE_STAYS = 4.0 * np.pi / 180.0  # within which the nose stays up [rad]
NOSE_TURNED = 1.5 * np.pi / 180.0  # below its highest the nose has turned down [rad]; common practice
TURNS_AFTER = 0.5  # the nose turns so long after load falls, at the most [s]; common practice, no source
LEAST_SINK = 2.0  # of a mush without a stick position [m/s]
GUSTS_TILT = 1.5  # how far gusts tilt a line, in units of their scatter over its length; common practice


@dataclass(frozen=True, kw_only=True)
class Ending:
    """How and when it ended.

    Parameters
    ----------
    ending : str
        One of `ENDINGS` except unusable.
    row : int
        Of the stall: the last moment before it showed, or the start of steady flight at full stick.
    until : int
        Last row of the steady flight at full stick; else the same as `row`.
    why : str
        What showed it.
    """

    ending: str
    row: int
    until: int
    why: str


def how_it_ended(traces: Traces, run: SlowDown, settings: StallSettings) -> Ending:
    """Classify one slow-down.

    Parameters
    ----------
    traces : Traces
        Of the whole log.
    run : SlowDown
        The one in question.
    settings : StallSettings
        Thresholds.

    Returns
    -------
    Ending

    Notes
    -----
    The kinds of ending follow 14 CFR 23.201 (Amendment 23-62), paragraph (b); how they show in a log, common
    practice, no source. Speed alone still tells a nose drop from a recovery, poorly: the reason then says so.
    """
    middle = _middle(traces, run)
    drop = _nose_drop(traces, run, middle, settings)
    wing = _wing_drop(traces, run, middle, settings)
    stick = _full_stick(traces, run, settings)
    # A nose drop at the end of full stick is the release, not the stall.
    if (
        stick is not None
        and (drop is None or stick.row <= drop.row)
        and (wing is None or stick.row <= wing.row)
    ):
        return stick
    # A wing that drops takes the nose along: the roll is the finding.
    if wing is not None and (drop is None or traces.time[wing.row] < traces.time[drop.row] + 1.5):
        return wing
    if drop is not None:
        return drop
    return _recovery(traces, run)


def _middle(traces: Traces, run: SlowDown) -> int:
    """First row of the last five seconds of slowing, before which nothing ends a run."""
    return max(run.start, int(np.searchsorted(traces.time, traces.time[run.slowest] - 5.0)))


def _nose_drop(traces: Traces, run: SlowDown, middle: int, settings: StallSettings) -> Ending | None:
    part = slice(middle, run.stop + 1)
    time = traces.time[part]
    if traces.pitch_rate is None:
        return None
    falling = _less(traces.pitch_rate[part], -settings.pitch_rate)
    if traces.load is not None:
        before = float(np.nanmedian(traces.load[run.start : run.slowest + 1]))
        low = _less(traces.load[part], settings.load_drop * before)
        for place in np.flatnonzero(low):
            near = np.abs(time - time[place]) <= 1.0
            if bool(np.any(falling & near)) and _nose_falls(traces, middle + int(place), settings):
                # Shaking may touch the limit early: the drop is what leads to the lowest load.
                soon = np.flatnonzero((time >= time[place]) & (time <= time[place] + 1.5))
                lowest = int(soon[np.nanargmin(traces.load[part][soon])])
                above = np.flatnonzero(~_less(traces.load[part], settings.load_edge * before)[:lowest])
                row = middle + (int(above[-1]) if above.size else 0)
                row = max(row, _before_nose_turns(traces, middle + int(place), middle + lowest))
                return Ending(
                    ending=NOSE_DROP,
                    row=row,
                    until=row,
                    why="load factor fell and the nose went down by itself",
                )
        if np.count_nonzero(np.isfinite(traces.load[part])) > 0.5 * time.size:
            return None
    gaining = _less(-traces.rate[part], -settings.recovery_rate)
    both = np.flatnonzero(falling)
    if both.size and bool(np.any(gaining[both[0] :])):
        row = middle + max(int(both[0]) - 1, 0)
        return Ending(
            ending=NOSE_DROP,
            row=row,
            until=row,
            why="the nose fell and speed came back; no load factor was recorded, so it may have been pushed",
        )
    return None


def _nose_falls(traces: Traces, row: int, settings: StallSettings) -> bool:
    """Whether pitch falls clearly within two seconds; without pitch its rate has to do."""
    if traces.pitch is None:
        return True
    part = slice(max(int(np.searchsorted(traces.time, traces.time[row] - 1.0)), 0), None)
    stop = int(np.searchsorted(traces.time, traces.time[row] + 2.0))
    found = traces.pitch[part.start : stop + 1]
    found = found[np.isfinite(found)]
    if found.size < 2:
        return True
    highest = np.maximum.accumulate(found)
    return bool(np.max(highest - found) > settings.nose_fall)


def _before_nose_turns(traces: Traces, row: int, lowest: int) -> int:
    """Row just before the nose turns down about a drop of load: shaking drops the load, but not the nose."""
    if traces.pitch is None:
        return 0
    first = int(np.searchsorted(traces.time, traces.time[row] - 1.0))
    last = int(np.searchsorted(traces.time, traces.time[lowest] + 2.0))
    pitch = traces.pitch[first : last + 1]
    if not np.isfinite(pitch).any():
        return 0
    # Only up to where the nose is lowest: behind that it comes up again in the recovery.
    fall = pitch[: int(np.nanargmin(pitch)) + 1]
    up = np.flatnonzero(~_less(fall, float(np.nanmax(fall)) - NOSE_TURNED))
    if not up.size or up[-1] == fall.size - 1:
        return 0
    return int(np.searchsorted(traces.time, traces.time[first + int(up[-1])] - TURNS_AFTER))


def _wing_drop(traces: Traces, run: SlowDown, middle: int, settings: StallSettings) -> Ending | None:
    if traces.roll is None or traces.roll_rate is None:
        return None
    part = slice(middle, run.stop + 1)
    before = float(np.nanmedian(traces.roll[run.start : run.slowest + 1]))
    away = np.abs(traces.roll[part] - before)
    rolling = _less(-np.abs(traces.roll_rate[part]), -settings.roll_rate)
    for place in np.flatnonzero(_less(-away, -settings.roll)):
        near = np.abs(traces.time[part] - traces.time[part][place]) <= 1.5
        if bool(np.any(rolling & near)):
            level = np.flatnonzero(_less(away[:place], 0.2 * settings.roll))
            row = middle + (int(level[-1]) if level.size else 0)
            return Ending(ending=WING_DROP, row=row, until=row, why="a wing dropped and was not held at once")
    return None


def _full_stick(traces: Traces, run: SlowDown, settings: StallSettings) -> Ending | None:
    first = max(run.start, int(np.searchsorted(traces.time, traces.time[run.slowest] - 4.0)))
    part = slice(first, run.stop + 1)
    if traces.stick is not None:
        held = ~_less(traces.stick[part], settings.stick_aft)
        why = "stick on its stop at a steady speed"
    elif traces.pitch is not None and traces.climb is not None:
        # Without a stick position: the nose stays up and the aircraft sinks all the same.
        before = int(np.searchsorted(traces.time, traces.time[run.slowest] - 1.0))
        level = float(np.nanmedian(traces.pitch[before : run.slowest + 1]))
        held = _less(np.abs(traces.pitch[part] - level), NOSE_STAYS) & _less(traces.climb[part], -LEAST_SINK)
        why = "steady at the lowest speed, nose up and sinking; no stick position was recorded"
    else:
        return None
    labels, count = ndimage.label(held)
    for place in ndimage.find_objects(labels, max_label=count):
        found = _steady_end(traces, first + place[0].start, first + place[0].stop - 1, settings)
        if found is not None:
            return Ending(ending=FULL_STICK, row=found[0], until=found[1], why=why)
    return None


def _steady_end(traces: Traces, first: int, last: int, settings: StallSettings) -> tuple[int, int] | None:
    """Longest stretch up to `last` over which speed is steady, as far as gusts let one tell."""
    time, speed = traces.time, traces.speed
    latest = int(np.searchsorted(time, time[last] - settings.steady_for + 1e-6, side="right"))
    for start in range(first, latest):
        moments, found = time[start : last + 1], speed[start : last + 1]
        there = np.isfinite(found)
        if np.count_nonzero(there) < 3:
            continue
        lasted = float(moments[-1] - moments[0])
        slope, level = np.polyfit(moments[there] - moments[0], found[there], 1)
        scatter = float(np.std(found[there] - level - slope * (moments[there] - moments[0])))
        if abs(slope) < settings.steady_rate + GUSTS_TILT * scatter / lasted:
            return start, last
    return None


def _recovery(traces: Traces, run: SlowDown) -> Ending:
    part = traces.smooth[run.slowest : run.stop + 1]
    place = int(np.nanargmin(part)) if bool(np.isfinite(part).any()) else 0
    row = run.slowest + place
    known = traces.pitch_rate is not None and (traces.load is not None or traces.pitch is not None)
    why = "speed came back without a break, a wing drop or full stick"
    if not known:
        why += "; only speed was recorded, so a gentle stall would look the same"
    return Ending(ending=WARNING_ONLY, row=row, until=row, why=why)


def _less(values: FloatArray, limit: float) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    with np.errstate(invalid="ignore"):
        return np.asarray(values < limit)
