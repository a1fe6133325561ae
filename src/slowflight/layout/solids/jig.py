"""A yoke that seats on the leading edge and holds a pair of vanes at its station and toe.

The shell lies on the skin from the other side round the nose to behind the vanes. A vane hangs in its slot
with its foot in a pocket of the shell's underside; pressed on, the foot meets the skin, and the yoke lifts
off square to it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold

from slowflight.layout.nose_gauge import nose_gauge
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.solids.shaping import across, profile
from slowflight.layout.solids.solid import Solid, closed
from slowflight.layout.solids.vane_solid import VaneSize
from slowflight.layout.wrap import UNBOUNDED, at_skin_distance
from slowflight.wing.planform import Wing

SHELL = 7.0
# Round a fin, and round a foot [mm].
FIN_PLAY, FOOT_PLAY = 0.25, 0.4
BEHIND, BESIDE = 10.0, 8.0
# Extra outline beyond both ends, cut off square afterward [mm].
SPARE = 25.0


@dataclass(frozen=True, kw_only=True)
class Jig:
    """A yoke and what it is for.

    Parameters
    ----------
    solid : Solid
        Standing on its inboard or outboard side, as it is printed.
    span_position : float
        Where its section is taken, from the centerline [m].
    sides : tuple of str
        Wings that it fits.
    everywhere : bool
        Whether it fits all along the row.
    """

    solid: Solid
    span_position: float
    sides: tuple[str, ...]
    everywhere: bool


def jigs(plan: LayoutPlan, *, wing: Wing, size: VaneSize, tape: float) -> list[Jig]:
    """Build the yokes of a row.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    wing : Wing
        Its sections.
    size : VaneSize
        Of the vane whose foot the pockets take [mm].
    tape : float
        Under the foot [mm].

    Returns
    -------
    list of Jig
        At each place that has a nose gauge: one for both wings where vanes stand in pairs, which mirror
        themselves, and one for each wing where single vanes all toe alike.

    Raises
    ------
    SlowflightError
        Where the sizes make no solid.
    """
    found = []
    paired = plan.row.arrangement == "counter-rotating"
    for gauge in plan.gauges:
        for sides in (("left", "right"),) if paired else (("left",), ("right",)):
            solid = _jig(
                plan, wing, span=gauge.span_position, side=sides[-1], size=size, tape=tape,
                name="jig for both wings" if paired else f"jig for the {sides[0]} wing",
            )  # fmt: skip
            found.append(
                Jig(solid=solid, span_position=gauge.span_position, sides=sides, everywhere=gauge.everywhere)
            )
    return found


def _jig(
    plan: LayoutPlan, wing: Wing, *, span: float, side: str, size: VaneSize, tape: float, name: str
) -> Solid:
    row = plan.row
    cheek = nose_gauge(
        wing=wing, span_position=span, station=row.station, surface=row.surface,
        behind=row.length + 1e-3 * (BEHIND + SPARE), longest=UNBOUNDED, highest=UNBOUNDED,
    )  # fmt: skip
    assert cheek is not None  # there is a gauge at this place
    outline = 1000.0 * cheek.outline
    upper = row.surface == "upper"
    vanes = plan.on(side)[: 2 if row.arrangement == "counter-rotating" else 1]
    spans = [1000.0 * s for v in vanes for s in (v.span_position, v.trailing_span_position)]
    middle = 0.5 * (min(spans) + max(spans))
    width = max(spans) - min(spans) + 2.0 * (size.beside + FOOT_PLAY + BESIDE)
    skin = next(p.skin_distance for p in plan.ribs if abs(p.span_position - span) < 1e-9)
    forward, trailing = (
        np.array(at_skin_distance(cheek, skin + shift)[0]) * 1000.0
        for shift in (0.0, row.length * math.cos(row.incidence))
    )
    body = _shell(outline, width=width, end=trailing[0] + BEHIND, upper=upper)
    aft = (trailing - forward) / np.linalg.norm(trailing - forward)
    out = np.array([-aft[1], aft[0]]) if upper else np.array([aft[1], -aft[0]])
    # x runs aft and z up, so that y runs to starboard: outboard on the right wing.
    starboard = 1.0 if side == "right" else -1.0
    for vane in vanes:
        y = starboard * (1000.0 * vane.span_position - middle)
        # A forward tip that lies outboard has its trailing tip inboard.
        cut = _slot(size, turn=-starboard * math.degrees(vane.toe), tape=tape)
        body = body - cut.transform(_placed(forward, aft, out, y))
    return closed(body.rotate([90.0, 0.0, 0.0]), name=f"{name}, {1000.0 * span:.0f} mm from the centerline")


def _shell(outline: Any, *, width: float, end: float, upper: bool) -> Any:
    """A plate of even thickness bent round the nose."""
    # Carried on far aft, so that the plate behind lies beyond where it is cut.
    beyond = float(outline[:, 0].max()) + 100.0
    tail = [(beyond, float(outline[-1, 1])), (beyond, float(outline[0, 1]))]
    inside = profile([*((float(x), float(y)) for x, y in outline), *tail])
    skin = inside.offset(SHELL, JoinType.Round, 2.0, 64) - inside
    start = float(outline[0, 0])
    low, high = float(outline[:, 1].min()) - 50.0, float(outline[:, 1].max()) + 50.0
    fore = int(np.argmin(outline[:, 0]))
    level = float(outline[fore, 1])
    short = CrossSection.square([start - 1.0 + 100.0, (level - low) if upper else (high - level)])
    short = short.translate([-100.0, low if upper else level])
    long = CrossSection.square([end + 100.0, (high - level) if upper else (level - low)])
    long = long.translate([-100.0, level if upper else low])
    return across(skin ^ (short + long), width)


def _slot(size: VaneSize, *, turn: float, tape: float) -> Any:
    """What a vane takes out of the shell: x aft from its forward tip, y across, z outward from the skin.

    The fin is turned about its forward tip, the foot lies fore and aft below it.
    """

    def box(length: float, width: float, low: float, high: float) -> Any:
        centered = Manifold.cube([length + 2.0 * FIN_PLAY, width + 2.0 * FIN_PLAY, high - low])
        shifted = centered.translate([-FIN_PLAY, -0.5 * width - FIN_PLAY, low])
        return shifted.rotate([0.0, 0.0, turn])

    foot_top = size.foot + tape
    fin = box(size.length, size.root, -2.0, 4.0 * SHELL)
    root = box(size.length, size.root + 2.0 * size.fillet, -2.0, foot_top + size.fillet)
    wide, deep = (each + 2.0 * FOOT_PLAY for each in size.foot_size)
    angle = math.radians(turn)
    center = (0.5 * size.length * math.cos(angle), 0.5 * size.length * math.sin(angle))
    pocket = Manifold.cube([deep, wide, foot_top + 4.0]).translate(
        [center[0] - 0.5 * deep, center[1] - 0.5 * wide, -4.0]
    )
    return fin + root + pocket


def _placed(forward: Any, aft: Any, out: Any, starboard: float) -> list[list[float]]:
    """From (aft, across, out) of a slot to (aft, starboard, up) of the section, as a 3 by 4 matrix."""
    return [
        [float(aft[0]), 0.0, float(out[0]), float(forward[0])],
        [0.0, 1.0, 0.0, starboard],
        [float(aft[1]), 0.0, float(out[1]), float(forward[1])],
    ]
