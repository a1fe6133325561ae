"""Cruise: power against speed, brought to one mass and sea level, and what vanes do to it.

For a propeller airplane in level flight drag is a part that grows with speed squared and one that falls
with it; at reference mass and sea level then ``P = a V^3 + b / V``. The reduction is textbook practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import optimize

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.flights.stall_record import CLEAN, VANES
from slowflight.flights.statistics.equivalence import Equivalence, within_margin
from slowflight.flights.statistics.linear_fit import fit_linear
from slowflight.flights.statistics.posterior import probability_above
from slowflight.flights.statistics.two_samples import TDifference, welch

SOURCES = ("Schuirmann1987", "Welch1947")

# How far cruise power may lie outside the powers flown.
BEYOND = 1.05
ONE_KNOT = units.speed("1 kt", where="cruise margin")


@dataclass(frozen=True, kw_only=True)
class LevelPoint:
    """One steady level run: three minutes, height and speed constant, both ways or a circle of headings.

    Parameters
    ----------
    flight, configuration : str
        Whose it is.
    equivalent_speed : float
        [m/s].
    power : float
        Any measure proportional to engine power: watts, or fuel flow at one mixture setting. Not the speed of
        rotation of a fixed propeller, which hides a loss.
    mass : float
        [kg].
    density_ratio : float
        Air density over that of the standard atmosphere at sea level [-].
    """

    flight: str
    configuration: str
    equivalent_speed: float
    power: float
    mass: float
    density_ratio: float

    def __post_init__(self) -> None:
        for name in ("equivalent_speed", "power", "mass", "density_ratio"):
            number = getattr(self, name)
            if not (math.isfinite(number) and number > 0.0):
                raise RangeError(
                    where=f"level run, {self.flight}, {name}",
                    found=f"{number}",
                    needed="a finite number above 0",
                )


@dataclass(frozen=True, kw_only=True)
class SpeedPower:
    """A fitted curve ``P = a V^3 + b / V`` at reference mass and sea level.

    Parameters
    ----------
    parasite, induced : float
        The two coefficients, in units of power over speed cubed and power times speed.
    """

    parasite: float
    induced: float

    def power(self, speed: float) -> float:
        """Return the power needed at a speed [m/s]."""
        return self.parasite * speed**3 + self.induced / speed

    @property
    def least_power_speed(self) -> float:
        """Speed of least power [m/s]."""
        return float((self.induced / (3.0 * self.parasite)) ** 0.25)

    def speed(self, power: float) -> float:
        """Return the speed above that of least power at which so much is needed [m/s]; RangeError if none."""
        slowest = self.least_power_speed
        if power < self.power(slowest):
            raise RangeError(
                where="cruise power",
                found=f"{power:.4g}",
                needed=f"at least {self.power(slowest):.4g}, the least that keeps the aircraft up",
            )
        fastest = (power / self.parasite) ** (1.0 / 3.0) * 1.001
        return float(optimize.brentq(lambda v: self.power(v) - power, slowest, fastest, xtol=1e-12))

    def slope(self, speed: float) -> float:
        """Return the change of power with speed [power s/m]."""
        return 3.0 * self.parasite * speed**2 - self.induced / speed**2


def reference_speed(point: LevelPoint, *, reference_mass: float) -> float:
    """Return equivalent airspeed at reference mass and the same angle, ``V_E sqrt(m_ref/m)`` [m/s]."""
    return point.equivalent_speed * math.sqrt(reference_mass / point.mass)


def reference_power(point: LevelPoint, *, reference_mass: float) -> float:
    """Return power at reference mass and sea level, ``P sqrt(sigma) (m_ref/m)^1.5``."""
    return float(point.power * math.sqrt(point.density_ratio) * (reference_mass / point.mass) ** 1.5)


def fit_speed_power(points: Sequence[LevelPoint], *, reference_mass: float) -> SpeedPower:
    """Fit the curve of one configuration.

    Parameters
    ----------
    points : sequence of LevelPoint
        Three or more, at speeds that differ.
    reference_mass : float
        [kg].

    Returns
    -------
    SpeedPower

    Raises
    ------
    InputError
        Where there are fewer than three points or they do not give two positive parts.
    """
    if len(points) < 3:
        raise InputError(where="cruise", found=f"{len(points)} runs", needed="at least 3 at different speeds")
    speed = np.array([reference_speed(point, reference_mass=reference_mass) for point in points])
    power = [reference_power(point, reference_mass=reference_mass) for point in points]
    fit = fit_linear(design=np.column_stack([speed**3, 1.0 / speed]), values=power)
    parasite, induced = (float(value) for value in fit.coefficients)
    if min(parasite, induced) <= 0.0:
        raise InputError(
            where="cruise",
            found="runs that no drag of two parts fits",
            needed="five speeds from slow to fast",
            fix="fly more speeds, and check power and units",
        )
    return SpeedPower(parasite=parasite, induced=induced)


@dataclass(frozen=True, kw_only=True)
class CruiseAnswer:
    """What vanes do to cruise speed at the owner's cruise power.

    Parameters
    ----------
    difference : TDifference
        Speed with vanes less speed without [m/s]: negative is a loss. One number a flight.
    equivalence : Equivalence
        Whether 'no loss beyond the margin' is shown.
    flights : tuple of int
        Without and with vanes.
    """

    difference: TDifference
    equivalence: Equivalence
    flights: tuple[int, int]

    def probability_of_loss(self, beyond: float) -> float:
        """Return how probably more than so much speed is lost [m/s]."""
        return probability_above(
            beyond,
            value=-self.difference.value,
            standard_uncertainty=self.difference.standard_error,
            degrees_of_freedom=self.difference.degrees_of_freedom,
        )


def compare_cruise(
    points: Iterable[LevelPoint],
    *,
    cruise_power: float,
    reference_mass: float,
    margin: float = ONE_KNOT,
    baseline: str = CLEAN,
    changed: str = VANES,
) -> CruiseAnswer:
    """Compare cruise speeds at one power, the flight being the replicate.

    Parameters
    ----------
    points : iterable of LevelPoint
        Of both configurations; two flights of each at least.
    cruise_power : float
        At reference mass and sea level, in the unit of the points.
    reference_mass : float
        [kg].
    margin : float, optional
        Largest loss that does not matter, fixed before the flights [m/s].
    baseline, changed : str, optional
        Names of the configurations.

    Returns
    -------
    CruiseAnswer

    Raises
    ------
    InputError
        Where a configuration has fewer than two flights or too few runs, or cruise power lies outside what
        was flown.

    Notes
    -----
    One curve is fitted to all runs of a configuration; each flight's runs then say by how much that flight
    was faster or slower than it, carried to cruise power along the curve's slope. The flights' speeds are
    compared by Welch's test, and 'no loss' is two one-sided tests within the margin.
    """
    every = list(points)
    speeds = [
        flight_speeds(
            [point for point in every if point.configuration == name],
            cruise_power=cruise_power,
            reference_mass=reference_mass,
        )
        for name in (baseline, changed)
    ]
    difference = welch(list(speeds[1].values()), list(speeds[0].values()))
    return CruiseAnswer(
        difference=difference,
        equivalence=within_margin(difference, margin=margin),
        flights=(len(speeds[0]), len(speeds[1])),
    )


def flight_speeds(
    points: Sequence[LevelPoint], *, cruise_power: float, reference_mass: float
) -> dict[str, float]:
    """Return each flight's speed at cruise power [m/s]; parameters and errors as for `compare_cruise`."""
    curve = fit_speed_power(points, reference_mass=reference_mass)
    powers = [reference_power(point, reference_mass=reference_mass) for point in points]
    if not min(powers) / BEYOND <= cruise_power <= max(powers) * BEYOND:
        raise InputError(
            where="cruise power",
            found=f"{cruise_power:.4g}",
            needed=f"within {min(powers):.4g} to {max(powers):.4g}, which was flown",
        )
    cruise = curve.speed(cruise_power)
    found: dict[str, list[float]] = {}
    for point in points:
        speed = reference_speed(point, reference_mass=reference_mass)
        power = reference_power(point, reference_mass=reference_mass)
        # Power short of the curve is drag that was not there: at cruise that is so many meters a second.
        saved = (curve.power(speed) - power) / power * cruise_power
        found.setdefault(point.flight, []).append(cruise + saved / curve.slope(cruise))
    return {flight: sum(each) / len(each) for flight, each in found.items()}
