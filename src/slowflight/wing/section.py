"""One airfoil: an outline in unit chord, checked when it is made.

Axes: x runs from the nose at 0 to the trailing edge at 1, y points up. The outline is one continuous line
from the lower trailing edge round the nose to the upper trailing edge, which is clockwise, so that arc length
grows downstream on the upper side.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from slowflight.errors import SectionError
from slowflight.wing import outline
from slowflight.wing.outline import FloatArray

FEWEST_POINTS = 20
MOST_POINTS = 5000
THINNEST, THICKEST = 0.008, 0.6
WIDEST_TRAILING_EDGE = 0.06
# How far the foremost and aftmost points may lie from 0 and 1: the foremost point of a section drawn about a
# steep mean line lies ahead of its chord line's end, 0.1 % of chord for the 230 series at 12 %.
END_TOLERANCE = 0.02
# A flap turned down trims the lower skin this far ahead of its hinge, and no further.
HINGE_CLEARANCE = 0.08
SHORTEST_SEGMENT = 1e-9
SHARPEST_TURN = np.radians(170.0)


@dataclass(frozen=True)
class FlapDeflection:
    """How the aft part of an outline was turned.

    Parameters
    ----------
    hinge_x, hinge_y : float
        Where the hinge lies in the section's axes [chords].
    angle : float
        Deflection, trailing edge down positive [rad].
    unturned : Section or None
        The section with its flap at zero, where it is known.
    kind : str
        ``"plain"``, or ``"split"`` where only the lower skin turns.
    """

    hinge_x: float
    hinge_y: float
    angle: float
    unturned: Section | None = field(default=None, repr=False, compare=False)
    kind: str = "plain"


@dataclass(frozen=True, eq=False)
class Section:
    """An airfoil outline in unit chord.

    Parameters
    ----------
    name : str
        What to call it in results.
    x, y : FloatArray
        The outline from the lower trailing edge over the nose to the upper trailing edge [chords],
        shape (n,), 20 to 5,000 points. Kept read-only.
    chord_m : float or None
        The real chord where the source said it [m].
    source : str
        The file or the formula it came from.
    notes : tuple of str
        What was done to the points on the way in.
    cautions : tuple of str
        What the owner should check before trusting a result.
    error_bar_m : float or None
        Half-width of the measuring error of the ordinates [m], where the source said it.
    flap : FlapDeflection or None
        The deflection, where the aft part was turned; only then may the outline leave the chord box.

    Raises
    ------
    SectionError
        Where the points do not make an airfoil: too few or too many, not finite, doubled, crossing, running
        the wrong way round, no thickness, or ends away from the nose at 0 and the trailing edge at 1.
    """

    name: str
    x: FloatArray
    y: FloatArray
    chord_m: float | None = None
    source: str = ""
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    error_bar_m: float | None = None
    flap: FlapDeflection | None = None

    def __post_init__(self) -> None:
        where = self.source or self.name
        for axis in ("x", "y"):
            values = np.array(getattr(self, axis), dtype=np.float64)
            values.flags.writeable = False
            object.__setattr__(self, axis, values)
        _check_points(self.x, self.y, where=where)
        _check_ends(self, where=where)
        _check_shape(self, where=where)

    @property
    def nose_index(self) -> int:
        """Index of the outline point nearest to the nose end of the chord line."""
        return int(np.argmin(np.hypot(self.x, self.y)))

    @property
    def trailing_edge_gap(self) -> float:
        """Distance between the two ends of the outline [chords]."""
        return float(np.hypot(self.x[-1] - self.x[0], self.y[-1] - self.y[0]))

    @property
    def max_thickness(self) -> float:
        """Largest height between lower and upper side, across the chord line, ahead of a hinge [chords]."""
        one, other = self._heights()
        return float(np.max(one - other))

    @property
    def max_camber(self) -> float:
        """Largest height of the line between both sides over the chord line, ahead of a hinge [chords]."""
        one, other = self._heights()
        middle = 0.5 * (one + other)
        return float(middle[np.argmax(np.abs(middle))])

    def _heights(self) -> tuple[FloatArray, FloatArray]:
        """Both sides at the same stations along the chord line, ahead of a hinge."""
        nose = self.nose_index
        aft = 1.0 if self.flap is None else self.flap.hinge_x - HINGE_CLEARANCE
        stations = 0.5 * aft * (1.0 - np.cos(np.linspace(0.0, np.pi, 401)))
        # Just behind a steep nose x may run back a little; the foremost stretch carries no thickness.
        one, other = (
            np.interp(stations, np.maximum.accumulate(x), y)
            for x, y in ((self.x[nose:], self.y[nose:]), (self.x[nose::-1], self.y[nose::-1]))
        )
        return one, other


def _check_points(x: FloatArray, y: FloatArray, *, where: str) -> None:
    if x.ndim != 1 or x.shape != y.shape:
        raise SectionError(
            where=where,
            found=f"x of shape {x.shape} and y of shape {y.shape}",
            needed="two rows of equal length",
        )
    if x.size < FEWEST_POINTS:
        raise SectionError(
            where=where,
            found=f"{x.size} points",
            needed=f"at least {FEWEST_POINTS}",
            fix="measure more stations, closest together at the nose",
        )
    if x.size > MOST_POINTS:
        raise SectionError(
            where=where,
            found=f"{x.size:,} points",
            needed=f"at most {MOST_POINTS:,}",
            fix=f"keep every {-(-x.size // 400)}th point",
        )
    bad = ~(np.isfinite(x) & np.isfinite(y))
    if np.any(bad):
        raise SectionError(
            where=where,
            found=f"a coordinate that is no number at point {int(np.argmax(bad)) + 1}",
            needed="finite numbers",
        )
    short = outline.segment_lengths(x, y) < SHORTEST_SEGMENT
    if np.any(short):
        raise SectionError(
            where=where,
            found=f"the same point twice, number {int(np.argmax(short)) + 1} and the next",
            needed="each point once",
        )


def _check_ends(section: Section, *, where: str) -> None:
    x, y = section.x, section.y
    nose = section.nose_index
    off = float(np.hypot(x[nose], y[nose]))
    foremost = float(x.min())
    if foremost < -END_TOLERANCE or off > END_TOLERANCE:
        raise SectionError(
            where=where,
            found=f"a foremost point at x = {foremost:.4f} and {off:.4f} from the origin to the outline",
            needed="the nose at x = 0, y = 0",
            fix="draw the outline about its chord line, from nose to trailing edge",
        )
    if min(nose, x.size - 1 - nose) < 4:
        raise SectionError(
            where=where,
            found=f"{min(nose, x.size - 1 - nose)} points between the nose and one end",
            needed="the trailing edge at both ends of the outline and at least 5 points a side",
        )
    aft = max(abs(x[0] - 1.0), abs(x[-1] - 1.0))
    if section.flap is None and (aft > END_TOLERANCE or x.max() > 1.0 + END_TOLERANCE):
        raise SectionError(
            where=where,
            found=f"ends at x = {x[0]:.4f} and {x[-1]:.4f}, aftmost point at {x.max():.4f}",
            needed="both ends at the trailing edge, x = 1",
        )
    split = section.flap is not None and section.flap.kind == "split"
    if section.trailing_edge_gap > WIDEST_TRAILING_EDGE and not split:
        raise SectionError(
            where=where,
            found=f"a trailing edge {100 * section.trailing_edge_gap:.1f} % of chord thick",
            needed=f"at most {100 * WIDEST_TRAILING_EDGE:.0f} %",
            fix="check that both surfaces run to the trailing edge",
        )


def _check_shape(section: Section, *, where: str) -> None:
    x, y = section.x, section.y
    sharp = np.abs(outline.turns(x, y)) > SHARPEST_TURN
    if np.any(sharp):
        spot = int(np.argmax(sharp)) + 1
        raise SectionError(
            where=where,
            found=f"an outline that doubles back at x = {x[spot]:.4f}, y = {y[spot]:.4f}",
            needed="one smooth line round the section",
            fix="check the order of the points there",
        )
    crossing = outline.first_crossing(x, y)
    if crossing is not None:
        first, second = crossing
        raise SectionError(
            where=where,
            found=f"an outline that crosses itself near x = {x[first]:.4f}, y = {y[first]:.4f}"
            f" (points {first + 1} and {second + 1})",
            needed="an outline that never crosses itself",
            fix="check the points and their order there",
        )
    if outline.enclosed_area(x, y) >= 0.0:
        raise SectionError(
            where=where,
            found="points that run from the upper trailing edge over the nose to the lower one, or no area",
            needed="points from the lower trailing edge over the nose to the upper one",
            fix="turn their order round",
        )
    thickness = section.max_thickness
    if not THINNEST <= thickness <= THICKEST:
        raise SectionError(
            where=where,
            found=f"a greatest thickness of {100 * thickness:.2f} % of chord",
            needed=f"{100 * THINNEST:.1f} to {100 * THICKEST:.0f} %",
        )
