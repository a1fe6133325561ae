"""The wing as the aircraft feels it: lift and drag against its angle, and where that ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.lifting_line import WingLift
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, eq=False, kw_only=True)
class WingCurve:
    """A wing over its answered angles.

    Parameters
    ----------
    angles : FloatArray
        Root chord line to flight path, rising [rad], shape (a,).
    cl, cd, cd_profile : FloatArray
        Lift, whole drag and sections' own drag of the wing on its area [-], shape (a,).
    cl_max, stall_angle : float
        Largest lift [-] and its angle [rad].
    """

    angles: FloatArray
    cl: FloatArray
    cd: FloatArray
    cd_profile: FloatArray
    cl_max: float
    stall_angle: float

    def lift(self, angle: float) -> float | None:
        """Lift coefficient at an angle [-]; ``None`` outside the answered angles."""
        return _between(angle, self.angles, self.cl)

    def drag(self, angle: float) -> float | None:
        """Drag coefficient of the wing at an angle [-]; ``None`` outside the answered angles."""
        return _between(angle, self.angles, self.cd)

    def angle_of(self, cl: float) -> float | None:
        """Angle below the stall at which the wing lifts so much [rad]; ``None`` where it does not."""
        use = self.angles <= self.stall_angle + 1e-9
        angles, lifts = self.angles[use], self.cl[use]
        if angles.size and lifts[-1] < self.cl_max:
            angles, lifts = np.append(angles, self.stall_angle), np.append(lifts, self.cl_max)
        if lifts.size < 2 or not lifts[0] <= cl <= lifts.max():
            return None
        # the first crossing from below: past a local top the curve may come back
        k = int(np.flatnonzero(lifts >= cl)[0])
        if k == 0:
            return float(angles[0])
        share = (cl - lifts[k - 1]) / (lifts[k] - lifts[k - 1])
        return float(angles[k - 1] + share * (angles[k] - angles[k - 1]))


def curve_of(lift: WingLift) -> WingCurve | None:
    """Return the curve of a wing; ``None`` where it has no largest lift."""
    if lift.cl_max_continued is None or lift.angle_continued is None:
        return None
    use = lift.converged & np.isfinite(lift.cl)
    order = np.argsort(lift.angles[use])

    def kept(values: FloatArray) -> FloatArray:
        return np.asarray(values[use][order], dtype=np.float64)

    return WingCurve(
        angles=kept(lift.angles),
        cl=kept(lift.cl),
        cd=kept(lift.cd_induced + lift.cd_profile),
        cd_profile=kept(lift.cd_profile),
        cl_max=lift.cl_max_continued,
        stall_angle=lift.angle_continued,
    )


def _between(angle: float, angles: FloatArray, values: FloatArray) -> float | None:
    if angles.size < 2 or not angles[0] <= angle <= angles[-1] + 1e-9:
        return None
    return float(np.interp(angle, angles, values))
