"""The lift curve of a wing's section by the minutes tier: what a `SectionCase` asks, solved on a grid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from slowflight.errors import InputError
from slowflight.flow.rans.bodies_lift_curve import bodies_lift_curve
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.study.section_case import SectionCase, point_record
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class MinutesSectionCase:
    """A section of a wing, flap and rows as a `SectionCase` has them, fully turbulent.

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

    case: SectionCase
    reynolds: float
    angles_deg: tuple[float, ...]
    grid: str

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        without = ("reynolds_at_unit_lift", "transition", "critical_amplification", "panels")
        return {
            **{key: value for key, value in self.case.description().items() if key not in without},
            "kind": "lift curve of a wing's section by the minutes tier",
            "chord_m": self.case.chord if self.case.rows else None,
            "reynolds": self.reynolds,
            "angles_deg": list(self.angles_deg),
            "grid": self.grid,
        }

    @property
    def rows(self) -> tuple[VaneRow, ...]:
        """Rows that act together; empty for the clean section."""
        return self.case.rows

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"minutes-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"{self.case.title}, by the minutes tier at {self.reynolds:.2g}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the lift curve; the result as plain data.

        Where no grid can be made, or rows cannot stand there, there are no points and ``problem`` says why.
        """
        rows: dict[str, Any] = {}
        if self.case.rows:
            rows = {"vane_rows": self.case.rows, "chord_m": self.case.chord}
        given: dict[str, Any] = {"reynolds": self.reynolds, "angles_deg": self.angles_deg, "grid": self.grid}
        try:
            if self.case.flap is None:
                curve = rans_lift_curve(self.case.section, **given, **rows)
            else:
                curve = bodies_lift_curve(self.case.elements(), **given, **rows)
        except InputError as problem:
            return {"points": [], "problem": str(problem), "warnings": [], "sources": [], "seconds": 0.0}
        return {
            "points": [point_record(point) for point in curve.points],
            "seconds": sum(point.seconds for point in curve.points),
            "cl_max": curve.cl_max,
            "alpha_cl_max_deg": curve.alpha_cl_max_deg,
            "cells": curve.reference.get("cells"),
            "warnings": list(curve.warnings),
            "sources": list(curve.sources),
        }

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        result = decode_record(content, key=self.key)
        if len(result.get("points", ())) != len(self.angles_deg) and "problem" not in result:
            raise ValueError("a file without its result")
        return result
