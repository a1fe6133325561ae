"""One lift curve to compute: everything it depends on, and nothing else."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property
from typing import Any

from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.section_flow import PANELS
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import FlowPoint
from slowflight.study.code_version import code_version
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.wing.elements import Element, Elements, arranged
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class SectionCase:
    """A section, the air over it, and the vanes on it.

    Parameters
    ----------
    section : Section
        With a plain flap already turned.
    flap : Element or None
        A hung or slotted flap as it stands behind the section; ``None`` without one.
    chord : float
        Real chord of the section without the flap behind it [m].
    reynolds_at_unit_lift : float
        On the chord, in steady flight at a section lift coefficient of 1 [-]; each angle has its own.
    angles_deg : tuple of float
        Angles of attack [deg].
    transition : tuple of (float or None, float or None)
        Where the layers are tripped, upper and lower [fraction of chord].
    critical_amplification : float
        [-]
    rows : tuple of VaneRow
        Rows that act together; empty for the clean section.
    panels : int or None
        On the main body; ``None`` takes the tier's own number.
    """

    section: Section
    chord: float
    reynolds_at_unit_lift: float
    angles_deg: tuple[float, ...]
    transition: tuple[float | None, float | None] = (None, None)
    critical_amplification: float = 9.0
    rows: tuple[VaneRow, ...] = ()
    panels: int | None = None
    flap: Element | None = None

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data; a row's name and span make no difference to it."""
        return {
            "kind": "lift curve of a section",
            "section": {"name": self.section.name, "outline": outline_of(self.section)},
            "flap": None if self.flap is None else flap_description(self.flap),
            "chord_m": self.chord,
            "reynolds_at_unit_lift": self.reynolds_at_unit_lift,
            "angles_deg": list(self.angles_deg),
            "transition": list(self.transition),
            "critical_amplification": self.critical_amplification,
            "vane_rows": row_descriptions(self.rows),
            "panels": self.panels,
            "code": code_version(),
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return key_of(self.description())

    @property
    def title(self) -> str:
        """What a person would call it."""
        rows = ", ".join(f"vanes at {100.0 * row.station:.1f} %" for row in self.rows) or "clean"
        flap = "" if self.flap is None else f" with a flap at {math.degrees(self.flap.angle):.1f} degrees"
        return f"{self.section.name}{flap}, Reynolds number {self.reynolds_at_unit_lift:.3g}, {rows}"

    def compute(self) -> dict[str, Any]:
        """Compute the lift curve; the result as plain data, without distributions along the surface."""
        common = {
            "reynolds": self.reynolds_at_unit_lift,
            "angles_deg": self.angles_deg,
            "transition": self.transition,
            "critical_amplification": self.critical_amplification,
            "vane_rows": self.rows,
            "chord_m": self.chord,
            "speed_follows_lift": True,
            "panels": PANELS if self.panels is None else self.panels,
        }
        if self.flap is None:
            curve = lift_curve(self.section, **common)  # type: ignore[arg-type]
        else:
            curve = elements_lift_curve(self.elements(), **common)  # type: ignore[arg-type]
        return {
            "points": [point_record(point) for point in curve.points],
            "cl_max": curve.cl_max,
            "alpha_cl_max_deg": curve.alpha_cl_max_deg,
            "stall": None if curve.stall is None else asdict(curve.stall),
            "warnings": list(curve.warnings),
            "sources": list(curve.sources),
        }

    def elements(self) -> Elements:
        """Return section and flap in one frame; SectionError where they touch."""
        return with_flap(self.section, self.flap)

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        result = decode_record(content, key=self.key)
        if len(result.get("points", ())) != len(self.angles_deg):
            raise ValueError("a file without its result")
        return result


def with_flap(section: Section, flap: Element | None) -> Elements:
    """Section and flap, where there is one, in one frame; SectionError where they touch."""
    main = Element(name="main", section=section)
    return Elements(bodies=(main,)) if flap is None else arranged(main, flap)


def row_descriptions(rows: Sequence[VaneRow]) -> list[dict[str, Any]]:
    """Rows as plain data, without what makes no difference to the flow about a section."""
    without = ("name", "span_from", "span_to")
    return [{k: v for k, v in asdict(row).items() if k not in without} for row in rows]


def outline_of(section: Section) -> str:
    """Return a hash of a section's outline."""
    return hashlib.sha256(section.x.tobytes() + section.y.tobytes()).hexdigest()


def flap_description(flap: Element) -> dict[str, Any]:
    """Outline and place of a flap as plain data."""
    places = {name: getattr(flap, name) for name in ("chord", "axis_x", "axis_y", "axis_in", "angle")}
    return {"name": flap.section.name, "outline": outline_of(flap.section), **places}


def point_record(point: FlowPoint) -> Mapping[str, Any]:
    """Return a point as plain data, without distributions along the surface."""
    return {
        "alpha_deg": point.alpha_deg,
        "reynolds": point.reynolds,
        "cl": point.cl,
        "cd": point.cd,
        "cd_vanes": point.cd_vanes,
        "cm": point.cm,
        "converged": point.converged,
        "extrapolated": point.extrapolated,
        "separation_upper": point.separation_upper,
        "transition_upper": point.elements[0].upper.transition if point.elements else None,
        "vanes": [asdict(effect) for effect in point.vane_effects],
        "warnings": list(point.warnings),
    }
