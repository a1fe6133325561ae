"""How much of a computed gain is credited: no more than a section was measured to gain with vanes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slowflight.flow.lifting_line import WingLift

SOURCES = ("Janiszewska2004",)
# A half wing at its wall, where clean lift was that of the section: from 1.58 to at most 1.92. Near its
# tip, in three-dimensional flow, it was 1.20 to 1.60. No other gain's source was read. One of the cases that
# may calibrate.
MOST_MEASURED = 1.92 / 1.58 - 1.0
WHY = (
    "computed, this row gains more than the one section whose measured gain was read (22 % of its largest"
    " lift, Janiszewska 2004; 33 % near that wing's tip): no more than that is credited over the row's share"
    " of the span"
)
STILL_RISING = (
    "where answers end the wing's lift with this row still rises: what is answered is credited, no maximum"
    " was found"
)
NO_GAIN = (
    "the clean section stalls in a way against which vanes do nothing ({why}): no gain of this row is"
    " credited"
)


def credited(lift: WingLift, *, clean: WingLift, span_share: float, no_gain: str = "") -> WingLift:
    """Take a wing's lift with a row as computed, and no more than has been measured.

    Parameters
    ----------
    lift, clean : WingLift
        With the row and without, over the same wing angles.
    span_share : float
        Share of the semi-span that the row covers [-].
    no_gain : str
        Why no gain at all may be credited, such as a stall from the nose; empty where one may.

    Returns
    -------
    WingLift
        The same, its lift held at the clean wing's largest lift times 1 + 0.215 ``span_share``. Where it gets
        there, that is its largest lift, at the angle at which it is reached first. Where answers end while it
        still rises, short of that, the largest that is answered is. Without a largest lift of the clean wing
        nothing is changed.

    Notes
    -----
    The limit is a fact about published tests, not a law: the computed gain has no nose stall in it, and no
    measured case stands behind its size (see the documents, 'Vanes in the seconds tier').
    """
    clean_max = clean.cl_max_continued
    if clean_max is None:
        return lift
    most = clean_max * (1.0 if no_gain else 1.0 + MOST_MEASURED * span_share)
    use = lift.converged & np.isfinite(lift.cl)
    above = use & (lift.cl > most)
    if not above.any():
        return lift if lift.cl_max_continued is not None else _as_far_as_answered(lift, use, clean_max)
    angle = _first_at(lift.angles[use], lift.cl[use], most)
    return replace(
        lift,
        cl=np.where(above, most, lift.cl),
        cl_max_continued=most,
        angle_continued=angle,
        warnings=(*lift.warnings, NO_GAIN.format(why=no_gain) if no_gain else WHY),
        sources=lift.sources if no_gain else (*lift.sources, *SOURCES),
    )


def _as_far_as_answered(lift: WingLift, use: np.ndarray, clean_max: float) -> WingLift:
    """Take the largest answered lift for the maximum, where it is more than the clean wing's."""
    if not use.any():
        return lift
    k = int(np.nanargmax(np.where(use, lift.cl, np.nan)))
    if lift.cl[k] <= clean_max:
        return lift
    return replace(
        lift,
        cl_max_continued=float(lift.cl[k]),
        angle_continued=float(lift.angles[k]),
        warnings=(*lift.warnings, STILL_RISING),
    )


def _first_at(angles: np.ndarray, cl: np.ndarray, most: float) -> float:
    """Angle at which lift first reaches a value, by straight lines."""
    order = np.argsort(angles)
    angles, cl = angles[order], cl[order]
    k = int(np.flatnonzero(cl >= most)[0])
    if k == 0:
        return float(angles[0])
    return float(np.interp(most, cl[k - 1 : k + 1], angles[k - 1 : k + 1]))
