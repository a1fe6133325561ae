"""Angle of attack from pitch and flight path: what the nose shows less where the aircraft goes."""

from __future__ import annotations

import numpy as np

from slowflight.errors import RangeError
from slowflight.flights.logs.log import FloatArray

MOST_STEPS = 30


def angle_of_attack(
    *,
    pitch: FloatArray,
    vertical_speed: FloatArray,
    true_airspeed: FloatArray,
    roll: FloatArray | float = 0.0,
    datum: float = 0.0,
) -> FloatArray:
    """Angle of attack without sideslip, in any bank.

    Parameters
    ----------
    pitch : FloatArray
        As shown [rad], shape (n,).
    vertical_speed : FloatArray
        Through the air, up positive [m/s], shape (n,). An updraft of 0.5 m/s is 1.4 degrees at 39 kt.
    true_airspeed : FloatArray
        [m/s], above 0, shape (n,).
    roll : FloatArray or float, optional
        [rad], shape (n,).
    datum : float, optional
        Added to the pitch shown, so that it is measured from the wing's chord line or the datum wanted [rad].

    Returns
    -------
    FloatArray
        [rad], shape (n,); NaN where an input is.

    Raises
    ------
    RangeError
        Where an airspeed is not above 0.

    Notes
    -----
    Kinematics of flight without sideslip, as in any text on flight dynamics:
    ``sin(path) = sin(pitch) cos(angle) - cos(roll) cos(pitch) sin(angle)``, solved by Newton's method. Wings
    level it is pitch less path.
    """
    theta = np.asarray(pitch, dtype=np.float64) + datum
    speed = np.asarray(true_airspeed, dtype=np.float64)
    if bool(np.any(speed <= 0.0)):
        raise RangeError(where="true airspeed", found=f"{np.nanmin(speed):g} m/s", needed="above 0")
    slope = np.clip(np.asarray(vertical_speed, dtype=np.float64) / speed, -1.0, 1.0)
    upright = np.cos(np.asarray(roll, dtype=np.float64))
    angle = theta - np.arcsin(slope)
    for _ in range(MOST_STEPS):
        value = np.sin(theta) * np.cos(angle) - upright * np.cos(theta) * np.sin(angle) - slope
        change = -np.sin(theta) * np.sin(angle) - upright * np.cos(theta) * np.cos(angle)
        # Standing on its tail, or banked a quarter turn, pitch says nothing about the angle.
        step = np.where(np.abs(change) > 0.05, value / np.where(change == 0.0, 1.0, change), np.nan)
        angle = angle - step
        if not np.nanmax(np.abs(step), initial=0.0) > 1e-12:
            break
    return np.asarray(angle, dtype=np.float64)
