"""How much of a computed gain is credited: no more than vanes were ever measured to bring."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slowflight.flow.lifting_line import WingLift

SOURCES = ("Janiszewska2004",)
# A section of a half wing, from 1.58 to at most 1.92: the largest gain on record whose source was read. It is
# one of the cases that may calibrate.
MOST_MEASURED = 1.92 / 1.58 - 1.0
WHY = (
    "computed, this row gains more than any measured section gained with vanes (22 % of its largest lift,"
    " Janiszewska 2004): no more than that is credited over the row's share of the span"
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
        there, that is its largest lift, at the angle at which it is reached first. Without a largest lift of
        the clean wing nothing is changed.

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
    known = lift.cl_max_continued is not None and lift.cl_max_continued <= most
    if known and not above.any():
        return lift
    angle = _first_at(lift.angles[use], lift.cl[use], most)
    if angle is None:
        return lift
    return replace(
        lift,
        cl=np.where(above, most, lift.cl),
        cl_max_continued=most,
        angle_continued=angle,
        warnings=(*lift.warnings, NO_GAIN.format(why=no_gain) if no_gain else WHY),
        sources=(*lift.sources, *SOURCES),
    )


def _first_at(angles: np.ndarray, cl: np.ndarray, most: float) -> float | None:
    """Angle at which lift first reaches a value, by straight lines; ``None`` where it does not."""
    order = np.argsort(angles)
    angles, cl = angles[order], cl[order]
    over = np.flatnonzero(cl >= most)
    if over.size == 0:
        return None
    k = int(over[0])
    if k == 0:
        return float(angles[0])
    return float(np.interp(most, cl[k - 1 : k + 1], angles[k - 1 : k + 1]))
