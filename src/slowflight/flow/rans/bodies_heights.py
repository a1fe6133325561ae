"""Heights of cells off the skins of two bodies and of the lines between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.bodies_grid import BodiesSize
from slowflight.flow.rans.grid import FIRST_HEIGHT, _growth
from slowflight.flow.rans.spacing import graded
from slowflight.flow.solution import FloatArray


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


def onward(first: FloatArray, total: FloatArray, count: int, raised: FloatArray | float) -> FloatArray:
    """Heights to the far boundary from a line that is ``raised`` above the wing's, shape (n, count + 1)."""
    above = np.broadcast_to(raised, first.shape)[:, None]
    return graded(first, total, count, growth=lambda height: _growth(height + above))


def falling(t: FloatArray) -> FloatArray:
    """From 1 at 0 smoothly to 0 at 1."""
    t = np.clip(t, 0.0, 1.0)
    return np.asarray(1.0 - t * t * (3.0 - 2.0 * t))


def from_both_ends(first: FloatArray, last: FloatArray, total: FloatArray, count: int) -> FloatArray:
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
