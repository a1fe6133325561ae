"""The answer followed from attached flow to every angle asked for, and over the top of the wing's lift."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.lifting_line.agreement import Agreement, Seen
from slowflight.flow.lifting_line.followed import Walk, attached, follow
from slowflight.flow.lifting_line.section_curve import vertex
from slowflight.flow.lifting_line.strip_curves import StripCurves
from slowflight.flow.lifting_line.strips import Strips
from slowflight.flow.solution import FloatArray

# Share of the semi-span whose section curve may be drawn on straight below its lowest angle: a strip at the
# tip always comes near no lift.
LARGEST_EXTENDED = 0.05
# Share that may be past the end of its section curve, lift held there: a bare cabin between two rows of vanes
# stalls long before the wing does, and so deep that no section curve reaches there.
LARGEST_HELD = 0.15
FARTHEST_ANGLE = math.radians(60.0)
FALL_TO_SEE = 0.005  # how far lift has to fall for its maximum to count as passed [share of it]


@dataclass(frozen=True, eq=False)
class ThroughStall:
    """What was found on the way.

    Parameters
    ----------
    found : dict of float to Seen
        Answers by wing angle [rad].
    beyond : frozenset of float
        Wing angles without answer because a section would leave its curve [rad].
    path : tuple of Seen
        Every step upward from the start.
    settled : bool
        False where the way up ended because no answer followed on.
    """

    found: dict[float, Seen]
    beyond: frozenset[float]
    path: tuple[Seen, ...]
    settled: bool


def follow_all(system: Agreement, angles: FloatArray, *, allowed: Callable[[Seen], bool]) -> ThroughStall:
    """Follow the answer from attached flow up to every angle and past maximum lift, then down."""
    start = attached(system)
    if start is None or not allowed(start):
        return ThroughStall({}, frozenset(), (), settled=False)
    found: dict[float, Seen] = {}
    beyond: set[float] = set()
    path = [start]
    asked = {float(angle) for angle in angles}
    upward = sorted(angle for angle in asked if angle >= start.wing_angle)
    downward = sorted(asked - set(upward), reverse=True)
    settled = True
    for way in (upward, downward):
        at, ended = start, "arrived"
        for angle in way:
            if ended == "arrived":
                walk = follow(system, at, to=angle, allowed=allowed)
                ended = walk.ended
                at = walk.steps[-1] if walk.steps else at
                if way is upward:
                    path += walk.steps
            if ended == "arrived":
                found[angle] = at
            elif ended == "beyond curves":
                beyond.add(angle)
        if way is upward and ended == "arrived":
            rest = _over_the_top(system, path, allowed=allowed)
            path += rest.steps
            ended = rest.ended
        if way is upward:
            settled = ended != "no answer"
    return ThroughStall(found, frozenset(beyond), tuple(path), settled)


def _over_the_top(system: Agreement, path: Sequence[Seen], *, allowed: Callable[[Seen], bool]) -> Walk:
    """Go on from the last angle until wing lift has fallen visibly below its largest."""
    highest = max(wing_lift_of(system, seen) for seen in path)

    def fallen(seen: Seen) -> bool:
        nonlocal highest
        lift = wing_lift_of(system, seen)
        highest = max(highest, lift)
        return lift < (1.0 - FALL_TO_SEE) * highest

    if fallen(path[-1]):
        return Walk((), "arrived")
    return follow(system, path[-1], to=FARTHEST_ANGLE, allowed=allowed, enough=fallen)


def highest_lift(system: Agreement, path: Sequence[Seen]) -> tuple[float, float] | None:
    """Wing angle and lift where wing lift is largest, by a parabola; ``None`` where that is not bracketed."""
    lifts = [wing_lift_of(system, seen) for seen in path]
    k = int(np.argmax(lifts)) if lifts else 0
    if k in (0, len(lifts) - 1) or not lifts:
        return None
    around = np.array([path[i].wing_angle for i in (k - 1, k, k + 1)])
    return vertex(around, np.array(lifts[k - 1 : k + 2]))


def wing_lift_of(system: Agreement, seen: Seen) -> float:
    """Lift coefficient of the wing [-]."""
    return mean_over_wing(system.strips, system.local_lift(seen.angles))


def mean_over_wing(strips: Strips, local: FloatArray) -> float:
    """A local coefficient, weighted by chord, as a coefficient of the wing."""
    return float(strips.share @ (strips.chord * local)) * strips.span / strips.area


def extended(strips: Strips, curves: StripCurves, seen: Seen) -> float:
    """Share of the semi-span below the lowest angle of its curve."""
    return float(np.sum(strips.share[seen.angles < curves.lowest]))


def held(strips: Strips, curves: StripCurves, seen: Seen) -> float:
    """Share of the semi-span past the highest angle of its curve."""
    return float(np.sum(strips.share[seen.angles > curves.highest]))


def on_curves(strips: Strips, curves: StripCurves, seen: Seen) -> bool:
    """Whether an answer rests on the section curves, but for as little of the span as is allowed."""
    below, above = extended(strips, curves, seen), held(strips, curves, seen)
    return below <= LARGEST_EXTENDED and above <= LARGEST_HELD
