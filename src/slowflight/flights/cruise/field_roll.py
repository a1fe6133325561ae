"""Take-off and landing roll from cones and a phone's video: descriptive, whatever the numbers say.

Grass, wind, pilot and temperature move a ground roll by more than vanes do, and before and after cannot be
flown in random order. So rolls are brought to still air and one mass and shown side by side, never tested.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scipy.interpolate import PchipInterpolator

from slowflight.errors import InputError, RangeError

SOURCES: tuple[str, ...] = ("FritschCarlson1980",)

DESCRIPTIVE = "descriptive: not flown in random order, and grass, wind and pilot count for more than vanes"
WIND_EXPONENT = 1.85  # standard flight-test practice, from memory
TAKE_OFF_MASS_EXPONENT, LANDING_MASS_EXPONENT = 2.2, 1.0  # common practice, no source
FEWEST_ROLLS = 6
FEWEST_CONES = 4
MOST_WIND = 2.6  # [m/s], 5 kt; common practice, no source

# Factors on a predicted distance that light-aircraft pilots are taught, at second hand: to show, not to test.
PLANNING_FACTORS = (
    ("each 10 % more mass", 1.2, 1.1),
    ("each 1,000 ft higher", 1.1, 1.05),
    ("each 10 degrees C warmer", 1.1, 1.05),
    ("dry grass up to 20 cm", 1.2, 1.15),
    ("wet grass", 1.3, 1.35),
    ("2 % slope, uphill for take-off, downhill for landing", 1.1, 1.1),
    ("tailwind of 10 % of lift-off or approach speed", 1.2, 1.2),
    ("and over all of it", 1.33, 1.43),
)


@dataclass(frozen=True, kw_only=True)
class Roll:
    """One ground roll.

    Parameters
    ----------
    distance : float
        From standstill to lift-off, or from touchdown to standstill [m].
    ground_speed : float
        At lift-off or touchdown [m/s].
    headwind : float
        Along the runway [m/s], tailwind negative.
    mass : float
        [kg].
    """

    distance: float
    ground_speed: float
    headwind: float
    mass: float

    def __post_init__(self) -> None:
        if not (self.distance > 0.0 and self.ground_speed > 0.0 and self.mass > 0.0):
            raise RangeError(
                where="ground roll",
                found=f"{self.distance} m, {self.ground_speed} m/s, {self.mass} kg",
                needed="numbers above 0",
            )
        if self.headwind <= -self.ground_speed:
            raise RangeError(
                where="ground roll",
                found=f"wind {self.headwind} m/s",
                needed="less tailwind than ground speed",
            )


@dataclass(frozen=True, kw_only=True)
class RollComparison:
    """Rolls beside each other.

    Parameters
    ----------
    before, after : tuple of float
        Brought to still air and reference mass [m], as flown.
    words : str
        What may be said.
    remarks : tuple of str
        What was not as it should be.
    """

    before: tuple[float, ...]
    after: tuple[float, ...]
    words: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Cones:
    """What a phone abeam the strip saw: when the aircraft passed each cone.

    Parameters
    ----------
    passed : tuple of (float, float)
        Distance along the strip [m] and time of the video [s] of each cone, in the order of passing.
    event : float
        When it lifted off or touched down [s].
    abeam : float
        Distance along the strip of the cone straight ahead of the camera [m].
    to_cones, to_track : float or None
        From the camera to the line of cones and to the aircraft's track [m]; without them the aircraft is
        taken to roll along the cones.
    """

    passed: tuple[tuple[float, float], ...]
    event: float
    abeam: float = 0.0
    to_cones: float | None = None
    to_track: float | None = None


def roll_from_cones(seen: Cones, *, landing: bool) -> tuple[float, float]:
    """Return distance [m] and ground speed at lift-off or touchdown [m/s] of a filmed ground roll.

    Parameters
    ----------
    seen : Cones
        Four cones or more. The first of a take-off and the last of a landing is where the aircraft stood.
    landing : bool

    Returns
    -------
    tuple of float

    Raises
    ------
    InputError
        Where there are too few cones, their order is not that of time, or the event lies outside them.

    Notes
    -----
    Cubic through the cones that overshoots nowhere (Fritsch and Carlson); its slope is the ground speed. A
    cone that hides the aircraft stands on its line of sight: from a track ``d_t`` away it is seen at
    ``x_0 + (x - x_0) d_t/d_c``.
    """
    where = "cones of a ground roll"
    if len(seen.passed) < FEWEST_CONES:
        raise InputError(
            where=where, found=f"{len(seen.passed)} cones", needed=f"{FEWEST_CONES} at the least"
        )
    along = [distance for distance, _ in seen.passed]
    times = [when for _, when in seen.passed]
    if any(b <= a for a, b in pairwise(times)) or any(b <= a for a, b in pairwise(along)):
        raise InputError(
            where=where,
            found="cones that are not passed one after the other",
            needed="distances and times that rise",
            fix="count distance in the direction of the roll",
        )
    if not times[0] <= seen.event <= times[-1]:
        raise InputError(
            where=where,
            found=f"{'touchdown' if landing else 'lift-off'} at {seen.event:g} s",
            needed=f"between the first and the last cone, {times[0]:g} to {times[-1]:g} s",
        )
    scale = 1.0
    if seen.to_cones is not None and seen.to_track is not None:
        scale = seen.to_track / seen.to_cones
    curve = PchipInterpolator(times, [seen.abeam + (x - seen.abeam) * scale for x in along])
    there, speed = float(curve(seen.event)), float(curve.derivative()(seen.event))
    stood = float(curve(times[-1] if landing else times[0]))
    return abs(stood - there), speed


def still_air(distance: float, *, ground_speed: float, headwind: float) -> float:
    """Bring a ground roll to still air.

    Parameters
    ----------
    distance : float
        As measured [m].
    ground_speed : float
        At lift-off or touchdown [m/s].
    headwind : float
        Along the runway [m/s].

    Returns
    -------
    float
        [m]: ``S ((V + V_w)/V)^1.85``, for winds of a third of the speed or less; exponent from memory.
    """
    return float(distance * ((ground_speed + headwind) / ground_speed) ** WIND_EXPONENT)


def compare_field_rolls(
    before: Sequence[Roll], after: Sequence[Roll], *, reference_mass: float, landing: bool
) -> RollComparison:
    """Set ground rolls side by side.

    Parameters
    ----------
    before, after : sequence of Roll
        At least one each.
    reference_mass : float
        [kg].
    landing : bool
        Landings, whose roll goes as mass; or take-offs, as its 2.2nd power.

    Returns
    -------
    RollComparison

    Raises
    ------
    RangeError
        Where a side has no roll.
    """
    if not (before and after):
        raise RangeError(
            where="ground rolls", found=f"{len(before)} and {len(after)}", needed="rolls on both sides"
        )
    exponent = LANDING_MASS_EXPONENT if landing else TAKE_OFF_MASS_EXPONENT
    sides = [
        tuple(
            still_air(roll.distance, ground_speed=roll.ground_speed, headwind=roll.headwind)
            * (reference_mass / roll.mass) ** exponent
            for roll in rolls
        )
        for rolls in (before, after)
    ]
    remarks = []
    if min(len(side) for side in sides) < FEWEST_ROLLS:
        remarks.append(f"fewer than {FEWEST_ROLLS} rolls on a side")
    if any(abs(roll.headwind) > MOST_WIND for roll in (*before, *after)):
        remarks.append("wind above 5 kt: the correction is then larger than what is looked for")
    old, new = (statistics.median(side) for side in sides)
    kind = "landing" if landing else "take-off"
    words = (
        f"{kind} roll, middle value {new:.0f} m ({min(sides[1]):.0f} to {max(sides[1]):.0f}),"
        f" before {old:.0f} m ({min(sides[0]):.0f} to {max(sides[0]):.0f}); {DESCRIPTIVE}"
    )
    return RollComparison(before=sides[0], after=sides[1], words=words, remarks=tuple(remarks))
