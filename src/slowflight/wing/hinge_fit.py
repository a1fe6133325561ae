"""Where the axis of a hung flap is, from what a builder can reach: gaps and trailing-edge heights."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from slowflight import units
from slowflight.errors import RangeError
from slowflight.wing.elements import Element
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

FEWEST = 3
# Between the lowest and the highest setting, at least [rad]: below that axis and flap are not told apart.
LEAST_TURN = math.radians(15.0)
# What a feeler and a rule read to; rectangular, common practice, no source [m].
READING_M = 0.5e-3
# A residual beyond this means a slip [m].
WORST_M = 1.5e-3


@dataclass(frozen=True, kw_only=True)
class HingeReading:
    """What was measured at one setting.

    Parameters
    ----------
    angle : float
        Deflection, trailing edge down positive [rad].
    gap : float
        Shortest way from the main trailing edge to the flap's skin [m].
    trailing_edge_below : float
        Of the flap's trailing edge, square below the main chord line [m].
    trailing_edge_aft : float or None
        Of the flap's trailing edge behind the main one, along the main chord line [m], where it was measured.
    """

    angle: float
    gap: float
    trailing_edge_below: float
    trailing_edge_aft: float | None = None


@dataclass(frozen=True, kw_only=True)
class HingeFit:
    """A solved axis.

    Parameters
    ----------
    axis_aft, axis_below : float
        From the middle of the main trailing edge, along and square to the main chord line [m].
    axis_in_flap : float
        On the flap's chord line from its nose [flap chords].
    error_aft, error_below, error_in_flap : float
        One standard deviation for readings good to half a millimeter [m, m, flap chords].
    residuals : tuple of (float, float)
        Computed less measured gap and height at each setting [m].
    """

    axis_aft: float
    axis_below: float
    axis_in_flap: float
    error_aft: float
    error_below: float
    error_in_flap: float
    residuals: tuple[tuple[float, float], ...]

    @property
    def worst(self) -> float:
        """Largest residual [m]."""
        return max(abs(value) for pair in self.residuals for value in pair)


def solve_hinge(
    main: Section,
    flap: Section,
    *,
    chord: float,
    flap_chord: float,
    readings: Sequence[HingeReading],
    bolt: float | None = None,
) -> HingeFit:
    """Find the axis of a flap that hangs on brackets behind and below a wing.

    Parameters
    ----------
    main : Section
        The wing's section, in unit chord.
    flap : Section
        The flap's own, in unit chord.
    chord, flap_chord : float
        [m]
    readings : sequence of HingeReading
        At three settings or more, 15 degrees or more apart in all; a setting may be read several times.
    bolt : float or None, optional
        Axis behind the flap's nose along its chord line, where calipers reach it [m]; weighed like a reading.

    Returns
    -------
    HingeFit

    Raises
    ------
    RangeError
        Where there are too few settings, they lie too close together, or no axis fits: a reading, a chord or
        a section is wrong.

    Notes
    -----
    Least squares over three unknowns, started from a grid; plane geometry, no source needed. A gap that looks
    mostly downward hardly tells how far aft the axis lies: measure `trailing_edge_aft` too, or read each
    setting several times.
    """
    angles = [reading.angle for reading in readings]
    if len(set(angles)) < FEWEST:
        raise RangeError(where="hinge readings", found=f"{len(set(angles))} settings", needed="three or more")
    if max(angles) - min(angles) < LEAST_TURN:
        raise RangeError(
            where="hinge readings",
            found=f"settings within {units.format_angle(max(angles) - min(angles))}",
            needed="15 deg or more from the lowest to the highest",
        )
    measured = np.array([value for r in readings for value in (r.gap, r.trailing_edge_below)])
    behind = [(number, r.trailing_edge_aft) for number, r in enumerate(readings)]
    aft_of = [(number, value) for number, value in behind if value is not None]

    def computed(values: FloatArray) -> tuple[FloatArray, FloatArray]:
        aft, below, within = (float(value) for value in values)
        out, tails = [], []
        for angle in angles:
            hung = Element(
                name="flap", section=flap, chord=flap_chord / chord,
                axis_x=_tail(main)[0] + aft / chord, axis_y=_tail(main)[1] - below / chord,
                axis_in=within, angle=angle,
            )  # fmt: skip
            x, y = _flap_tail(hung)
            out += [chord * _gap(main, hung), -chord * y]
            tails.append(chord * (x - _tail(main)[0]))
        return np.array(out), np.array(tails)

    def misses(values: FloatArray) -> FloatArray:
        out, tails = computed(values)
        off = [*(out - measured), *(tails[number] - value for number, value in aft_of)]
        return np.array(off if bolt is None else [*off, values[2] * flap_chord - bolt])

    best = None
    for below in (0.02, 0.05, 0.09):
        for within in (0.1, 0.25, 0.4):
            found = least_squares(
                misses,
                np.array([0.01 * chord, below * chord, within]),
                x_scale=np.array([1e-3, 1e-3, 1e-2]),
            )
            if best is None or found.cost < best.cost:
                best = found
    assert best is not None
    residuals = best.fun[: len(measured)].reshape(-1, 2)
    worst = float(np.max(np.abs(residuals)))
    if worst > WORST_M:
        number = int(np.argmax(np.max(np.abs(residuals), axis=1)))
        raise RangeError(
            where=f"hinge readings, setting {units.format_angle(angles[number])}",
            found=f"a reading {units.format_length(worst, 'mm')} off the nearest axis",
            needed=f"{units.format_length(WORST_M, 'mm')} at most",
            fix="measure that setting again; check the flap's chord, its section and the angles by level",
        )
    spread = READING_M / math.sqrt(3.0)
    covariance = spread**2 * np.linalg.inv(best.jac.T @ best.jac)
    error = np.sqrt(np.diag(covariance))
    return HingeFit(
        axis_aft=float(best.x[0]), axis_below=float(best.x[1]), axis_in_flap=float(best.x[2]),
        error_aft=float(error[0]), error_below=float(error[1]), error_in_flap=float(error[2]),
        residuals=tuple((float(gap), float(height)) for gap, height in residuals),
    )  # fmt: skip


def _tail(main: Section) -> tuple[float, float]:
    return 0.5 * float(main.x[0] + main.x[-1]), 0.5 * float(main.y[0] + main.y[-1])


def _flap_tail(hung: Element) -> tuple[float, float]:
    """The flap's trailing edge [main chords]."""
    x, y = hung.placed(hung.section.x[[0, -1]], hung.section.y[[0, -1]])
    return float(np.mean(x)), float(np.mean(y))


def _gap(main: Section, hung: Element) -> float:
    """From the nearest of the main trailing edge's corners and middle to the flap's skin [main chords]."""
    x, y = hung.outline
    dx, dy = np.diff(x), np.diff(y)
    size = np.maximum(dx**2 + dy**2, 1e-30)
    corners = (_tail(main), (main.x[0], main.y[0]), (main.x[-1], main.y[-1]))
    nearest = math.inf
    for u, v in corners:
        along = np.clip(((u - x[:-1]) * dx + (v - y[:-1]) * dy) / size, 0.0, 1.0)
        away = np.hypot(u - x[:-1] - along * dx, v - y[:-1] - along * dy)
        nearest = min(nearest, float(away.min()))
    return nearest
