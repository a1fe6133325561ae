"""What stands in where the owner did not say."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Assumption:
    """One value that nobody measured.

    Parameters
    ----------
    field : str
        As `set_value` takes it, for example ``"wing.incidence"`` or ``"wing.section.0.airfoil"``.
    value : str
        What stands in, with its unit.
    why : str
        Why this value, and how much it is worth: ``"guess"``, ``"common practice, no source"``, or that it is
        the middle of a range.
    """

    field: str
    value: str
    why: str
