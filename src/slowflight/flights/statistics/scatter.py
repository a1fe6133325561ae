"""How much stall speeds scatter, from flight to flight and within one: assumed, then the owner's own."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slowflight import units
from slowflight.flights.stall_record import StallRecord
from slowflight.flights.statistics.entry_rate import STANDARD_ENTRY_RATE
from slowflight.flights.statistics.mixed_model import fit_mixed

SOURCES: tuple[str, ...] = ()

_KNOT = units.speed("1 kt", where="scatter")


@dataclass(frozen=True, kw_only=True)
class Scatter:
    """Two standard deviations.

    Parameters
    ----------
    between : float
        From flight to flight [m/s].
    within : float
        Of single stalls within a flight [m/s].
    why : str
        Where they come from.
    """

    between: float
    within: float
    why: str


# No published figures for light aircraft were found; these are the worse ends of what is commonly assumed.
WORSE_ASSUMED = Scatter(
    between=0.5 * _KNOT, within=0.6 * _KNOT, why="assumed: worse end of common practice, no source"
)
# An assumed deviation that may be a quarter off counts as eight degrees of freedom (GUM, G.4.2).
ASSUMED_FREEDOM = 8.0


def baseline_scatter(stalls: Sequence[StallRecord], *, assumed: Scatter = WORSE_ASSUMED) -> Scatter:
    """Return the scatter to plan with, from the flights of one configuration.

    Parameters
    ----------
    stalls : sequence of StallRecord
        Accepted stalls of one configuration and flap setting.
    assumed : Scatter, optional
        Used until there are two flights, and as the most that a few flights' doubt may add.

    Returns
    -------
    Scatter
        Few flights tell their scatter badly: that between flights is taken at its upper 80 % limit, up to the
        assumed one, and never below what was seen.
    """
    flights = sorted({record.flight for record in stalls})
    if len(flights) < 2 or len(stalls) < len(flights) + 3:
        return assumed
    rates = np.array([record.entry_rate for record in stalls]) - STANDARD_ENTRY_RATE
    columns = [np.ones_like(rates), rates] if np.ptp(rates) > 0.0 else [np.ones_like(rates)]
    fit = fit_mixed(
        values=[record.speed_reference for record in stalls],
        design=np.column_stack(columns),
        flight=[record.flight for record in stalls],
        between_columns=1,
    )
    freedom = len(flights) - 1
    each = len(stalls) / len(flights)
    of_mean = fit.between**2 + fit.within**2 / each
    upper = of_mean * freedom / float(stats.chi2.ppf(0.2, freedom)) - fit.within**2 / each
    between = max(min(math.sqrt(max(upper, 0.0)), assumed.between), fit.between)
    return Scatter(
        between=between,
        within=fit.within,
        why=f"this aircraft's own {len(flights)} flights, {len(stalls)} stalls",
    )
