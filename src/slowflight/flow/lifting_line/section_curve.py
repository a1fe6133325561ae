"""The lift and drag of one section against the angle it sees, as a smooth curve through computed points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from slowflight.errors import InputError
from slowflight.flow.solution import FloatArray

SOURCES = ("FritschCarlson1980",)
FEWEST_POINTS = 4
WIDEST_STEP = np.radians(2.5)  # between points beside the peak, for a parabola through it to mean anything
STEEPEST_FOOT = 1.1  # slope of that parabola at its first point over the steepest of the curve


@dataclass(frozen=True, eq=False, kw_only=True)
class SectionCurve:
    """A section's coefficients against its own angle of attack.

    Between points the curve is a monotone cubic, so a smooth stall gets no wiggles and Newton's method a
    continuous slope. The peak of a parabola through the three highest points is a further point of the lift
    curve where it lies higher, so that the maximum does not depend on where the points happen to fall; where
    lift drops at once behind the highest point, that point is the peak.

    Parameters
    ----------
    alpha : FloatArray
        Angle of attack of the section's own chord line, strictly increasing [rad], shape (n,), n at least 4.
    cl, cd : FloatArray
        Lift and drag coefficient [-], shape (n,).

    Raises
    ------
    InputError
        Where the arrays differ in length, are too short, not finite or not in order.

    Notes
    -----
    Interpolation: Fritsch and Carlson (1980), one-sided three-point slopes at the ends. Beyond its ends a
    curve has no value; what the wing then makes of it is said in `wing_lift`.
    """

    alpha: FloatArray
    cl: FloatArray
    cd: FloatArray

    def __post_init__(self) -> None:
        for name in ("alpha", "cl", "cd"):
            values = np.array(getattr(self, name), dtype=np.float64)
            values.flags.writeable = False
            object.__setattr__(self, name, values)
        shapes = {self.alpha.shape, self.cl.shape, self.cd.shape}
        if len(shapes) != 1 or self.alpha.ndim != 1 or self.alpha.size < FEWEST_POINTS:
            raise InputError(
                where="section curve",
                found=f"shapes {', '.join(str(shape) for shape in sorted(shapes))}",
                needed=f"angle, lift and drag of one length, at least {FEWEST_POINTS}",
            )
        if not all(np.all(np.isfinite(values)) for values in (self.alpha, self.cl, self.cd)):
            raise InputError(
                where="section curve",
                found="a value that is not finite",
                needed="finite numbers",
                fix="leave out the angles that have no answer",
            )
        if np.any(np.diff(self.alpha) <= 0.0):
            raise InputError(
                where="section curve", found="angles out of order", needed="strictly increasing angles"
            )

    @property
    def peak(self) -> tuple[float, float] | None:
        """Angle [rad] and lift coefficient [-] of the maximum; ``None`` where not bracketed."""
        k = int(np.argmax(self.cl))
        if k in (0, self.alpha.size - 1):
            return None
        alpha, cl = self.alpha[k - 1 : k + 2], self.cl[k - 1 : k + 2]
        highest = float(alpha[1]), float(cl[1])
        left, right = np.diff(cl) / np.diff(alpha)
        steepest = np.max(np.diff(self.cl[: k + 1]) / np.diff(self.alpha[: k + 1]))
        foot = left + (left - right) * (alpha[1] - alpha[0]) / (alpha[2] - alpha[0])
        # A parabola that has to rise more steeply than the curve itself ever does spans a drop, no round top.
        if np.max(np.diff(alpha)) > WIDEST_STEP or foot > STEEPEST_FOOT * steepest:
            return highest
        return vertex(alpha, cl)

    def lift(self) -> PchipInterpolator:
        """Return lift against angle as a piecewise cubic."""
        alpha, cl = self.alpha, self.cl
        peak = self.peak
        if peak is not None:
            nearest = np.min(np.abs(alpha - peak[0]))
            # a vertex all but on a point would only make a pair of points too close to divide by
            if nearest > 1e-3 * (alpha[-1] - alpha[0]) / alpha.size:
                k = int(np.searchsorted(alpha, peak[0]))
                alpha, cl = np.insert(alpha, k, peak[0]), np.insert(cl, k, peak[1])
        return PchipInterpolator(alpha, cl, extrapolate=False)

    def drag(self) -> PchipInterpolator:
        """Return drag against angle as a piecewise cubic."""
        return PchipInterpolator(self.alpha, self.cd, extrapolate=False)


def vertex(alpha: FloatArray, cl: FloatArray) -> tuple[float, float]:
    """Return the top of a parabola through three points, the middle one the highest, or that point."""
    middle = float(alpha[1]), float(cl[1])
    left, right = np.diff(cl) / np.diff(alpha)
    bend = (right - left) / (alpha[2] - alpha[0])
    if bend >= 0.0:
        return middle
    top = 0.5 * (alpha[0] + alpha[1] - left / bend)  # where Newton's form has slope zero
    height = cl[0] + left * (top - alpha[0]) + bend * (top - alpha[0]) * (top - alpha[1])
    return (float(top), float(height)) if height > cl[1] else middle
