r"""Which way a vane toes: the one place that says it, in words, for numbers and drawings alike.

Owners reverse toe, so it is told twice, and the two ways must agree.

- *Hand* is what a builder sees: the skin seen square from outside, the front of the aircraft up the page.
  A vane of hand A leans like ``\``, its forward tip left of its trailing tip; one of hand B leans like
  ``/``. A piece keeps its hand wherever it is carried, which is what counts when parts are made.
- *Toe* is what the wing knows: positive where the forward tip lies outboard of the trailing tip. Mirrored
  wings have equal toes and opposite hands.
"""

from __future__ import annotations

from slowflight.errors import InputError

SIDES = ("left", "right")
HANDS = ("A", "B")
VIEW = "looking square at the skin from outside, front of the aircraft up the page"
HAND_WORDS = {
    "A": "forward tip to the LEFT of the trailing tip, leaning like \\",
    "B": "forward tip to the RIGHT of the trailing tip, leaning like /",
}
TOE_WORDS = "toe is positive where the forward tip lies outboard of the trailing tip, on either wing"


def outboard_on_page(*, side: str, surface: str) -> int:
    """Which way outboard lies on a page that is read from outside with the front of the aircraft up.

    Parameters
    ----------
    side : str
        ``"left"`` or ``"right"`` wing, as seen by the pilot.
    surface : str
        ``"upper"``, seen from above, or ``"lower"``, seen from below.

    Returns
    -------
    int
        1 where outboard is to the right of the page, -1 where it is to the left.

    Raises
    ------
    InputError
        Where side or surface is no such word.
    """
    if side not in SIDES:
        raise InputError(where="side", found=repr(side), needed="left or right")
    if surface not in ("upper", "lower"):
        raise InputError(where="surface", found=repr(surface), needed="upper or lower")
    return 1 if (side == "right") == (surface == "upper") else -1


def hand_of(*, side: str, surface: str, toe: float) -> str:
    """Hand of a vane that stands on a wing.

    Parameters
    ----------
    side, surface : str
        As for `outboard_on_page`.
    toe : float
        Positive where the forward tip lies outboard of the trailing tip [rad], not zero.

    Returns
    -------
    str
        ``"A"`` or ``"B"``.

    Raises
    ------
    InputError
        Where side or surface is no such word, or the toe is zero and the vane has no hand.
    """
    if toe == 0.0:
        raise InputError(where="toe", found="0", needed="an angle, one way or the other")
    forward_tip_right = outboard_on_page(side=side, surface=surface) * toe > 0.0
    return "B" if forward_tip_right else "A"
