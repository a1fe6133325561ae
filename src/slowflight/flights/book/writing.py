"""Begin a flights.toml and add flights to it; what the owner wrote in it stays as it is."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from slowflight.errors import InputError
from slowflight.layout.files import replace_file

HEAD = """\
# Flights before and after. Raw logs stay as the recorder wrote them; everything that a log does not say
# stands here. A value with a unit stands in quotes; "unknown" or a missing line means not known.
# Slow flight and stalls near the ground kill: nothing in this file is an approval.

# Fixed before the first flight. Who changes these afterward fools himself.
[rules]
# Of your airspeed indicator: kt, mph, km/h or m/s.
unit = "{unit}"
# A stall slower by more than this is worth keeping vanes for.
worth_having = "{worth}"
# A loss of cruise below this does not matter.
cruise_margin = "{margin}"
# Settings that matter: each needs stalls and a handling card, before and after.
flaps = {flaps}
# Whose gain decides.
landing_flap = "{landing}"
flights_a_side = {flights}
# How often you will look at the answer; more looks need more certainty.
looks = 1
# Whether the vanes come off again.
removable = true
# "ground": stalls by ground velocity and the wind of legs flown within ten minutes, in opposite pairs, where
# the panel cannot be calibrated near the stall. The same before and after.
# airspeed = "panel"
# Lag of the indicator, if you measured it; one value before and after.
{lag}
# Once the verdict is 'keep': landings with these vanes, and the present approach speed as indicated.
# landings = 0
# approach = "50 kt"
# Pitch that the recorder shows while the aircraft stands level on the line from which wing.toml measures
# the three-point attitude. With it the angle of attack at each stall is told.
{level}
# To stand above every result.
{note}

# What the pilot saw: one [[handling]] for each side and flap setting, the worst of it. What is left out
# counts as not flown, never as fine. Words: see docs/flying-the-test.md.
"""

QUESTIONS = """\
# roll_at_stall = "5 deg"        # largest, either way
# roll_held = true               # by normal use of the controls
# wing_drop = "none"             # none, left, right, either
# warning = true
# warning_margin = "5 kt"        # speed at the warning less speed at the stall
# stick_stop_first = false
# flare = "as before"            # as before, less authority, cannot raise the nose
# pitch = "as before"            # as before, lighter, pitch-up or force reversal
# height_lost = "150 ft"
# recovery = "as before"         # as before, slower, keeps turning
# sink = "600 ft/min"            # at the lowest speed that could be held, wings level
# rudder = "as before"           # as before, more needed, runs out
# shake = "none new"             # none new, new, control or tail
# ailerons = "as before"         # as before, heavier or snatching, reversal or hunting
"""


def new_book(
    *,
    unit: str,
    worth: str,
    margin: str,
    flaps: Sequence[str],
    landing: str,
    flights: int = 3,
    lag: str = "",
    note: str = "",
    level: str = "",
    handling: Callable[[str], Mapping[str, object]] | None = None,
) -> str:
    """Return the text of an empty book.

    Parameters
    ----------
    unit, worth, margin, landing : str
        Rules, as an owner writes them.
    flaps : sequence of str
        Settings that matter; each gets a handling card before and after.
    flights : int, optional
        Planned on each side.
    lag : str, optional
        Of the airspeed indicator, where it is known.
    note : str, optional
        To stand above every result.
    level : str, optional
        Pitch of the recorder while the aircraft stands level, where it is known.
    handling : callable, optional
        Answers of the card of a side; blank questions without it.

    Returns
    -------
    str
    """
    head = HEAD.format(
        unit=unit,
        worth=worth,
        margin=margin,
        flaps="[" + ", ".join(_text(flap) for flap in flaps) + "]",
        landing=landing,
        flights=flights,
        lag=f"airspeed_lag = {_text(lag)}" if lag else '# airspeed_lag = "0.5 s"',
        note=f"note = {_text(note)}" if note else '# note = ""',
        level=f"pitch_when_level = {_text(level)}" if level else '# pitch_when_level = "1.5 deg"',
    )
    cards = [
        f"\n[[handling]]\nside = {_text(side)}\nflap = {_text(flap)}\n{_answers(side, handling)}"
        for flap in flaps
        for side in ("before", "after")
    ]
    return head + "".join(cards)


def _answers(side: str, handling: Callable[[str], Mapping[str, object]] | None) -> str:
    if handling is None:
        return QUESTIONS
    return "".join(f"{key} = {_text(value)}\n" for key, value in handling(side).items())


def flight_text(values: Mapping[str, object], *, remarks: Sequence[str] = ()) -> str:
    """Return one ``[[flight]]`` as TOML, blank values left out, remarks ahead of it."""
    lines = [f"# {remark}" for remark in remarks]
    lines.append("[[flight]]")
    lines += [f"{key} = {_text(value)}" for key, value in values.items() if value not in (None, "")]
    return "\n" + "\n".join(lines) + "\n"


def append(path: Path, text: str, *, fresh: str = "") -> None:
    """Put text at the end of a book, begun with `fresh` where there is none yet.

    Parameters
    ----------
    path : Path
        The book; it is replaced only when the new one is complete.
    text : str
        To add.
    fresh : str, optional
        Beginning of a new book.
    """
    old = path.read_text(encoding="utf-8") if path.is_file() else fresh
    gap = "" if not old or old.endswith("\n") else "\n"
    replace_file(path, (old + gap + text).encode())


def mark_stall(path: Path, *, flight: str, stall: int, counts: bool, reason: str) -> None:
    """Write the pilot's word on one stall into a book; everything else stays as the owner wrote it.

    Parameters
    ----------
    path : Path
        The book; it is replaced only when the new one is complete.
    flight : str
        Its name in the book.
    stall : int
        Which of its flight, from 1.
    counts : bool
        False strikes it. True restores it; what it was struck for stays beside.
    reason : str
        Kept with it.

    Raises
    ------
    InputError
        Where the book has no such flight, or cannot be read.
    """
    try:
        document = tomlkit.parse(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, TOMLKitError) as error:
        raise InputError(where=str(path), found=str(error), needed="a flights.toml") from None
    tables = document.get("flight", [])
    table = next((one for one in tables if one.get("name") == flight), None)
    if table is None:
        raise InputError(
            where=str(path),
            found=f"no flight {flight!r}",
            needed=f"one of {', '.join(str(one.get('name')) for one in tables) or 'none yet'}",
        )
    # A restored stall keeps what it was struck for; one that is struck again is no longer restored.
    for key in ("restore",) if counts else ("strike", "restore"):
        _drop(table, key, stall)
    key = "restore" if counts else "strike"
    marks = table.get(key)
    if marks is None:
        marks = tomlkit.array()
        table[key] = marks
    mark = tomlkit.inline_table()
    mark.update({"stall": stall, "reason": reason})
    table[key].append(mark)
    replace_file(path, tomlkit.dumps(document).encode())


def _drop(table: Any, key: str, stall: int) -> None:
    marks = table.get(key)
    if marks is None:
        return
    for place in reversed([i for i, one in enumerate(marks) if one.get("stall") == stall]):
        del marks[place]
    if not marks:
        del table[key]


def _text(value: object) -> str:
    """As TOML: JSON's strings, numbers and true or false are TOML's too."""
    return json.dumps(value, ensure_ascii=False)
