"""Whether the elevator runs out before the wing stalls: from stick positions, or from the tail's sizes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.compare.stall_speed import lift_at_speed, speed_at_lift
from slowflight.errors import InputError
from slowflight.wing.in_the_air import StickReading

SOURCES = ("Etkin1972",)
READING_BAND = 0.05  # of one stick position [share of travel], own choice
# Half of thin-airfoil theory's effect of a control surface is measured at large travel (physics of plain
# flaps, NASA CR-2833: 0.54 of it); a tail with its elevator up carries about this much download.
EFFECT_OF_THEORY = 0.6
TAIL_EFFICIENCY = 0.9  # dynamic pressure at the tail over that of flight, common practice, no source
TAIL_BAND = 0.25  # of the tail's largest moment, own choice
LEAST_SPREAD = 0.1  # of lift coefficients between readings, for a line through them to mean anything


@dataclass(frozen=True, kw_only=True)
class StickLine:
    """Stick position against lift coefficient, a straight line.

    Parameters
    ----------
    at_zero, per_lift : float
        Share of travel from full forward at no lift, and per lift coefficient [-].
    doubt : float
        Half-band of one reading [-].
    lifts : tuple of float
        Lift coefficients of the readings [-].
    """

    at_zero: float
    per_lift: float
    doubt: float
    lifts: tuple[float, ...]

    def back(self, cl: float) -> tuple[float, float, float]:
        """Share of travel needed at a lift coefficient: value, low and high [-]."""
        value = self.at_zero + self.per_lift * cl
        lifts = np.array(self.lifts)
        spread = float(np.sum((lifts - lifts.mean()) ** 2))
        half = self.doubt * math.sqrt(1.0 / lifts.size + (cl - float(lifts.mean())) ** 2 / spread)
        return value, value - half, value + half

    def runs_out_at(self) -> float | None:
        """Lift coefficient at which the stick is on its aft stop [-]; ``None`` where it never gets there."""
        return None if self.per_lift <= 0.0 else (1.0 - self.at_zero) / self.per_lift


def stick_line(readings: Sequence[StickReading], *, mass: float, area: float, density: float) -> StickLine:
    """Lay a straight line through stick positions.

    Parameters
    ----------
    readings : sequence of StickReading
        Two or more, at one flap setting and one loading.
    mass, area, density : float
        [kg], [m2], [kg/m3]; the density that belongs to the readings' speeds: the sea level's for calibrated
        ones.

    Returns
    -------
    StickLine

    Raises
    ------
    InputError
        Where the readings' speeds are too close together.

    Notes
    -----
    Elevator angle to trim is linear in lift coefficient at a fixed center of gravity as long as the linear
    relations hold (Etkin 1972, eq. 6.4,13b); so is stick position with gearing that is linear. Near the stall
    both bend, so the line is carried on with a band that grows.
    """
    lifts = tuple(
        lift_at_speed(mass=mass, area=area, density=density, speed=reading.speed) for reading in readings
    )
    if max(lifts) - min(lifts) < LEAST_SPREAD:
        raise InputError(
            where="in_the_air stick", found="readings at nearly one speed",
            needed="two speeds that differ, the slowest among them",
        )  # fmt: skip
    slope, at_zero = np.polyfit(lifts, [reading.back for reading in readings], 1)
    return StickLine(at_zero=float(at_zero), per_lift=float(slope), doubt=READING_BAND, lifts=lifts)


@dataclass(frozen=True, kw_only=True)
class Tail:
    """A horizontal tail.

    Parameters
    ----------
    span, chord, arm : float
        Elevator included; center of gravity to its quarter-chord [m].
    incidence : float
        Chord line, elevator neutral, above the chord line of the wing's root [rad].
    elevator_share, elevator_up : float
        Elevator chord over tail chord [-]; travel up [rad].
    """

    span: float
    chord: float
    arm: float
    incidence: float
    elevator_share: float
    elevator_up: float

    @property
    def area(self) -> float:
        """[m2]."""
        return self.span * self.chord

    @property
    def slope(self) -> float:
        """Lift slope [1/rad], lifting line: ``2 pi / (1 + 2 / AR)``."""
        return 2.0 * math.pi / (1.0 + 2.0 * self.chord / self.span)


def elevator_effect(share: float) -> float:
    """Return tail angle per elevator angle [-]: thin-airfoil theory times what is measured of it.

    Examples
    --------
    >>> round(elevator_effect(0.25) / EFFECT_OF_THEORY, 3)
    0.609
    """
    turn = math.acos(2.0 * share - 1.0) if share < 1.0 else 0.0
    return EFFECT_OF_THEORY * ((math.pi - turn) + math.sin(turn)) / math.pi if share < 1.0 else 1.0


def elevator_to_trim(
    tail: Tail,
    *,
    wing_angle: float,
    cl: float,
    wing_moment: float,
    balance: float,
    wing_area: float,
    wing_chord: float,
    aspect_ratio: float,
) -> float:
    """Return the elevator angle that balances the aircraft, trailing edge up positive [rad].

    Parameters
    ----------
    tail : Tail
    wing_angle : float
        Root chord line to flight path [rad].
    cl, wing_moment : float
        Wing lift and moment about its quarter-chord, nose up positive, on area and mean chord [-].
    balance : float
        Center of gravity behind the leading edge [mean chords].
    wing_area, wing_chord, aspect_ratio : float
        [m2], [m], [-].

    Returns
    -------
    float

    Notes
    -----
    About the center of gravity: ``CL (h - 1/4) + Cm = V CL_tail`` with the tail volume
    ``V = eta S_t l_t / (S c)``, ``CL_tail = a_t (angle + i_t - 2 CL / (pi AR) - tau up)``: downwash of an
    elliptic wing far behind it (Glauert). Fuselage, propeller and slipstream are left out; the balance is the
    one of Etkin (1972), section 6.4, in its linear range.
    """
    volume = TAIL_EFFICIENCY * tail.area * tail.arm / (wing_area * wing_chord)
    needed = (cl * (balance - 0.25) + wing_moment) / volume
    seen = wing_angle + tail.incidence - 2.0 * cl / (math.pi * aspect_ratio)
    return (seen - needed / tail.slope) / elevator_effect(tail.elevator_share)


def stall_with_tail_load(
    *, cl: float, wing_moment: float, balance: float, arm: float, wing_chord: float
) -> float:
    """Return the trimmed stall speed over that of the wing alone [-].

    Parameters
    ----------
    cl, wing_moment : float
        Of the wing at its largest lift; moment about its quarter-chord, nose up positive [-].
    balance : float
        Center of gravity behind the leading edge [mean chords].
    arm, wing_chord : float
        Center of gravity to the tail's quarter-chord, and mean chord [m].

    Returns
    -------
    float

    Notes
    -----
    The tail carries ``(CL (h - 1/4) + Cm) c / l_t`` of lift coefficient on the wing's area, a download where
    that is below zero; the whole carries the weight. Moving the center of gravity by ``dh`` chords moves the
    speed by ``- dh c / (2 l_t)`` of itself.

    Examples
    --------
    >>> common = {"cl": 1.8, "wing_moment": -0.08, "arm": 4.2, "wing_chord": 1.4}
    >>> fore, aft = (stall_with_tail_load(balance=h, **common) for h in (0.25, 0.30))
    >>> round(100.0 * (aft / fore - 1.0), 2)
    -0.84
    """
    carried = cl + (cl * (balance - 0.25) + wing_moment) * wing_chord / arm
    return math.sqrt(cl / carried)


def speed_of_stop(line: StickLine, *, mass: float, area: float, density: float) -> float | None:
    """Return the true airspeed at which the stick comes to its aft stop [m/s]; ``None`` where it does not."""
    cl = line.runs_out_at()
    return None if cl is None or cl <= 0.0 else speed_at_lift(mass=mass, area=area, density=density, cl=cl)
