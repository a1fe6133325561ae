"""The handling scorecard: green, amber or red for each item, vanes beside clean. Any red outranks any speed.

Limits are common practice without a source, but two: a warning at least 5 kt ahead of the stall and no roll
beyond 15 degrees come from 14 CFR 23.207 and 23.201 (Amendment 23-62).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from slowflight import units
from slowflight.flights.handling.observation import AS_BEFORE, CHOICES, Observation

SOURCES = ("CFR23stall",)

GREEN, AMBER, RED, NOT_FLOWN = "green", "amber", "red", "not flown"
ORDER = (GREEN, AMBER, NOT_FLOWN, RED)

ROLL_WORSE, ROLL_LIMIT = math.radians(10.0), math.radians(15.0)
WARNING_MARGIN = units.speed("5 kt", where="handling")
HEIGHT_MORE = units.length("100 ft", where="handling")
FEET_A_MINUTE = 0.3048 / 60.0
SINK_MORE, SINK_LIMIT = 600.0 * FEET_A_MINUTE, 1200.0 * FEET_A_MINUTE


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One line of the scorecard.

    Parameters
    ----------
    item : str
        What was looked at.
    level : str
        ``"green"``, ``"amber"``, ``"red"`` or ``"not flown"``.
    words : str
        What was found.
    """

    item: str
    level: str
    words: str


@dataclass(frozen=True, kw_only=True)
class Scorecard:
    """All lines.

    Parameters
    ----------
    findings : tuple of Finding
        In the order of the card.
    """

    findings: tuple[Finding, ...]

    def at(self, level: str) -> tuple[Finding, ...]:
        """Return the findings of one level."""
        return tuple(finding for finding in self.findings if finding.level == level)

    @property
    def red(self) -> bool:
        """Whether any finding is red."""
        return bool(self.at(RED))

    @property
    def complete(self) -> bool:
        """Whether every item was flown."""
        return not self.at(NOT_FLOWN)


def score(*, before: Observation, after: Observation, landing: bool = True) -> Scorecard:
    """Judge handling with vanes beside handling without.

    Parameters
    ----------
    before, after : Observation
        Of the same flap setting, load and pilot.
    landing : bool, optional
        Whether the aircraft is landed with this flap setting; otherwise nobody is asked about the flare.

    Returns
    -------
    Scorecard
        An item of which a needed answer is missing is 'not flown', unless what is known is red already.
    """
    if not landing and after.flare is None:
        after = replace(after, flare=AS_BEFORE)
    return Scorecard(findings=tuple(judge(before, after) for judge in _JUDGES))


def together(cards: Sequence[tuple[str, Scorecard]], more: Sequence[Finding] = ()) -> Scorecard:
    """Put the cards of several flap settings, and findings of other tests, into one.

    Parameters
    ----------
    cards : sequence of (str, Scorecard)
        Each with the name of its setting.
    more : sequence of Finding, optional
        Such as those of the roll test.

    Returns
    -------
    Scorecard
    """
    named = [
        Finding(
            item=f"{finding.item}, {name}" if name else finding.item, level=finding.level, words=finding.words
        )
        for name, card in cards
        for finding in card.findings
    ]
    return Scorecard(findings=(*named, *more))


def _roll(before: Observation, after: Observation) -> Finding:
    item = "roll at the stall"
    new_side = (
        after.wing_drop not in (None, "none")
        and before.wing_drop is not None
        and before.wing_drop not in (after.wing_drop, "either")
    )
    if new_side:
        return Finding(
            item=item, level=RED, words=f"a wing drops {after.wing_drop}, which it did not do before"
        )
    if after.roll_at_stall is None:
        return _missing(item)
    rolled = units.format_angle(after.roll_at_stall, decimals=0)
    if after.roll_at_stall > ROLL_LIMIT and not after.roll_held:
        return Finding(
            item=item, level=RED, words=f"rolls {rolled} and is not held by normal use of the controls"
        )
    if None in (before.roll_at_stall, before.wing_drop, after.wing_drop, after.roll_held):
        return _missing(item)
    worse = after.roll_at_stall - (before.roll_at_stall or 0.0)
    if worse > ROLL_WORSE or after.roll_at_stall > ROLL_LIMIT:
        more = units.format_angle(worse, decimals=0)
        return Finding(item=item, level=AMBER, words=f"rolls {rolled}, {more} more than before")
    return Finding(item=item, level=GREEN, words=f"rolls {rolled}")


def _warning(before: Observation, after: Observation) -> Finding:
    item = "stall warning"
    if after.warning is False or (after.warning_margin is not None and after.warning_margin <= 0.0):
        return Finding(item=item, level=RED, words="no warning ahead of the stall")
    if after.warning is None or after.warning_margin is None:
        return _missing(item)
    ahead = units.format_speed(after.warning_margin, "kt")
    level = AMBER if after.warning_margin < WARNING_MARGIN - 1e-9 else GREEN
    return Finding(item=item, level=level, words=f"{ahead} ahead of the stall")


def _elevator(before: Observation, after: Observation) -> Finding:
    item = "elevator"
    if after.flare == CHOICES["flare"][2]:
        return Finding(item=item, level=RED, words="cannot raise the nose in the flare")
    if after.flare is None or after.stick_stop_first is None or before.stick_stop_first is None:
        return _missing(item)
    new_stop = after.stick_stop_first and not before.stick_stop_first
    if new_stop or after.flare == CHOICES["flare"][1]:
        words = "reaches its stop before the wing stalls" if new_stop else "less authority in the flare"
        return Finding(item=item, level=AMBER, words=words)
    return Finding(item=item, level=GREEN, words=AS_BEFORE)


def _recovery(before: Observation, after: Observation) -> Finding:
    item = "recovery"
    if after.recovery in CHOICES["recovery"][1:]:
        return Finding(item=item, level=RED, words=str(after.recovery))
    if after.recovery is None or after.height_lost is None or before.height_lost is None:
        return _missing(item)
    more = after.height_lost - before.height_lost
    if more > HEIGHT_MORE:
        return Finding(
            item=item, level=AMBER, words=f"loses {units.format_length(more, 'ft', decimals=0)} more height"
        )
    return Finding(item=item, level=GREEN, words=AS_BEFORE)


def _sink(before: Observation, after: Observation) -> Finding:
    item = "sink at the lowest speed"
    if after.sink is None or before.sink is None:
        return _missing(item)
    words = f"{after.sink / FEET_A_MINUTE:.0f} ft/min, before {before.sink / FEET_A_MINUTE:.0f}"
    if after.sink > SINK_LIMIT and after.sink > before.sink:
        return Finding(item=item, level=RED, words=words)
    level = AMBER if after.sink - before.sink > SINK_MORE else GREEN
    return Finding(item=item, level=level, words=words)


def _by_words(item: str, name: str) -> Callable[[Observation, Observation], Finding]:
    def judge(before: Observation, after: Observation) -> Finding:
        said = getattr(after, name)
        if said is None:
            return _missing(item)
        return Finding(item=item, level=(GREEN, AMBER, RED)[CHOICES[name].index(said)], words=said)

    return judge


def _missing(item: str) -> Finding:
    return Finding(item=item, level=NOT_FLOWN, words="not flown, or not written down before and after")


_JUDGES = (
    _roll,
    _warning,
    _elevator,
    _by_words("pitch", "pitch"),
    _recovery,
    _sink,
    _by_words("rudder", "rudder"),
    _by_words("vibration and buffet", "shake"),
    _by_words("ailerons", "ailerons"),
)
