"""What else the owner can measure that decides how slow the aircraft flies: tail, thrust, gear, controls.

Nothing of it is guessed. What is not there stays open, and whoever needs it asks for it.
"""

from __future__ import annotations

from dataclasses import dataclass

TAIL_WHEEL, NOSE_WHEEL = "tail wheel", "nose wheel"
# How much of a section's largest lift is left beside it (common practice, no source).
JUNCTIONS = {"strut": 0.92, "bare gap": 0.80, "faired gap": 0.92, "tank cap": 0.90, "wing root": 0.88}


@dataclass(frozen=True, kw_only=True)
class Glide:
    """One steady glide with the engine idling: true speed [m/s], sink [m/s], turns a second [1/s]."""

    speed: float
    sink: float
    turns: float


@dataclass(frozen=True, kw_only=True)
class StickReading:
    """How far back the stick stood in steady flight: speed [m/s], share of its whole travel from forward."""

    speed: float
    back: float


@dataclass(frozen=True, kw_only=True)
class Junction:
    """A place where something disturbs the wing: what, and where from the centerline [m]."""

    kind: str
    span_station: float


@dataclass(frozen=True, kw_only=True)
class Cuff:
    """A cuff on the nose to compare; sizes as for ``slowflight.wing.cuff.cuffed`` [shares of the chord]."""

    back_to: float
    droop: float
    extension: float


@dataclass(frozen=True, kw_only=True)
class InTheAir:
    """Answers of the owner; ``None`` or empty where there is none.

    Parameters
    ----------
    gear : str or None
        ``"tail wheel"`` or ``"nose wheel"``.
    wing_height : float or None
        Quarter-chord at the root above the ground, standing [m].
    dihedral : float or None
        Rise of each half [rad].
    on_rib : tuple of (float, float) or None
        Angle of a rib on three wheels, read twice, the instrument turned round in between [rad].
    over_the_nose : float or None
        Line of sight over the nose, below the fuselage datum [rad].
    approach_speed : float or None
        As flown now, calibrated [m/s].
    load_factor : float or None
        Limit load factor [-].
    maneuvering_speed : float or None
        As placarded [m/s].
    static_thrust : float or None
        At full throttle, standing [N].
    propeller_diameter : float or None
        [m].
    thrust_line : float
        Above the fuselage datum [rad].
    glides : tuple of Glide
        Flaps up.
    stick : tuple of StickReading
        Flaps up, trimmed or held, one center of gravity.
    tail_span, tail_chord, tail_arm : float or None
        Of the horizontal tail; center of gravity to its quarter-chord [m].
    balance : tuple of (float, float) or None
        Foremost and aftmost center of gravity flown, behind the leading edge [share of the mean chord].
    tail_incidence : float or None
        Chord line of the tail above the fuselage datum [rad].
    elevator_share, elevator_up : float or None
        Elevator chord over tail chord [-]; its travel trailing edge up [rad].
    roll_up, roll_down : float or None
        How far a flaperon goes up and down from its droop at full stick sideways [rad].
    junctions : tuple of Junction
    cuffs : tuple of Cuff
        To compare, over the whole span.
    """

    gear: str | None = None
    wing_height: float | None = None
    dihedral: float | None = None
    on_rib: tuple[float, float] | None = None
    over_the_nose: float | None = None
    approach_speed: float | None = None
    load_factor: float | None = None
    maneuvering_speed: float | None = None
    static_thrust: float | None = None
    propeller_diameter: float | None = None
    thrust_line: float = 0.0
    glides: tuple[Glide, ...] = ()
    stick: tuple[StickReading, ...] = ()
    tail_span: float | None = None
    tail_chord: float | None = None
    tail_arm: float | None = None
    balance: tuple[float, float] | None = None
    tail_incidence: float | None = None
    elevator_share: float | None = None
    elevator_up: float | None = None
    roll_up: float | None = None
    roll_down: float | None = None
    junctions: tuple[Junction, ...] = ()
    cuffs: tuple[Cuff, ...] = ()


NOTHING_SAID = InTheAir()
