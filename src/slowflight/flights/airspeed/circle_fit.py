"""Ground velocities at one airspeed lie on a circle round the wind: fit it, say how sure it is.

Source: the wind triangle; the four GPS methods side by side in Gratton (2007). The circle is fitted as in any
text on circle fitting: algebraic start, then least squares of the distances (Gauss-Newton).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slowflight.errors import InputError
from slowflight.flights.airspeed.wind import WindFit
from slowflight.flights.logs.log import FloatArray
from slowflight.uncertainty import plus_minus

SOURCES = ("Gratton2007", "GUM2008")
# Of one leg's ground speed in smooth air: receiver, steadiness, wind. Common practice, no source.
USUAL_LEG_UNCERTAINTY = 0.25  # [m/s]
# Of headings; half a circle is meant, and the best known published example covers 172 degrees [rad].
NARROWEST_COVERAGE = math.radians(165.0)
POOR_AMPLIFICATION = 1.5
_CONFIDENCE = 0.975


@dataclass(frozen=True, kw_only=True)
class Leg:
    """Steady flight on one heading.

    Parameters
    ----------
    ground_speed : float
        Mean [m/s].
    track : float
        Mean, from true north [rad].
    seconds : float
        How long it was flown; 0 where it was read off by hand.
    """

    ground_speed: float
    track: float
    seconds: float = 0.0


def fit_legs(legs: Sequence[Leg], *, leg_uncertainty: float = USUAL_LEG_UNCERTAINTY) -> WindFit:
    """Wind and true airspeed from three or more legs at one indicated airspeed, height and power.

    Parameters
    ----------
    legs : sequence of Leg
        At least three, their headings spread over at least half a circle. Ground speed and track are those
        the receiver measures, not differences of positions.
    leg_uncertainty : float, optional
        Standard uncertainty of one leg's ground speed [m/s]. The band never gets smaller than this makes it,
        because three legs always fit.

    Returns
    -------
    WindFit

    Raises
    ------
    InputError
        With fewer than three legs, legs that cover less than half a circle, or no circle.

    Notes
    -----
    Source: Gratton2007 for the geometry; covariance s^2 (J'J)^-1 of the distances, GUM2008 for the band.
    """
    if len(legs) < 3:
        raise InputError(
            where="wind legs",
            found=f"{len(legs)} legs",
            needed="at least three on headings spread all round",
            fix="the mean of two opposite legs is not the true airspeed in a crosswind",
        )
    speed = np.array([leg.ground_speed for leg in legs])
    track = np.array([leg.track for leg in legs])
    return fit_velocities(speed * np.cos(track), speed * np.sin(track), leg_uncertainty=leg_uncertainty)


def fit_velocities(north: FloatArray, east: FloatArray, *, leg_uncertainty: float) -> WindFit:
    """Fit the circle to ground velocities.

    Parameters
    ----------
    north, east : FloatArray
        Ground velocities [m/s], shape (n,), n at least 3.
    leg_uncertainty : float
        As for `fit_legs` [m/s].

    Returns
    -------
    WindFit

    Raises
    ------
    InputError
        As for `fit_legs`.
    """
    center_north, center_east, radius = _algebraic(north, east)
    jacobian = np.empty((north.size, 3))
    for _ in range(50):
        away_north, away_east = north - center_north, east - center_east
        distance = np.hypot(away_north, away_east)
        jacobian[:] = np.column_stack([-away_north / distance, -away_east / distance, -np.ones(north.size)])
        step = np.linalg.lstsq(jacobian, -(distance - radius), rcond=None)[0]
        center_north, center_east, radius = (center_north + step[0], center_east + step[1], radius + step[2])
        if np.max(np.abs(step)) < 1e-12 * radius:
            break
    away_north, away_east = north - center_north, east - center_east
    coverage = _coverage(np.arctan2(away_east, away_north))
    if coverage < NARROWEST_COVERAGE - 1e-9:
        raise InputError(
            where="wind legs",
            found=f"headings that cover {math.degrees(coverage):.0f} degrees",
            needed="at least 180",
            fix="fly legs at 0, 90, 180 and 270 degrees, or a full turn",
        )
    inverse = np.linalg.inv(jacobian.T @ jacobian)
    left = np.hypot(away_north, away_east) - radius
    freedom = north.size - 3
    residual = math.sqrt(float(left @ left) / freedom) if freedom else math.nan
    if freedom and residual > leg_uncertainty:
        scale, factor = residual, float(stats.t.ppf(_CONFIDENCE, freedom))
    else:
        scale, factor = leg_uncertainty, float(stats.norm.ppf(_CONFIDENCE))
    amplification = math.sqrt(float(inverse[2, 2]))
    uncertainty = scale * amplification
    remarks = []
    if amplification > POOR_AMPLIFICATION:
        remarks.append(f"these headings make {amplification:.1f} times a leg's error of the airspeed")
    if not freedom:
        remarks.append("three legs always fit: the band rests on the usual error of a leg, not on these")
    return WindFit(
        true_airspeed=plus_minus(
            float(radius), factor * uncertainty, why="scatter of the legs, or the usual error of one"
        ),
        wind_north=float(center_north),
        wind_east=float(center_east),
        wind_uncertainty=scale * math.sqrt(float(max(inverse[0, 0], inverse[1, 1]))),
        standard_uncertainty=uncertainty,
        residual=residual,
        amplification=amplification,
        legs=int(north.size),
        remarks=tuple(remarks),
    )


def _algebraic(north: FloatArray, east: FloatArray) -> tuple[float, float, float]:
    """Circle by linear least squares of the squared distances."""
    matrix = np.column_stack([2.0 * north, 2.0 * east, np.ones(north.size)])
    solved, _, rank, _ = np.linalg.lstsq(matrix, north**2 + east**2, rcond=None)
    squared = float(solved[2] + solved[0] ** 2 + solved[1] ** 2) if rank == 3 else 0.0
    if squared <= 0.0 or not math.isfinite(squared):
        raise InputError(
            where="wind legs",
            found="ground velocities on a straight line",
            needed="headings spread all round",
            fix="fly legs at 0, 90, 180 and 270 degrees, or a full turn",
        )
    return float(solved[0]), float(solved[1]), math.sqrt(squared)


def _coverage(direction: FloatArray) -> float:
    """Full circle less the largest gap between headings [rad]."""
    around = np.sort(direction % (2.0 * math.pi))
    return 2.0 * math.pi - float(np.max(np.diff(np.append(around, around[0] + 2.0 * math.pi))))
