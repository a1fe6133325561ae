"""A row on both wings: every vane's place, what was left out, and how many to make."""

from __future__ import annotations

from dataclasses import dataclass

from slowflight.layout.fit import Fit
from slowflight.layout.nose_gauge import NoseGauge
from slowflight.layout.row_line import RowPoint
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class PlacedVane:
    """One vane on one wing.

    Parameters
    ----------
    side : str
        ``"left"`` or ``"right"`` wing, as the pilot sees it.
    number : int
        Running from 1 inboard; mirrored vanes share it.
    hand : str
        ``"A"`` or ``"B"``, see `slowflight.layout.hand`.
    span_position, trailing_span_position : float
        Of the forward and the trailing tip, from the aircraft's centerline, positive on both wings [m].
    chord_distance : float
        Of the forward tip from the nose along the chord line [m].
    skin_distance, trailing_skin_distance : float
        Of the forward and the trailing tip from the foremost point along the skin [m].
    toe : float
        Positive where the forward tip lies outboard of the trailing tip [rad].
    """

    side: str
    number: int
    hand: str
    span_position: float
    trailing_span_position: float
    chord_distance: float
    skin_distance: float
    trailing_skin_distance: float
    toe: float

    @property
    def label(self) -> str:
        """What is printed beside it: ``"R12"``."""
        return f"{self.side[0].upper()}{self.number}"


@dataclass(frozen=True, kw_only=True)
class Parts:
    """How many vanes to make.

    Parameters
    ----------
    left_a, left_b, right_a, right_b : int
        On each wing, of each hand.
    spare_a, spare_b : int
        More of each hand, rounded up.
    mass_each : float or None
        Of one vane with its tape, where known [kg].
    cost_each : float or None
        Of one vane, in the owner's currency.
    currency : str
        Which that is.
    """

    left_a: int
    left_b: int
    right_a: int
    right_b: int
    spare_a: int
    spare_b: int
    mass_each: float | None
    cost_each: float | None = None
    currency: str = ""

    @property
    def left(self) -> int:
        """On the left wing."""
        return self.left_a + self.left_b

    @property
    def right(self) -> int:
        """On the right wing."""
        return self.right_a + self.right_b

    @property
    def fitted(self) -> int:
        """On both wings."""
        return self.left + self.right

    @property
    def to_make_a(self) -> int:
        """Of hand A with spares."""
        return self.left_a + self.right_a + self.spare_a

    @property
    def to_make_b(self) -> int:
        """Of hand B with spares."""
        return self.left_b + self.right_b + self.spare_b

    @property
    def mass_fitted(self) -> float | None:
        """Of all vanes on both wings [kg], where known; glue is not counted."""
        return None if self.mass_each is None else self.mass_each * self.fitted

    @property
    def cost(self) -> float | None:
        """Of all vanes to make or buy, spares included, where known."""
        return None if self.cost_each is None else self.cost_each * (self.to_make_a + self.to_make_b)


@dataclass(frozen=True, kw_only=True)
class Stretch:
    """A part of the row with one pitch.

    Parameters
    ----------
    name, kind : str
        Of its zone; "row" where none was given.
    span_from, span_to : float
        From the aircraft's centerline [m].
    pitch : float or None
        From pair to pair [m]; None where it is left free.
    groups : int
        Pairs, or single vanes, that the pitch gives on each wing.
    placed : int
        Of these, how many stand.
    margin : float
        Left free at each end [m].
    """

    name: str
    kind: str
    span_from: float
    span_to: float
    pitch: float | None
    groups: int
    placed: int
    margin: float


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """A pair, or a single vane, that is not fitted, on neither wing.

    Parameters
    ----------
    span_position : float
        Its middle, from the centerline [m].
    vanes : int
        How many each wing lacks: 2 or 1.
    reason : str
        What is in the way, and on which wing.
    """

    span_position: float
    vanes: int
    reason: str


@dataclass(frozen=True, kw_only=True)
class LayoutPlan:
    """A row laid out on both wings.

    Parameters
    ----------
    name : str
        What the vane is called.
    row : VaneRow
        The row as it was asked for.
    span_from, span_to : float
        Where the row was asked to start and end, from the centerline [m].
    groups : int
        Pairs on each wing, or single vanes where co-rotating.
    margin : float
        Left free at each end of the first stretch because only whole pairs are placed [m].
    vanes : tuple of PlacedVane
        Left wing first, each wing from inboard outward.
    ribs : tuple of RowPoint
        The row's line about every half meter, at the wing's measured sections, and at the row's ends.
    gauges : tuple of NoseGauge
        The nose at the row's start, and at its end where chord or section differ; none between sections that
        differ.
    parts : Parts
        How many to make.
    stretches : tuple of Stretch
        The row cut at the borders of its zones, each with its own pitch.
    left_out : tuple of LeftOut
        Every pair, or single vane, that a keep-out took, on both wings.
    wanted : int
        Pairs on each wing before anything was left out.
    fit : Fit
        What the owner said about fitting.
    cautions, warnings : tuple of str
        What to read before acting, and what is peculiar to this layout.
    """

    name: str
    row: VaneRow
    span_from: float
    span_to: float
    groups: int
    margin: float
    vanes: tuple[PlacedVane, ...]
    ribs: tuple[RowPoint, ...]
    gauges: tuple[NoseGauge, ...]
    parts: Parts
    stretches: tuple[Stretch, ...]
    left_out: tuple[LeftOut, ...]
    wanted: int
    fit: Fit
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]

    def on(self, side: str) -> tuple[PlacedVane, ...]:
        """Return the vanes of one wing, from inboard outward."""
        return tuple(vane for vane in self.vanes if vane.side == side)
