"""Making the grid about a wing and its flap, trying again where cells fold, refusing with the reason."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.errors import InputError, SectionError
from slowflight.flow.rans.bodies_grid import BODIES_FAMILIES, BodiesGrid, BodiesSize, quality
from slowflight.flow.rans.bodies_heights import FirstCells, falling, from_both_ends, onward
from slowflight.flow.rans.bodies_outline import Attempt, Drawn, NotThisWayError, drawn, placed_along
from slowflight.flow.rans.bodies_ring import EVENLY, Ring, ring_about_flap
from slowflight.flow.rans.grid import (
    COARSEST,
    FAR_AWAY,
    FINEST_EDGE,
    FINEST_NOSE,
    GROWTH,
    WAKE_OPENS,
    WAKE_OPENS_FROM,
    _growth,
    _nose_radius,
)
from slowflight.flow.rans.spacing import graded, spread, wanted_spacing
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.elements import Elements

SLIGHTEST = 0.05  # sine of the sharpest corner of a cell that is let pass
BLENDED = 1.4  # along the unrolled skin, from the ring's front on, to the heights of a wing alone
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
            ring = ring_about_flap(
                lines, size, first_cells=first[1], attempt=attempt, droop=elements.bodies[1].angle
            )
            grid = _Gridding(lines, size, first[0], ring).made()
        except NotThisWayError as error:
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


@dataclass(eq=False)
class _Gridding:
    """One attempt at a grid."""

    lines: Drawn
    size: BodiesSize
    first_cells: FirstCells
    ring: Ring

    def made(self) -> BodiesGrid:
        self._walk_wing()
        self._fill_near_and_beyond()
        return self._assembled()

    # -- places along the wing ---------------------------------------------------------------------------

    def _walk_wing(self) -> None:
        d, size = self.lines, self.size
        over = size.above + size.wake
        tops = self.ring.nodes[: -over - 2 : -1, -1]  # from the far wake to the corner above
        x = tops.real
        if np.any(np.diff(x) <= 0.0):
            raise NotThisWayError("columns of the slot that cross")
        tail = float(d.wing[0].real)
        nose = int(np.argmin(np.abs(d.wing)))
        aft = int(np.argmax(d.wing.real[:nose] > 0.5 * d.wing.real[0]))
        lower, lower_arc = d.wing[: aft + 1], d.wing_arc[: aft + 1]
        if np.any(np.diff(lower.real) <= 0.0):
            raise NotThisWayError("a wing whose lower side turns back")
        corner = float(x[-1])
        if corner > lower.real[-1]:
            raise NotThisWayError("a flap too far under the wing")
        height = self.first_cells.height
        self.gap_columns = 0
        if self.ring.under_tail:
            self.wake_columns = over - self.ring.ahead_of_tail
            places = np.interp(x[self.wake_columns :], lower.real, lower_arc)
            places[0] = 0.0
            bottom = np.concatenate(
                (self._wake_at(x[: self.wake_columns]), placed_along(places, d.wing_arc, d.wing))
            )
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
        first = self._front_step() if self.ring.under_tail else FINEST_EDGE
        even = np.linspace(begins, end, 20001)
        wanted = wanted_spacing(
            even, features=np.array([begins, end, d.wing_arc[nose]]),
            finest=np.array([first, FINEST_EDGE, FINEST_NOSE * radius]), growth=GROWTH, coarsest=COARSEST,
        )  # fmt: skip
        rest = begins + spread(end - begins, wanted=wanted, count=size.skin)
        skin = placed_along(rest, d.wing_arc, d.wing)
        behind = -bottom[: self.wake_columns + 1][::-1]
        skin[-1] = behind[0]
        self.bottom = np.concatenate((bottom, skin[1:], behind[1:]))
        wake_from = np.abs(d.flown(bottom[: self.wake_columns + 1]) - d.flown(d.wing[:1])[0])
        opened = height + WAKE_OPENS * wake_from**2 / (wake_from + WAKE_OPENS_FROM)
        arc = np.concatenate(
            (places if self.ring.under_tail else np.zeros(1), rest[1:])
        )  # along the skin, lower trailing edge first
        on_skin = self.first_cells.along(np.abs(arc - d.wing_arc[nose]))
        self.first = np.concatenate((opened[:-1], on_skin, opened[::-1][1:]))

    def _front_step(self) -> float:
        return float(self.ring.step[self.size.wake + self.size.below + self.size.front // 2])

    def _wake_at(self, x: FloatArray) -> ComplexArray:
        wake = self.lines.wing_wake
        return np.asarray(x + 1j * np.interp(-x, -wake.real, wake.imag))

    # -- heights -----------------------------------------------------------------------------------------

    def _fill_near_and_beyond(self) -> None:
        size, over = self.size, self.size.above + self.size.wake
        under = self.size.below + self.size.wake
        tops = self.ring.nodes[: -over - 2 : -1, -1]
        steps = self.ring.step[: -over - 2 : -1] / (2.0 * np.abs(tops))
        bottom = self.bottom[: over + 1]
        rise = (tops - bottom).imag
        if np.any(rise <= 0.0):
            raise NotThisWayError("the wing's wake runs into the flap")
        first = self.first / (2.0 * np.abs(self.bottom))
        slot = from_both_ends(first[: over + 1], steps, rise, size.near)
        slot_nodes = bottom[:, None] + (tops - bottom)[:, None] * slot / slot[:, -1:]
        start = self.ring.nodes[: under + 1, -1]
        start_step = self.ring.step[: under + 1] / (2.0 * np.abs(start))
        # one first step along the skin: columns stand close at the trailing edge and must not shear
        own = (self.ring.wake_places[:0:-1] / (self.ring.wake_places[:0:-1] + WAKE_OPENS_FROM)) ** 2
        at_tail = start_step[size.wake]
        start_step[: size.wake] = at_tail + (start_step[: size.wake] - at_tail) * own
        start_step[size.wake :] = at_tail
        raised = float(start[-1].imag - self.bottom[over].imag)
        below_nodes = start[:, None] + 1j * onward(start_step, FAR_AWAY - start.imag, size.outer, raised)
        count = size.near + size.front + size.outer
        line = self.bottom[over:]
        natural = graded(first[over:], FAR_AWAY - line.imag, count, growth=_growth)
        front = self.ring.nodes[under : self.ring.nodes.shape[0] - over, -1][
            ::-1
        ]  # from the corner above to that below
        level = np.concatenate((slot_nodes[-1], front[1:], below_nodes[-1, 1:]))
        heights = level.imag - line[0].imag
        if np.any(np.diff(heights) <= 0.0):
            raise NotThisWayError("a front of the ring that does not face ahead")
        aside = level.real - line[0].real
        path = length_along_plane(line)
        weight = falling(path / BLENDED)[:, None]
        a, b = size.near, size.near + size.front
        up = natural * (1.0 - weight) + heights * weight
        step = (natural[:, b + 1] - natural[:, b]) * (1.0 - weight[:, 0]) + start_step[-1] * weight[:, 0]
        up[:, b:] = up[:, b : b + 1] + onward(step, FAR_AWAY - line.imag - up[:, b], size.outer, up[:, b])
        up[0] = heights
        reach = max(8.0 * float(np.max(np.abs(aside))), 0.1)
        shifted = line.real[:, None] + aside * falling(path / reach)[:, None]
        ahead = shifted + 1j * (line.imag[:, None] + up)
        ahead[0] = level
        self.near = np.concatenate((slot_nodes[:-1], ahead[:, : a + 1]))
        self.strip = ahead[:, a : b + 1]
        self.outer = np.concatenate((below_nodes[:-1], ahead[:, b:]))

    def _assembled(self) -> BodiesGrid:
        near, strip, outer, ring = (
            _plane(self.lines.flown(z)) for z in (self.near, self.strip, self.outer, self.ring.nodes)
        )
        wing, flap = self.wake_columns, self.size.wake
        near[-1 : -wing - 2 : -1, 0] = near[: wing + 1, 0]
        ring[-1 : -flap - 2 : -1, 0] = ring[: flap + 1, 0]
        return BodiesGrid(near, strip, outer, ring, wing, flap)


def _plane(z: ComplexArray) -> FloatArray:
    return np.stack((z.real, z.imag), axis=-1)


def length_along_plane(line: ComplexArray) -> FloatArray:
    """Length along an unrolled line from its first point."""
    return np.concatenate(([0.0], np.cumsum(np.abs(np.diff(line)))))
