"""One lift curve of the minutes tier to compute: a section at one Reynolds number, clean or with rows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from slowflight.flow.rans.bodies_lift_curve import bodies_lift_curve
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.study.code_version import code_version
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.study.section_case import (
    flap_description,
    outline_of,
    point_record,
    row_descriptions,
    with_flap,
)
from slowflight.wing.elements import Element, Elements
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class MinutesCase:
    """A section, the air over it, the vanes on it and the grid about it.

    Parameters
    ----------
    section : Section
    chord : float or None
        Real chord [m], needed with rows.
    reynolds : float
        On the chord, one for all angles [-].
    angles_deg : tuple of float
        [deg]
    transition : tuple of (float or None, float or None) or None
        As of `rans_lift_curve`.
    critical_amplification : float
        [-]
    grid : str
        Name of the family.
    rows : tuple of VaneRow
        Rows that act together; empty for the clean section.
    flap : Element or None
        A hung or slotted flap as it stands behind the section; then fully turbulent only.
    """

    section: Section
    chord: float | None
    reynolds: float
    angles_deg: tuple[float, ...]
    transition: tuple[float | None, float | None] | None = None
    critical_amplification: float = 9.0
    grid: str = "default"
    rows: tuple[VaneRow, ...] = ()
    flap: Element | None = None

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        return {
            "kind": "lift curve of a section by the minutes tier",
            "section": {"name": self.section.name, "outline": outline_of(self.section)},
            "flap": None if self.flap is None else flap_description(self.flap),
            "chord_m": self.chord if self.rows else None,
            "reynolds": self.reynolds,
            "angles_deg": list(self.angles_deg),
            "transition": None if self.transition is None else list(self.transition),
            "critical_amplification": None if self.transition is None else self.critical_amplification,
            "grid": self.grid,
            "vane_rows": row_descriptions(self.rows),
            "code": code_version(),
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"minutes-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        rows = ", ".join(f"vanes at {100.0 * row.station:.1f} %" for row in self.rows) or "clean"
        flap = "" if self.flap is None else f" with a flap at {math.degrees(self.flap.angle):.1f} degrees"
        return f"{self.section.name}{flap} by the minutes tier, Reynolds number {self.reynolds:.3g}, {rows}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def elements(self) -> Elements:
        """Return section and flap in one frame; SectionError where they touch."""
        return with_flap(self.section, self.flap)

    def rows_moved(self, by: float) -> tuple[VaneRow, ...]:
        """Its rows, further aft by a share of chord."""
        return tuple(replace(row, station=row.station + by) for row in self.rows)

    def compute(self) -> dict[str, Any]:
        """Compute the lift curve; the result as plain data."""
        common: dict[str, Any] = {
            "reynolds": self.reynolds,
            "angles_deg": self.angles_deg,
            "vane_rows": self.rows,
            "chord_m": self.chord,
            "grid": self.grid,
        }
        if self.flap is not None:
            curve = bodies_lift_curve(self.elements(), **common)
        else:
            curve = rans_lift_curve(
                self.section,
                transition=self.transition,
                critical_amplification=self.critical_amplification,
                **common,
            )
        return {
            "points": [point_record(point) for point in curve.points],
            "seconds": sum(point.seconds for point in curve.points),
            "cl_max": curve.cl_max,
            "alpha_cl_max_deg": curve.alpha_cl_max_deg,
            "warnings": list(curve.warnings),
            "sources": list(curve.sources),
        }

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        result = decode_record(content, key=self.key)
        if len(result.get("points", ())) != len(self.angles_deg):
            raise ValueError("a file without its result")
        return result
