"""The errors of a tier against what was measured, as data for bands.

Each case gives one error of each sort, however many grits or copies of the number its file has: three grits
on one section are no three cases. Remembered values and exact solutions are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.compare.evidence.case import EXACT, KINDS, QUANTITIES
from slowflight.compare.evidence.comparison import Comparison

SORTS = ("maximum_lift", "slope", "stall_angle", "drag")
LEAST_CASES = 10  # below which a kind is pooled with the others that are as thin
SHARE_SORTS = ("maximum_lift", "slope", "drag")


@dataclass(frozen=True, kw_only=True)
class CaseError:
    """How far a tier was off on one measured case; ``None`` where it was not measured or has no answer.

    Parameters
    ----------
    case : str
        Name of its file.
    kind, tier, role : str
    airfoil : str or None
    reynolds : float or None
        [-]
    maximum_lift, slope, drag : float or None
        Predicted over published, less one [-].
    stall_angle : float or None
        Predicted less published [deg].
    """

    case: str
    kind: str
    tier: str
    role: str
    airfoil: str | None
    reynolds: float | None
    maximum_lift: float | None = None
    slope: float | None = None
    stall_angle: float | None = None
    drag: float | None = None


@dataclass(frozen=True, kw_only=True)
class ErrorSpread:
    """Mean and spread of one sort of error of one kind.

    Parameters
    ----------
    kind, sort : str
    count : int
        Cases behind the figures, pooled ones included.
    own_count : int
        Cases of the kind itself.
    mean, deviation : float or None
        Of the errors [-], or [deg] for the stall angle; the deviation is that of a sample, ``None`` below
        two cases.
    pooled_with : tuple of str
        Other kinds whose cases are counted in, because each has fewer than ten.
    enough : bool
        Whether ten cases or more are behind it.
    sentence : str
        What a reader has to know.
    """

    kind: str
    sort: str
    count: int
    own_count: int
    mean: float | None
    deviation: float | None
    pooled_with: tuple[str, ...]
    enough: bool
    sentence: str


def error_record(results: Iterable[Comparison]) -> tuple[CaseError, ...]:
    """Collect the errors that count, one entry for each measured case with an answer.

    Parameters
    ----------
    results : iterable of Comparison
        Of one tier or several.

    Returns
    -------
    tuple of CaseError
        By tier and case. Where a file has several numbers of one sort, their mean error.
    """
    errors: dict[tuple[str, str], dict[str, list[float]]] = {}
    first: dict[tuple[str, str], Comparison] = {}
    for result in results:
        quantity = QUANTITIES[result.measured.quantity]
        error = result.relative_error if quantity.relative else result.error
        if not quantity.short or error is None or not _measured(result):
            continue
        place = (result.tier, result.case.name)
        first.setdefault(place, result)
        errors.setdefault(place, {}).setdefault(quantity.short, []).append(error)
    return tuple(
        CaseError(
            case=name,
            kind=first[tier, name].case.kind,
            tier=tier,
            role=first[tier, name].case.role,
            airfoil=first[tier, name].case.airfoil,
            reynolds=first[tier, name].case.conditions.reynolds,
            **{sort: float(np.mean(values)) for sort, values in errors[tier, name].items()},
        )
        for tier, name in sorted(errors)
    )


def spread_of(
    errors: Sequence[CaseError], *, kind: str, sort: str = "maximum_lift", role: str | None = None
) -> ErrorSpread:
    """Return mean and spread of a kind's errors, pooled where it has fewer than ten cases.

    Parameters
    ----------
    errors : sequence of CaseError
        Of one tier.
    kind : str
        ``"section"``, ``"flap"``, ``"vane"`` or ``"wing"``.
    sort : str
        ``"maximum_lift"``, ``"slope"``, ``"stall_angle"`` or ``"drag"``.
    role : str, optional
        Only cases of one role; both otherwise.

    Returns
    -------
    ErrorSpread
        A kind with fewer than ten cases takes in the cases of the other kinds that have fewer than ten, and
        says so; where even all of them are fewer than ten, ``enough`` is false and no statistical band
        follows. A kind without any case takes in none: nothing measured says that others' errors carry over.

    Raises
    ------
    ValueError
        For an unknown kind or sort, or errors of more than one tier.
    """
    if kind not in KINDS or sort not in SORTS:
        raise ValueError(f"no errors of kind {kind!r} and sort {sort!r}")
    if len({error.tier for error in errors}) > 1:
        raise ValueError("errors of several tiers in one spread")
    by_kind = {
        name: [
            value
            for error in errors
            if error.kind == name and role in (None, error.role)
            for value in (getattr(error, sort),)
            if value is not None
        ]
        for name in KINDS
    }
    own = by_kind[kind]
    others = [name for name in KINDS if name != kind and 0 < len(by_kind[name]) < LEAST_CASES]
    pooled = tuple(others) if 0 < len(own) < LEAST_CASES else ()
    values = np.array(own + [value for name in pooled for value in by_kind[name]])
    enough = values.size >= LEAST_CASES
    return ErrorSpread(
        kind=kind,
        sort=sort,
        count=int(values.size),
        own_count=len(own),
        mean=float(values.mean()) if values.size else None,
        deviation=float(values.std(ddof=1)) if values.size > 1 else None,
        pooled_with=pooled,
        enough=enough,
        sentence=_sentence(kind, len(own), pooled, int(values.size)),
    )


def _measured(result: Comparison) -> bool:
    return result.case.counts and result.case.provenance != EXACT


def _sentence(kind: str, own: int, pooled: tuple[str, ...], count: int) -> str:
    said = f"{own} measured {'case' if own == 1 else 'cases'} of kind {kind}"
    if pooled:
        said += f", fewer than {LEAST_CASES}: pooled with {' and '.join(pooled)} to {count}"
    if count < LEAST_CASES:
        said += "; too few for a statistical band" if count else "; no band follows from none"
    return said
