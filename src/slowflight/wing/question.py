"""What the owner wants to know: where to try vanes, how high, in which air, at what price."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.wing.candidate import VaneCandidate

__all__ = ["Question", "VaneCandidate"]


@dataclass(frozen=True, kw_only=True)
class Question:
    """The study to make.

    Parameters
    ----------
    positions : tuple of float
        Stations of the forward tips to try, rising [shares of the chord].
    height_factors : tuple of float
        Heights to try, rising [shares of each candidate's own height].
    density_altitude : float
        Of the air [m].
    cruise_price : float
        Greatest loss of cruise speed that is accepted [m/s].
    row_from, row_to : float
        Where the row is to start and end, from the centerline [m].
    flap_setting : float or None
        At which the row is chosen [rad]; ``None`` for flap up.
    """

    positions: tuple[float, ...]
    height_factors: tuple[float, ...]
    density_altitude: float
    cruise_price: float
    row_from: float
    row_to: float
    flap_setting: float | None = None
