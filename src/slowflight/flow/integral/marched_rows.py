"""Rows of vanes marched in the coupled solution: layer and edge speed -> march -> layer and edge speed.

Both sides need the other: the march wants the layer ahead of the row and the edge speed behind it, which
depend on what the row does. At a few angles of attack, followed from attached flow, the coupled solution and
the march are repeated until lift stays; between these angles what is handed over is interpolated. That is
possible because mixing is handed over relative to the velocity defect that is left (``closure_budget``) and
so changes little from one angle to the next.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

import numpy as np

from slowflight.flow.integral import vanes
from slowflight.flow.integral.closure import turbulent_closure
from slowflight.flow.integral.closure_budget import beside_closure, wake_shape
from slowflight.flow.integral.handed import PLACES, Handed, Marched
from slowflight.flow.integral.layer import turbulent_share
from slowflight.flow.row_march.handed_over import hand_over
from slowflight.flow.row_march.run import QUICK, MarchSettings, RowLayer
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.solution import FloatArray

T = TypeVar("T")

LONGEST_STEP, SHORTEST_STEP = math.radians(1.5), math.radians(0.2)
RELAXED = 0.5  # share of a second or later march at one angle that counts, so that the loop does not swing
MOST_MISSED = 2  # angles in a row without an answer, after which no more are marched that way
FIRST_PLACE = 0.5  # of a row's table behind the vanes, after the one at 0 [heights]


@dataclass(frozen=True, kw_only=True)
class Marching:
    """How rows are marched in the coupled solution.

    Parameters
    ----------
    spacing : float
        Between angles that are marched [rad].
    passes : int
        Most marches at one angle.
    tolerance : float
        Change of the lift coefficient below which no further march is made [-].
    settings : MarchSettings
    """

    spacing: float = math.radians(3.0)
    passes: int = 3
    tolerance: float = 1e-3
    settings: MarchSettings = QUICK


PRINTED = Marching()
"""Angles 3 degrees apart, marched until lift stays. At 6 degrees and marched once, lift near its maximum came
out up to 3 % off."""


@dataclass(frozen=True)
class Layers:
    """The layers of the body that carries the rows, at one angle.

    Parameters
    ----------
    alpha : float
        [rad].
    state, arc : FloatArray
        Unknowns at its stations and places on its arc, shapes (n, 5) and (n,).
    stagnation : int
        Panel where the flow divides.
    reynolds, critical, lag : float
        On main chord and flight speed; critical amplification factor and lag constant [-].
    """

    alpha: float
    state: FloatArray
    arc: FloatArray
    stagnation: int
    reynolds: float
    critical: float
    lag: float


def march_rows(
    rows: FloatArray, sizes: Sequence[VaneSizes], layers: Layers, before: Handed, settings: MarchSettings
) -> Handed:
    """March all rows in the layers of one angle, and put what they hand over beside that of other angles.

    Where a march stops ahead of the trailing edge, what the nearest angle already marched has from there on
    is added; where it is refused, all of it is taken (nothing where there is none).

    Parameters
    ----------
    rows : FloatArray
        See ``vanes``, shape (k, COLUMNS).
    sizes : sequence of VaneSizes
        The same vanes [chords].
    layers : Layers
    before : Handed
    settings : MarchSettings

    Returns
    -------
    Handed
    """
    others = replace(
        before,
        angles=before.angles[np.abs(before.angles - layers.alpha) > 1e-9],
        wakes=before.wakes[np.abs(before.angles - layers.alpha) > 1e-9],
        tables=before.tables[np.abs(before.angles - layers.alpha) > 1e-9],
    )
    wakes = np.zeros((rows.shape[0], 3))
    tables = np.zeros((rows.shape[0], PLACES, vanes.TABLE))
    said = []
    for group in _alike(rows):
        first = group[0]
        pitch = 1.0 / sum(1.0 / sizes[r].pitch for r in group)
        nearest = int(np.argmin(np.abs(others.angles - layers.alpha))) if others.angles.size else None
        more = sizes[first].pitch / pitch
        beyond = None
        if nearest is not None:
            beyond = more * others.wakes[nearest, first], more * others.tables[nearest, first]
        wake, table, told = _marched(
            rows[first], replace(sizes[first], pitch=pitch), layers, beyond, settings
        )
        for r in group:
            share = pitch / sizes[r].pitch
            wakes[r] = share * wake
            tables[r, :, vanes.DISTANCE] = table[:, vanes.DISTANCE]
            tables[r, :, 1:] = share * table[:, 1:]
            said.append(replace(told, row=r))
    again = np.nonzero(np.abs(before.angles - layers.alpha) <= 1e-9)[0]
    if again.size:
        last = int(again[0])
        wakes = RELAXED * wakes + (1.0 - RELAXED) * before.wakes[last]
        tables = RELAXED * tables + (1.0 - RELAXED) * before.tables[last]
    return before.with_march(layers.alpha, wakes, tables, tuple(said))


def _alike(rows: FloatArray) -> list[list[int]]:
    """Rows that are one row: the same vanes at the same place, whatever their pitch."""
    groups: list[list[int]] = []
    same = np.delete(rows, [vanes.PITCH, vanes.WAKE, vanes.WAKE_OF_SHAPE, vanes.DRAG], axis=1)
    for r in range(rows.shape[0]):
        for group in groups:
            if np.array_equal(same[r], same[group[0]]):
                group.append(r)
                break
        else:
            groups.append([r])
    return groups


def _plate_shape(re_theta: float) -> float:
    """Shape factor of a turbulent layer that neither fills nor empties on a plate, by the closure."""
    low, high = 1.2, 2.2
    for _ in range(40):
        H = 0.5 * (low + high)
        z = turbulent_closure(H, math.log(re_theta), 0.03, False)
        z = turbulent_closure(H, math.log(re_theta), float(z[10]), False)
        if z[6] - z[3] > z[2] * z[3]:
            high = H
        else:
            low = H
    return 0.5 * (low + high)


@dataclass(frozen=True, kw_only=True)
class Met:
    """What a row meets in the layers of one angle [chords].

    Parameters
    ----------
    layer : RowLayer
        Ahead of the row; where it is laminar, the turbulent one of the same momentum thickness.
    tripped : bool
        Whether it is laminar.
    distance, speed : FloatArray
        Places behind the vanes' ends up to the trailing edge, and edge speed there, shape (PLACES,).
    thickest : float
        The layer behind the row at its thickest.
    """

    layer: RowLayer
    tripped: bool
    distance: FloatArray
    speed: FloatArray
    thickest: float


def met_by(row: FloatArray, height: float, layers: Layers) -> Met | None:
    """What a row of vanes of a height [chords] meets, or None where the stagnation point lies behind it."""
    state, arc = layers.state, layers.arc
    side = int(row[vanes.SIDE])
    step = 1 if side == 1 else -1
    js, n = layers.stagnation, arc.size
    lower, upper = math.exp(state[js, 4]), math.exp(state[js + 1, 4])
    divide = float(arc[js] + (arc[js + 1] - arc[js]) * lower / (lower + upper))
    if (row[vanes.FRONT] - divide) * step <= 0.0:
        return None
    shares = np.array([turbulent_share(q[3], layers.critical)[0] for q in state[:n]])
    theta, H, u, share = vanes.at_row(row[vanes.FRONT], step, state, arc, n, divide, shares)
    if share < 1.0:
        # tripped by the vanes: momentum stays, the shape is that of a turbulent layer
        H = share * H + (1.0 - share) * _plate_shape(max(layers.reynolds * u * theta, 100.0))
    behind = np.arange(n) if side == 1 else np.arange(n - 1, -1, -1)
    behind = behind[(arc[behind] - row[vanes.FRONT]) * step > 0.0]
    places = (arc[behind] - row[vanes.REAR]) * step
    distance = _places(height, float(places[-1]))
    shapes = 1.0 + np.exp(state[behind, 1])
    thick = np.exp(state[behind, 0]) * (3.15 + 1.72 / np.maximum(shapes - 1.0, 0.1) + shapes)
    return Met(
        layer=RowLayer(
            thickness=theta * (3.15 + 1.72 / (H - 1.0) + H), momentum_thickness=theta, shape_factor=H
        ),
        tripped=bool(share < 0.5),
        distance=distance,
        speed=np.exp(np.interp(distance, places, state[behind, 4])),
        thickest=float(thick.max()),
    )


def _marched(
    row: FloatArray,
    sizes: VaneSizes,
    layers: Layers,
    beyond: tuple[FloatArray, FloatArray] | None,
    settings: MarchSettings,
) -> tuple[FloatArray, FloatArray, Marched]:
    """Wake, table and what is told of one row (of all alike at one place)."""
    end = float(layers.arc[-1] if row[vanes.SIDE] == 1.0 else layers.arc[0])
    length = abs(end - float(row[vanes.REAR]))
    table = np.zeros((PLACES, vanes.TABLE))
    table[:, vanes.DISTANCE] = _places(sizes.height, length)
    told = Marched(
        alpha=layers.alpha, row=0, status="ran", reason="", valid_to=length, to_edge=length, over_layer=0.0,
        tripped=False,
    )  # fmt: skip
    met = met_by(row, sizes.height, layers) if sizes.height > 0.0 else None
    if met is None:
        return np.zeros(3), table, told
    found = hand_over(
        row=sizes,
        layer=met.layer,
        distance=met.distance,
        edge_speed=met.speed,
        reynolds=layers.reynolds,
        thickest=met.thickest,
        settings=settings,
    )
    told = replace(
        told, status=found.status, reason=found.reason, valid_to=min(found.valid_to, length),
        over_layer=sizes.height / met.layer.thickness, tripped=met.tripped,
    )  # fmt: skip
    last, fuller = 0, 0.0
    if found.status != "refused":
        sums = beside_closure(
            distance=met.distance, speed=met.speed, found=found, reynolds=layers.reynolds, lag=layers.lag
        )
        fuller = wake_shape(speed=float(met.speed[0]), found=found, reynolds=layers.reynolds)
        last = sums[0].size - 1
        for column, values in zip((vanes.TAKEN, vanes.MIXED, vanes.WORKED), sums, strict=True):
            table[: last + 1, column] = values
            table[last + 1 :, column] = values[-1]
    wake = np.array([found.wake, fuller, found.drag])
    if beyond is not None:
        table[last + 1 :, 1:] += beyond[1][last + 1 :, 1:] - beyond[1][last, 1:]
        if found.status == "refused":
            wake = beyond[0]
    return wake, table, told


def _places(height: float, length: float) -> FloatArray:
    """Distances behind the vanes, closest at first, up to the trailing edge."""
    first = FIRST_PLACE * height
    if height <= 0.0 or first * (PLACES - 1) >= length:
        return np.linspace(0.0, length, PLACES)
    return np.concatenate(([0.0], np.geomspace(first, length, PLACES - 1)))


@dataclass(frozen=True)
class Reached(Generic[T]):
    """A solution, as the loop needs it."""

    solved: T
    layers: Layers
    lift: float


class Follower(Generic[T]):
    """Follows solutions over angles of attack, with whatever the rows hand over.

    Parameters
    ----------
    solve : callable
        Solves at an angle [rad] from a solution close by, or afresh; None where there is no answer.
    start : callable
        Gives a first solution in attached flow, or None.
    """

    def __init__(
        self,
        solve: Callable[[Handed, float, T | None], Reached[T] | None],
        start: Callable[[Handed], Reached[T] | None],
    ) -> None:
        self.solve = solve
        self.start = start

    def reach(self, handed: Handed, alpha: float, near: Reached[T]) -> Reached[T] | None:
        """Follow a solution to an angle, in steps that are halved where they fail."""
        here, step = near, LONGEST_STEP
        while True:
            left = alpha - here.layers.alpha
            last = abs(left) <= step + 1e-12
            target = alpha if last else here.layers.alpha + math.copysign(step, left)
            found = self.solve(handed, target, here.solved)
            if found is not None and last:
                return found
            if found is not None:
                here = found
                continue
            step = 0.5 * min(step, abs(left))
            if step < SHORTEST_STEP:
                return None


def marched_over_angles(
    *,
    rows: FloatArray,
    sizes: Sequence[VaneSizes],
    handed: Handed,
    angles: Sequence[float],
    follower: Follower[T],
    how: Marching,
) -> tuple[Handed, Reached[T] | None]:
    """March rows at angles spread over those asked for, outward from a first solution.

    Parameters
    ----------
    rows, sizes
        As for ``march_rows``.
    handed : Handed
        Nothing yet.
    angles : sequence of float
        That are wanted in the end [rad].
    follower : Follower
    how : Marching

    Returns
    -------
    Handed
        With a march at each angle that has a solution; beyond the last one on either side it is held.
    Reached or None
        A solution in attached flow with what the rows hand over, to begin from.
    """
    first = follower.start(handed)
    if first is None:
        return handed, None
    # at whole steps, whatever is asked for and wherever the first solution was found, so that an answer does
    # not hang on either
    step = round(first.layers.alpha / how.spacing)
    first = follower.reach(handed, step * how.spacing, first) or first
    first, handed = _settled(rows, sizes, handed, first, follower, how)
    for sign in (1, -1):
        here = first
        far = max(sign * a for a in angles)
        at, missed = step, 0
        while sign * at * how.spacing < far - 1e-9 and missed < MOST_MISSED:
            at += sign
            found = follower.reach(handed, at * how.spacing, here)
            if found is None:
                found = follower.solve(handed, at * how.spacing, None)
            if found is None:
                missed += 1
                continue
            missed = 0
            here, handed = _settled(rows, sizes, handed, found, follower, how)
    return handed, first


def _settled(
    rows: FloatArray,
    sizes: Sequence[VaneSizes],
    handed: Handed,
    here: Reached[T],
    follower: Follower[T],
    how: Marching,
) -> tuple[Reached[T], Handed]:
    """March and solve in turn at one angle until lift stays."""
    alpha = here.layers.alpha
    for _ in range(how.passes):
        handed = march_rows(rows, sizes, here.layers, handed, how.settings)
        again = follower.solve(handed, alpha, here.solved)
        if again is None:
            break  # the march stands; the angle has no answer with it
        change, here = abs(again.lift - here.lift), again
        if change < how.tolerance:
            break
    return here, handed
