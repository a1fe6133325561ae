"""How much slower the wing stalls with vanes, from all flights, with everything that is not known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.stall_record import CLEAN, VANES, StallRecord
from slowflight.flights.statistics.budget import Budget, Term, factor, of_difference
from slowflight.flights.statistics.entry_rate import STANDARD_ENTRY_RATE
from slowflight.flights.statistics.linear_fit import FloatArray
from slowflight.flights.statistics.mixed_model import MixedFit, fit_mixed
from slowflight.flights.statistics.posterior import probability_above
from slowflight.flights.statistics.scatter import ASSUMED_FREEDOM, WORSE_ASSUMED, Scatter
from slowflight.flights.statistics.stall_sets import StallSet, Unlike, differences, stall_set
from slowflight.flights.statistics.stall_terms import difference_terms

SOURCES = ("PattersonThompson1971", "Welch1947", "GUM2008", "CFR23stall")

# Below this, flights do not tell their own scatter and the assumed one is used.
FEWEST_FREEDOM = 2
FLIGHTS_TERM = "scatter of the flights"
# Rates this close to each other [m/s^2] carry no slope.
ALIKE_RATES = 0.05 * STANDARD_ENTRY_RATE


@dataclass(frozen=True, kw_only=True)
class FlightReading:
    """One flight's stall speed at the standard entry rate, by the slope common to all flights.

    Parameters
    ----------
    flight, configuration : str
        Whose it is.
    speed : float
        At 1 kt/s, reference mass and 1 g [m/s].
    stalls : int
        How many stalls it rests on.
    """

    flight: str
    configuration: str
    speed: float
    stalls: int


@dataclass(frozen=True, kw_only=True)
class Gain:
    """The fall of stall speed and how sure it is.

    Parameters
    ----------
    value : float
        Stall speed before less after [m/s]: positive is slower flight.
    budget : Budget
        All that is not known, the scatter of the flights among it [m/s].
    sets : tuple of StallSet
        Baseline, changed and, where flown, baseline again.
    readings : tuple of FlightReading
        One a flight.
    between, within : float
        Scatter from flight to flight and within a flight [m/s].
    slope : float or None
        Change of stall speed with entry rate [s]; None where all stalls were entered alike.
    scatter_assumed : bool
        Whether the flights were too few to show how much they scatter.
    drift : tuple of float or None
        Baseline again less baseline and its standard error [m/s], where it was flown again.
    unlike : tuple of Unlike
        In what the sets differ besides the vanes; anything here forbids 'keep'.
    """

    value: float
    budget: Budget
    sets: tuple[StallSet, ...]
    readings: tuple[FlightReading, ...]
    between: float
    within: float
    slope: float | None
    scatter_assumed: bool
    drift: tuple[float, float] | None
    unlike: tuple[Unlike, ...]

    @property
    def flights(self) -> tuple[int, int]:
        """Flights with the wing as it was (before and after together) and with it changed."""
        return sum(len(one.flights) for one in (self.sets[0], *self.sets[2:])), len(self.sets[1].flights)

    def band(self, level: float) -> tuple[float, float]:
        """Return the two-sided band [m/s] that holds with probability `level`."""
        half = self.budget.half_band(level)
        return self.value - half, self.value + half

    def probability_above(self, threshold: float) -> float:
        """Return how probably the gain exceeds a threshold [m/s]."""
        return probability_above(
            threshold,
            value=self.value,
            standard_uncertainty=self.budget.standard_uncertainty,
            degrees_of_freedom=self.budget.degrees_of_freedom,
        )


def measure_gain(
    records: Iterable[StallRecord],
    *,
    baseline: str = CLEAN,
    changed: str = VANES,
    again: str | None = None,
    flap_deg: float | None = None,
    terms: Sequence[Term] | None = None,
    assumed: Scatter = WORSE_ASSUMED,
) -> Gain:
    """Compare the flights of two configurations.

    Parameters
    ----------
    records : iterable of StallRecord
        Of both; struck ones may be among them.
    baseline, changed : str
        Names of the configurations.
    again : str, optional
        The baseline's name for flights after the vanes came off again. Its mean and the baseline's then count
        one half each, so that a steady drift over the campaign cancels.
    flap_deg : float, optional
        Only this flap setting; needed where more than one was flown.
    terms : sequence of Term, optional
        What else is not known [m/s]; `difference_terms` of the mean stall if not given.
    assumed : Scatter, optional
        Of flights too few to show their own.

    Returns
    -------
    Gain

    Raises
    ------
    InputError
        Where a configuration has no accepted stall, a flight holds two configurations, or there are too few
        stalls.

    Notes
    -----
    The mixed model of `fit_mixed`, with one mean for each set, one slope on entry rate and one shift for each
    flight; scatter is taken to be alike with and without vanes. Where the sides have unequal numbers of
    flights that assumption can make the band too narrow (few flights on the side that scatters more), so the
    band is then the wider of this one and that of Welch's test on the flights' readings. The standard error
    joins the other terms by the Guide's rules, those that both sides share canceling.
    """
    every = list(records)
    names = [baseline, changed, *([again] if again is not None else [])]
    sets = tuple(stall_set(every, configuration=name, flap_deg=flap_deg) for name in names)
    stalls = [record for one in sets for record in one.stalls]
    fit, assumed_used = _fit(sets, stalls, assumed)
    weights = np.zeros(fit.coefficients.size)
    weights[: len(sets)] = (1.0, -1.0) if len(sets) == 2 else (0.5, -1.0, 0.5)
    value, error = fit.contrast(weights)
    slope = float(fit.coefficients[-1]) if fit.coefficients.size > len(sets) else None
    if terms is None:
        terms = difference_terms(
            speed=float(np.mean([record.speed_reference for record in stalls])),
            mass=float(np.mean([record.mass for record in stalls])),
        )
    readings = _readings(sets, slope or 0.0)
    scatter = Term(
        name=FLIGHTS_TERM,
        half_width=error,
        degrees_of_freedom=ASSUMED_FREEDOM if assumed_used else fit.degrees_of_freedom,
    )
    if not assumed_used:
        scatter = _wider(scatter, _each_side_alone(sets, readings, weights))
    return Gain(
        value=value,
        budget=of_difference((scatter, *terms)),
        sets=sets,
        readings=readings,
        between=fit.between,
        within=fit.within,
        slope=slope,
        scatter_assumed=assumed_used,
        drift=fit.contrast([-1.0, 0.0, 1.0, *weights[3:]]) if len(sets) == 3 else None,
        unlike=differences(sets),
    )


def _fit(
    sets: tuple[StallSet, ...], stalls: Sequence[StallRecord], assumed: Scatter
) -> tuple[MixedFit, bool]:
    flight = [record.flight for record in stalls]
    _refuse_shared_flights(sets)
    freedom = len(set(flight)) - len(sets)
    known = assumed.between if freedom < FEWEST_FREEDOM else None
    fit = fit_mixed(
        values=[record.speed_reference for record in stalls],
        design=_design(sets, stalls),
        flight=flight,
        between_columns=len(sets),
        known_between=known,
    )
    return fit, known is not None


def _design(sets: tuple[StallSet, ...], stalls: Sequence[StallRecord]) -> FloatArray:
    columns = [
        np.array([float(record.configuration == one.configuration) for record in stalls]) for one in sets
    ]
    rates = np.array([record.entry_rate for record in stalls]) - STANDARD_ENTRY_RATE
    spread = 0.0
    for one in sets:
        for name in one.flights:
            own = [record.entry_rate for record in one.stalls if record.flight == name]
            spread = max(spread, max(own) - min(own))
    if spread > ALIKE_RATES:
        columns.append(rates)
    return np.column_stack(columns)


def _refuse_shared_flights(sets: tuple[StallSet, ...]) -> None:
    seen: dict[str, str] = {}
    for one in sets:
        for name in one.flights:
            if seen.setdefault(name, one.configuration) != one.configuration:
                raise InputError(
                    where=f"flight {name}",
                    found=f"stalls {seen[name]} and {one.configuration}",
                    needed="one configuration a flight",
                    fix="give the second part of the flight a name of its own only if the aircraft landed",
                )


def _each_side_alone(
    sets: tuple[StallSet, ...], readings: Sequence[FlightReading], weights: FloatArray
) -> Term | None:
    """Return the scatter term when each side has its own scatter; None where both have as many flights."""
    groups = [[one.speed for one in readings if one.configuration == each.configuration] for each in sets]
    sides = ([0, *range(2, len(sets))], [1])
    counts = [sum(len(groups[number]) for number in side) for side in sides]
    freedoms = [count - len(side) for count, side in zip(counts, sides, strict=True)]
    if counts[0] == counts[1] or min(freedoms) < 1:
        return None
    parts = []
    for side, freedom in zip(sides, freedoms, strict=True):
        squares = sum(float(np.sum((np.array(groups[n]) - np.mean(groups[n])) ** 2)) for n in side)
        parts.append(squares / freedom * sum(float(weights[n]) ** 2 / len(groups[n]) for n in side))
    total = sum(parts)
    if total == 0.0:
        return None
    lost = sum(part**2 / freedom for part, freedom in zip(parts, freedoms, strict=True))
    return Term(name=FLIGHTS_TERM, half_width=float(np.sqrt(total)), degrees_of_freedom=total**2 / lost)


def _wider(first: Term, second: Term | None) -> Term:
    if second is None:
        return first
    return max((first, second), key=lambda term: factor(0.90, term.degrees_of_freedom) * term.half_width)


def _readings(sets: tuple[StallSet, ...], slope: float) -> tuple[FlightReading, ...]:
    found = []
    for one in sets:
        for name in one.flights:
            own = [record for record in one.stalls if record.flight == name]
            speeds = [
                record.speed_reference - slope * (record.entry_rate - STANDARD_ENTRY_RATE) for record in own
            ]
            found.append(
                FlightReading(
                    flight=name,
                    configuration=one.configuration,
                    speed=sum(speeds) / len(speeds),
                    stalls=len(own),
                )
            )
    return tuple(found)
