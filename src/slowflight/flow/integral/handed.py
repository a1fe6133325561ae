"""What marched rows hand to the layers at any angle of attack, between the angles marched."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral import vanes
from slowflight.flow.solution import FloatArray

PLACES = 49  # behind each row, in its table


@dataclass(frozen=True, kw_only=True)
class Marched:
    """One row marched at one angle.

    Parameters
    ----------
    alpha : float
        [rad].
    row : int
    status, reason : str
        See ``row_march.handed_over.HandedOver``.
    valid_to : float
        Distance behind the vanes' ends up to which the march got [chords].
    to_edge : float
        That of the trailing edge [chords].
    over_layer : float
        Height of the vanes over the thickness of the layer [-].
    tripped : bool
        Whether the layer ahead was laminar, and was taken for turbulent from the vanes on.
    """

    alpha: float
    row: int
    status: str
    reason: str
    valid_to: float
    to_edge: float
    over_layer: float
    tripped: bool


@dataclass(frozen=True, kw_only=True)
class Handed:
    """Wakes and tables of all rows at the angles marched.

    Parameters
    ----------
    angles : FloatArray
        Increasing [rad], shape (m,); none where nothing is marched yet.
    wakes : FloatArray
        Columns ``vanes.WAKE`` to ``vanes.DRAG`` of each row at each angle, shape (m, k, 3).
    tables : FloatArray
        See ``vanes``, shape (m, k, PLACES, vanes.TABLE); the distances are the same at all angles.
    marched : tuple of Marched
        What each march came to.
    """

    angles: FloatArray
    wakes: FloatArray
    tables: FloatArray
    marched: tuple[Marched, ...] = ()

    def at(self, alpha: float) -> tuple[FloatArray, FloatArray]:
        """Wakes (k, 3) and tables (k, PLACES, TABLE) at an angle: linear between angles, held beyond."""
        count = self.angles.size
        if count == 0:
            k = self.wakes.shape[1]
            tables = np.zeros((k, PLACES, vanes.TABLE))
            tables[:, :, vanes.DISTANCE] = np.linspace(0.0, 1.0, PLACES)
            return np.zeros((k, 3)), tables
        high = int(np.clip(np.searchsorted(self.angles, alpha), 1, max(count - 1, 1)))
        if count == 1 or alpha <= self.angles[0]:
            return self.wakes[0], self.tables[0]
        if alpha >= self.angles[-1]:
            return self.wakes[-1], self.tables[-1]
        low = high - 1
        part = (alpha - self.angles[low]) / (self.angles[high] - self.angles[low])
        return (
            (1.0 - part) * self.wakes[low] + part * self.wakes[high],
            (1.0 - part) * self.tables[low] + part * self.tables[high],
        )

    def with_march(
        self, alpha: float, wakes: FloatArray, tables: FloatArray, marched: tuple[Marched, ...]
    ) -> Handed:
        """The same with one angle more, or in place of what was marched at it before."""
        kept = np.abs(self.angles - alpha) > 1e-9
        angles = np.append(self.angles[kept], alpha)
        order = np.argsort(angles)
        return Handed(
            angles=angles[order],
            wakes=np.concatenate((self.wakes[kept], wakes[None]))[order],
            tables=np.concatenate((self.tables[kept], tables[None]))[order],
            marched=(*(m for m in self.marched if abs(m.alpha - alpha) > 1e-9), *marched),
        )


def nothing_yet(rows: int) -> Handed:
    """Rows of which nothing is marched: they only trip."""
    return Handed(
        angles=np.zeros(0),
        wakes=np.zeros((0, rows, 3)),
        tables=np.zeros((0, rows, PLACES, vanes.TABLE)),
    )
