"""When a slow-down counts as a stall and how it ended. Common practice, no source, except where said."""

from __future__ import annotations

import math
from dataclasses import dataclass

KNOT = 1852.0 / 3600.0
DEGREE = math.pi / 180.0


@dataclass(frozen=True, kw_only=True)
class StallSettings:
    """Thresholds of the search and of the five endings.

    Parameters
    ----------
    below : float
        A slow-down counts when it gets below this many guessed stall speeds [-].
    slowest_rate, fastest_rate : float
        Of slowing, to be searched at all [m/s^2].
    shortest : float
        Slowing lasts at least this [s].
    cut_off : float
        Of the low-pass that smooths speeds recorded at 4 Hz or more [1/s].
    steepest_bank : float
        On the way in; beyond it the event is unusable [rad].
    lowest_rate, highest_rate : float
        Entry rates of a usable event [m/s^2]; 14 CFR 23.201 asks for 1 kt/s or less.
    load_drop : float
        Share of the load factor before, below which it has dropped [-].
    load_edge : float
        Share above which it had not yet begun to [-].
    pitch_rate, nose_fall : float
        Nose-down rate of a nose drop [rad/s], and how far the nose goes down within two seconds [rad].
    recovery_rate : float
        Gain of speed that tells a recovery [m/s^2].
    roll_rate, roll : float
        Both exceeded where a wing drops [rad/s], [rad].
    steady_rate, steady_for : float
        Speed that changes less than this for so long is steady [m/s^2], [s]; AMC 25.201(d)(3) asks for 2 s.
    stick_aft : float
        Stick beyond this share of its travel is on the stop [-].
    fit_seconds : float
        Length of the line whose end is the speed [s].
    load_seconds : float
        Over which the load factor is averaged [s]. Half a second is usual; where the aircraft shakes by
        0.08 g that alone would scatter a 40 kt stall by 0.7 kt.
    longest_gap : float
        Without readings inside an event [s].
    idle : float
        Engine speeds below this share of the flight's usual are idle [-].
    """

    below: float = 1.3
    slowest_rate: float = 0.3 * KNOT
    fastest_rate: float = 2.5 * KNOT
    shortest: float = 5.0
    cut_off: float = 0.5
    steepest_bank: float = 10.0 * DEGREE
    lowest_rate: float = 0.3 * KNOT
    highest_rate: float = 2.0 * KNOT
    load_drop: float = 0.92
    load_edge: float = 0.97
    pitch_rate: float = 3.0 * DEGREE
    nose_fall: float = 5.0 * DEGREE
    recovery_rate: float = 1.5 * KNOT
    roll_rate: float = 15.0 * DEGREE
    roll: float = 15.0 * DEGREE
    steady_rate: float = 0.2 * KNOT
    steady_for: float = 2.0
    stick_aft: float = 0.95
    fit_seconds: float = 6.0
    load_seconds: float = 1.5
    longest_gap: float = 2.0
    idle: float = 0.6


STALL_SETTINGS = StallSettings()
