"""How many measured cases are like one's own section, which is nearest, and what no case stands behind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slowflight.compare.evidence.record import CaseError
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section

# how unlike a case may be and still count as like: own choice, no source
THICKNESS, CAMBER, REYNOLDS = 0.03, 0.015, 2.0


@dataclass(frozen=True, kw_only=True)
class Likeness:
    """Measured cases beside one's own section.

    Parameters
    ----------
    alike : int
        Clean sections with a measured maximum lift that are like it.
    clean, flapped, with_vanes : int
        All that are on record: clean sections, with a flap down, with vanes.
    nearest : CaseError or None
        The clean section that is nearest, like it or not.
    """

    alike: int
    clean: int
    flapped: int
    with_vanes: int
    nearest: CaseError | None

    def sentences(self) -> tuple[str, ...]:
        """Say it in a line each."""
        near = "none on record"
        if self.nearest is not None and self.nearest.maximum_lift is not None:
            assert self.nearest.airfoil is not None
            assert self.nearest.reynolds is not None
            name = self.nearest.airfoil.upper().replace("NACA", "NACA ")
            near = (
                f"nearest: {name} at a Reynolds number of {self.nearest.reynolds / 1e6:.3g} million, where"
                f" the quick tier's maximum lift is {100.0 * self.nearest.maximum_lift:+.1f} % off"
            )
        return (
            f"{_cases(self.alike)} like yours without vanes (thickness within {100 * THICKNESS:g} % of chord,"
            f" camber within {100 * CAMBER:g} %, Reynolds number within a factor of {REYNOLDS:g}), of"
            f" {self.clean} on record; {near}.",
            f"{_cases(self.flapped)} with the flap down.",
            f"{_cases(self.with_vanes)} with vanes.",
        )


def likeness(section: Section, *, reynolds: float, errors: Sequence[CaseError]) -> Likeness:
    """Set a section beside the cases on record.

    Parameters
    ----------
    section : Section
        Without flap deflection.
    reynolds : float
        On the chord, near the stall [-].
    errors : sequence of CaseError
        The record of one tier. Cases without a maximum lift, and sections that are not drawn by a formula,
        do not count.
    """
    known = [e for e in errors if e.maximum_lift is not None]
    clean = [e for e in known if e.kind == "section" and e.airfoil is not None and e.reynolds is not None]
    apart = [_apart(section, reynolds, case) for case in clean]
    return Likeness(
        alike=sum(max(a) <= 1.0 for a in apart),
        clean=len(clean),
        flapped=sum(e.kind == "flap" for e in known),
        with_vanes=sum(e.kind == "vane" for e in known),
        nearest=min(zip(apart, clean, strict=True), key=lambda pair: math.hypot(*pair[0]))[1]
        if clean
        else None,
    )


def _apart(section: Section, reynolds: float, case: CaseError) -> tuple[float, float, float]:
    """Differences in thickness, camber and Reynolds number, each over what still counts as like."""
    assert case.airfoil is not None
    assert case.reynolds is not None
    other = naca_section(case.airfoil)
    return (
        abs(section.max_thickness - other.max_thickness) / THICKNESS,
        abs(section.max_camber - other.max_camber) / CAMBER,
        abs(math.log(reynolds / case.reynolds)) / math.log(REYNOLDS),
    )


def _cases(number: int) -> str:
    return f"{number} measured case" + ("" if number == 1 else "s")
