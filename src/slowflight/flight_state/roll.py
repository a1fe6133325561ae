"""What a flaperon still does in slow flight: rolling moment against angle, droop and vanes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.errors import InputError
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, WholeWing, whole_wing
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

YARDSTICK = math.radians(10.0)  # flaperon travel either way where the owner's is not known
ROLL_RATE = 0.02  # helix angle at which damping is taken [rad]
FADED = 0.5  # of the moment in attached flow
FARTHEST = 1.0  # how far beyond the computed settings a curve is drawn on [of the last step]
POINTS_OF_A_CURVE = 24


def between(curves: Mapping[float, SectionCurve], deflection: float) -> tuple[SectionCurve, float]:
    """Return the section's curve at a deflection between or next to those that were computed.

    Parameters
    ----------
    curves : mapping of float to SectionCurve
        By deflection [rad], two at least.
    deflection : float
        [rad]

    Returns
    -------
    tuple of (SectionCurve, float)
        The curve, and how far it had to be drawn on beyond the last setting [rad], at most one step of the
        settings.

    Raises
    ------
    InputError
        With fewer than two settings.

    Notes
    -----
    Ours. Two curves are cut alike, from the lowest angle to the maximum and from there to the end, and the
    corresponding points are mixed, so that a maximum stays one while its angle and size go over from one
    setting to the next. Flow about the deflection in question is not computed.
    """
    known = sorted(curves)
    if len(known) < 2:
        raise InputError(
            where="flap settings", found=f"{len(known)} with an answer", needed="two or more for roll",
            fix="add a setting to flap.settings",
        )  # fmt: skip
    k = int(np.clip(np.searchsorted(known, deflection), 1, len(known) - 1))
    low, high = known[k - 1], known[k]
    share = (deflection - low) / (high - low)
    held = min(max(share, -FARTHEST), 1.0 + FARTHEST)
    beyond = max(0.0, low - deflection, deflection - high)
    if held in (0.0, 1.0):
        return curves[high if held else low], beyond
    return _mixed(curves[low], curves[high], held), beyond


def _mixed(a: SectionCurve, b: SectionCurve, share: float) -> SectionCurve:
    points = []
    for curve in (a, b):
        top = curve.peak[0] if curve.peak is not None else float(curve.alpha[-1])
        up = np.linspace(curve.alpha[0], top, POINTS_OF_A_CURVE)
        down = np.linspace(top, curve.alpha[-1], POINTS_OF_A_CURVE // 2)[1:]
        both = curve.peak is not None
        points.append((np.concatenate([up, down]) if both else up, curve))
    size = min(points[0][0].size, points[1][0].size)
    (alpha_a, _), (alpha_b, _) = points
    alpha = (1.0 - share) * alpha_a[:size] + share * alpha_b[:size]
    alpha = np.maximum.accumulate(alpha + 1e-9 * np.arange(size))

    def mix(name: str) -> FloatArray:
        values = [
            np.asarray(getattr(curve, name)()(angles[:size]), dtype=np.float64) for angles, curve in points
        ]
        return np.asarray((1.0 - share) * values[0] + share * values[1])

    return SectionCurve(alpha=alpha, cl=mix("lift"), cd=np.maximum(mix("drag"), 1e-4))


@dataclass(frozen=True, eq=False, kw_only=True)
class FlaperonWing:
    """Section curves of one half at every computed setting of the flaperon.

    Parameters
    ----------
    wing : Wing
    spans : mapping of float to sequence of SpanCurve
        By deflection [rad]; stretches alike at all of them.
    moves : sequence of bool
        Which stretches the flaperon lies behind.
    """

    wing: Wing
    spans: Mapping[float, Sequence[SpanCurve]]
    moves: Sequence[bool]

    def half(self, droop: float, deflection: float) -> tuple[list[SpanCurve], float]:
        """Return one half with its flaperon deflected, the rest as at the droop, and what is drawn on."""
        made: dict[tuple[int, ...], SectionCurve] = {}
        farthest = 0.0
        found = []
        for k, moving in enumerate(self.moves):
            at = self.spans[droop][k]
            if not moving:
                found.append(at)
                continue
            ends = []
            for end in ("inner", "outer"):
                curves = {setting: getattr(spans[k], end) for setting, spans in self.spans.items()}
                key = tuple(id(curve) for curve in curves.values())
                if key not in made:
                    made[key], beyond = between(curves, deflection)
                    farthest = max(farthest, beyond)
                ends.append(made[key])
            found.append(SpanCurve(span_from=at.span_from, span_to=at.span_to, inner=ends[0], outer=ends[1]))
        return found, farthest


@dataclass(frozen=True, eq=False, kw_only=True)
class RollAuthority:
    """What stick fully right does, over wing angle.

    Parameters
    ----------
    angles, cl : FloatArray
        Wing angle [rad] and lift with the stick over [-], shape (a,).
    moment : FloatArray
        Rolling moment over dynamic pressure, area and span, right wing down positive [-], shape (a,).
    yaw : FloatArray
        Yawing moment that comes with it, nose right positive [-], shape (a,).
    stalled_right, stalled_left : FloatArray
        Share of each half past its sections' maxima [-], shape (a,).
    damping : float or None
        Moment per helix angle ``p b / (2 V)`` in attached flow [-], below zero.
    drawn_on : float
        How far section curves were drawn on beyond the computed settings [rad].
    """

    angles: FloatArray
    cl: FloatArray
    moment: FloatArray
    yaw: FloatArray
    stalled_right: FloatArray
    stalled_left: FloatArray
    damping: float | None
    drawn_on: float

    def at(self, angle: float) -> float | None:
        """Rolling moment at a wing angle [-]; ``None`` without an answer there."""
        use = np.isfinite(self.moment)
        angles = self.angles[use]
        if angles.size < 2 or not angles[0] <= angle <= angles[-1]:
            return None
        return float(np.interp(angle, angles, self.moment[use]))

    def fades_from(self, attached: float) -> float | None:
        """Smallest answered angle past ``attached`` at which less than half the moment is left [rad]."""
        full = self.at(attached)
        if full is None or full <= 0.0:
            return None
        weak = (self.angles > attached) & (self.moment < FADED * full)
        return float(self.angles[weak][0]) if np.any(weak) else None

    def reverses_from(self) -> float | None:
        """Smallest answered angle at which the wing rolls the other way [rad]; ``None``: never."""
        wrong = np.isfinite(self.moment) & (self.moment < 0.0)
        return float(self.angles[wrong][0]) if np.any(wrong) else None


def roll_authority(
    flaperon: FlaperonWing, *, droop: float, up: float, down: float, angles: FloatArray
) -> RollAuthority:
    """Compute what full right stick does at a droop.

    Parameters
    ----------
    flaperon : FlaperonWing
    droop : float
        One of its settings [rad].
    up, down : float
        Travel from the droop: right flaperon up, left down [rad].
    angles : FloatArray
        Wing angles, rising [rad].

    Returns
    -------
    RollAuthority

    Raises
    ------
    InputError
        As `whole_wing` and `between`.

    Notes
    -----
    Stick over without rolling yet. Lifting-line theory makes moments and damping too large (`whole_wing`);
    their ratio, which is what a pilot feels as rate of roll, suffers less.
    """
    right, beyond_right = flaperon.half(droop, droop - up)
    left, beyond_left = flaperon.half(droop, droop + down)
    over = whole_wing(flaperon.wing, right=right, left=left, angles=angles)
    return RollAuthority(
        angles=over.angles,
        cl=over.cl,
        moment=over.rolling,
        yaw=over.yawing,
        stalled_right=over.stalled_right,
        stalled_left=over.stalled_left,
        damping=_damping(flaperon, droop, angles),
        drawn_on=max(beyond_right, beyond_left),
    )


def _damping(flaperon: FlaperonWing, droop: float, angles: FloatArray) -> float | None:
    """Damping at the middle of the angles' lower half, where flow is attached."""
    at = np.array([float(angles[len(angles) // 4])])
    rolling: WholeWing = whole_wing(
        flaperon.wing, right=list(flaperon.spans[droop]), angles=at, roll_rate=ROLL_RATE
    )
    moment = float(rolling.rolling[0])
    return moment / ROLL_RATE if math.isfinite(moment) else None


def roll_rate(moment: float, damping: float, *, speed: float, span: float) -> float:
    """Steady rate of roll [rad/s] from moment and damping: ``p b / (2 V) = - Cl / Clp``."""
    return -moment / damping * 2.0 * speed / span
