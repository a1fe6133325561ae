"""A vane to print: a fin on a foot, with draft, a rounded top and a fillet where they meet.

Hand and toe are built in: the foot's edges lie fore and aft, and only the fin is turned.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from slowflight.errors import RangeError
from slowflight.layout.solids.shaping import across, along, profile
from slowflight.layout.solids.solid import Solid, closed
from slowflight.layout.vane_side import SIDES

FACETS = 24
SUNK = 0.08


@dataclass(frozen=True, kw_only=True)
class VaneSize:
    """A vane's sizes [mm, deg].

    Parameters
    ----------
    height, length : float
        Over the foot's underside, and along the fin.
    shape, hand : str
    toe : float
        Of the fin against the foot's edges [deg].
    foot : float
        Thickness of the foot.
    top : float
        Thickness of the fin at its rounded top.
    draft : float
        By which each side leans from upright [deg].
    fillet : float
        Radius between fin and foot.
    beside : float
        Of foot beyond the fin on every side.
    """

    height: float
    length: float
    shape: str
    hand: str
    toe: float
    foot: float = 1.2
    top: float = 1.0
    draft: float = 2.0
    fillet: float = 1.0
    beside: float = 3.0

    def __post_init__(self) -> None:
        if self.height < self.foot + 1.5 * self.top:
            raise RangeError(
                where="height of a printed vane",
                found=f"{self.height:.1f} mm on a foot of {self.foot:.1f} mm",
                needed=f"at least {self.foot + 1.5 * self.top:.1f} mm",
                fix="buy or fold vanes as low as this, or make the base thinner in fit.toml",
            )

    @property
    def root(self) -> float:
        """Thickness of the fin where it meets the foot [mm]."""
        return self.top + 2.0 * (self.height - self.foot) * math.tan(math.radians(self.draft))

    @property
    def foot_size(self) -> tuple[float, float]:
        """Of the foot, across and fore-and-aft [mm]."""
        sine, cosine = math.sin(math.radians(self.toe)), math.cos(math.radians(self.toe))
        return (
            self.length * sine + self.root * cosine + 2.0 * self.beside,
            self.length * cosine + self.root * sine + 2.0 * self.beside,
        )


def vane_solid(size: VaneSize) -> Solid:
    """Build a vane.

    Parameters
    ----------
    size : VaneSize

    Returns
    -------
    Solid
        x to the right and y forward as a builder sees it from outside, z up from the skin; hand A has one
        notch in the forward edge of its foot, hand B two.

    Raises
    ------
    SlowflightError
        Where the sizes make no solid.
    """
    fin = _fin(size)
    lean = 1.0 if size.hand == "A" else -1.0
    # The fin's x runs aft; hand A has its forward tip to the left.
    middle = fin.translate([-0.5 * size.length, 0.0, 0.0])
    turned = middle.rotate([0.0, 0.0, -90.0 + lean * size.toe])
    body = turned + _foot(size)
    name = f"vane {size.hand}, {size.shape}, {size.height:.1f} x {size.length:.1f} mm, toe {size.toe:.1f} deg"
    return closed(body, name=name)


def _fin(size: VaneSize) -> Any:
    """The fin from x = 0 (forward tip) to its length, on z = 0, with its fillets."""
    side = SIDES[size.shape]
    radius = 0.5 * size.top
    ball = Manifold.sphere(radius, FACETS)
    fine = np.linspace(0.0, 1.0, 1201)
    # From where it rises out of the foot.
    first = next(float(x) for x in fine if size.height * side(float(x)) >= size.foot)
    stations = np.unique([first, *(x for x in np.linspace(0.0, 1.0, 33) if x > first)])
    tops = [(float(x), size.height * side(float(x))) for x in stations]
    pieces = [
        ball.translate([min(max(x * size.length, radius), size.length - radius), 0.0, top - radius])
        for x, top in tops
    ]
    start = first * size.length
    foot = Manifold.cube([size.length - start, size.root, 0.5 * size.foot]).translate(
        [start, -0.5 * size.root, 0.5 * size.foot]
    )
    fin = Manifold.batch_hull([*pieces, foot])
    return fin + _fillets(size, tops)


def _fillets(size: VaneSize, tops: list[tuple[float, float]]) -> Any:
    """Hollow quarter rounds on both sides, no higher than the fin stands."""
    radius = min(size.fillet, 0.4 * (size.height - size.foot), size.beside)
    half = 0.5 * size.root
    angles = np.linspace(0.0, 0.5 * math.pi, 9)
    # From the foot's top inward and up, about a center beside and above the corner; sunk a little, because
    # surfaces that only touch come out as slivers.
    y, z = half + radius - SUNK, size.foot + radius - SUNK
    curve = [(y - radius * math.sin(a), z - radius * math.cos(a)) for a in angles]
    right = [*curve, (0.0, z), (0.0, 0.5 * size.foot), (y, 0.5 * size.foot)]
    left = [(-y, z) for y, z in right]
    both = along(profile(right) + profile(left), size.length)
    shadow = [(x * size.length, max(top - 3.0 * SUNK, 0.6 * size.foot)) for x, top in tops]
    inner = [(min(max(x, SUNK), size.length - SUNK), top) for x, top in shadow]
    outline = profile([(SUNK, 0.0), (size.length - SUNK, 0.0), *inner[::-1]])
    return both ^ across(outline, 10.0 * size.length)


def _foot(size: VaneSize) -> Any:
    wide, deep = size.foot_size
    round_by = min(2.0, 0.3 * wide, 0.3 * deep)
    plate = CrossSection.square([wide - 2.0 * round_by, deep - 2.0 * round_by], True).offset(
        round_by, JoinType.Round, 2.0, 4 * FACETS
    )
    notch = CrossSection.circle(0.7, FACETS)
    places = (0.0,) if size.hand == "A" else (-1.3, 1.3)
    for x in places:
        plate = plate - notch.translate([x, 0.5 * deep])
    return plate.extrude(size.foot)
