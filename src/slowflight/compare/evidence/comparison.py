"""What was published beside what a tier computed, number by number."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slowflight.compare.evidence.case import QUANTITIES, Case, Measured
from slowflight.compare.evidence.from_run import NoAnswer, Pair, pair_of

COMPARED, NOT_CONVERGED, NOT_RUN = "compared", "not converged", "not run"
AIMS: Mapping[str, float] = {"lift slope": 0.03, "maximum lift": 0.08, "angle of maximum lift": 1.5}
"""Largest error aimed at, set before anything was compared: shares of the published value, or degrees."""


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """One published number and the predicted one.

    Parameters
    ----------
    case : Case
    measured : Measured
    tier : str
    published : float
        In the quantity's unit; a number of the table where the file gives none.
    predicted : float or None
        ``None`` where there is none, which ``reason`` explains.
    scatter : float or None
        Root mean square of the differences where the number is a mean: relative to what was published for a
        relative quantity, else in the quantity's unit.
    status : str
        ``"compared"``, ``"not converged"`` or ``"not run"``.
    reason : str
        Why there is no prediction; empty where there is one.
    """

    case: Case
    measured: Measured
    tier: str
    published: float
    predicted: float | None
    scatter: float | None = None
    status: str = COMPARED
    reason: str = ""

    @property
    def name(self) -> str:
        """What tells it from all others."""
        variant = f", {self.measured.variant}" if self.measured.variant else ""
        return f"{self.case.name}: {self.measured.quantity}{variant}"

    @property
    def error(self) -> float | None:
        """Predicted less published, in the quantity's unit."""
        return None if self.predicted is None else self.predicted - self.published

    @property
    def relative_error(self) -> float | None:
        """Error as a share of what was published; ``None`` for quantities such as angles."""
        if self.error is None or not QUANTITIES[self.measured.quantity].relative:
            return None
        return self.error / self.published

    @property
    def missed(self) -> bool | None:
        """Whether the error is larger than aimed at; ``None`` without an aim or a prediction."""
        aim = AIMS.get(self.measured.quantity)
        error = self.relative_error if QUANTITIES[self.measured.quantity].relative else self.error
        return None if aim is None or error is None else abs(error) > aim

    def record(self) -> dict[str, Any]:
        """Return it as plain data, as the command line prints it."""
        quantity = QUANTITIES[self.measured.quantity]
        conditions = self.case.conditions
        return {
            "case": self.name,
            "kind": self.case.kind,
            "tier": self.tier,
            "source": self.case.source,
            "published": self.published,
            "predicted": self.predicted,
            "error": self.error,
            "role": self.case.role,
            "quantity": self.measured.quantity,
            "unit": quantity.unit,
            "relative_error": self.relative_error,
            "scatter": self.scatter,
            "missed": self.missed,
            "reading_error": self.measured.reading_error,
            "provenance": self.case.provenance,
            "counts": self.case.counts,
            "status": self.status,
            "reason": self.reason,
            "of": self.case.title,
            "file": self.case.name,
            "variant": self.measured.variant,
            "reynolds": conditions.reynolds,
            "mach": conditions.mach,
            "trips": conditions.trips,
            "turbulence": conditions.turbulence,
            "aspect_ratio": conditions.aspect_ratio,
            "tunnel": conditions.tunnel,
            "place": self.case.place,
            "how_read": self.case.how_read,
            "note": self.measured.note,
        }


def compare(case: Case, *, tier: str, result: Mapping[str, Any] | None) -> tuple[Comparison, ...]:
    """Set every number of a case beside the one that follows from a run.

    Parameters
    ----------
    case : Case
    tier : str
    result : mapping or None
        Of the run (see `slowflight.study.evidence_case`); ``None`` where the case was not run.

    Returns
    -------
    tuple of Comparison
        In the order of the file.
    """
    why = case.why_not(tier)
    return tuple(_one(case, measured, tier, result, why) for measured in case.measured)


def _one(
    case: Case, measured: Measured, tier: str, result: Mapping[str, Any] | None, why: str | None
) -> Comparison:
    if result is None or why is not None:
        assert measured.value is not None, "a case that is not run has values in its file"
        return Comparison(
            case=case, measured=measured, tier=tier, published=measured.value, predicted=None,
            status=NOT_RUN, reason=why or "this tier does not compute such cases",
        )  # fmt: skip
    found = pair_of(case, measured, result)
    if isinstance(found, NoAnswer):
        return Comparison(
            case=case, measured=measured, tier=tier, published=found.published, predicted=None,
            status=NOT_CONVERGED, reason=found.reason,
        )  # fmt: skip
    return _compared(case, measured, tier, found)


def _compared(case: Case, measured: Measured, tier: str, pair: Pair) -> Comparison:
    return Comparison(
        case=case, measured=measured, tier=tier, published=pair.published, predicted=pair.predicted,
        scatter=pair.scatter,
    )  # fmt: skip
