"""What the cards have to know about the aircraft."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight import units
from slowflight.errors import InputError, RangeError

# Starting and finishing heights of test practice for homebuilt aircraft; the lower bound is a training
# minimum.
START_HEIGHT = units.length("5000 ft", where="cards")
FLOOR = units.length("3000 ft", where="cards")
LOWEST_FLOOR = units.length("1500 ft", where="cards")
LEAST_ROOM = units.length("1500 ft", where="cards")


@dataclass(frozen=True, kw_only=True)
class FlapCard:
    """One flap setting that gets a card of stalls.

    Parameters
    ----------
    name : str
        Such as ``"flap up"``.
    flap_deg : float
        [degrees].
    expected_stall : float
        Slowest speed seen on the indicator so far [m/s].
    limit_speed : float or None
        Fastest with this setting, as indicated [m/s].
    full_droop : bool
        Whether the ailerons droop with the flap all the way (flaperons at their lowest): then no aileron is
        used at the stall.
    """

    name: str
    flap_deg: float
    expected_stall: float
    limit_speed: float | None = None
    full_droop: bool = False

    def __post_init__(self) -> None:
        if not 5.0 < self.expected_stall < 60.0:
            raise RangeError(
                where=f"cards, {self.name}",
                found=f"expected stall {self.expected_stall} m/s",
                needed="an indicated speed between 10 and 117 kt",
            )
        if self.limit_speed is not None and self.limit_speed < 1.5 * self.expected_stall:
            raise RangeError(
                where=f"cards, {self.name}",
                found=f"limit {self.limit_speed:.1f} m/s for a stall at {self.expected_stall:.1f} m/s",
                needed="room to begin at 1.5 times the stall speed",
                fix="check both speeds",
            )


@dataclass(frozen=True, kw_only=True)
class CardSettings:
    """Everything printed on the cards that is not the same for all aircraft.

    Parameters
    ----------
    aircraft : str
        Its name.
    flaps : tuple of FlapCard
        From up to fully down; cards are printed, and to be flown, in this order.
    unit : str
        Of the airspeed indicator: kt, mph, km/h or m/s.
    flights : int
        Planned on each side.
    worth_having, cruise_margin : float
        Gain worth keeping vanes for and loss of cruise that does not matter [m/s], both fixed now.
    cruise_speed : float
        As indicated [m/s].
    removable : bool
        Whether the vanes come off again.
    start_height, floor : float
        Above ground [m]: where every stall begins, and where recovery is complete or is given up.
    made_on : str
        Date printed on every card.
    """

    aircraft: str
    flaps: tuple[FlapCard, ...]
    unit: str
    flights: int
    worth_having: float
    cruise_margin: float
    cruise_speed: float
    removable: bool
    made_on: str
    start_height: float = START_HEIGHT
    floor: float = FLOOR

    def __post_init__(self) -> None:
        if not self.flaps:
            raise InputError(where="cards", found="no flap setting", needed="at least the flap up")
        angles = [flap.flap_deg for flap in self.flaps]
        if angles != sorted(angles) or len(set(angles)) < len(angles):
            raise InputError(
                where="cards, flap settings",
                found=", ".join(f"{angle:g}" for angle in angles),
                needed="the smallest first, each once",
                fix="full flap is flown only after flap up and half flap",
            )
        if self.unit not in units.SPEED.factors:
            raise InputError(
                where="cards, unit", found=repr(self.unit), needed=" or ".join(units.SPEED.factors)
            )
        if self.floor < LOWEST_FLOOR - 1e-9 or self.start_height < self.floor + LEAST_ROOM - 1e-9:
            raise RangeError(
                where="cards, heights",
                found=f"floor {self.floor / 0.3048:.0f} ft, start {self.start_height / 0.3048:.0f} ft above"
                " ground",
                needed="a floor of 1,500 ft or more and a start at least 1,500 ft above it",
            )
