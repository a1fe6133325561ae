"""The aircraft as far as slow flight depends on it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import RangeError


@dataclass(frozen=True, kw_only=True)
class Aircraft:
    """What the owner weighed, read off and recorded.

    Parameters
    ----------
    name : str
        What to call it on papers.
    mass : float
        At which speeds are wanted: take-off mass of the flights in mind [kg].
    three_point_attitude : float
        Of the fuselage line on level ground, all wheels down, nose up positive [rad]. With a nose wheel: with
        the tail skid on the ground.
    slowest_indicated_speed : float
        That the indicator showed in level flight or in the stall, uncorrected [m/s].
    slowest_flap_setting : float
        At which that speed was read [rad].
    cruise_speed : float
        True speed in cruise, flap up [m/s].
    centre_of_gravity : float or None
        Behind the leading edge [share of the mean chord].
    power : float or None
        Of the engine [W].
    approval_route : str or None
        By what right the aircraft may be flown with vanes, and who agreed.
    baseline_stalls : str or None
        Where the stalls of the clean wing are logged.
    stall_warning : str or None
        What it is and where its sensor sits.

    Raises
    ------
    RangeError
        Where a number is not finite, or mass or a speed is not above zero.
    """

    name: str
    mass: float
    three_point_attitude: float
    slowest_indicated_speed: float
    slowest_flap_setting: float
    cruise_speed: float
    centre_of_gravity: float | None = None
    power: float | None = None
    approval_route: str | None = None
    baseline_stalls: str | None = None
    stall_warning: str | None = None

    def __post_init__(self) -> None:
        for name in ("mass", "slowest_indicated_speed", "cruise_speed"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise RangeError(where=f"aircraft {name}", found=str(value), needed="a number above zero")
        for name in ("three_point_attitude", "slowest_flap_setting"):
            if not math.isfinite(getattr(self, name)):
                raise RangeError(
                    where=f"aircraft {name}", found=str(getattr(self, name)), needed="a finite angle"
                )

    @property
    def trial(self) -> bool:
        """Whether papers are stamped TRIAL: until approval route, baseline stalls and warning are known."""
        return not (self.approval_route and self.baseline_stalls and self.stall_warning)
