"""Making the grid about a wing and its flap, trying again where cells fold, refusing with the reason."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.errors import InputError, SectionError
from slowflight.flow.rans.bodies_grid import BODIES_FAMILIES, BodiesGrid, BodiesSize, quality
from slowflight.flow.rans.bodies_outline import Attempt, Drawn, drawn
from slowflight.flow.rans.grid import (
    COARSEST,
    FAR_AWAY,
    FINEST_EDGE,
    FINEST_NOSE,
    FIRST_HEIGHT,
    GROWTH,
    WAKE_OPENS,
    WAKE_OPENS_FROM,
    _growth,
    _nose_radius,
)
from slowflight.flow.rans.spacing import geometric, graded, spread, wanted_spacing
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.elements import Elements

SLIGHTEST = 0.05  # sine of the sharpest corner of a cell that is let pass
TURNED = 0.5  # how far the front of the ring turns with the flap
BLENDED = 1.4  # along the unrolled skin, from the ring's front on, to the heights of a wing alone
EVENLY = 4  # columns split at the wing's trailing edge by multiples of this, so that a grid can be halved
ATTEMPTS = tuple(
    Attempt(math.radians(corner), share, thick, bends)
    for share, thick, bends in ((0.45, 0.09, 0.6), (0.35, 0.06, 1.0), (0.25, 0.04, 2.0), (0.45, 0.05, 0.6))
    for corner in (50.0, 65.0, 35.0)
)


def bodies_grid(
    elements: Elements,
    *,
    reynolds: float,
    family: str | BodiesSize = "default",
    wake_angle: float = math.radians(4.0),
    frictionless: tuple[FirstCells, FirstCells] | None = None,
) -> BodiesGrid:
    """Grid a wing section with its flap for a Reynolds number.

    Parameters
    ----------
    elements : Elements
        Two bodies, the second behind and below the trailing edge of the first.
    reynolds : float
        On the wing's chord and flight speed: sets the first height so that y+ stays near 1.
    family : str or BodiesSize
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    wake_angle : float
        Direction of both wakes far behind, from the wing's chord line [rad].
    frictionless : tuple of FirstCells, optional
        On wing and flap in air without friction, in place of what the Reynolds number asks for.

    Returns
    -------
    BodiesGrid
        Its trailing edges are closed over the last tenth of each chord.

    Raises
    ------
    InputError
        Where there are not two bodies.
    SectionError
        Where no arrangement tried gives cells of positive area and angles.
    """
    if len(elements.bodies) != 2:
        raise InputError(where="bodies", found=f"{len(elements.bodies)}", needed="a wing and one flap")
    size = BODIES_FAMILIES[family] if isinstance(family, str) else family
    first = frictionless or (FirstCells.of(reynolds, size),) * 2
    reasons: list[tuple[float, str]] = []
    for attempt in ATTEMPTS:
        try:
            lines = drawn(elements, wake_angle=wake_angle, attempt=attempt)
            grid = _Gridding(lines, size, first, attempt, elements.bodies[1].angle).made()
        except _NotThisWayError as error:
            reasons.append((-2.0, str(error)))
            continue
        found = quality(grid)
        if found.least_sine >= SLIGHTEST:
            return grid
        where = f"at x = {found.x:.3f}, y = {found.y:.3f}"
        reasons.append((found.least_sine, f"cells too sharp or folded {where} (sine {found.least_sine:.2g})"))
    gap = elements.gap if elements.gap is not None else math.nan
    raise SectionError(
        where=f"flap setting {units.format_angle(elements.bodies[1].angle)}",
        found=f"{max(reasons)[1]}; gap {100.0 * gap:.1f} % of chord",
        needed="a flap behind and below the wing's trailing edge about which grid lines do not fold over",
        fix="use a smaller setting or check axis_aft, axis_below and axis_in_flap",
    )


@dataclass(frozen=True)
class FirstCells:
    """Heights of a body's first cells.

    Parameters
    ----------
    height : float
        From a quarter of its chord behind the nose on [chords of the wing].
    at_nose : float
        Share of it at the nose.
    """

    height: float
    at_nose: float = 0.35

    @classmethod
    def of(cls, reynolds: float, size: BodiesSize) -> FirstCells:
        """What keeps y+ near 1."""
        return cls(FIRST_HEIGHT / reynolds * 128.0 / max(size.near + size.front + size.outer, 128))

    def along(self, from_nose: FloatArray) -> FloatArray:
        """At distances from the nose [own chords]."""
        grown = np.clip(from_nose / 0.25, 0.0, 1.0)
        return np.asarray(self.height * (self.at_nose + (1.0 - self.at_nose) * grown))


class _NotThisWayError(Exception):
    """An arrangement that cannot be drawn, in words."""


@dataclass(eq=False)
class _Gridding:
    """One attempt at a grid."""

    lines: Drawn
    size: BodiesSize
    first_cells: tuple[FirstCells, FirstCells]
    attempt: Attempt
    droop: float

    def made(self) -> BodiesGrid:
        self._shape_ring()
        self._walk_flap()
        self._fill_ring()
        self._walk_wing()
        self._fill_near_and_beyond()
        return self._assembled()

    # -- the ring's edge ---------------------------------------------------------------------------------

    def _shape_ring(self) -> None:
        d = self.lines
        scale = 2.0 * np.abs(d.flap)
        self.edge = d.flap + d.thick / scale * np.exp(1j * d.direction)
        self.edge_above = d.flap_wake + d.above_thick / (2.0 * np.abs(d.flap_wake)) * np.exp(
            1j * d.above_direction
        )
        self.edge_below = d.flap_wake + d.below_thick / (2.0 * np.abs(d.flap_wake)) * np.exp(
            1j * d.below_direction
        )
        corner, middle = self.attempt.corner, -TURNED * self.droop
        self.at_below = int(np.argmax(d.direction < middle + corner))
        self.at_above = int(np.argmax(d.direction < middle - corner))
        last = d.flap.size - 1
        if not 0 < self.at_below < self.at_above < last:
            raise _NotThisWayError("a flap whose nose does not point ahead")
        above = np.concatenate((self.edge[self.at_above :], self.edge_above[1:]))
        below = np.concatenate((self.edge[self.at_below :: -1], self.edge_below[1:]))
        if np.any(np.diff(above.real) >= 0.0) or np.any(np.diff(below.real) >= 0.0):
            raise _NotThisWayError("a flap that stands too steep to the wing")
        self.above = above

    # -- places along the flap ---------------------------------------------------------------------------

    def _walk_flap(self) -> None:
        d, size = self.lines, self.size
        s_below, s_above = float(d.flap_arc[self.at_below]), float(d.flap_arc[self.at_above])
        end, chord = float(d.flap_arc[-1]), 0.5 * float(d.flap_arc[-1])
        front = (s_above - s_below) / size.front
        edge, coarse = FINEST_EDGE * min(1.0, 3.0 * chord), min(COARSEST, 0.06 * chord)
        tail = float(d.wing[0].real)
        skin_edge = self.edge[self.at_above :]
        self.under_tail = bool(skin_edge.real[-1] < tail < skin_edge.real[0])
        if tail <= skin_edge.real[-1]:
            raise _NotThisWayError("a flap that ends ahead of the wing's trailing edge")
        places, finest = [s_above, end], [front, edge]
        if self.under_tail:
            at = float(np.interp(-tail, -skin_edge.real, d.flap_arc[self.at_above :]))
            places.append(at)
            finest.append(2.0 * edge)
        parts = [(s_above, at), (at, end)] if self.under_tail else [(s_above, end)]
        wanted = [self._wanted(a, b, places, finest, coarse) for a, b in parts]
        if self.under_tail:
            need = [float(np.sum(1.0 / w)) * (b - a) for w, (a, b) in zip(wanted, parts, strict=True)]
            first = EVENLY * max(1, round(size.above * need[0] / sum(need) / EVENLY))
            first = min(first, size.above - EVENLY)
            counts = [first, size.above - first]
        else:
            counts = [size.above]
        pieces = [
            a + spread(b - a, wanted=w, count=c) for w, c, (a, b) in zip(wanted, counts, parts, strict=True)
        ]
        above = np.concatenate([pieces[0], *(p[1:] for p in pieces[1:])])
        self.ahead_of_tail = counts[0] if self.under_tail else 0  # columns of the slot under the wing's skin
        wanted_below = self._wanted(0.0, s_below, [0.0, s_below], [edge, front], coarse)
        below = spread(s_below, wanted=wanted_below, count=size.below)
        middle = np.linspace(s_below, s_above, size.front + 1)
        self.skin_places = np.concatenate((below, middle[1:-1], above))
        last = np.array([0.5 * (above[-1] - above[-2] + below[1])])
        reach = np.array([FAR_AWAY**2 - 1.0])
        self.wake_places = geometric(last, reach, size.wake)[0]

    @staticmethod
    def _wanted(a: float, b: float, places: list[float], finest: list[float], coarse: float) -> FloatArray:
        even = np.linspace(a, b, 4001)
        return wanted_spacing(
            even, features=np.array(places), finest=np.array(finest), growth=GROWTH, coarsest=coarse
        )

    # -- the ring ----------------------------------------------------------------------------------------

    def _fill_ring(self) -> None:
        d, size = self.lines, self.size
        s, w = self.skin_places, self.wake_places
        skin, wake = _at(s, d.flap_arc, d.flap), _at(w, d.flap_wake_arc, d.flap_wake)
        skin[-1] = wake[0] = skin[0]
        nose = 0.5 * (d.flap_arc[self.at_below] + d.flap_arc[self.at_above])
        chord = 0.5 * float(d.flap_arc[-1])
        height = self.first_cells[1].along(np.abs(s - nose) / chord)
        opened = height[-1] + WAKE_OPENS * w**2 / (w + WAKE_OPENS_FROM)
        rows = []
        for base, where, arc, direction, thick, first in (
            (wake, w, d.flap_wake_arc, d.below_direction, d.below_thick, opened),
            (skin, s, d.flap_arc, d.direction, d.thick, height),
            (wake, w, d.flap_wake_arc, d.above_direction, d.above_thick, opened),
        ):
            room = np.interp(where, arc, thick)
            way = np.exp(1j * np.interp(where, arc, direction)) / (2.0 * np.abs(base))
            up = geometric(np.minimum(first, room / size.ring), room, size.ring)
            rows.append((base[:, None] + way[:, None] * up, up))
        (below, b), (around, a), (above, c) = rows
        self.ring = np.concatenate((below[:0:-1], around, above[1:]))
        ups = np.concatenate((b[:0:-1], a, c[1:]))
        self.ring_step = ups[:, -1] - ups[:, -2]

    # -- places along the wing ---------------------------------------------------------------------------

    def _walk_wing(self) -> None:
        d, size = self.lines, self.size
        over = size.above + size.wake
        tops = self.ring[: -over - 2 : -1, -1]  # from the far wake to the corner above
        x = tops.real
        if np.any(np.diff(x) <= 0.0):
            raise _NotThisWayError("columns of the slot that cross")
        tail = float(d.wing[0].real)
        nose = int(np.argmin(np.abs(d.wing)))
        aft = int(np.argmax(d.wing.real[:nose] > 0.5 * d.wing.real[0]))
        lower, lower_arc = d.wing[: aft + 1], d.wing_arc[: aft + 1]
        if np.any(np.diff(lower.real) <= 0.0):
            raise _NotThisWayError("a wing whose lower side turns back")
        corner = float(x[-1])
        if corner > lower.real[-1]:
            raise _NotThisWayError("a flap too far under the wing")
        height = self.first_cells[0].height
        self.gap_columns = 0
        if self.under_tail:
            self.wake_columns = over - self.ahead_of_tail
            places = np.interp(x[self.wake_columns :], lower.real, lower_arc)
            places[0] = 0.0
            bottom = np.concatenate((self._wake_at(x[: self.wake_columns]), _at(places, d.wing_arc, d.wing)))
            begins = float(places[-1])
        else:
            spacing = max(0.5 * (self._front_step() + FINEST_EDGE), 0.3 * (tail - corner) / (tail - x[-2]))
            along = abs(d.flown(np.array([tail + 0j]))[0] - d.flown(np.array([corner + 0j]))[0])
            self.gap_columns = EVENLY * int(np.clip(round(along / (3.0 * spacing) / EVENLY), 1, 6))
            even = np.linspace(0.0, along, 4001)
            wanted = wanted_spacing(
                even, features=np.array([0.0, along]),
                finest=np.array([self._front_step(), 2.0 * FINEST_EDGE]), growth=GROWTH, coarsest=COARSEST,
            )  # fmt: skip
            share = spread(along, wanted=wanted, count=self.gap_columns) / along
            between = corner + (tail - corner) * share[1:]
            self.wake_columns = over + self.gap_columns
            bottom = np.concatenate((self._wake_at(np.concatenate((x, between[:-1]))), d.wing[:1]))
            begins = 0.0
        end = float(d.wing_arc[-1])
        flown = d.flown(d.wing)
        radius = _nose_radius(flown, d.wing_arc, float(d.wing_arc[nose]))
        first = self._front_step() if self.under_tail else FINEST_EDGE
        even = np.linspace(begins, end, 20001)
        wanted = wanted_spacing(
            even, features=np.array([begins, end, d.wing_arc[nose]]),
            finest=np.array([first, FINEST_EDGE, FINEST_NOSE * radius]), growth=GROWTH, coarsest=COARSEST,
        )  # fmt: skip
        rest = begins + spread(end - begins, wanted=wanted, count=size.skin)
        skin = _at(rest, d.wing_arc, d.wing)
        behind = -bottom[: self.wake_columns + 1][::-1]
        skin[-1] = behind[0]
        self.bottom = np.concatenate((bottom, skin[1:], behind[1:]))
        wake_from = np.abs(d.flown(bottom[: self.wake_columns + 1]) - d.flown(d.wing[:1])[0])
        opened = height + WAKE_OPENS * wake_from**2 / (wake_from + WAKE_OPENS_FROM)
        arc = np.concatenate(
            (places if self.under_tail else np.zeros(1), rest[1:])
        )  # along the skin, lower trailing edge first
        on_skin = self.first_cells[0].along(np.abs(arc - d.wing_arc[nose]))
        self.first = np.concatenate((opened[:-1], on_skin, opened[::-1][1:]))

    def _front_step(self) -> float:
        return float(self.ring_step[self.size.wake + self.size.below + self.size.front // 2])

    def _wake_at(self, x: FloatArray) -> ComplexArray:
        wake = self.lines.wing_wake
        return np.asarray(x + 1j * np.interp(-x, -wake.real, wake.imag))

    # -- heights -----------------------------------------------------------------------------------------

    def _fill_near_and_beyond(self) -> None:
        size, over = self.size, self.size.above + self.size.wake
        under = self.size.below + self.size.wake
        tops = self.ring[: -over - 2 : -1, -1]
        steps = self.ring_step[: -over - 2 : -1] / (2.0 * np.abs(tops))
        bottom = self.bottom[: over + 1]
        rise = (tops - bottom).imag
        if np.any(rise <= 0.0):
            raise _NotThisWayError("the wing's wake runs into the flap")
        first = self.first / (2.0 * np.abs(self.bottom))
        slot = _from_both_ends(first[: over + 1], steps, rise, size.near)
        slot_nodes = bottom[:, None] + (tops - bottom)[:, None] * slot / slot[:, -1:]
        start = self.ring[: under + 1, -1]
        start_step = self.ring_step[: under + 1] / (2.0 * np.abs(start))
        # one first step along the skin: columns stand close at the trailing edge and must not shear
        own = (self.wake_places[:0:-1] / (self.wake_places[:0:-1] + WAKE_OPENS_FROM)) ** 2
        at_tail = start_step[size.wake]
        start_step[: size.wake] = at_tail + (start_step[: size.wake] - at_tail) * own
        start_step[size.wake :] = at_tail
        raised = float(start[-1].imag - self.bottom[over].imag)
        below_nodes = start[:, None] + 1j * _onward(start_step, FAR_AWAY - start.imag, size.outer, raised)
        count = size.near + size.front + size.outer
        line = self.bottom[over:]
        natural = graded(first[over:], FAR_AWAY - line.imag, count, growth=_growth)
        front = self.ring[under : self.ring.shape[0] - over, -1][::-1]  # from the corner above to that below
        level = np.concatenate((slot_nodes[-1], front[1:], below_nodes[-1, 1:]))
        heights = level.imag - line[0].imag
        if np.any(np.diff(heights) <= 0.0):
            raise _NotThisWayError("a front of the ring that does not face ahead")
        aside = level.real - line[0].real
        path = length_along_plane(line)
        weight = _falling(path / BLENDED)[:, None]
        a, b = size.near, size.near + size.front
        up = natural * (1.0 - weight) + heights * weight
        step = (natural[:, b + 1] - natural[:, b]) * (1.0 - weight[:, 0]) + start_step[-1] * weight[:, 0]
        up[:, b:] = up[:, b : b + 1] + _onward(step, FAR_AWAY - line.imag - up[:, b], size.outer, up[:, b])
        up[0] = heights
        reach = max(8.0 * float(np.max(np.abs(aside))), 0.1)
        shifted = line.real[:, None] + aside * _falling(path / reach)[:, None]
        ahead = shifted + 1j * (line.imag[:, None] + up)
        ahead[0] = level
        self.near = np.concatenate((slot_nodes[:-1], ahead[:, : a + 1]))
        self.strip = ahead[:, a : b + 1]
        self.outer = np.concatenate((below_nodes[:-1], ahead[:, b:]))

    def _assembled(self) -> BodiesGrid:
        near, strip, outer, ring = (
            _plane(self.lines.flown(z)) for z in (self.near, self.strip, self.outer, self.ring)
        )
        wing, flap = self.wake_columns, self.size.wake
        near[-1 : -wing - 2 : -1, 0] = near[: wing + 1, 0]
        ring[-1 : -flap - 2 : -1, 0] = ring[: flap + 1, 0]
        return BodiesGrid(near, strip, outer, ring, wing, flap)


def _at(places: FloatArray, arc: FloatArray, line: ComplexArray) -> ComplexArray:
    return np.asarray(np.interp(places, arc, line.real) + 1j * np.interp(places, arc, line.imag))


def _plane(z: ComplexArray) -> FloatArray:
    return np.stack((z.real, z.imag), axis=-1)


def length_along_plane(line: ComplexArray) -> FloatArray:
    """Length along an unrolled line from its first point."""
    return np.concatenate(([0.0], np.cumsum(np.abs(np.diff(line)))))


def _onward(first: FloatArray, total: FloatArray, count: int, raised: FloatArray | float) -> FloatArray:
    """Heights to the far boundary from a line that is ``raised`` above the wing's, shape (n, count + 1)."""
    above = np.broadcast_to(raised, first.shape)[:, None]
    return graded(first, total, count, growth=lambda height: _growth(height + above))


def _falling(t: FloatArray) -> FloatArray:
    """From 1 at 0 smoothly to 0 at 1."""
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(1.0 - t * t * (3.0 - 2.0 * t))


def _from_both_ends(first: FloatArray, last: FloatArray, total: FloatArray, count: int) -> FloatArray:
    """Heights that begin and end with given steps, shape (n, count + 1).

    Steps grow from both ends by one rate and meet in the middle, rounded off where they do.
    """
    first, last = np.minimum(first, total / count), np.minimum(last, 2.0 * total / count)
    low, high = np.full(first.shape, -6.0), np.full(first.shape, 4.0)  # of the logarithm of the rate

    def needed(rate: FloatArray) -> tuple[FloatArray, FloatArray]:
        share = 1.0 / (1.0 + np.exp(-np.linspace(-14.0, 14.0, 801)))
        share = (share - share[0]) / (share[-1] - share[0])
        h = total[:, None] * share
        a, b = first[:, None] + rate[:, None] * h, last[:, None] + rate[:, None] * (total[:, None] - h)
        step = (a**-4.0 + b**-4.0) ** -0.25
        n = np.concatenate(
            (np.zeros((len(h), 1)), np.cumsum(np.diff(h) * 2.0 / (step[:, 1:] + step[:, :-1]), axis=1)),
            axis=1,
        )
        return h, n

    for _ in range(50):
        middle = 0.5 * (low + high)
        enough = needed(np.exp(middle))[1][:, -1] < count
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    h, n = needed(np.exp(0.5 * (low + high)))
    n *= count / n[:, -1:]
    wanted = np.arange(count + 1.0)
    return np.stack([np.interp(wanted, b, a) for a, b in zip(h, n, strict=True)])
