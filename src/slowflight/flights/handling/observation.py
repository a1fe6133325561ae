"""What the pilot wrote down about handling: one configuration, one flap setting, its worst case.

Everything may be None: 'not flown' is an answer, and never the same as 'nothing found'.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

from slowflight.errors import InputError, RangeError

AS_BEFORE = "as before"
# The words of each question, the harmless one first.
CHOICES: dict[str, tuple[str, ...]] = {
    "wing_drop": ("none", "left", "right", "either"),
    "flare": (AS_BEFORE, "less authority", "cannot raise the nose"),
    "pitch": (AS_BEFORE, "lighter", "pitch-up or force reversal"),
    "recovery": (AS_BEFORE, "slower", "keeps turning"),
    "rudder": (AS_BEFORE, "more needed", "runs out"),
    "shake": ("none new", "new", "control or tail"),
    "ailerons": (AS_BEFORE, "heavier or snatching", "reversal or hunting"),
}


@dataclass(frozen=True, kw_only=True)
class Observation:
    """How the aircraft handled.

    Parameters
    ----------
    roll_at_stall : float or None
        Largest roll at a stall [rad].
    roll_held : bool or None
        Whether normal use of the controls held it.
    wing_drop : str or None
        To which side a wing dropped that could not be held at once: ``"none"``, ``"left"``, ``"right"``,
        ``"either"``.
    warning : bool or None
        Whether there was a stall warning before the stall.
    warning_margin : float or None
        Speed at the warning less speed at the stall [m/s].
    stick_stop_first : bool or None
        Whether the elevator reached its stop before the wing stalled.
    flare : str or None
        Elevator in the flare, at forward center of gravity: ``"as before"``, ``"less authority"``,
        ``"cannot raise the nose"``.
    pitch : str or None
        ``"as before"``, ``"lighter"``, ``"pitch-up or force reversal"``.
    height_lost : float or None
        Largest loss from stall to level flight [m].
    recovery : str or None
        ``"as before"``, ``"slower"``, ``"keeps turning"``.
    sink : float or None
        At the lowest speed that could be held, wings level [m/s], positive down.
    rudder : str or None
        ``"as before"``, ``"more needed"``, ``"runs out"``, at idle or in a climb.
    shake : str or None
        ``"none new"``, ``"new"``, ``"control or tail"``: buffet that costs control, or a shaking tail.
    ailerons : str or None
        ``"as before"``, ``"heavier or snatching"``, ``"reversal or hunting"``.
    """

    roll_at_stall: float | None = None
    roll_held: bool | None = None
    wing_drop: str | None = None
    warning: bool | None = None
    warning_margin: float | None = None
    stick_stop_first: bool | None = None
    flare: str | None = None
    pitch: str | None = None
    height_lost: float | None = None
    recovery: str | None = None
    sink: float | None = None
    rudder: str | None = None
    shake: str | None = None
    ailerons: str | None = None

    def __post_init__(self) -> None:
        for name, words in CHOICES.items():
            said = getattr(self, name)
            if said is not None and said not in words:
                raise InputError(
                    where=f"handling, {name}", found=repr(said), needed=f"one of {', '.join(words)}"
                )
        for one in fields(self):
            number = getattr(self, one.name)
            if isinstance(number, float) and not math.isfinite(number):
                raise RangeError(where=f"handling, {one.name}", found=f"{number}", needed="a finite number")
