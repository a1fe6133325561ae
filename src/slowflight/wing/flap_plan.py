"""The flap as the owner describes it: of whatever kind, whether or not this version can compute it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.errors import RangeError
from slowflight.wing.flap import FURTHEST_DOWN, FURTHEST_UP, PlainFlap
from slowflight.wing.flap_file import KINDS


@dataclass(frozen=True, kw_only=True)
class FlapPlan:
    """A flap, flaperon or drooping aileron and the settings it is flown at.

    Parameters
    ----------
    kind : str
        ``"plain"``, ``"split"``, ``"slotted"`` or ``"hung"`` (a small wing of its own below and behind the
        trailing edge).
    chord : float
        Of the flap [share of the main chord].
    settings : tuple of float
        Deflections, trailing edge down positive [rad], in the owner's order.
    airfoil : str or None
        Of a hung or slotted flap, as the owner named it.
    axis_aft, axis_below : float or None
        Where the axis of a hung flap lies behind and below the main trailing edge [shares of the main chord].
    axis_in_flap : float or None
        Where the axis lies in the flap, from its nose [share of the flap chord].
    other_axes : tuple of (float, float)
        Other places of that axis, aft and below, to compare [shares of the main chord].
    hinge : str or float
        Of a plain flap, as for `PlainFlap`.
    span_from, span_to : float or None
        Where it starts and ends, from the aircraft's centerline [m].

    Raises
    ------
    RangeError
        Where there is no setting, two are alike, one is out of -20 to 60 deg, or the kind is unknown.
    """

    kind: str
    chord: float
    settings: tuple[float, ...]
    airfoil: str | None = None
    axis_aft: float | None = None
    axis_below: float | None = None
    axis_in_flap: float | None = None
    other_axes: tuple[tuple[float, float], ...] = ()
    hinge: str | float = "middle"
    span_from: float | None = None
    span_to: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise RangeError(where="flap kind", found=repr(self.kind), needed=f"one of {', '.join(KINDS)}")
        if not self.settings or len(set(self.settings)) < len(self.settings):
            raise RangeError(where="flap settings", found=str(self.settings), needed="one or more, each once")
        for setting in self.settings:
            if not FURTHEST_UP - 1e-12 <= setting <= FURTHEST_DOWN + 1e-12:
                found = f"{math.degrees(setting):.1f} deg"
                raise RangeError(where="flap settings", found=found, needed="-20 to 60 deg")

    def plain(self) -> PlainFlap | None:
        """Return the flap for the section's geometry where it is a plain one, else None.

        Raises
        ------
        RangeError
            Where the chord or the hinge of a plain flap is out of range.
        """
        return PlainFlap(chord=self.chord, hinge=self.hinge) if self.kind == "plain" else None
