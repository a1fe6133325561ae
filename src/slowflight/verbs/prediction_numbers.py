"""Numbers of a prediction as plain data."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from slowflight import units
from slowflight.flow.lifting_line import WingLift
from slowflight.uncertainty import Banded


def speed(value: Banded) -> dict[str, float]:
    """Write a speed [m/s] with its band, in knots too."""
    return {
        "m_s": value.value,
        "kt": units.express(value.value, "kt"),
        "low_kt": units.express(value.low, "kt"),
        "high_kt": units.express(value.high, "kt"),
    }


def banded(value: Banded) -> dict[str, float]:
    """Write a number with its band."""
    return {"value": value.value, "low": value.low, "high": value.high}


def degrees(angle: float | None) -> float | None:
    """Return an angle [rad] in degrees, nothing for nothing."""
    return None if angle is None else math.degrees(angle)


def plain(values: Any) -> list[float | None]:
    """Write an array, what is not finite as nothing."""
    return [float(v) if np.isfinite(v) else None for v in values]


def lift_near(lift: WingLift, angle: float) -> float | None:
    """Lift coefficient at the computed wing angle that is nearest; nothing without an answer."""
    k = int(np.argmin(np.abs(lift.angles - angle)))
    return float(lift.cl[k]) if lift.converged[k] else None
