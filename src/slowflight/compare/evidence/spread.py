"""Mean and spread of the errors as the table shows them: by kind, by Reynolds number, by role."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.compare.evidence.case import EXACT, KINDS, ROLES
from slowflight.compare.evidence.comparison import Comparison
from slowflight.compare.evidence.record import SHARE_SORTS, SORTS, CaseError, error_record, spread_of

REYNOLDS_BANDS = ((0.0, 1e6), (1e6, 3e6), (3e6, 6e6), (6e6, float("inf")))
NAMES = {
    "maximum_lift": "maximum lift",
    "slope": "lift slope",
    "stall_angle": "angle of maximum lift",
    "drag": "mean drag",
}


@dataclass(frozen=True, kw_only=True)
class SpreadLine:
    """One line of the table.

    Parameters
    ----------
    by : str
        ``"kind"``, ``"Reynolds number"`` or ``"role"``.
    group : str
        Such as ``"section"`` or ``"1 to 3 million"``.
    tier, quantity, unit : str
        ``unit`` is ``"share"`` or ``"deg"``.
    count : int
        Measured cases, each counted once.
    mean, deviation : float or None
    note : str
        On pooling, or on exact solutions.
    """

    by: str
    group: str
    tier: str
    quantity: str
    unit: str
    count: int
    mean: float | None
    deviation: float | None
    note: str = ""

    def record(self) -> dict[str, Any]:
        """Return it as plain data."""
        return dict(vars(self))


def spreads(comparisons: Iterable[Comparison]) -> tuple[SpreadLine, ...]:
    """Return mean and spread of measured cases by kind, Reynolds number and role, then of exact solutions.

    Parameters
    ----------
    comparisons : iterable of Comparison

    Returns
    -------
    tuple of SpreadLine
        A kind without any measured case has a line that says so.
    """
    comparisons = list(comparisons)
    lines: list[SpreadLine] = []
    for tier in dict.fromkeys(c.tier for c in comparisons):
        errors = [error for error in error_record(comparisons) if error.tier == tier]
        lines += _by_kind(errors, tier, [kind for kind in KINDS if kind != "wing"])
        for low, high in REYNOLDS_BANDS:
            inside = [e for e in errors if e.reynolds is not None and low < e.reynolds <= high]
            lines += _lines(inside, tier, "Reynolds number", _million(low, high))
        for role in ROLES:
            lines += _lines([e for e in errors if e.role == role], tier, "role", role)
        lines += _exact([c for c in comparisons if c.tier == tier and c.case.provenance == EXACT], tier)
    return tuple(lines)


def _by_kind(errors: list[CaseError], tier: str, kinds: list[str]) -> list[SpreadLine]:
    lines = []
    for kind in kinds:
        for sort in SORTS:
            found = spread_of(errors, kind=kind, sort=sort)
            if found.own_count or sort == "maximum_lift":
                own = [getattr(e, sort) for e in errors if e.kind == kind and getattr(e, sort) is not None]
                lines.append(_line("kind", kind, tier, sort, own, found.sentence))
    return lines


def _lines(errors: list[CaseError], tier: str, by: str, group: str) -> list[SpreadLine]:
    found = {sort: [getattr(e, sort) for e in errors if getattr(e, sort) is not None] for sort in SORTS}
    return [_line(by, group, tier, sort, values) for sort, values in found.items() if values]


def _line(by: str, group: str, tier: str, sort: str, values: list[float], note: str = "") -> SpreadLine:
    return SpreadLine(
        by=by,
        group=group,
        tier=tier,
        quantity=NAMES[sort],
        unit="share" if sort in SHARE_SORTS else "deg",
        count=len(values),
        mean=float(np.mean(values)) if values else None,
        deviation=float(np.std(values, ddof=1)) if len(values) > 1 else None,
        note=note,
    )


def _exact(comparisons: list[Comparison], tier: str) -> list[SpreadLine]:
    """Exact solutions apart: what is off there is arithmetic, not air."""
    lines = []
    for kind in KINDS:
        for quantity in dict.fromkeys(c.measured.quantity for c in comparisons if c.case.kind == kind):
            values = [
                c.relative_error
                for c in comparisons
                if c.case.kind == kind and c.measured.quantity == quantity and c.relative_error is not None
            ]
            if values:
                lines.append(
                    SpreadLine(
                        by="exact solution", group=kind, tier=tier, quantity=quantity, unit="share",
                        count=len(values), mean=float(np.mean(values)),
                        deviation=float(np.std(values, ddof=1)) if len(values) > 1 else None,
                        note="exact solutions, in no mean of measured cases",
                    )
                )  # fmt: skip
    return lines


def _million(low: float, high: float) -> str:
    if low == 0.0:
        return f"up to {high / 1e6:g} million"
    return (
        f"above {low / 1e6:g} million" if high == float("inf") else f"{low / 1e6:g} to {high / 1e6:g} million"
    )
