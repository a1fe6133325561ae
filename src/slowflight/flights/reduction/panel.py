"""Airspeed calibrations of a campaign: each flight by its own legs, else by those of its side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slowflight.errors import InputError
from slowflight.flights.airspeed.position_error import (
    CalibrationPoint,
    PositionError,
    fit_position_error,
    lift_coefficient,
    speed_at,
)
from slowflight.flights.book.entries import AFTER
from slowflight.flights.reduction.flown import FlownFlight

SAME_FLAP = 2.0  # [degrees]


@dataclass(frozen=True, kw_only=True)
class PanelCurve:
    """A calibration and where it comes from.

    Parameters
    ----------
    curve : PositionError
    flights : tuple of str
        Whose legs it rests on.
    own : bool
        Whether they are the flight's own.
    same_side : bool
        Whether they were flown with the wing as in the flight.
    points : tuple of CalibrationPoint
    """

    curve: PositionError
    flights: tuple[str, ...]
    own: bool
    same_side: bool
    points: tuple[CalibrationPoint, ...]

    def slowest(self, mass: float) -> float:
        """Slowest calibrated airspeed of its legs, at a mass [kg] and 1 g: [m/s]."""
        return speed_at(self.curve.lift_high, mass=mass, load_factor=1.0, area=self.curve.area)


def curves_for(flight: FlownFlight, every: Sequence[FlownFlight], *, area: float) -> list[PanelCurve]:
    """Return the calibrations to use for a flight, one for each flap setting there is one for.

    Parameters
    ----------
    flight : FlownFlight
        To be calibrated.
    every : sequence of FlownFlight
        All flights.
    area : float
        Of the wing [m^2].

    Returns
    -------
    list of PanelCurve
        From the flight's own legs where they are enough, else from all legs of its side, else from all
        others: the position error then belongs to another wing, which the curve says.
    """
    same = [one for one in every if one.entry.configuration == flight.entry.configuration]
    alike = [one for one in every if same_wing(one, flight)]
    flaps = sorted({flap for one in every for flap in one.points})
    found = []
    for flap in flaps:
        for group, own, same_side in (
            ([flight], True, True),
            (same, False, True),
            (alike, False, True),
            (every, False, False),
        ):
            made = _fitted(group, flap, area=area, own=own, same_side=same_side)
            if made is not None:
                found.append(made)
                break
    return found


def same_wing(one: FlownFlight, other: FlownFlight) -> bool:
    """Whether both were flown with vanes or both without: clean again is as clean as before."""
    return (one.entry.side == AFTER) == (other.entry.side == AFTER)


def nearest(curves: Sequence[PanelCurve], flap_deg: float) -> PanelCurve | None:
    """Return the calibration of a flap setting [degrees], or None."""
    close = [one for one in curves if abs(one.curve.flap_deg - flap_deg) <= SAME_FLAP]
    return min(close, key=lambda one: abs(one.curve.flap_deg - flap_deg), default=None)


def uncertainty_at(curve: PanelCurve, *, speed: float, mass: float) -> float:
    """Standard uncertainty of the correction at a calibrated airspeed, by the scatter of its legs [m/s].

    Parameters
    ----------
    curve : PanelCurve
    speed : float
        [m/s].
    mass : float
        [kg].

    Returns
    -------
    float
        [m/s]. That the curve may bend beyond its slowest leg is not in it: the terms of a difference allow
        for that, by how near the legs come to the stall.
    """
    lift = lift_coefficient(speed=speed, mass=mass, load_factor=1.0, area=curve.curve.area)
    return curve.curve.at(lift)[1]


def _fitted(
    group: Sequence[FlownFlight], flap: float, *, area: float, own: bool, same_side: bool
) -> PanelCurve | None:
    points, names = [], []
    for one in group:
        for setting, found in one.points.items():
            if abs(setting - flap) <= SAME_FLAP / 2.0:
                points += [_at(point.point, flap) for point in found]
                names.append(one.entry.name)
    try:
        curve = fit_position_error(points, area=area)
    except InputError:
        return None
    return PanelCurve(curve=curve, flights=tuple(names), own=own, same_side=same_side, points=tuple(points))


def _at(point: CalibrationPoint, flap: float) -> CalibrationPoint:
    return CalibrationPoint(
        indicated=point.indicated,
        calibrated=point.calibrated,
        flap_deg=flap,
        mass=point.mass,
        load_factor=point.load_factor,
        uncertainty=point.uncertainty,
    )
