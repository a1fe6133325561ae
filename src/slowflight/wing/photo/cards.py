"""The two printed cards: where their round targets stand, in millimeters of paper."""

from __future__ import annotations

from dataclasses import dataclass

# A black dot in a white ring in a black ring [mm].
DOT, WHITE, RING = 5.0, 8.5, 12.0
COLUMNS, ROWS = (-70.0, 0.0, 70.0), (-95.0, 0.0, 95.0)


@dataclass(frozen=True, kw_only=True)
class Card:
    """One card.

    Parameters
    ----------
    name : str
        ``"NOSE"`` or ``"TAIL"``.
    targets : tuple of (float, float)
        Centers from the middle of the card, x to the right and y down the page [mm]; the four corners first.
    """

    name: str
    targets: tuple[tuple[float, float], ...]


def _card(name: str, without: set[tuple[float, float]]) -> Card:
    corners = [(x, y) for x in (COLUMNS[0], COLUMNS[-1]) for y in (ROWS[0], ROWS[-1])]
    others = [(x, y) for x in COLUMNS for y in ROWS if (x, y) not in corners and (x, y) not in without]
    return Card(name=name, targets=(*corners, *others))


# What is left out tells which way up a card lies, and how many are left which card it is.
NOSE_CARD = _card("NOSE", {(70.0, 0.0)})
TAIL_CARD = _card("TAIL", {(70.0, 0.0), (0.0, -95.0)})
