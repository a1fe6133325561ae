"""The tier's own layer equations marched on a given edge speed, by a small Newton iteration per interval."""

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.layer import FRICTION, NO_VANES, RECORD, interval, station
from slowflight.flow.solution import FloatArray

NEVER = 1e6  # a critical amplification that no layer reaches


@dataclass(frozen=True)
class Marched:
    """A layer along ``x``; everything of shape (n,)."""

    x: FloatArray
    theta: FloatArray
    shape: FloatArray
    friction: FloatArray  # Cf on the edge speed
    amplification: FloatArray
    momentum_reynolds: FloatArray


def march(
    x: FloatArray,
    speed: FloatArray,
    *,
    reynolds: float,
    theta: float,
    shape: float,
    shear: float = 0.03,
    amplification: float = 0.0,
    critical: float = NEVER,
    lag: float = 5.0,
) -> Marched:
    """March from a known first station; ``amplification`` above ``critical`` + 1 makes it turbulent.

    Raises
    ------
    AssertionError
        Where an interval has no answer to 1e-10.
    """
    q = np.zeros((x.size, 5))
    q[0] = np.log(theta), np.log(shape - 1.0), np.log(shear), amplification, np.log(speed[0])
    c1, c2 = np.empty(RECORD), np.empty(RECORD)
    R, J1, J2 = np.empty(4), np.empty((4, 5)), np.empty((4, 5))
    friction = np.empty(x.size)
    for k in range(x.size):
        station(q[max(k - 1, 0)], reynolds, lag, critical, False, c1)
        if k > 0:
            q[k] = q[k - 1]
            q[k, 4] = np.log(speed[k])
            for _ in range(60):
                station(q[k], reynolds, lag, critical, False, c2)
                interval(q[k - 1], q[k], c1, c2, x[k] - x[k - 1], 0.0, NO_VANES, R, J1, J2)
                if np.max(np.abs(R)) < 1e-10:
                    break
                step = np.linalg.solve(J2[:, :4], -R)
                q[k, :4] += step * min(1.0, 0.3 / float(np.max(np.abs(step[:3]))))
            assert np.max(np.abs(R)) < 1e-10, f"no answer at x = {x[k]:g}: {R}"
        station(q[k], reynolds, lag, critical, False, c2)
        friction[k] = 2.0 * c2[FRICTION] * np.exp(q[k, 0] - q[k, 4])
    thickness = np.exp(q[:, 0])
    return Marched(
        x=x,
        theta=thickness,
        shape=1.0 + np.exp(q[:, 1]),
        friction=friction,
        amplification=q[:, 3],
        momentum_reynolds=reynolds * speed * thickness,
    )
