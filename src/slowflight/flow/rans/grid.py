"""A body-fitted grid about a section, made without being asked anything.

A square root unrolls the plane about a point inside the nose: section and wake become one gently waved line,
and lines straight up from it become a C about the nose. Such lines cannot cross however far they run, so no
marching is needed. Two blocks come of it:

    body   columns from the skin outward, lower trailing edge round the nose to the upper trailing edge
    wake   columns behind the trailing edge, from far below to far above; of a blunt edge the cells
           behind its base lie in the middle
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from slowflight.errors import SectionError
from slowflight.flow.rans.mesh import FAR, WALL, Indices, Mesh, Strips, build_mesh, quad_area
from slowflight.flow.rans.spacing import geometric, graded, spread, wanted_spacing
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.curve import outline_curve
from slowflight.wing.section import Section

SHARP_BELOW = 4e-4  # a trailing edge thinner than this is closed [chords]
CLOSING_FROM = 0.9  # ... by moving both skins from here on [chords]
FAR_AWAY = 6.5  # root of the distance of the outer boundary ahead and behind: 42 chords
FIRST_HEIGHT = 36.0  # of the first cells, times the Reynolds number; 0.35 of it at the nose
WAKE_BENDS_OVER = 0.6  # from the trailing edge's bisector to the flow's direction [chords]
# growth of the first height with distance, gently from the edge on, and how far that may shift grid lines
WAKE_OPENS, WAKE_OPENS_FROM, WAKE_SHIFT = 0.003, 0.5, 0.1
BASE_OPENS = 0.03  # growth of the distance between the wakes of both corners of a blunt edge
# total pressure near the nose suffers from the growth of steps there [roots of chords]
LAYER_ENDS, FAR_BEGINS, FASTER = 0.0015, 0.8, 1.4
FINEST_EDGE, FINEST_NOSE, COARSEST, GROWTH = 0.0012, 0.05, 0.03, 0.09


@dataclass(frozen=True)
class GridSize:
    """Numbers of cells.

    Parameters
    ----------
    around, wake, across, base : int
        Round the section, along the wake, from skin to far field, and across a blunt trailing edge.
    """

    around: int
    wake: int
    across: int
    base: int


FAMILIES = {
    "preview": GridSize(64, 16, 64, 8),
    "medium": GridSize(96, 24, 96, 12),
    "default": GridSize(128, 32, 128, 16),
    "fine": GridSize(192, 48, 192, 24),
}


@dataclass(frozen=True, eq=False)
class Grid:
    """Nodes of both blocks.

    Parameters
    ----------
    body : FloatArray
        Shape (around + 1, across + 1, 2) [chords].
    wake : FloatArray
        Shape (wake + 1, 2 across + base + 1, 2) [chords]; its first column holds the body's first and last.
    base : int
        Cells across the trailing edge, 0 where it is sharp.
    """

    body: FloatArray
    wake: FloatArray
    base: int

    @property
    def size(self) -> GridSize:
        """Numbers of cells."""
        return GridSize(self.body.shape[0] - 1, self.wake.shape[0] - 1, self.body.shape[1] - 1, self.base)

    @property
    def cells(self) -> int:
        """Number of cells in both blocks."""
        s = self.size
        return s.around * s.across + s.wake * (2 * s.across + s.base)

    def coarsened(self) -> Grid:
        """Every second node.

        Raises
        ------
        ValueError
            Where a number of cells is odd.
        """
        s = self.size
        if s.around % 2 or s.wake % 2 or s.across % 2 or s.base % 2:
            raise ValueError("only a grid with even numbers of cells can be halved")
        return Grid(self.body[::2, ::2], self.wake[::2, ::2], self.base // 2)

    def mesh(self, *, skin: int = WALL) -> Mesh:
        """Cells and faces; body cells first, each column from the skin outward.

        Parameters
        ----------
        skin : int
            Kind of the skin's faces: ``WALL``, or ``SLIP`` for air without friction.
        """
        s = self.size
        rows = 2 * s.across + s.base
        wake_nodes = np.arange(self.wake.shape[0] * (rows + 1)).reshape(-1, rows + 1)
        body_nodes = np.empty(self.body.shape[:2], dtype=np.int64)
        body_nodes[0] = wake_nodes[0, s.across :: -1]
        body_nodes[-1] = wake_nodes[0, s.across + s.base :]
        inner = (s.around - 1) * (s.across + 1)
        body_nodes[1:-1] = wake_nodes.size + np.arange(inner).reshape(s.around - 1, -1)
        nodes = np.concatenate((self.wake.reshape(-1, 2), self.body[1:-1].reshape(-1, 2)))
        body = np.arange(s.around * s.across).reshape(s.around, s.across)
        wake = body.size + np.arange(s.wake * rows).reshape(s.wake, rows)
        quads = np.concatenate((_quads(body_nodes), _quads(wake_nodes)))
        top = s.across + s.base
        along = np.concatenate((wake[::-1, s.across - 1 :: -1], body, wake[:, top:]))
        line_nodes = np.concatenate(
            (
                _pairs(wake_nodes)[::-1, s.across - 1 :: -1],
                _pairs(body_nodes)[1:-1],
                _pairs(wake_nodes)[:, top:],
            )
        )
        families = [
            _strips(body, _pairs(body_nodes.T), skin, FAR),
            _strips(wake, _pairs(wake_nodes.T), FAR, FAR),
            _strips(along.T, line_nodes, FAR, FAR),
        ]
        if s.base:
            families.append(
                _strips(wake[:, s.across : top].T, _pairs(wake_nodes)[:, s.across : top], skin, FAR)
            )
        return build_mesh(nodes, quads.astype(np.int32), families)


def _quads(nodes: Indices) -> Indices:
    corners = (nodes[:-1, :-1], nodes[1:, :-1], nodes[1:, 1:], nodes[:-1, 1:])
    return np.stack(corners, axis=-1).reshape(-1, 4)


def _pairs(nodes: Indices) -> Indices:
    """Faces between neighbors along the second axis, shape (n, m - 1, 2)."""
    return np.stack((nodes[:, :-1], nodes[:, 1:]), axis=-1)


def _strips(cells: Indices, pairs: Indices, start: int, end: int) -> Strips:
    """Pairs come as (place along the line, line, 2)."""
    return Strips(
        np.ascontiguousarray(cells, dtype=np.int32),
        np.ascontiguousarray(np.swapaxes(pairs, 0, 1), dtype=np.int32),
        start,
        end,
    )


def section_grid(
    section: Section,
    *,
    reynolds: float,
    family: str | GridSize = "default",
    wake_angle: float = math.radians(6.0),
) -> Grid:
    """Grid a section for a Reynolds number.

    Parameters
    ----------
    section : Section
    reynolds : float
        On chord and flight speed: sets the first height so that y+ stays near 1 or below.
    family : str or GridSize
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    wake_angle : float
        Direction of the wake far behind, from the chord line [rad].

    Returns
    -------
    Grid

    Raises
    ------
    SectionError
        Where no arrangement tried gives cells of positive area.
    """
    size = FAMILIES[family] if isinstance(family, str) else family
    worst = math.inf
    for angle, bends in ((wake_angle, WAKE_BENDS_OVER), (0.5 * wake_angle, 2.0), (wake_angle, 4.0)):
        grid = _grid(section, reynolds, size, angle, bends)
        worst = smallest_area_share(grid)
        if worst > 0.0:
            return grid
    raise SectionError(
        where=section.name,
        found=f"an outline about which grid lines fold over (worst cell {worst:.1e} of its neighbors' size)",
        needed="an outline that a C-shaped grid can follow",
        fix="check the outline for steps and hooks, or use a smaller flap angle",
    )


def smallest_area_share(grid: Grid) -> float:
    """Least ratio of a cell's area to the product of its mean sides; negative where one is folded."""
    worst = math.inf
    for nodes in (grid.body, grid.wake):
        ids = np.arange(nodes.shape[0] * nodes.shape[1]).reshape(nodes.shape[:2])
        corners = nodes.reshape(-1, 2)[_quads(ids)]
        side = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
        product = 0.25 * (side[:, 0] + side[:, 2]) * (side[:, 1] + side[:, 3])
        worst = min(worst, float(np.min(quad_area(corners) / product)))
    return worst


def _grid(section: Section, reynolds: float, size: GridSize, wake_angle: float, bends: float) -> Grid:
    skin, base, nose = _skin_points(section, size)
    first_height = FIRST_HEIGHT / reynolds * (0.35 + 0.65 * np.clip(np.abs(skin - nose) / 0.25, 0.0, 1.0))
    first_height *= 128.0 / max(size.across, 128)
    turn = np.exp(-1j * wake_angle)
    inside = _singular_point(skin, nose)
    flat = (skin - inside) * turn
    angle = np.unwrap(np.angle(flat))
    # the walk is clockwise and ends on the upper side, whose angle is near zero
    angle += 2.0 * np.pi * np.round(-angle[-1] / (2.0 * np.pi))
    rolled = np.sqrt(np.abs(flat)) * np.exp(0.5j * angle)
    upper, lower = _wake_lines(skin, base, size, wake_angle, bends)
    behind = np.abs(upper - upper[0])
    wake_height = np.full(behind.size, first_height[-1])
    up, low = np.sqrt((upper - inside) * turn), -np.sqrt((lower - inside) * turn)
    body = _columns(rolled, first_height, size.across, inside, turn)
    opened = WAKE_OPENS / first_height[-1] * behind**2 / (behind + WAKE_OPENS_FROM)
    shift = WAKE_SHIFT * behind / (behind + WAKE_OPENS_FROM)
    above = _columns(up, wake_height, size.across, inside, turn, opened=opened, shift=shift)
    below = _columns(low, wake_height, size.across, inside, turn, opened=opened, shift=shift)
    above[0], below[0] = body[-1], body[0]
    middle = np.empty((size.wake + 1, 0))
    if base:
        half = geometric(np.array([first_height[-1]]), np.array([0.5 * abs(upper[0] - lower[0])]), base // 2)[
            0
        ]
        share = np.concatenate((half, 2.0 * half[-1] - half[-2::-1])) / (2.0 * half[-1])
        middle = (lower[:, None] + (upper - lower)[:, None] * share)[:, 1:-1]
    parts = (below[:, ::-1], middle, above) if base else (below[:, ::-1], above[:, 1:])
    wake = np.concatenate(parts, axis=1)
    return Grid(_plane(body), _plane(wake), base)


def _plane(z: npt.NDArray[Any]) -> FloatArray:
    return np.stack((z.real, z.imag), axis=-1)


def _growth(up: FloatArray) -> FloatArray:
    """How fast steps may grow: least from the layer's edge at the nose to half a chord."""
    near, far = 1.0 / (1.0 + (up / LAYER_ENDS) ** 2), 1.0 / (1.0 + (up / FAR_BEGINS) ** 2)
    return 1.0 + FASTER * (near + 1.0 - far)


def _columns(
    rolled: ComplexArray,
    height: FloatArray,
    count: int,
    inside: complex,
    turn: complex,
    *,
    opened: FloatArray | float = 0.0,
    shift: FloatArray | float = 0.0,
) -> ComplexArray:
    """Nodes straight up in the unrolled plane; first steps grow by ``opened``, no line moves by ``shift``."""
    first = height / (2.0 * np.abs(rolled))
    up = graded(first, FAR_AWAY - rolled.imag, count, growth=_growth)
    much, far = np.atleast_1d(opened)[:, None], np.atleast_1d(shift)[:, None]
    up = up + far * up * much / np.maximum(up * much + far, 1e-30) * (1.0 - up / up[:, -1:])
    return np.asarray(inside + (rolled[:, None] + 1j * up) ** 2 / turn)


def _skin_points(section: Section, size: GridSize) -> tuple[ComplexArray, int, complex]:
    """Points round the skin, cells across the trailing edge, and the nose."""
    curve = outline_curve(section)
    ends = (float(curve.knots[0]), float(curve.knots[-1]))
    fine = np.linspace(ends[0], ends[1], 20001)
    points = curve.at(fine) @ np.array([1.0, 1j])
    length = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(points)))))
    nose = complex(curve.at(curve.nose) @ np.array([1.0, 1j]))
    at_nose = float(np.interp(curve.nose, fine, length))
    radius = _nose_radius(points, length, at_nose)
    features, finest = [0.0, length[-1], at_nose], [FINEST_EDGE, FINEST_EDGE, FINEST_NOSE * radius]
    if section.flap is not None:
        hinge = np.abs(points - complex(section.flap.hinge_x, section.flap.hinge_y))
        for side in (length < at_nose, length >= at_nose):
            features.append(float(length[side][np.argmin(hinge[side])]))
            finest.append(4.0 * FINEST_EDGE)
    even = np.linspace(0.0, length[-1], 20001)
    wanted = wanted_spacing(
        even, features=np.array(features), finest=np.array(finest), growth=GROWTH, coarsest=COARSEST
    )
    at = spread(float(length[-1]), wanted=wanted, count=size.around)
    skin = curve.at(np.interp(at, length, fine)) @ np.array([1.0, 1j])
    gap = skin[-1] - skin[0]
    if abs(gap) >= SHARP_BELOW:
        return skin, size.base, nose
    aft = np.clip((skin.real - CLOSING_FROM) / (skin.real[-1] - CLOSING_FROM), 0.0, 1.0) ** 2
    upper = np.arange(skin.size) > np.argmin(np.abs(at - at_nose))
    skin = skin + np.where(upper, -0.5, 0.5) * gap * aft
    skin[-1] = skin[0]
    return skin, 0, nose


def _nose_radius(points: ComplexArray, length: FloatArray, at_nose: float) -> float:
    """Radius of the circle through three points of the nose [chords]."""
    near = [int(np.argmin(np.abs(length - (at_nose + d)))) for d in (-0.004, 0.0, 0.004)]
    a, b, c = points[near]
    twice = abs(((b - a) * np.conj(c - a)).imag)
    return float(np.clip(abs(b - a) * abs(c - b) * abs(c - a) / max(2.0 * twice, 1e-12), 0.002, 0.05))


def _singular_point(skin: ComplexArray, nose: complex) -> complex:
    """A place inside the nose, half its radius behind it, halfway between the skins."""
    length = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(skin)))))
    k = int(np.argmin(np.abs(skin - nose)))
    back = 0.5 * _nose_radius(skin, length, float(length[k]))
    up = np.interp(nose.real + back, skin[k:].real, skin[k:].imag)
    down = np.interp(nose.real + back, skin[k::-1].real, skin[k::-1].imag)
    return complex(nose.real + back, 0.5 * (up + down))


def _wake_lines(
    skin: ComplexArray, base: int, size: GridSize, wake_angle: float, bends: float
) -> tuple[ComplexArray, ComplexArray]:
    """Both edges of the wake from the trailing edge's corners on, shape (wake + 1,) each."""
    leaving = (skin[-1] - skin[-2]) / abs(skin[-1] - skin[-2]) + (skin[0] - skin[1]) / abs(skin[0] - skin[1])
    begins = float(np.angle(leaving))
    first = 0.5 * (abs(skin[-1] - skin[-2]) + abs(skin[0] - skin[1]))
    along = geometric(np.array([first]), np.array([FAR_AWAY**2 - 1.0]), size.wake)[0]
    fine = np.concatenate(([0.0], np.geomspace(1e-4, along[-1], 4000)))
    heading = np.exp(1j * (wake_angle + (begins - wake_angle) * np.exp(-fine / bends)))
    path = np.concatenate(([0.0], np.cumsum(0.5 * (heading[1:] + heading[:-1]) * np.diff(fine))))
    line = np.interp(along, fine, path.real) + 1j * np.interp(along, fine, path.imag)
    middle = 0.5 * (skin[0] + skin[-1])
    gap = skin[-1] - skin[0]
    opened = 1.0 + BASE_OPENS * along / abs(gap) if base else np.zeros(along.size)
    return middle + line + 0.5 * gap * opened, middle + line - 0.5 * gap * opened
