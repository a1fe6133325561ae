"""The vanes of a row in one unit of length, as the march needs them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class VaneSizes:
    """Vanes of a row, lengths in one unit (chords where nothing else is said).

    Parameters
    ----------
    height, length, pitch : float
        Of one vane, and from pair to pair or from vane to vane where co-rotating.
    trailing_gap : float
        Between the trailing tips of a pair; without meaning where co-rotating.
    incidence : float
        To the flow along the skin [rad].
    arrangement : str
        ``"counter-rotating"`` or ``"co-rotating"``.
    opening : str
        ``"downstream"`` or ``"upstream"``, as of `VaneRow`.
    strength : float
        Circulation over that of a rectangular vane of the same height and length [-].
    area : float
        Area over that of a rectangular vane [-].
    """

    height: float
    length: float
    pitch: float
    incidence: float
    trailing_gap: float = 0.0
    arrangement: str = "counter-rotating"
    opening: str = "downstream"
    strength: float = 1.0
    area: float = 1.0

    @property
    def per_pitch(self) -> int:
        """Vanes in one pitch."""
        return 1 if self.arrangement == "co-rotating" else 2

    def over(self, length: float) -> VaneSizes:
        """Return the same vanes with ``length`` as the unit."""
        return VaneSizes(
            height=self.height / length,
            length=self.length / length,
            pitch=self.pitch / length,
            incidence=self.incidence,
            trailing_gap=self.trailing_gap / length,
            arrangement=self.arrangement,
            opening=self.opening,
            strength=self.strength,
            area=self.area,
        )

    def trouble(self) -> str:
        """Say what makes these vanes none that can be computed, or nothing."""
        numbers = (
            self.height,
            self.length,
            self.pitch,
            self.incidence,
            self.trailing_gap,
            self.strength,
            self.area,
        )
        if not all(np.isfinite(numbers)):
            return "a size that is no number"
        if (
            self.height < 0.0
            or self.length <= 0.0
            or self.pitch <= 0.0
            or min(self.strength, self.area) < 0.0
        ):
            return "a size below zero"
        if not 0.0 <= self.incidence < 0.8:
            return "an incidence beyond 45 deg"
        if self.arrangement == "counter-rotating" and not 0.0 <= self.trailing_gap <= self.pitch:
            return "trailing tips of a pair wider apart than a pitch, or crossed"
        return ""


def vane_sizes(row: VaneRow, *, chord_m: float, strength: float = 1.0, area: float = 1.0) -> VaneSizes:
    """Take a row's vanes, lengths over the chord.

    Parameters
    ----------
    row : VaneRow
        As the owner describes it.
    chord_m : float
        The local chord [m].
    strength : float
        Factor of the vanes' shape on circulation [-].
    area : float
        Of one vane over height times length [-].

    Returns
    -------
    VaneSizes
    """
    return VaneSizes(
        height=row.height / chord_m,
        length=row.length / chord_m,
        pitch=row.pitch / chord_m,
        incidence=row.incidence,
        trailing_gap=row.trailing_gap / chord_m,
        arrangement=row.arrangement,
        opening=row.opening,
        strength=strength,
        area=area,
    )
