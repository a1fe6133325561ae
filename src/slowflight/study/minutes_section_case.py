"""The lift curve of a wing's section by the minutes tier: what a `SectionCase` asks, solved on a grid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from slowflight.errors import InputError
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.section_case import SectionCase


@dataclass(frozen=True, kw_only=True)
class MinutesSectionCase(MinutesCase):
    """A `MinutesCase` of many, fully turbulent: where it cannot be computed it says so and stops nobody."""

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data; another kind, as a refusal is a result of it."""
        return {**super().description(), "kind": "lift curve of a wing's section by the minutes tier"}

    def compute(self) -> dict[str, Any]:
        """Compute the lift curve; the result as plain data.

        Where no grid can be made, or rows cannot stand there, no point has an answer; ``problem`` says why.
        """
        try:
            return super().compute()
        except InputError as problem:
            nothing = {"cl": None, "cd": None, "converged": False, "separation_upper": None}
            return {
                "points": [{"alpha_deg": a, **nothing, "warnings": []} for a in self.angles_deg],
                "problem": str(problem),
                "seconds": 0.0,
                "cl_max": None,
                "alpha_cl_max_deg": None,
                "warnings": [],
                "sources": [],
            }


def of_section(
    case: SectionCase, *, reynolds: float, angles_deg: tuple[float, ...], grid: str
) -> MinutesSectionCase:
    """Put a section's question to the minutes tier.

    Parameters
    ----------
    case : SectionCase
        Its trips, amplification factor, panels and angles play no part.
    reynolds : float
        On the chord, one for all angles [-].
    angles_deg : tuple of float
        [deg]
    grid : str
        Name of the family.
    """
    return MinutesSectionCase(
        section=case.section, flap=case.flap, chord=case.chord, rows=case.rows, reynolds=reynolds,
        angles_deg=angles_deg, grid=grid,
    )  # fmt: skip
