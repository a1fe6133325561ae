"""Other ways to look at the same flights: to be folded away beside the headline, never to replace it."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.posterior import difference_above
from slowflight.flights.statistics.resampling import bootstrap_band, rank_p, relabeling_p
from slowflight.flights.statistics.two_samples import TDifference, welch

SOURCES = ("Welch1947", "Efron1987", "Jeffreys1961")


@dataclass(frozen=True, kw_only=True)
class CrossChecks:
    """The flights' readings compared in other ways, scatter only: no other uncertainty is in these.

    Parameters
    ----------
    difference : TDifference
        Welch's test on one reading a flight [m/s].
    relabeling_p, rank_p : float
        Exact probabilities without a bell curve.
    bootstrap : tuple of float or None
        95 % band [m/s], too narrow for few flights; None below four a side.
    worth_having : float
        Probability of a gain worth having, each side's scatter being its own.
    """

    difference: TDifference
    relabeling_p: float
    rank_p: float
    bootstrap: tuple[float, float] | None
    worth_having: float


def cross_check(gain: Gain, *, threshold: float) -> CrossChecks | None:
    """Compare the flights' readings in other ways.

    Parameters
    ----------
    gain : Gain
        As measured. Flights with the vanes off again count as clean ones: a drift does not cancel here.
    threshold : float
        Gain worth having [m/s].

    Returns
    -------
    CrossChecks or None
        None where a side has fewer than two flights.
    """
    changed = gain.sets[1].configuration
    after = [one.speed for one in gain.readings if one.configuration == changed]
    before = [one.speed for one in gain.readings if one.configuration != changed]
    if min(len(before), len(after)) < 2:
        return None
    few = min(len(before), len(after)) < 4
    return CrossChecks(
        difference=welch(before, after),
        relabeling_p=relabeling_p(before, after),
        rank_p=rank_p(before, after),
        bootstrap=None if few else bootstrap_band(before, after, level=0.95),
        worth_having=difference_above(threshold, before, after),
    )
