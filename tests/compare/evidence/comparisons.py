"""Cases and comparisons made up for the tests of the evidence."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from slowflight.compare.evidence.case import Case, Conditions, Measured
from slowflight.compare.evidence.comparison import COMPARED, Comparison

WHOLE = """\
title = "a wing"
kind = "wing"
role = "checks"
source = "Glauert1926"
place = "chapter XI"
how_read = "reckoned"
provenance = "exact"
wing = { aspect_ratio = 6, taper = 1 }

[conditions]
trips = "no layers"
turbulence = "none"
aspect_ratio = "6"
tunnel = "none"

[[measured]]
quantity = "wing lift slope"
value = 4.530425
reading_error = 1e-6
"""


def write_case(folder: Path, name: str, text: str = WHOLE, *, role: str = "checks") -> Path:
    """Write a case file into a library."""
    (folder / role).mkdir(parents=True, exist_ok=True)
    path = folder / role / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def case(name: str = "a", **changed: Any) -> Case:
    """Return a case that would be run."""
    conditions = Conditions(
        reynolds=changed.pop("reynolds", 3e6),
        mach=None,
        transition=(None, None),
        trips="none",
        turbulence="not stated",
        aspect_ratio="section",
        tunnel="not stated",
    )
    whole: dict[str, Any] = {
        "name": name,
        "title": name,
        "kind": "section",
        "role": "checks",
        "source": "Ladson1988",
        "place": "a table",
        "how_read": "as printed",
        "provenance": "read",
        "conditions": conditions,
        "airfoil": "naca0012",
        "closed_trailing_edge": True,
        "angles_deg": (0.0, 4.0, 8.0),
        "wing": None,
        "measured": (),
    }
    return Case(**{**whole, **changed})


def compared(
    predicted: float | None, *, quantity: str = "maximum lift", published: float = 1.5, **changed: Any
) -> Comparison:
    """Return one number of a case beside its prediction."""
    tier = changed.pop("tier", "integral")
    status = changed.pop("status", COMPARED)
    return Comparison(
        case=case(**changed),
        measured=Measured(quantity=quantity, value=published, reading_error=0.01),
        tier=tier,
        published=published,
        predicted=predicted,
        status=status,
    )
