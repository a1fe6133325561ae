"""A recorder's clock made to run forward: repeats, rows out of order, midnight, and a clock being set."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slowflight.flights.logs.block import Block
from slowflight.flights.logs.flights_apart import flew_on
from slowflight.flights.logs.log import FloatArray, Log, Step

DAY = 86_400.0
# Rows this little out of order were written late; a larger step back is a clock being set. Common practice.
LATE_ROWS = 5.0  # [s]
SHORTEST_JUMP = 20.0  # a forward step shorter than this is a gap, whatever the aircraft did [s]


def mend_clock(log: Log) -> Log:
    """Give a log a time that rises from row to row.

    Parameters
    ----------
    log : Log
        As read.

    Returns
    -------
    Log
        Rows that repeat the one before are left out, rows written late are put in order, whole-second stamps
        are spread over their second, midnight is passed, and a clock that was set in flight is followed back:
        the rows before it are moved, because it was set from a better one. Each is a step of the history.
    """
    if len(log) < 2:
        return log
    log = _without_repeats(log)
    log = _past_midnight(log)
    log = _spread(log)
    log = _set_clock(log)
    return _in_order(log)


def _without_repeats(log: Log) -> Log:
    same = np.diff(log.time) == 0.0
    for values in log.channels.values():
        if not same.any():
            return log
        a, b = values[:-1], values[1:]
        same &= (a == b) | (np.isnan(a) & np.isnan(b))
    repeats = np.concatenate([[False], same])
    if not repeats.any():
        return log
    return _keep(log, ~repeats, "rows that repeat the one before were left out")


def _past_midnight(log: Log) -> Log:
    if log.absolute:
        return log
    step = np.diff(log.time)
    over = (step < -0.5 * DAY) & (step > -1.5 * DAY) & (log.time[1:] >= 0.0) & (log.time[:-1] <= DAY)
    if not over.any():
        return log
    time = log.time + DAY * np.concatenate([[0], np.cumsum(over)])
    at = int(np.argmax(over)) + 1
    step_made = Step(
        what="the clock passed midnight; later rows were given the next day",
        by="mend_clock",
        count=int(over.sum()),
        first_row=int(log.rows[at]),
    )
    return log.done(step_made, time=time)


def _spread(log: Log) -> Log:
    """Several rows to a second, all stamped alike: spread them evenly."""
    same = np.diff(log.time) == 0.0
    if np.mean(same) < 0.4:
        return log
    starts = np.flatnonzero(np.concatenate([[True], ~same]))
    lengths = np.diff([*starts, len(log)])
    usual = int(np.median(lengths[1:-1])) if lengths.size > 2 else int(lengths.max())
    place = np.arange(len(log)) - np.repeat(starts, lengths)
    # The first run may be the end of a second that began before the recording did.
    place[: lengths[0]] += max(usual - lengths[0], 0)
    stamps = log.time[starts]
    second = float(np.median(np.diff(stamps))) if stamps.size > 1 else 1.0
    time = log.time + second * place / np.maximum(np.repeat(lengths, lengths), usual)
    step = Step(
        what=f"about {usual} rows carry each time stamp; they were spread evenly over it",
        by="mend_clock",
        count=len(log),
    )
    return log.done(step, time=time)


def _set_clock(log: Log) -> Log:
    step = np.diff(log.time)
    forward = step[step > 0.0]
    usual = float(np.median(forward)) if forward.size else 1.0
    suspects = np.flatnonzero((step < -LATE_ROWS) | (step > max(SHORTEST_JUMP, 5.0 * usual)))
    if suspects.size > 100:
        return log
    time = log.time.copy()
    steps = []
    for place in suspects:
        i = int(place)
        whole = Block(time=log.time, rows=log.rows, channels=log.channels)
        if step[i] > 0.0 and not flew_on(whole, i, i + 1, whole):
            continue
        time[: i + 1] += step[i] - usual
        steps.append(
            Step(
                what=f"the clock was set by {step[i] - usual:+.1f} s; earlier rows were moved along",
                by="mend_clock",
                count=i + 1,
                first_row=int(log.rows[0]),
                last_row=int(log.rows[i]),
                settings=(("latest_row_s", LATE_ROWS), ("shortest_jump_s", SHORTEST_JUMP)),
            )
        )
    return log.done(*steps, time=time) if steps else log


def _in_order(log: Log) -> Log:
    late = np.concatenate([[False], np.diff(log.time) < 0.0])
    if late.any():
        order = np.argsort(log.time, kind="stable")
        log = replace(
            log,
            time=log.time[order],
            rows=log.rows[order],
            channels={name: values[order] for name, values in log.channels.items()},
            history=(
                *log.history,
                Step(
                    what="rows written out of order were put in order",
                    by="mend_clock",
                    count=int(late.sum()),
                    first_row=int(log.rows[np.argmax(late)]),
                ),
            ),
        )
    same = np.concatenate([[False], np.diff(log.time) <= 0.0])
    if same.any():
        log = _keep(log, ~same, "rows with the time of the one before were left out")
    return log


def _keep(log: Log, wanted: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], what: str) -> Log:
    dropped = log.rows[~wanted]
    return replace(
        log,
        time=log.time[wanted],
        rows=log.rows[wanted],
        channels={name: values[wanted] for name, values in log.channels.items()},
        history=(
            *log.history,
            Step(
                what=what,
                by="mend_clock",
                count=int(dropped.size),
                first_row=int(dropped[0]),
                last_row=int(dropped[-1]),
            ),
        ),
    )


def steps_of(time: FloatArray) -> FloatArray:
    """Return the time from each row to the next [s], the last repeated, shape as given."""
    step = np.diff(time)
    return np.append(step, step[-1] if step.size else 1.0)
