"""What the speeds alone allow to be said, by rules fixed before the flights."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight import units
from slowflight.errors import RangeError
from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.stopping import needed_probability

SHOWN, ABSENT, OPEN = "gain shown", "no gain", "open"
ONE_KNOT = units.speed("1 kt", where="speed rule")


@dataclass(frozen=True, kw_only=True)
class SpeedRule:
    """Thresholds, all of them set before the first flight.

    Parameters
    ----------
    worth_having : float
        Smallest gain worth keeping vanes for [m/s].
    shown_at : float
        How probable a larger gain has to be.
    absent_below : float
        Below which probability the gain counts as absent.
    clear_of_nothing : float
        The two-sided band of this level has to exclude no gain at all, however small `worth_having` is.
    fewest_to_show, fewest_to_dismiss : int
        Flights on each side. Two flights are a look, not a test.
    looks : int
        How often in all the answer is looked at; more looks need more probability each.
    """

    worth_having: float = ONE_KNOT
    shown_at: float = 0.90
    absent_below: float = 0.10
    clear_of_nothing: float = 0.95
    fewest_to_show: int = 3
    fewest_to_dismiss: int = 2
    looks: int = 1

    def __post_init__(self) -> None:
        if not self.worth_having >= 0.0:
            raise RangeError(where="gain worth having", found=f"{self.worth_having} m/s", needed="0 or more")

    @property
    def needed(self) -> float:
        """How probable the gain has to be at each look."""
        return needed_probability(base=self.shown_at, looks=self.looks)

    @property
    def clear_level(self) -> float:
        """Level of the band that has to exclude no gain, at each look."""
        return needed_probability(base=self.clear_of_nothing, looks=self.looks)


def speed_finding(gain: Gain, rule: SpeedRule) -> str:
    """Return ``"gain shown"``, ``"no gain"`` or ``"open"``.

    Parameters
    ----------
    gain : Gain
        As measured. Whether its sets may be compared at all is not judged here.
    rule : SpeedRule
        Fixed beforehand.

    Returns
    -------
    str
    """
    probability = gain.probability_above(rule.worth_having)
    fewest = min(gain.flights)
    if fewest >= rule.fewest_to_show and probability >= rule.needed and gain.band(rule.clear_level)[0] > 0.0:
        return SHOWN
    if fewest >= rule.fewest_to_dismiss and probability < rule.absent_below:
        return ABSENT
    return OPEN
