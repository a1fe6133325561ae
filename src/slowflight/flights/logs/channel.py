"""The channels a log can have, whatever its columns were called."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slowflight.flights.logs import log_units
from slowflight.flights.logs.log_units import LogQuantity


@dataclass(frozen=True, kw_only=True)
class Channel:
    """One channel, held in SI.

    Parameters
    ----------
    quantity : LogQuantity
        What it measures, and in which units logs write it.
    unit : str
        In which it is held.
    low, high : float
        Outside this no light aircraft's reading is right; in the unit it is held in.
    jump : float
        A lone reading may differ from its neighbors by this before it can be called a spike.
    around : bool
        Whether it is a direction, where 359 degrees is next to 1.
    quick : bool
        Whether it may change and change back within a second, so that slow logs cannot show a spike.
    """

    quantity: LogQuantity
    unit: str
    low: float
    high: float
    jump: float
    around: bool = False
    quick: bool = False


def _speed(high: float = 150.0) -> Channel:
    return Channel(quantity=log_units.SPEED_IN_LOGS, unit="m/s", low=0.0, high=high, jump=3.0)


def _angle(limit: float, jump: float = 0.35, *, around: bool = False, quick: bool = False) -> Channel:
    return Channel(
        quantity=log_units.ANGLE_IN_LOGS,
        unit="rad",
        low=-limit,
        high=limit,
        jump=jump,
        around=around,
        quick=quick,
    )


def _rotation() -> Channel:
    return Channel(
        quantity=log_units.ROTATION_IN_LOGS, unit="rad/s", low=-35.0, high=35.0, jump=1.5, quick=True
    )


def _acceleration() -> Channel:
    return Channel(
        quantity=log_units.ACCELERATION_IN_LOGS, unit="m/s2", low=-160.0, high=160.0, jump=15.0, quick=True
    )


def _height() -> Channel:
    return Channel(quantity=log_units.LENGTH_IN_LOGS, unit="m", low=-600.0, high=12_000.0, jump=25.0)


def _number(low: float, high: float, jump: float = math.inf) -> Channel:
    return Channel(quantity=log_units.NUMBER_IN_LOGS, unit="number", low=low, high=high, jump=jump)


# Limits are wide on purpose, common practice, no source: they catch sentinels and slips, not flying.
CHANNELS: Mapping[str, Channel] = {
    "indicated_airspeed": _speed(),
    "calibrated_airspeed": _speed(),
    "true_airspeed": _speed(),
    "ground_speed": _speed(200.0),
    "track": _angle(2.0 * math.pi + 1e-6, jump=math.inf, around=True),
    "heading": _angle(2.0 * math.pi + 1e-6, jump=math.inf, around=True),
    "latitude": _angle(math.pi / 2.0, jump=2e-3),
    "longitude": _angle(math.pi + 1e-6, jump=2e-3),
    "altitude": _height(),
    "pressure_altitude": _height(),
    "vertical_speed": Channel(quantity=log_units.CLIMB_IN_LOGS, unit="m/s", low=-60.0, high=40.0, jump=10.0),
    "outside_temperature": Channel(
        quantity=log_units.TEMPERATURE_IN_LOGS, unit="K", low=210.0, high=330.0, jump=5.0
    ),
    "static_pressure": Channel(
        quantity=log_units.PRESSURE_IN_LOGS, unit="Pa", low=2e4, high=1.1e5, jump=500.0
    ),
    "pitch": _angle(math.pi / 2.0 + 1e-6, quick=True),
    "roll": _angle(math.pi + 1e-6, jump=0.5, quick=True),
    "pitch_rate": _rotation(),
    "roll_rate": _rotation(),
    "yaw_rate": _rotation(),
    "rotation_x": _rotation(),
    "rotation_y": _rotation(),
    "rotation_z": _rotation(),
    "acceleration_x": _acceleration(),
    "acceleration_y": _acceleration(),
    "acceleration_z": _acceleration(),
    "load_factor": Channel(
        quantity=log_units.LOAD_IN_LOGS, unit="g", low=-4.0, high=9.0, jump=0.8, quick=True
    ),
    "lateral_load": Channel(
        quantity=log_units.LOAD_IN_LOGS, unit="g", low=-3.0, high=3.0, jump=0.8, quick=True
    ),
    "flap": _angle(1.6, jump=math.inf),
    "angle_of_attack_raw": _number(-1e6, 1e6),
    "stick": _number(-1e4, 1e4),
    "engine_speed": Channel(quantity=log_units.ENGINE_IN_LOGS, unit="1/s", low=0.0, high=200.0, jump=20.0),
    "manifold_pressure": Channel(quantity=log_units.PRESSURE_IN_LOGS, unit="Pa", low=5e3, high=2e5, jump=3e4),
    "fuel_flow": Channel(quantity=log_units.FLOW_IN_LOGS, unit="m3/s", low=0.0, high=1e-4, jump=2e-5),
    "satellites": _number(0.0, 200.0),
    "dilution": _number(0.0, 1e3),
    "fix": _number(0.0, 10.0),
}
"""Every channel by name; ``dilution`` is that of horizontal position (1 good, over 3 poor)."""
