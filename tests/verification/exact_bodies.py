"""Bodies whose potential flow is known exactly: the circle and its maps."""

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.outline import Outline
from slowflight.flow.solution import FloatArray


def arc_of(x: FloatArray, y: FloatArray) -> FloatArray:
    return np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))))


def circle(turn: FloatArray) -> Outline:
    """Circle of unit diameter; ``turn`` runs clockwise from just below the rear point to just above it."""
    x, y = 0.5 + 0.5 * np.cos(turn), -0.5 * np.sin(turn)
    return Outline(x=x, y=y, arc=arc_of(x, y), gap=float(np.hypot(x[-1] - x[0], y[-1] - y[0])))


@dataclass(frozen=True)
class MappedSection:
    """A Karman-Trefftz section in unit chord, lower trailing edge, nose, upper trailing edge.

    Parameters
    ----------
    x, y : FloatArray
        Outline [chords], shape (n,).
    chord : float
        Extent in x in the map's own units.
    """

    x: FloatArray
    y: FloatArray
    chord: float
    _angle: FloatArray
    _stretch: FloatArray
    _beta: float

    def speed(self, alpha: float) -> FloatArray:
        """Signed speed on the outline, both ends left out, shape (n - 2,)."""
        on_circle = 2.0 * np.sin(self._angle - alpha) + 2.0 * np.sin(alpha + self._beta)
        return np.asarray(on_circle[1:-1] / self._stretch, dtype=np.float64)


def mapped_section(*, center: complex, power: float, points: int = 801) -> MappedSection:
    """Map the circle through 1 about ``center`` (see the case file's header for the formula)."""
    radius = abs(1.0 - center)
    beta = float(np.arcsin(center.imag / radius))
    angle = np.linspace(-beta, -beta - 2.0 * np.pi, points)
    s = center + radius * np.exp(1j * angle)
    s[0] = s[-1] = 1.0
    q = (s - 1.0) / (s + 1.0)
    ratio = np.abs(q) ** power * np.exp(1j * power * np.angle(q))
    z = power * (1.0 + ratio) / (1.0 - ratio)
    inner, r = s[1:-1], ratio[1:-1]
    stretch = np.abs(4.0 * power**2 * r / ((inner**2 - 1.0) * (1.0 - r) ** 2))
    chord = float(np.ptp(z.real))
    return MappedSection((z.real - power + chord) / chord, z.imag / chord, chord, angle, stretch, beta)
