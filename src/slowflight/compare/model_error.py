"""The method's own doubt about a section's maximum lift, from the record of measured cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from scipy import stats

from slowflight.compare.evidence.record import CaseError, spread_of
from slowflight.uncertainty import Banded

DEFAULT_SHARE = 0.10  # stated default where the record is too thin for a statistical band
COVERED = 0.90


@dataclass(frozen=True, kw_only=True)
class HitRate:
    """How often the truth lay in the band that the other cases give.

    Parameters
    ----------
    hits, cases : int
    low, high : float
        Exact binomial 95 % interval of the rate [-] (Clopper and Pearson).
    """

    hits: int
    cases: int
    low: float
    high: float


def section_band(value: float, errors: Sequence[CaseError]) -> Banded:
    """Put the method's band round a predicted maximum lift coefficient of a section or wing.

    Parameters
    ----------
    value : float
        As predicted [-].
    errors : sequence of CaseError
        The record of one tier.

    Returns
    -------
    Banded
        With ten cases or more: nine in ten of new cases, by Student's law with the record's mean and spread;
        with fewer: 10 % either way, a stated default.
    """
    spread = spread_of(errors, kind="section")
    own = [e.maximum_lift for e in errors if e.kind == "section" and e.maximum_lift is not None]
    if spread.enough and spread.mean is not None and spread.deviation is not None:
        reach = float(stats.t.ppf(0.5 + 0.5 * COVERED, spread.count - 1))
        half = reach * spread.deviation * (1.0 + 1.0 / spread.count) ** 0.5
        # predicted = truth times one plus the error
        ends = value / (1.0 + spread.mean + half), value / (1.0 + spread.mean - half)
        return Banded(value=value, low=min(value, *ends), high=max(value, *ends), why=(spread.sentence,))
    seen = f", errors {100 * min(own):+.1f} to {100 * max(own):+.1f} %" if own else ""
    why = (
        f"maximum lift of a section: {100 * DEFAULT_SHARE:.0f} % either way, a stated default"
        f" ({spread.sentence}{seen})"
    )
    half = DEFAULT_SHARE * value
    return Banded(value=value, low=value - half, high=value + half, why=(why,))


def left_out_in_turn(errors: Sequence[CaseError]) -> HitRate:
    """Leave each measured section out in turn and see whether the others' band holds it.

    Parameters
    ----------
    errors : sequence of CaseError

    Returns
    -------
    HitRate

    Raises
    ------
    ValueError
        Where there is no case.
    """
    cases = [e for e in errors if e.kind == "section" and e.maximum_lift is not None]
    if not cases:
        raise ValueError("no measured section in the record")
    hits = 0
    for case in cases:
        others = [other for other in errors if other is not case]
        assert case.maximum_lift is not None
        band = section_band(1.0 + case.maximum_lift, others)  # the truth is 1
        hits += band.low <= 1.0 <= band.high
    interval = stats.binomtest(hits, len(cases)).proportion_ci(confidence_level=0.95, method="exact")
    return HitRate(hits=hits, cases=len(cases), low=float(interval.low), high=float(interval.high))
