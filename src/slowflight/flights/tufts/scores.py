"""States of tufts over time: as scored by eye with one key each, and how well the pictures agree with it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError
from slowflight.flights.tufts.in_picture import number, table_rows
from slowflight.flights.tufts.states import KEYS, STATES, UNSEEN

SOURCES = ("Cohen1960",)

COLUMNS = ("time s", "tuft", "state")
FEWEST = 30  # scores below which an agreement says little; common practice, no source
Scores = Mapping[tuple[float, str], str]
"""State by time of the window's middle from the first frame [s], and name of the tuft."""


def read_scores(path: Path) -> dict[tuple[float, str], str]:
    """Read scores.

    Parameters
    ----------
    path : Path
        A table with the columns time s, tuft, state; a state in full or as its key: a, u, r, n.

    Returns
    -------
    dict

    Raises
    ------
    InputError
        Where a line cannot be used, or one tuft is scored twice at one time.
    """
    found: dict[tuple[float, str], str] = {}
    for line, row in table_rows(path, COLUMNS):
        where = f"{path} line {line}"
        state = KEYS.get(row["state"].lower(), row["state"].lower())
        if state not in (*STATES, UNSEEN):
            raise InputError(where=where, found=repr(row["state"]), needed=f"{', '.join(STATES)} or {UNSEEN}")
        key = (round(number(row["time s"], where=where), 3), row["tuft"])
        if key in found:
            raise InputError(where=where, found=f"tuft {key[1]} at {key[0]:g} s twice", needed="once")
        found[key] = state
    return found


@dataclass(frozen=True, kw_only=True)
class Confusion:
    """What the pictures said beside what the eye said.

    Parameters
    ----------
    counts : mapping of (str, str) to int
        By state to the eye and state in the pictures, those not seen by either left out.
    unseen : int
        Scored by eye, not read in the pictures.
    """

    counts: Mapping[tuple[str, str], int]
    unseen: int

    @property
    def total(self) -> int:
        """How many both have."""
        return sum(self.counts.values())

    @property
    def agreement(self) -> float:
        """Share on which they agree; NaN without any."""
        if not self.total:
            return math.nan
        return sum(self.counts.get((state, state), 0) for state in STATES) / self.total

    @property
    def beyond_chance(self) -> float:
        """Agreement beyond chance, 1 at best (kappa, Cohen 1960); NaN where chance alone would be certain."""
        if not self.total:
            return math.nan
        by_chance = sum(
            sum(self.counts.get((state, other), 0) for other in STATES)
            * sum(self.counts.get((other, state), 0) for other in STATES)
            for state in STATES
        ) / (self.total**2)
        return math.nan if by_chance >= 1.0 else (self.agreement - by_chance) / (1.0 - by_chance)

    @property
    def words(self) -> str:
        """What may be said of it."""
        if not self.total:
            return "no tuft was both scored by eye and read in the pictures"
        few = f"; {self.total} scores are few" if self.total < FEWEST else ""
        kappa = "" if math.isnan(self.beyond_chance) else f", {self.beyond_chance:.2f} beyond chance (kappa)"
        return f"pictures agree with the eye in {100.0 * self.agreement:.0f} % of {self.total}{kappa}{few}"


def compare_scores(by_eye: Scores, by_picture: Scores, *, within: float = 0.26) -> Confusion:
    """Set scores by eye beside those of the pictures.

    Parameters
    ----------
    by_eye, by_picture : mapping
        As `Scores`.
    within : float, optional
        Times belong together up to so much [s], half a window.

    Returns
    -------
    Confusion
    """
    times: dict[str, list[float]] = {}
    for time, tuft in by_picture:
        times.setdefault(tuft, []).append(time)
    counts: Counter[tuple[str, str]] = Counter()
    unseen = 0
    for (time, tuft), state in by_eye.items():
        nearest = min(times.get(tuft, ()), key=lambda other: abs(other - time), default=None)
        if state == UNSEEN or nearest is None or abs(nearest - time) > within:
            continue
        read = by_picture[(nearest, tuft)]
        if read == UNSEEN:
            unseen += 1
        else:
            counts[(state, read)] += 1
    return Confusion(counts=dict(counts), unseen=unseen)


def tally(states: Sequence[str]) -> dict[str, int]:
    """Count states, those not seen too."""
    found = Counter(states)
    return {state: found.get(state, 0) for state in (*STATES, UNSEEN)}
