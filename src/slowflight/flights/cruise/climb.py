"""Climb: what the altimeter's rate was in true height, at reference mass and sea level, before and after."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.errors import InputError, RangeError
from slowflight.flights.stall_record import CLEAN, VANES
from slowflight.flights.statistics.linear_fit import fit_linear
from slowflight.flights.statistics.two_samples import TDifference, welch

SOURCES: tuple[str, ...] = ()
# The reduction holds weight and density apart from the engine, whose power it cannot know: fly the same air.
# Common practice, no source [-].
UNLIKE_AIR = 0.03
SAME_SPEED = 1.0  # runs this close were held at one speed [m/s]


@dataclass(frozen=True, kw_only=True)
class ClimbRun:
    """One timed climb, reduced.

    Parameters
    ----------
    flight, configuration : str
        Whose it is.
    speed : float
        Equivalent airspeed at reference mass [m/s].
    rate : float
        Of climb, true height, at reference mass and sea level [m/s].
    density_ratio : float
        Of the air it was flown in, over sea level [-].
    heading : str
        ``"out"``, ``"back"`` or "" where it was not written down.
    """

    flight: str
    configuration: str
    speed: float
    rate: float
    density_ratio: float
    heading: str = ""


@dataclass(frozen=True, kw_only=True)
class ClimbComparison:
    """Climb without and with vanes.

    Parameters
    ----------
    before, after : tuple of float
        One rate a flight, at the middle of the speeds flown [m/s].
    speed : float
        That middle, equivalent at reference mass [m/s].
    difference : TDifference or None
        With vanes less without; None with fewer than two flights on a side, which have no band.
    remarks : tuple of str
        What was not as it should be.
    """

    before: tuple[float, ...]
    after: tuple[float, ...]
    speed: float
    difference: TDifference | None
    remarks: tuple[str, ...]


def compare_climb(
    runs: Sequence[ClimbRun], *, baseline: str = CLEAN, changed: str = VANES
) -> ClimbComparison:
    """Compare climbs, the flight being the replicate.

    Parameters
    ----------
    runs : sequence of ClimbRun
        Of both configurations.
    baseline, changed : str, optional
        Names of the configurations.

    Returns
    -------
    ClimbComparison

    Raises
    ------
    InputError
        Where a configuration has no run.

    Notes
    -----
    Analysis of covariance: one parabola in speed for all flights (a straight line with two speeds, nothing
    with one), and one level for each flight; the levels are then compared by Welch's test. Vanes are taken
    to lift or lower the whole curve, which is fair close to the best climb and not close to the stall.
    """
    flights = {one.flight: one.configuration for one in runs}
    for name in (baseline, changed):
        if name not in flights.values():
            raise InputError(where="climb", found=f"no run {name}", needed="runs before and after")
    names = sorted(flights)
    speed = np.array([one.speed for one in runs])
    middle = float(speed.mean())
    held = int(np.unique(np.round(speed / SAME_SPEED)).size)
    # A curve takes runs to spare: without them each flight's mean has to do.
    bends = max(min(held - 1, 2, len(runs) - len(names) - 1), 0)
    level = _levels(runs, names, speed - middle, bends)
    before, after = (
        tuple(value for name, value in level.items() if flights[name] == side) for side in (baseline, changed)
    )
    remarks = []
    difference = None
    if bends < min(held - 1, 2):
        remarks.append(
            "too few runs for their curve in speed: flights at unlike speeds are compared as flown"
        )
    if min(len(before), len(after)) < 2:
        remarks.append("one flight on a side: no band can be given, so this shows nothing")
    else:
        difference = welch(after, before)
    air = [np.mean([r.density_ratio for r in runs if r.configuration == c]) for c in (baseline, changed)]
    if abs(air[1] / air[0] - 1.0) > UNLIKE_AIR:
        remarks.append("the air differed by more than 3 % in density, and with it the engine's power")
    if not _both_ways(runs):
        remarks.append("not every speed was flown out and back: wind that changes with height is in it")
    return ClimbComparison(
        before=before, after=after, speed=middle, difference=difference, remarks=tuple(remarks)
    )


def _levels(
    runs: Sequence[ClimbRun], names: Sequence[str], speed: npt.NDArray[np.float64], bends: int
) -> dict[str, float]:
    """Level of each flight at speed zero, on one curve of so many bends."""
    rates = [one.rate for one in runs]
    if not bends:
        return {name: float(np.mean([one.rate for one in runs if one.flight == name])) for name in names}
    columns = [np.array([float(one.flight == name) for one in runs]) for name in names]
    columns += [speed**power for power in range(1, bends + 1)]
    fit = fit_linear(design=np.column_stack(columns), values=rates)
    return dict(zip(names, fit.coefficients.tolist(), strict=False))


def _both_ways(runs: Sequence[ClimbRun]) -> bool:
    """Whether each flight has as many runs out as back."""
    for flight in {one.flight for one in runs}:
        ways = [one.heading for one in runs if one.flight == flight]
        if ways.count("out") != ways.count("back") or "" in ways:
            return False
    return True


def true_rate(*, pressure_height_rate: float, temperature: float, standard_temperature: float) -> float:
    """Return the rate of climb in true height from the rate of pressure height.

    Parameters
    ----------
    pressure_height_rate : float
        [m/s].
    temperature, standard_temperature : float
        Of the air, and of the standard atmosphere at the same pressure height [K].

    Returns
    -------
    float
        [m/s]; hydrostatics: a layer of given pressure difference is thicker in warm air.

    Raises
    ------
    RangeError
        Where a temperature is not above 0 K.
    """
    if min(temperature, standard_temperature) <= 0.0:
        raise RangeError(
            where="climb", found=f"{temperature} K and {standard_temperature} K", needed="kelvin above 0"
        )
    return pressure_height_rate * temperature / standard_temperature


def reference_climb(*, true_rate: float, density_ratio: float, mass: float, reference_mass: float) -> float:
    """Return the rate of climb that the same excess thrust and angle give at reference mass and sea level.

    Parameters
    ----------
    true_rate : float
        [m/s].
    density_ratio : float
        Over sea level [-].
    mass, reference_mass : float
        [kg].

    Returns
    -------
    float
        [m/s]: ``rate sqrt(sigma) sqrt(m_ref/m)``, to be set against ``V_E sqrt(m_ref/m)``. Derived from the
        reduction of level flight: at one angle of attack speed goes as the root of mass over density.
    """
    return true_rate * math.sqrt(density_ratio) * math.sqrt(reference_mass / mass)
