"""Wing curves for the checks of the aircraft in slow flight."""

from __future__ import annotations

import numpy as np

from slowflight.flight_state.curve import WingCurve


def made_up(*, cl_max: float = 1.8, stall_deg: float = 18.0, induced: float = 0.05) -> WingCurve:
    """Return an invented wing: straight up to its stall, then falling slowly."""
    angles = np.radians(np.arange(-4.0, 27.0, 0.5))
    stall = np.radians(stall_deg)
    slope = cl_max / (stall + np.radians(4.0))
    cl = np.where(angles <= stall, slope * (angles + np.radians(4.0)), cl_max - 0.8 * (angles - stall))
    own = 0.012 + 0.004 * cl**2
    return WingCurve(
        angles=angles,
        cl=cl,
        cd=own + induced * cl**2,
        cd_profile=own,
        cl_max=cl_max,
        stall_angle=float(stall),
    )
