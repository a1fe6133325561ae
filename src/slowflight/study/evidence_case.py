"""One published case to compute: only what the computation depends on, not what was measured."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from slowflight.compare.evidence.case import Case as Published
from slowflight.errors import InputError
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.lifting_line import linear_lift
from slowflight.flow.solution import FlowPoint
from slowflight.study.code_version import code_version
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation
from slowflight.wing.section import Section

CRITICAL_AMPLIFICATION = 9.0  # of every tunnel: none of the sources gives a figure that says otherwise
DIGITS = 7  # of pressures in a file


@dataclass(frozen=True, kw_only=True)
class SectionRun:
    """A section at one Reynolds number over angles of attack.

    Parameters
    ----------
    section : Section
    reynolds : float
        [-]
    angles_deg : tuple of float
        [deg]
    transition : tuple of (float or None, float or None)
        Where the layers are tripped, upper and lower [fraction of chord].
    pressures_at : tuple of float
        Angles at which the pressures are kept [deg].
    tier : str
    """

    section: Section
    reynolds: float
    angles_deg: tuple[float, ...]
    transition: tuple[float | None, float | None]
    pressures_at: tuple[float, ...]
    tier: str

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        outline = hashlib.sha256(self.section.x.tobytes() + self.section.y.tobytes()).hexdigest()
        return {
            "kind": "published section",
            "tier": self.tier,
            "section": {"name": self.section.name, "outline": outline},
            "reynolds": self.reynolds,
            "angles_deg": list(self.angles_deg),
            "transition": list(self.transition),
            "critical_amplification": CRITICAL_AMPLIFICATION,
            "pressures_at": list(self.pressures_at),
            "code": code_version(),
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"evidence-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"{self.section.name}, Reynolds number {self.reynolds:.3g}, {self.tier} tier"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the lift curve, with pressures where they are wanted."""
        curve = lift_curve(
            self.section,
            reynolds=self.reynolds,
            angles_deg=self.angles_deg,
            transition=self.transition,
            critical_amplification=CRITICAL_AMPLIFICATION,
        )
        wanted = [p for p in curve.points if p.layers and p.alpha_deg in self.pressures_at]
        return {
            "points": [_point(point) for point in curve.points],
            "cl_max": curve.cl_max,
            "alpha_cl_max_deg": curve.alpha_cl_max_deg,
            "pressures": {f"{p.alpha_deg:g}": _pressures(p) for p in wanted},
            "warnings": list(curve.warnings),
            "sources": list(curve.sources),
        }

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        return decode_record(content, key=self.key)


@dataclass(frozen=True, kw_only=True)
class WingRun:
    """A straight tapered wing of even sections in attached flow, by the lifting line that all tiers share.

    Parameters
    ----------
    aspect_ratio, taper : float
        [-]
    tier : str
    """

    aspect_ratio: float
    taper: float
    tier: str

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        return {
            "kind": "published wing",
            "tier": self.tier,
            "aspect_ratio": self.aspect_ratio,
            "taper": self.taper,
            "code": code_version(),
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"evidence-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"wing of aspect ratio {self.aspect_ratio:g}, taper {self.taper:g}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the wing's basic figures."""
        section = naca_section("0012")  # of no effect: the section's slope is two pi
        span = self.aspect_ratio * 0.5 * (1.0 + self.taper)
        stations = tuple(
            WingStation(span_station=y, chord=c, washout=0.0, section=section, airfoil="naca0012")
            for y, c in ((0.0, 1.0), (0.5 * span, self.taper))
        )
        found = linear_lift(
            Wing(span=span, incidence=0.0, stations=stations, cabin_width=0.1 * span),
            section_slope=2.0 * np.pi,
        )
        return {
            "slope": found.slope,
            "span_efficiency": found.span_efficiency,
            "largest_local": found.largest_local,
        }

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        return decode_record(content, key=self.key)


EvidenceRun = SectionRun | WingRun


def evidence_run(case: Published, *, tier: str) -> EvidenceRun | None:
    """Return what has to be computed for a published case.

    Parameters
    ----------
    case : Case
        From the library.
    tier : str
        ``"integral"``.

    Returns
    -------
    SectionRun or WingRun or None
        ``None`` where this tier does not compute the case.

    Raises
    ------
    InputError
        For a tier that is not there.
    """
    if tier != "integral":
        raise InputError(where="tier", found=repr(tier), needed="'integral', the one tier there is")
    if case.why_not(tier) is not None:
        return None
    if case.wing is not None:
        aspect_ratio, taper = case.wing
        return WingRun(aspect_ratio=aspect_ratio, taper=taper, tier=tier)
    if case.airfoil is None or case.conditions.reynolds is None:
        return None
    pressures = {m.angle_deg for m in case.measured if "pressure" in m.quantity and m.angle_deg is not None}
    return SectionRun(
        section=naca_section(case.airfoil, closed_trailing_edge=case.closed_trailing_edge),
        reynolds=case.conditions.reynolds,
        angles_deg=case.angles_deg,
        transition=case.conditions.transition,
        pressures_at=tuple(sorted(pressures)),
        tier=tier,
    )


def _point(point: FlowPoint) -> dict[str, Any]:
    return {
        "alpha_deg": point.alpha_deg,
        "cl": point.cl,
        "cd": point.cd,
        "cm": point.cm,
        "separation_upper": point.separation_upper,
        "converged": point.converged,
        "extrapolated": point.extrapolated,
        "warnings": list(point.warnings),
    }


def _pressures(point: FlowPoint) -> dict[str, dict[str, list[float]]]:
    return {
        layer.side: {
            "x": [round(float(x), DIGITS) for x in layer.x],
            "pressure_coefficient": [round(float(c), DIGITS) for c in layer.pressure_coefficient],
        }
        for layer in point.layers["main"]
        if layer.side in ("upper", "lower")
    }
