"""Position error against lift coefficient, a curve for each flap setting, with its band and its ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slowflight.air import GRAVITY, SEA_LEVEL_DENSITY
from slowflight.errors import InputError, RangeError
from slowflight.uncertainty import Banded, plus_minus

SOURCES = ("Gracey1980", "GUM2008")
FEWEST_POINTS = 3
# Beyond the slowest point that was calibrated, common practice, no source.
FURTHEST = 2.0 * 1852.0 / 3600.0  # [m/s]
WIDENING = 0.5  # half-band added per m/s beyond the ends [-]
USUAL_POINT_UNCERTAINTY = 0.35  # of one calibration point, wind and reading together, common practice [m/s]


@dataclass(frozen=True, kw_only=True)
class CalibrationPoint:
    """One steady point with the true airspeed known.

    Parameters
    ----------
    indicated : float
        Corrected for the instrument itself [m/s].
    calibrated : float
        From true airspeed, pressure and temperature [m/s].
    flap_deg : float
        [degrees].
    mass : float
        [kg].
    load_factor : float
        [-].
    uncertainty : float
        Standard uncertainty of the difference [m/s].
    """

    indicated: float
    calibrated: float
    flap_deg: float
    mass: float
    load_factor: float = 1.0
    uncertainty: float = USUAL_POINT_UNCERTAINTY


@dataclass(frozen=True, kw_only=True)
class PositionError:
    """What to add to indicated airspeed at one flap setting: ``offset + slope (lift coefficient - middle)``.

    Parameters
    ----------
    flap_deg : float
        [degrees].
    area : float
        Wing area of the lift coefficient [m^2].
    offset : float
        [m/s].
    slope : float
        Per unit of lift coefficient [m/s].
    middle : float
        Mean lift coefficient of the points [-].
    covariance : tuple of tuple of float
        Of offset and slope [m^2/s^2].
    lift_low, lift_high : float
        Lift coefficients between which it was measured [-].
    factor : float
        Student's factor for 95 % [-].
    points : int
        How many it rests on.
    """

    flap_deg: float
    area: float
    offset: float
    slope: float
    middle: float
    covariance: tuple[tuple[float, float], tuple[float, float]]
    lift_low: float
    lift_high: float
    factor: float
    points: int

    def at(self, lift: float) -> tuple[float, float]:
        """Return the correction and its standard uncertainty [m/s] at a lift coefficient."""
        away = np.array([1.0, lift - self.middle])
        variance = float(away @ np.array(self.covariance) @ away)
        return self.offset + self.slope * (lift - self.middle), math.sqrt(variance)


def lift_coefficient(*, speed: float, mass: float, load_factor: float, area: float) -> float:
    """Lift coefficient at an equivalent airspeed.

    Parameters
    ----------
    speed : float
        Equivalent airspeed [m/s], above 0; calibrated serves below 50 m/s and 3 km.
    mass : float
        [kg].
    load_factor : float
        [-].
    area : float
        [m^2].

    Returns
    -------
    float
        [-], by definition.
    """
    if not speed > 0.0:
        raise RangeError(where="airspeed", found=f"{speed:g} m/s", needed="above 0")
    return 2.0 * load_factor * mass * GRAVITY / (SEA_LEVEL_DENSITY * area * speed**2)


def fit_position_error(points: Sequence[CalibrationPoint], *, area: float) -> PositionError:
    """Fit the correction of one flap setting.

    Parameters
    ----------
    points : sequence of CalibrationPoint
        At least three speeds at one flap setting.
    area : float
        Wing area [m^2].

    Returns
    -------
    PositionError

    Raises
    ------
    InputError
        With fewer than three points, several flap settings, or speeds too close together to give a slope.

    Notes
    -----
    The error of a static source follows the angle of attack, hence the lift coefficient, at low speed:
    Gracey1980, chapters VI and VII. A straight line in lift coefficient is the form
    ``a + b / speed^2`` at one weight.
    """
    flaps = {point.flap_deg for point in points}
    if len(points) < FEWEST_POINTS or len(flaps) > 1:
        raise InputError(
            where="airspeed calibration",
            found=f"{len(points)} points at {len(flaps)} flap settings",
            needed=f"at least {FEWEST_POINTS} speeds at one flap setting",
        )
    lift = np.array(
        [
            lift_coefficient(speed=p.calibrated, mass=p.mass, load_factor=p.load_factor, area=area)
            for p in points
        ]
    )
    if np.ptp(lift) < 0.15 * float(np.mean(lift)):
        raise InputError(
            where="airspeed calibration",
            found="speeds that are nearly the same",
            needed="speeds from just above the stall to cruise",
        )
    error = np.array([p.calibrated - p.indicated for p in points])
    usual = np.array([p.uncertainty for p in points])
    middle = float(np.average(lift, weights=usual**-2))
    design = np.column_stack([np.ones(lift.size), lift - middle]) / usual[:, None]
    solved = np.linalg.lstsq(design, error / usual, rcond=None)[0]
    left = error / usual - design @ solved
    freedom = lift.size - 2
    scatter = float(left @ left) / freedom
    covariance = np.linalg.inv(design.T @ design) * max(scatter, 1.0)
    factor = float(stats.t.ppf(0.975, freedom)) if scatter > 1.0 else float(stats.norm.ppf(0.975))
    return PositionError(
        flap_deg=flaps.pop(),
        area=area,
        offset=float(solved[0]),
        slope=float(solved[1]),
        middle=middle,
        covariance=(
            (float(covariance[0, 0]), float(covariance[0, 1])),
            (float(covariance[1, 0]), float(covariance[1, 1])),
        ),
        lift_low=float(lift.min()),
        lift_high=float(lift.max()),
        factor=factor,
        points=int(lift.size),
    )


@dataclass(frozen=True, kw_only=True)
class Calibrated:
    """A calibrated airspeed and how far to trust it.

    Parameters
    ----------
    speed : Banded
        [m/s], with its 95 % band.
    standard_uncertainty : float
        [m/s].
    beyond : float
        How far outside the calibrated speeds it lies [m/s]; 0 inside.
    """

    speed: Banded
    standard_uncertainty: float
    beyond: float


def calibrate(
    indicated: float,
    curve: PositionError,
    *,
    mass: float,
    load_factor: float = 1.0,
    furthest: float = FURTHEST,
) -> Calibrated | None:
    """Calibrated airspeed of an indicated one.

    Parameters
    ----------
    indicated : float
        Corrected for the instrument itself [m/s].
    curve : PositionError
        Of the flap setting flown.
    mass : float
        [kg].
    load_factor : float, optional
        [-].
    furthest : float, optional
        Beyond the calibrated speeds the band widens; this far beyond there is no answer [m/s].

    Returns
    -------
    Calibrated or None
        None further than that, 2 kt unless given: the panel is not calibrated there.
    """
    speed = indicated
    for _ in range(60):
        lift = lift_coefficient(speed=speed, mass=mass, load_factor=load_factor, area=curve.area)
        update = indicated + curve.at(lift)[0]
        if not update > 0.3 * indicated:
            return None
        if abs(update - speed) < 1e-9:
            break
        speed = 0.5 * (speed + update)  # half steps: the correction may grow fast near the stall
    else:
        return None
    lift = lift_coefficient(speed=speed, mass=mass, load_factor=load_factor, area=curve.area)
    ends = (
        speed_at(curve.lift_high, mass=mass, load_factor=load_factor, area=curve.area),
        speed_at(curve.lift_low, mass=mass, load_factor=load_factor, area=curve.area),
    )
    beyond = max(ends[0] - speed, speed - ends[1], 0.0)
    if beyond > furthest:
        return None
    uncertainty = math.hypot(curve.at(lift)[1], WIDENING * beyond / curve.factor)
    why = "airspeed calibration" if beyond <= 0.0 else "airspeed calibration, carried beyond its end"
    return Calibrated(
        speed=plus_minus(speed, curve.factor * uncertainty, why=why),
        standard_uncertainty=uncertainty,
        beyond=beyond,
    )


def on_the_panel(
    calibrated: float, curve: PositionError, *, mass: float, load_factor: float = 1.0
) -> Banded | None:
    """What the panel shows at a calibrated airspeed.

    Parameters
    ----------
    calibrated : float
        [m/s].
    curve, mass, load_factor
        As for `calibrate`.

    Returns
    -------
    Banded or None
        [m/s]; None where the panel is not calibrated there.
    """
    lift = lift_coefficient(speed=calibrated, mass=mass, load_factor=load_factor, area=curve.area)
    correction, uncertainty = curve.at(lift)
    slowest = speed_at(curve.lift_high, mass=mass, load_factor=load_factor, area=curve.area)
    fastest = speed_at(curve.lift_low, mass=mass, load_factor=load_factor, area=curve.area)
    beyond = max(slowest - calibrated, calibrated - fastest, 0.0)
    if beyond > FURTHEST:
        return None
    half = math.hypot(curve.factor * uncertainty, WIDENING * beyond)
    return plus_minus(calibrated - correction, half, why="airspeed calibration")


def speed_at(lift: float, *, mass: float, load_factor: float, area: float) -> float:
    """Equivalent airspeed [m/s] at a lift coefficient [-], mass [kg], load factor [-] and area [m^2]."""
    return math.sqrt(2.0 * load_factor * mass * GRAVITY / (SEA_LEVEL_DENSITY * area * lift))
