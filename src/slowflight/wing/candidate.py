"""A vane the owner could make or buy, before anyone knows where it should stand."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import RangeError
from slowflight.wing.vane_row import VaneRow

EDGES = ("sharp", "rounded", "unknown")


@dataclass(frozen=True, kw_only=True)
class VaneCandidate:
    """One vane and the spacing it is meant for.

    Parameters
    ----------
    name : str
        What to call it in results.
    height, length : float
        Of one vane, above the skin and along itself [m].
    pitch : float
        From one pair to the next, or from vane to vane where co-rotating [m].
    gap : float
        Between the forward tips of a pair [m]; 0 where co-rotating.
    incidence : float
        Toe: between vane and chordwise direction [rad].
    arrangement, opening, shape : str
        As for `VaneRow`.
    edges : str
        ``"sharp"``, ``"rounded"`` or ``"unknown"``.
    mass_each : float or None
        Of one vane [kg].

    Raises
    ------
    RangeError
        Where a number is not finite or below zero, or `edges` is no such word.
    """

    name: str
    height: float
    length: float
    pitch: float
    gap: float
    incidence: float
    arrangement: str = "counter-rotating"
    opening: str = "downstream"
    shape: str = "rectangular"
    edges: str = "unknown"
    mass_each: float | None = None

    def __post_init__(self) -> None:
        if self.edges not in EDGES:
            raise RangeError(
                where="candidate edges", found=repr(self.edges), needed=f"one of {', '.join(EDGES)}"
            )
        if self.mass_each is not None and not (math.isfinite(self.mass_each) and self.mass_each >= 0.0):
            raise RangeError(where="candidate mass_each", found=str(self.mass_each), needed="zero or more")
        self.row(station=0.1)  # refuses every other number that is none

    def row(
        self,
        *,
        station: float,
        height: float | None = None,
        span_from: float | None = None,
        span_to: float | None = None,
    ) -> VaneRow:
        """Stand the vanes in a row on the upper side of the main wing.

        Parameters
        ----------
        station : float
            Of the forward tips [share of the chord].
        height : float, optional
            Another height than the candidate's own [m]; length and spacing stay.
        span_from, span_to : float, optional
            Where the row starts and ends, from the centerline [m].

        Returns
        -------
        VaneRow

        Raises
        ------
        RangeError
            As for `VaneRow`.
        """
        return VaneRow(
            station=station,
            height=self.height if height is None else height,
            length=self.length,
            pitch=self.pitch,
            incidence=self.incidence,
            gap=self.gap,
            arrangement=self.arrangement,
            opening=self.opening,
            shape=self.shape,
            span_from=span_from,
            span_to=span_to,
            name=self.name,
        )
