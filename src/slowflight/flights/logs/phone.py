"""A phone's accelerations and rates as those of the aircraft, however the phone was fastened."""

from __future__ import annotations

import numpy as np

from slowflight.air import GRAVITY
from slowflight.errors import InputError
from slowflight.flights.logs.log import Log, Step

AXES = {
    "x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}
STEADIEST = 0.6  # spread of acceleration on the ground, engine running, above which nothing is level [m/s^2]


def aircraft_axes(log: Log, *, level: tuple[float, float], forward: str, upward: str) -> Log:
    """Turn a phone's axes into the aircraft's.

    Parameters
    ----------
    log : Log
        With ``acceleration_x`` to ``_z`` and, where the phone has them, ``rotation_x`` to ``_z``.
    level : (float, float)
        Start and end of a time on the ground, the aircraft held level by its rigging datum [s], on the
        log's time.
    forward : str
        Which axis of the phone points nearest to the nose: x, -x, y, -y, z or -z; x is right, y the top of
        the phone, z out of its screen.
    upward : str
        Which axis points nearest to the sky.

    Returns
    -------
    Log
        With load factor, pitch rate (nose up positive), roll rate (right positive), yaw rate (right
        positive).

    Raises
    ------
    InputError
        Where channels are missing, the time holds too few readings, it was not still, or what was read is not
        gravity.

    Notes
    -----
    At rest an accelerometer reads gravity, upward on one platform and downward on another: which, the axis
    that points to the sky tells; how the phone lay exactly, gravity tells. Acceleration alone is no use as
    pitch: slowing by 1 kt/s tilts it by 3 degrees, so no pitch is made of it. Standard kinematics.
    """
    where = f"{log.source}, level from {level[0]:g} to {level[1]:g} s"
    for axis in (forward, upward):
        if axis not in AXES:
            raise InputError(where=where, found=f"axis {axis!r}", needed=f"one of {', '.join(AXES)}")
    felt = np.column_stack([log.channel(f"acceleration_{axis}") for axis in "xyz"])
    inside = (log.time >= level[0]) & (log.time <= level[1]) & np.isfinite(felt).all(axis=1)
    if np.count_nonzero(inside) < 20:
        raise InputError(where=where, found=f"{np.count_nonzero(inside)} readings", needed="at least 20")
    rest = np.mean(felt[inside], axis=0)
    spread = float(np.max(np.std(felt[inside], axis=0)))
    if spread > STEADIEST:
        raise InputError(
            where=where, found=f"shaking of {spread:.1f} m/s2", needed="an aircraft at rest", fix="engine off"
        )
    size = float(np.linalg.norm(rest))
    if not 0.9 * GRAVITY < size < 1.1 * GRAVITY:
        raise InputError(
            where=where,
            found=f"an acceleration of {size:.2f} m/s2",
            needed="gravity, 9.81 m/s2",
            fix="give the unit of the acceleration columns in the mapping; gravity must not be taken off",
        )
    sign = 1.0 if float(np.dot(rest, AXES[upward])) > 0.0 else -1.0
    up = sign * rest / size
    if float(np.dot(up, AXES[upward])) < 0.7:
        raise InputError(
            where=where, found=f"gravity far from axis {upward}", needed="the axis that points to the sky"
        )
    nose = np.array(AXES[forward]) - np.dot(AXES[forward], up) * up
    if float(np.linalg.norm(nose)) < 0.5:
        raise InputError(
            where=where,
            found=f"axis {forward} within 30 degrees of the vertical",
            needed="the axis that points to the nose",
        )
    nose = nose / np.linalg.norm(nose)
    channels = dict(log.channels)
    channels["load_factor"] = sign * (felt @ up) / size
    if log.has("rotation_x", "rotation_y", "rotation_z"):
        turned = np.column_stack([log.channels[f"rotation_{axis}"] for axis in "xyz"])
        right = np.cross(nose, up)
        channels["roll_rate"] = turned @ nose
        channels["pitch_rate"] = turned @ right
        channels["yaw_rate"] = -(turned @ up)
    step = Step(
        what="load factor and rates of the aircraft were made from the phone's axes",
        by="aircraft_axes",
        count=len(log),
        settings=(("level_start_s", level[0]), ("level_end_s", level[1])),
    )
    return log.done(step, channels=channels)
