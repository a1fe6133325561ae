"""What the lifting line says about a wing, angle by angle, and its maximum lift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from slowflight.flow.solution import FloatArray

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False, kw_only=True)
class WingLift:
    """A wing over a range of angles.

    Where an angle has no answer its coefficients are NaN and ``converged`` is false.

    Parameters
    ----------
    angles : FloatArray
        Between the root's chord line and the flight path, as asked for [rad], shape (a,).
    cl, cd_induced, cd_profile : FloatArray
        Of the whole wing on its area [-], shape (a,).
    y : FloatArray
        Where the strips are, from the centerline, tip first and centerline last [m], shape (s,).
    effective_angles, local_cl : FloatArray
        Angle that each strip's section sees [rad] and its lift coefficient [-], shape (a, s).
    stalled_share : FloatArray
        Share of the semi-span past its own section's maximum [-], shape (a,).
    converged : BoolArray
        Whether strips and section curves agree, shape (a,).
    beyond_curves : BoolArray
        Where there is no answer because too much of the span would be beyond the ends of its section curves,
        shape (a,).
    extended_share : FloatArray
        Share of the semi-span, next to the tip, where a curve was drawn on straight from its lowest angle
        towards zero lift [-], shape (a,).
    held_share : FloatArray
        Share of the semi-span whose section is stalled beyond the end of its curve, lift and drag held as
        they are there [-], shape (a,).
    several_answers : BoolArray
        Where lifting-line theory alone has more than one answer, so that the smoothing decides, shape (a,).
    cl_max_first_station, angle_first_station, y_first_station : float or None
        Wing lift [-], wing angle [rad] and place along the span [m] when the first strip reaches the maximum
        of its section: the cautious maximum. ``None`` where no curve brackets its maximum before a section
        leaves its curve.
    cl_max_continued, angle_continued : float or None
        Largest wing lift of the answer followed on through stall [-] and its wing angle [rad]; ``None`` where
        that is not bracketed.
    smoothing : float
        Length over which the followed answer evens out the loss of lift along the span [local chords].
    warnings : tuple of str
        What the reader has to know.
    sources : tuple of str
        Keys into the bibliography.
    """

    angles: FloatArray
    cl: FloatArray
    cd_induced: FloatArray
    cd_profile: FloatArray
    y: FloatArray
    effective_angles: FloatArray
    local_cl: FloatArray
    stalled_share: FloatArray
    converged: BoolArray
    beyond_curves: BoolArray
    extended_share: FloatArray
    held_share: FloatArray
    several_answers: BoolArray
    cl_max_first_station: float | None
    angle_first_station: float | None
    y_first_station: float | None
    cl_max_continued: float | None
    angle_continued: float | None
    smoothing: float
    warnings: tuple[str, ...]
    sources: tuple[str, ...]
