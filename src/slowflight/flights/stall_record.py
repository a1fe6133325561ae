"""One stall as the flights room knows it: what was measured, how it ended, whether the pilot accepted it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import InputError, RangeError

NOSE_DROP = "nose-drop"  # uncontrolled nose-down pitch
FULL_STICK = "full-stick"  # elevator on its stop, lowest steady speed, usually sinking
WING_DROP = "wing-drop"  # a wing dropped and could not be held at once
WARNING_ONLY = "warning-only"  # the pilot recovered first: the stall lies at or below this speed
UNUSABLE = "unusable"  # gust, power, skid, bank or entry rate outside what is allowed
ENDINGS = (NOSE_DROP, FULL_STICK, WING_DROP, WARNING_ONLY, UNUSABLE)
# Only these are stalls; a warning bounds one from above.
STALL_ENDINGS = (NOSE_DROP, FULL_STICK, WING_DROP)

CLEAN, VANES = "clean", "vanes"
IDLE = "idle"


@dataclass(frozen=True, kw_only=True)
class SourceRows:
    """Where in which raw file a number came from.

    Parameters
    ----------
    file : str
        Name of the log, or of the card.
    first, last : int
        Lines of that file, the first line being 1.
    """

    file: str
    first: int
    last: int


@dataclass(frozen=True, kw_only=True)
class StallRecord:
    """One stall, reduced.

    Parameters
    ----------
    flight : str
        Name of the flight; stalls of one flight are not independent of each other.
    configuration : str
        ``"clean"`` or ``"vanes"``, or another name for how the wing was fitted.
    flap_deg : float
        Flap setting [degrees], trailing edge down positive.
    power : str
        ``"idle"``, or what it was.
    centre_of_gravity : float or None
        As a fraction of mean chord behind its leading edge [-], or None where it was not recorded.
    mass : float
        At the stall [kg].
    ending : str
        One of `ENDINGS`.
    entry_rate : float
        How fast calibrated airspeed fell, from 1.1 times the stall speed down to the stall [m/s^2], positive
        while slowing.
    load_factor : float
        Normal to the flight path at the stall [-].
    speed_calibrated : float
        Calibrated airspeed at the stall [m/s].
    speed_reference : float
        Equivalent airspeed brought to 1 g and the reference mass, at the entry rate it was flown with [m/s].
    speed_uncertainty : float
        Standard uncertainty of `speed_reference` from this event alone [m/s].
    angle_of_attack : float or None
        Wing reference line to flight path at the stall [rad], or None where pitch or path is missing.
    accepted : bool
        Whether it counts.
    reason : str
        Why it counts or does not, in words; kept when the pilot strikes or restores it.
    source : SourceRows
        Rows of the raw log.

    Raises
    ------
    InputError
        Where the ending is not one of the five, or an unusable event is accepted.
    RangeError
        Where a number is not finite or not physical.

    Notes
    -----
    The five endings follow 14 CFR 23.201 (Amendment 23-62): uncontrollable downward pitch, control on the
    stop, and rolling that normal use of the controls does not hold; the other two are this package's own.
    """

    flight: str
    configuration: str
    flap_deg: float
    power: str
    centre_of_gravity: float | None
    mass: float
    ending: str
    entry_rate: float
    load_factor: float
    speed_calibrated: float
    speed_reference: float
    speed_uncertainty: float
    angle_of_attack: float | None
    accepted: bool
    reason: str
    source: SourceRows

    def __post_init__(self) -> None:
        where = f"{self.source.file} lines {self.source.first} to {self.source.last}"
        if self.ending not in ENDINGS:
            raise InputError(
                where=where, found=f"ending {self.ending!r}", needed=f"one of {', '.join(ENDINGS)}"
            )
        if self.accepted and self.ending == UNUSABLE:
            raise InputError(
                where=where,
                found="an unusable event that was accepted",
                needed="another ending, or striking it",
            )
        for name in ("mass", "load_factor", "speed_calibrated", "speed_reference"):
            _positive(where, name, getattr(self, name))
        for name in ("entry_rate", "flap_deg", "speed_uncertainty"):
            if not math.isfinite(getattr(self, name)):
                raise RangeError(where=where, found=f"{name} {getattr(self, name)}", needed="a finite number")


def _positive(where: str, name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise RangeError(where=where, found=f"{name} {value}", needed="a finite number above 0")
