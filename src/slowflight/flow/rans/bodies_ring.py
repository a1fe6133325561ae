"""The ring of cells about a flap and its wake, up to the lines that run past the wing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.bodies_grid import BodiesSize
from slowflight.flow.rans.bodies_heights import FirstCells
from slowflight.flow.rans.bodies_outline import Attempt, Drawn, NotThisWayError, placed_along
from slowflight.flow.rans.grid import (
    COARSEST,
    FAR_AWAY,
    FINEST_EDGE,
    GROWTH,
    WAKE_OPENS,
    WAKE_OPENS_FROM,
)
from slowflight.flow.rans.spacing import geometric, spread, wanted_spacing
from slowflight.flow.solution import ComplexArray, FloatArray

TURNED = 0.5  # how far the front of the ring turns with the flap
EVENLY = 4  # columns split at the wing's trailing edge by multiples of this, so that a grid can be halved


@dataclass(frozen=True, eq=False)
class Ring:
    """Cells about the flap, unrolled.

    Parameters
    ----------
    nodes : ComplexArray
        From the flap's far wake below round its nose to the far wake above, and outward.
    step : FloatArray
        Height of the last cell of each column [chords].
    wake_places : FloatArray
        Along the flap's wake [chords].
    under_tail : bool
        Whether the flap reaches ahead under the wing's trailing edge.
    ahead_of_tail : int
        Columns of the slot under the wing's skin.
    """

    nodes: ComplexArray
    step: FloatArray
    wake_places: FloatArray
    under_tail: bool
    ahead_of_tail: int


def ring_about_flap(
    lines: Drawn, size: BodiesSize, *, first_cells: FirstCells, attempt: Attempt, droop: float
) -> Ring:
    """Make the ring.

    Raises
    ------
    NotThisWayError
        Where it cannot be drawn this way.
    """
    return _RingMaking(lines, size, first_cells, attempt, droop).made()


@dataclass(eq=False)
class _RingMaking:
    lines: Drawn
    size: BodiesSize
    first_cells: FirstCells
    attempt: Attempt
    droop: float

    def made(self) -> Ring:
        self._shape()
        self._walk_flap()
        self._fill()
        return Ring(self.ring, self.ring_step, self.wake_places, self.under_tail, self.ahead_of_tail)

    # -- the ring's edge ---------------------------------------------------------------------------------

    def _shape(self) -> None:
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
            raise NotThisWayError("a flap whose nose does not point ahead")
        above = np.concatenate((self.edge[self.at_above :], self.edge_above[1:]))
        below = np.concatenate((self.edge[self.at_below :: -1], self.edge_below[1:]))
        if np.any(np.diff(above.real) >= 0.0) or np.any(np.diff(below.real) >= 0.0):
            raise NotThisWayError("a flap that stands too steep to the wing")

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
            raise NotThisWayError("a flap that ends ahead of the wing's trailing edge")
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

    def _fill(self) -> None:
        d, size = self.lines, self.size
        s, w = self.skin_places, self.wake_places
        skin, wake = placed_along(s, d.flap_arc, d.flap), placed_along(w, d.flap_wake_arc, d.flap_wake)
        skin[-1] = wake[0] = skin[0]
        nose = 0.5 * (d.flap_arc[self.at_below] + d.flap_arc[self.at_above])
        chord = 0.5 * float(d.flap_arc[-1])
        height = self.first_cells.along(np.abs(s - nose) / chord)
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
