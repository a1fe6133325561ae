"""From steady legs in a log to calibration points: wind from the legs themselves, then panel beside truth."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slowflight import air
from slowflight.errors import InputError
from slowflight.flights.airspeed.circle_fit import USUAL_LEG_UNCERTAINTY, fit_legs
from slowflight.flights.airspeed.conversion import from_true
from slowflight.flights.airspeed.position_error import CalibrationPoint
from slowflight.flights.airspeed.steady import FoundLeg
from slowflight.flights.airspeed.wind import WindFit

# Legs belong to one point where panel and height agree this well. Common practice, no source.
SAME_SPEED = 1.2  # [m/s]
SAME_HEIGHT = 80.0  # [m]
LONGEST_POINT = 900.0  # from first leg to last, while the wind stays [s]
READING_UNCERTAINTY = 0.15  # of a mean indicated airspeed [m/s]


@dataclass(frozen=True, kw_only=True)
class SpeedPoint:
    """One calibrated speed.

    Parameters
    ----------
    point : CalibrationPoint
        For `fit_position_error`.
    wind : WindFit
        From its legs.
    legs : tuple of FoundLeg
        That it rests on.
    """

    point: CalibrationPoint
    wind: WindFit
    legs: tuple[FoundLeg, ...]


def speed_points(
    legs: Sequence[FoundLeg],
    *,
    flap_deg: float,
    mass_at: Callable[[float], float],
    temperature: float | None = None,
    leg_uncertainty: float = USUAL_LEG_UNCERTAINTY,
) -> list[SpeedPoint]:
    """Group legs by speed and make a calibration point of each group that goes round.

    Parameters
    ----------
    legs : sequence of FoundLeg
        Level, with indicated airspeed.
    flap_deg : float
        At which they were flown [degrees].
    mass_at : callable
        Mass [kg] at a time [s].
    temperature : float, optional
        Outside [K]; standard for the height without it, which costs 0.9 % of speed for 5 K.
    leg_uncertainty : float, optional
        As for `fit_legs` [m/s].

    Returns
    -------
    list of SpeedPoint
        Groups with fewer than three legs, or on headings too close together, are left out.

    Notes
    -----
    True airspeed from the circle fit, calibrated airspeed from it by temperature and pressure (Gracey1980).
    """
    found = []
    for group in _groups([leg for leg in legs if leg.indicated is not None]):
        try:
            wind = fit_legs([leg.leg for leg in group], leg_uncertainty=leg_uncertainty)
        except InputError:
            continue
        heights = [leg.pressure_altitude for leg in group if leg.pressure_altitude is not None]
        altitude = sum(heights) / len(heights) if heights else 0.0
        here = air.standard_air(altitude=altitude)
        if temperature is not None:
            here = air.air(pressure=here.pressure, temperature=temperature)
        calibrated = from_true(wind.true_airspeed.value, air=here)
        shown = [leg.indicated for leg in group if leg.indicated is not None]
        share = calibrated.calibrated / wind.true_airspeed.value
        point = CalibrationPoint(
            indicated=sum(shown) / len(shown),
            calibrated=calibrated.calibrated,
            flap_deg=flap_deg,
            mass=mass_at(0.5 * (group[0].start + group[-1].stop)),
            uncertainty=((share * wind.standard_uncertainty) ** 2 + READING_UNCERTAINTY**2) ** 0.5,
        )
        found.append(SpeedPoint(point=point, wind=wind, legs=tuple(group)))
    return found


def _groups(legs: Sequence[FoundLeg]) -> list[list[FoundLeg]]:
    """Consecutive legs at one speed and height; a leg that differs begins another group."""
    groups: list[list[FoundLeg]] = []
    for leg in sorted(legs, key=lambda leg: leg.start):
        if groups and _alike(groups[-1], leg):
            groups[-1].append(leg)
        else:
            groups.append([leg])
    return groups


def _alike(group: list[FoundLeg], leg: FoundLeg) -> bool:
    first = group[0]
    if leg.stop - first.start > LONGEST_POINT:
        return False
    if abs((leg.indicated or 0.0) - (first.indicated or 0.0)) > SAME_SPEED:
        return False
    if leg.pressure_altitude is None or first.pressure_altitude is None:
        return True
    return abs(leg.pressure_altitude - first.pressure_altitude) < SAME_HEIGHT
