"""One card as data: what is printed, before any page is drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A table to be filled in with a pencil.

    Parameters
    ----------
    columns : tuple of str
        Headings.
    widths : tuple of float
        Relative.
    rows : tuple of tuple of str
        What is printed in each row; empty cells are for writing.
    """

    columns: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        if any(len(row) != len(self.columns) for row in self.rows) or len(self.widths) != len(self.columns):
            raise ValueError("a card's table needs one cell for each column")


@dataclass(frozen=True, kw_only=True)
class Card:
    """One page.

    Parameters
    ----------
    title : str
        In a few words.
    gates : tuple of str
        What has to be ticked before this card may be flown.
    steps : tuple of str
        What to do, in order.
    sheet : Sheet or None
        What to write down.
    note : str
        Under the table.
    extra_stops : tuple of str
        Stop conditions peculiar to this card, ahead of the common ones.
    """

    title: str
    gates: tuple[str, ...]
    steps: tuple[str, ...]
    sheet: Sheet | None = None
    note: str = ""
    extra_stops: tuple[str, ...] = ()
