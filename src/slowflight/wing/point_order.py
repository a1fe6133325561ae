"""Put points, as people write them, into one order: lower trailing edge, nose, upper trailing edge.

Known forms: one loop in either direction from the trailing edge, one closed loop from anywhere, and two
surfaces each from the nose (or each from the trailing edge). The sizes stay as written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from slowflight.errors import SectionError
from slowflight.wing import outline
from slowflight.wing.outline import FloatArray

# All as shares of the largest extent of the points along x.
DOUBLED = 1e-7
JUMP = 0.5
NEAR_END = 0.1
CLOSED = 0.06
BASE_DEPTH = 0.003


@dataclass(frozen=True, eq=False)
class Points:
    """Points with the lines they came from.

    Parameters
    ----------
    x, y : FloatArray
        As written, shape (n,).
    line : IntArray
        Line of the file, shape (n,).
    title : str
        The words before them.
    """

    x: FloatArray
    y: FloatArray
    line: npt.NDArray[np.intp]
    title: str = ""

    def take(self, which: slice | npt.NDArray[Any]) -> Points:
        """Return some of the points, in the order of `which`."""
        return Points(self.x[which], self.y[which], self.line[which], self.title)


def joined(first: Points, second: Points) -> Points:
    """Return one row of points after the other."""
    return Points(
        np.concatenate((first.x, second.x)),
        np.concatenate((first.y, second.y)),
        np.concatenate((first.line, second.line)),
        first.title,
    )


def ordered(blocks: Sequence[Points], *, where: str) -> tuple[Points, tuple[str, ...]]:
    """Bring blocks of points into the order of an outline.

    Parameters
    ----------
    blocks : sequence of Points
        As the file has them; at least one.
    where : str
        The file, for messages.

    Returns
    -------
    tuple of (Points, tuple of str)
        Clockwise from the lower trailing edge, in the file's own size, and what was done.

    Raises
    ------
    SectionError
        Where the points make no outline, or the nose lies at the high end of x.
    """
    extent = max(float(np.ptp(np.concatenate([block.x for block in blocks]))), 1e-300)
    blocks = _two_at_most(blocks, extent=extent, where=where)
    if len(blocks) == 2 and _direction(blocks[0]) == _direction(blocks[1]):
        loop = _from_surfaces(*blocks, where=where)
        form = "two surfaces"
    else:
        whole = blocks[0] if len(blocks) == 1 else joined(*blocks)
        loop = _from_loop(whole, extent=extent, where=where)
        form = "one loop"
    notes = [f"read as {form} of {sum(block.x.size for block in blocks)} points"]
    loop, dropped = _without_doubles(loop, extent=extent)
    if dropped:
        notes.append(f"dropped {dropped} doubled point{'s' if dropped > 1 else ''}")
    if outline.enclosed_area(loop.x, loop.y) > 0.0:
        loop = loop.take(slice(None, None, -1))
    loop, base = _without_base(loop, extent=extent)
    if base:
        notes.append("dropped points inside the trailing edge's own thickness")
    _refuse_mirrored(loop, extent=extent, where=where)
    return loop, tuple(notes)


def _direction(points: Points) -> bool:
    return bool(points.x[-1] > points.x[0])


def _two_at_most(blocks: Sequence[Points], *, extent: float, where: str) -> list[Points]:
    """Join stray blocks, then cut where x leaps from one end to the other."""
    if len(blocks) == 2 and min(block.x.size for block in blocks) >= 3:
        return list(blocks)
    whole = blocks[0]
    for block in blocks[1:]:
        whole = joined(whole, block)
    leaps = np.flatnonzero(np.abs(np.diff(whole.x)) > JUMP * extent)
    if leaps.size > 1:
        raise SectionError(
            where=f"{where} line {whole.line[leaps[0] + 1]}",
            found=f"{leaps.size} leaps along x of more than half the chord",
            needed="one loop, or two surfaces one after the other",
            fix="check the order of the points",
        )
    if leaps.size == 1:
        cut = int(leaps[0]) + 1
        return [whole.take(slice(None, cut)), whole.take(slice(cut, None))]
    return [whole]


def _from_surfaces(first: Points, second: Points, *, where: str) -> Points:
    """Two surfaces, both from one end to the other, as one line round the nose."""
    if not _direction(first):
        first, second = first.take(slice(None, None, -1)), second.take(slice(None, None, -1))
    low, high = max(first.x.min(), second.x.min()), min(first.x.max(), second.x.max())
    stations = np.linspace(low + 0.1 * (high - low), high - 0.05 * (high - low), 50)
    heights = [np.interp(stations, np.maximum.accumulate(block.x), block.y) for block in (first, second)]
    first_is_upper = float(np.mean(heights[0] - heights[1])) > 0.0
    upper, lower = (first, second) if first_is_upper else (second, first)
    for block, wrong in ((upper, "lower"), (lower, "upper")):
        if wrong in block.title.lower() and ("upper" in block.title.lower()) != (
            "lower" in block.title.lower()
        ):
            raise SectionError(
                where=f"{where} line {block.line[0]}",
                found=f"points titled {block.title!r} on the other side",
                needed="the upper surface above the lower one",
                fix="check the signs of y and the titles",
            )
    return joined(lower.take(slice(None, None, -1)), upper)


def _from_loop(loop: Points, *, extent: float, where: str) -> Points:
    """One loop, cut open at the trailing edge."""
    aft = float(loop.x.max())
    first, last = loop.x[0] > aft - NEAR_END * extent, loop.x[-1] > aft - NEAR_END * extent
    if first and last:
        return loop
    gap = float(np.hypot(loop.x[-1] - loop.x[0], loop.y[-1] - loop.y[0]))
    if first or last or gap > CLOSED * extent:
        raise SectionError(
            where=f"{where} line {loop.line[-1]}",
            found=f"points from x = {loop.x[0]:g} to x = {loop.x[-1]:g} that do not come back",
            needed="both surfaces",
            fix="add the other surface, or the missing points",
        )
    if gap < DOUBLED * extent:
        loop = loop.take(slice(None, -1))
    at = int(np.argmax(loop.x))
    loop = loop.take(np.roll(np.arange(loop.x.size), -at))
    # The aftmost point may be one of two corners of a thick trailing edge; else it closes the loop by itself.
    for other in (1, -1):
        across = abs(loop.y[other] - loop.y[0])
        if loop.x[0] - loop.x[other] < 0.5 * across and loop.x[other] > aft - 0.01 * extent:
            return loop.take(np.roll(np.arange(loop.x.size), -1)) if other == 1 else loop
    return joined(loop, loop.take(slice(0, 1)))


def _without_doubles(points: Points, *, extent: float) -> tuple[Points, int]:
    keep = np.concatenate(([True], outline.segment_lengths(points.x, points.y) > DOUBLED * extent))
    return points.take(keep), int(np.sum(~keep))


def _without_base(points: Points, *, extent: float) -> tuple[Points, bool]:
    """Take off end points that lie on the thickness of the trailing edge rather than on a surface."""
    begin, end = 0, points.x.size
    while end - begin > 10 and _is_base(points, begin, begin + 1, extent=extent):
        begin += 1
    while end - begin > 10 and _is_base(points, end - 1, end - 2, extent=extent):
        end -= 1
    return points.take(slice(begin, end)), end - begin < points.x.size


def _is_base(points: Points, outer: int, inner: int, *, extent: float) -> bool:
    along = abs(float(points.x[outer] - points.x[inner]))
    across = abs(float(points.y[outer] - points.y[inner]))
    return along < BASE_DEPTH * extent and across > 2.0 * along


def _refuse_mirrored(points: Points, *, extent: float, where: str) -> None:
    """Tell the blunt end from the sharp one: thickness grows with the root of the distance from a nose."""
    nose = int(np.argmin(points.x))
    fore, aft = float(points.x[nose]), float(points.x.max())
    if min(nose, points.x.size - 1 - nose) < 2:
        return
    surfaces = (points.take(slice(nose, None)), points.take(slice(nose, None, -1)))
    thickness = []
    for station in (fore + 0.03 * extent, aft - 0.03 * extent):
        heights = [np.interp(station, np.maximum.accumulate(side.x), side.y) for side in surfaces]
        thickness.append(abs(heights[0] - heights[1]))
    if thickness[1] > 1.5 * thickness[0] > 0.0:
        raise SectionError(
            where=where,
            found="the blunt end at the high end of x",
            needed="the nose at the low end of x",
            fix="write the largest x minus x for every x",
        )
