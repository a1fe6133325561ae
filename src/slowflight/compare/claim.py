"""Whether the slowest speed an owner has seen on the indicator can be true for this weight and this wing."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.uncertainty import Banded


@dataclass(frozen=True, kw_only=True)
class Claim:
    """What an indicated speed says about the wing, beside what was predicted.

    Parameters
    ----------
    implied_cl : Banded
        Lift coefficient that carries the weight at the indicated speed [-].
    predicted : Banded or None
        Maximum lift coefficient of the wing as predicted [-]; ``None`` where it is not predicted.
    finding : str
        ``"agrees"``, ``"lift too high"``, ``"lift too low"`` or ``"not yet predicted"``; of the implied
        lift against the predicted.
    needed_speed : Banded or None
        Calibrated airspeed at which the predicted maximum carries the weight [m/s].
    sentence : str
        The finding in a builder's words.
    explanations : tuple of str
        What may be behind it and how to find out, likeliest first.
    """

    implied_cl: Banded
    predicted: Banded | None
    finding: str
    needed_speed: Banded | None
    sentence: str
    explanations: tuple[str, ...]
