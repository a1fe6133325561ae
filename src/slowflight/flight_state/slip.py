"""What a sideslip does to a wing with dihedral when slow: which way it rolls, and which wing lets go."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.lifting_line import SpanCurve, whole_wing
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

SLIP = math.radians(10.0)  # a slip that a pilot holds without meaning to (own choice)
APART = 0.05  # of a half: stalled by so much more than the other (own choice)


@dataclass(frozen=True, eq=False, kw_only=True)
class Slip:
    """A wing in a sideslip, air from the right, over wing angles.

    Parameters
    ----------
    angles : FloatArray
        [rad], shape (a,).
    moment : FloatArray
        Rolling moment, right wing down positive [-], NaN without an answer, shape (a,): below zero the wing
        that meets the air first is lifted.
    met_first, other : FloatArray
        Share of each half past its sections' maxima [-], shape (a,).
    """

    angles: FloatArray
    moment: FloatArray
    met_first: FloatArray
    other: FloatArray

    def at(self, angle: float) -> float | None:
        """Moment that lifts the wing met first, at a wing angle [-]; ``None`` without an answer there."""
        use = np.isfinite(self.moment)
        angles = self.angles[use]
        if angles.size < 2 or not angles[0] <= angle <= angles[-1]:
            return None
        return -float(np.interp(angle, angles, self.moment[use]))

    def stalls_first_from(self) -> float | None:
        """Smallest angle at which more of the wing met first is stalled than of the other [rad]."""
        apart = np.nan_to_num(self.met_first - self.other) > APART
        return float(self.angles[apart][0]) if np.any(apart) else None

    def drops_from(self) -> float | None:
        """Smallest angle from which the wing met first goes down rather than up [rad]."""
        wrong = np.isfinite(self.moment) & (self.moment > 0.0)
        return float(self.angles[wrong][0]) if np.any(wrong) else None


def slipped(
    wing: Wing, *, spans: Sequence[SpanCurve], dihedral: float, angles: FloatArray, slip: float = SLIP
) -> Slip:
    """Put a wing into a sideslip.

    Parameters
    ----------
    wing : Wing
    spans : sequence of SpanCurve
        One half; the other is like it.
    dihedral, slip : float
        Rise of each half; air from the right [rad].
    angles : FloatArray
        Wing angles, rising [rad], shape (a,).

    Returns
    -------
    Slip

    Raises
    ------
    InputError
        As `whole_wing`.

    Notes
    -----
    Ours: the half met first sees its angle grow by dihedral times slip, the other's falls by as much, both
    small. Short of the stall that is an antisymmetric jump of angle on the centerline, ``2 dihedral slip``.
    What the fuselage does in a slip (a high wing on it acts like some degrees of dihedral more) is left out,
    and so are fin and rudder.
    """
    found = whole_wing(wing, right=spans, angles=angles, sideslip=slip, dihedral=dihedral)
    return Slip(
        angles=found.angles, moment=found.rolling, met_first=found.stalled_right, other=found.stalled_left
    )
