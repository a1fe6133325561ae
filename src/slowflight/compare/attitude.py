"""Whether the undercarriage lets the wing reach the angle at which it stalls."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Attitude:
    """The wing's angle on three wheels, beside the angles at which it stalls.

    Parameters
    ----------
    wing_angle : float
        Chord line of the root above level ground, on three wheels [rad].
    reaches_clean_stall, reaches_vane_stall : bool or None
        Whether that angle is as large as the stall angle; ``None`` where that is not predicted.
    margin : float or None
        Wing angle on three wheels less the clean stall angle [rad], negative where the gear stops the wing
        first.
    usable_share : float or None
        Share of the vanes' gain in maximum lift that can be used in a three-point touchdown [-], 0 to 1;
        ``None`` where it cannot be said.
    sentence : str
        The finding in a builder's words.
    """

    wing_angle: float
    reaches_clean_stall: bool | None
    reaches_vane_stall: bool | None
    margin: float | None
    usable_share: float | None
    sentence: str
