"""Wind and true airspeed, with what they may be off by."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.uncertainty import Banded


@dataclass(frozen=True, kw_only=True)
class WindFit:
    """What legs or turns say about wind and true airspeed.

    Parameters
    ----------
    true_airspeed : Banded
        Horizontal true airspeed [m/s] with its 95 % band.
    wind_north, wind_east : float
        Of the velocity the air moves with, so toward where it blows [m/s].
    wind_uncertainty : float
        Standard uncertainty of either part, the larger [m/s].
    standard_uncertainty : float
        Of the true airspeed [m/s].
    residual : float
        Root mean square of what the circle leaves, over its degrees of freedom [m/s]; NaN with three legs.
    amplification : float
        Standard uncertainty of true airspeed over that of one ground speed [-]: what the headings cost.
    legs : int
        How many.
    remarks : tuple of str
        What to know before believing it.
    """

    true_airspeed: Banded
    wind_north: float
    wind_east: float
    wind_uncertainty: float
    standard_uncertainty: float
    residual: float
    amplification: float
    legs: int
    remarks: tuple[str, ...] = ()

    @property
    def wind_speed(self) -> float:
        """Wind speed [m/s]."""
        return math.hypot(self.wind_north, self.wind_east)

    @property
    def wind_from(self) -> float:
        """Direction the wind blows from [rad], 0 to 2 pi from true north."""
        return math.atan2(-self.wind_east, -self.wind_north) % (2.0 * math.pi)
