"""A main section and a flap that is an airfoil of its own, drawn in one frame, and the slot between them.

The frame is the main section's: its nose end at 0, its trailing edge at x = 1, lengths in main chords. The
flap turns about an axis fixed to the wing; with the flap at zero its chord line lies along the main one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight import units
from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.flap import FURTHEST_DOWN, FURTHEST_UP
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import Section

SMALLEST_CHORD, LARGEST_CHORD = 0.05, 0.6
CLOSEST = 0.001
"""Skins nearer than this count as touching [main chords]: no builder's ruler tells less."""


@dataclass(frozen=True, kw_only=True)
class Element:
    """One airfoil and where it stands.

    Parameters
    ----------
    name : str
        ``"main"`` or ``"flap"``.
    section : Section
        In its own unit chord.
    chord : float
        [main chords].
    axis_x, axis_y : float
        The point it is turned about [main chords].
    axis_in : float
        Where that point lies on its own chord line, from its nose [its own chords].
    angle : float
        Trailing edge down against the main chord line [rad].
    """

    name: str
    section: Section
    chord: float = 1.0
    axis_x: float = 0.0
    axis_y: float = 0.0
    axis_in: float = 0.0
    angle: float = 0.0

    def placed(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Bring points of its own unit chord into the main section's frame, any shape [main chords]."""
        along, up = self.chord * (np.asarray(x) - self.axis_in), self.chord * np.asarray(y)
        cosine, sine = math.cos(self.angle), math.sin(self.angle)
        return self.axis_x + along * cosine + up * sine, self.axis_y + up * cosine - along * sine

    def own(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Bring points of the main section's frame back into its own unit chord; inverse of ``placed``."""
        dx, dy = np.asarray(x) - self.axis_x, np.asarray(y) - self.axis_y
        cosine, sine = math.cos(self.angle), math.sin(self.angle)
        return (
            self.axis_in + (dx * cosine - dy * sine) / self.chord,
            (dx * sine + dy * cosine) / self.chord,
        )

    @property
    def outline(self) -> tuple[FloatArray, FloatArray]:
        """Its outline in the main section's frame [main chords], shape (n,) each."""
        return self.placed(self.section.x, self.section.y)


@dataclass(frozen=True, kw_only=True)
class Elements:
    """Airfoils in one frame, the main one first.

    Parameters
    ----------
    bodies : tuple of Element
        Main element, then the flap where there is one.
    gap : float or None
        Shortest way from the main trailing edge to the flap's skin [main chords].
    overlap : float or None
        How far the flap's foremost point lies ahead of the main trailing edge, along the main chord line
        [main chords].
    clearance : float or None
        Smallest distance between the two skins anywhere [main chords].
    """

    bodies: tuple[Element, ...]
    gap: float | None = None
    overlap: float | None = None
    clearance: float | None = None

    @property
    def name(self) -> str:
        """What to call them in results."""
        main, *others = self.bodies
        return main.section.name + "".join(
            f" with {b.section.name} {b.name} of {100 * b.chord:.1f} % chord at {units.format_angle(b.angle)}"
            for b in others
        )

    @property
    def flap_angle(self) -> float:
        """Deflection of the flap, trailing edge down positive, 0 without one [rad]."""
        return self.bodies[1].angle if len(self.bodies) > 1 else 0.0


def single(section: Section) -> Elements:
    """One section alone."""
    return Elements(bodies=(Element(name="main", section=section),))


def hung_flap(
    main: Section,
    flap: Section,
    *,
    chord: float,
    axis_aft: float,
    axis_below: float,
    axis_in_flap: float,
    angle: float,
) -> Elements:
    """Hang a flap behind and below a section, or set it behind the lip of a slot.

    Parameters
    ----------
    main : Section
        Ends at its own trailing edge; of a slotted flap, at the lip.
    flap : Section
        The flap's airfoil in its own unit chord.
    chord : float
        Of the flap [main chords], 0.05 to 0.6.
    axis_aft, axis_below : float
        From the middle of the main trailing edge to the axis, along and square to the main chord line [main
        chords].
    axis_in_flap : float
        Where the axis lies on the flap's chord line, from the flap's nose [flap chords].
    angle : float
        Deflection, trailing edge down positive [rad], from -20 to 60 deg.

    Returns
    -------
    Elements
        With the slot's gap, overlap and clearance.

    Raises
    ------
    RangeError
        Where a number is not finite or outside what is sensible.
    SectionError
        Where the flap, so set, touches or crosses the wing.

    Notes
    -----
    Plane geometry, no source needed. Skins are drawn straight between the sections' points, which for 200
    points is within 1e-4 chord.
    """
    for name, value, low, high in (
        ("flap chord", chord, SMALLEST_CHORD, LARGEST_CHORD),
        ("flap axis_aft", axis_aft, -0.3, 0.3),
        ("flap axis_below", axis_below, -0.3, 0.3),
        ("flap axis_in_flap", axis_in_flap, -0.5, 1.0),
    ):
        if not (math.isfinite(value) and low <= value <= high):
            needed = f"{100 * low:.0f} % to {100 * high:.0f} %"
            raise RangeError(where=name, found=f"{100 * value:.1f} %", needed=needed)
    if not (math.isfinite(angle) and FURTHEST_UP - 1e-12 <= angle <= FURTHEST_DOWN + 1e-12):
        found = units.format_angle(angle) if math.isfinite(angle) else str(angle)
        raise RangeError(where="flap setting", found=found, needed="-20 to 60 deg")
    for section in (main, flap):
        if section.flap is not None and section.flap.angle != 0.0:
            raise InputError(
                where=section.name,
                found="a flap already turned",
                needed="sections without flaps of their own",
            )
    tail_x, tail_y = 0.5 * (main.x[0] + main.x[-1]), 0.5 * (main.y[0] + main.y[-1])
    wing = Element(name="main", section=main)
    hung = Element(
        name="flap",
        section=flap,
        chord=chord,
        axis_x=float(tail_x + axis_aft),
        axis_y=float(tail_y - axis_below),
        axis_in=axis_in_flap,
        angle=angle,
    )
    return arranged(wing, hung)


def planned(main: Section, flap: Section, *, plan: FlapPlan, angle: float) -> Elements:
    """Hang the flap an owner described at one of its settings; errors as for ``hung_flap``.

    Raises
    ------
    InputError
        Where the plan is of another kind or does not say where the axis is.
    """
    if plan.kind not in ("hung", "slotted"):
        raise InputError(
            where="flap kind", found=plan.kind, needed="hung or slotted: a flap that is an airfoil of its own"
        )
    places = (plan.axis_aft, plan.axis_below, plan.axis_in_flap)
    aft, below, within = places
    if aft is None or below is None or within is None:
        names = ("axis_aft", "axis_below", "axis_in_flap")
        missing = ", ".join(n for n, p in zip(names, places, strict=True) if p is None)
        raise InputError(
            where=f"flap {missing}", found="unknown", needed="where the flap's axis is", fix="measure it"
        )
    return hung_flap(
        main, flap, chord=plan.chord, axis_aft=aft, axis_below=below, axis_in_flap=within, angle=angle
    )


def arranged(main: Element, flap: Element) -> Elements:
    """Put two placed airfoils together and measure the slot; SectionError where they touch or cross."""
    ax, ay = main.outline
    bx, by = flap.outline
    clearance, at_x = _clearance(ax, ay, bx, by)
    if clearance < CLOSEST:
        how = "crosses" if clearance < 0.0 else "touches"
        raise SectionError(
            where=f"flap setting {units.format_angle(flap.angle)}",
            found=f"a flap that {how} the wing at {100 * at_x:.1f} % of chord",
            needed="air between the two at every setting",
            fix="measure axis_aft, axis_below and axis_in_flap again at that setting",
        )
    tail = np.array([0.5 * (ax[0] + ax[-1])]), np.array([0.5 * (ay[0] + ay[-1])])
    gap = min(float(_to_line(x, y, bx, by)[0]) for x, y in (tail, (ax[:1], ay[:1]), (ax[-1:], ay[-1:])))
    return Elements(bodies=(main, flap), gap=gap, overlap=float(tail[0][0] - bx.min()), clearance=clearance)


def _to_line(x: FloatArray, y: FloatArray, px: FloatArray, py: FloatArray) -> FloatArray:
    """Distance of points from a closed line of straight segments, shape of ``x``."""
    qx, qy = np.roll(px, -1), np.roll(py, -1)
    dx, dy = qx - px, qy - py
    size = np.maximum(dx**2 + dy**2, 1e-30)
    along = np.clip(((x[:, None] - px) * dx + (y[:, None] - py) * dy) / size, 0.0, 1.0)
    return np.asarray(np.min(np.hypot(x[:, None] - px - along * dx, y[:, None] - py - along * dy), axis=1))


def _inside(x: FloatArray, y: FloatArray, px: FloatArray, py: FloatArray) -> FloatArray:
    """True where points lie inside a closed line, by counting the crossings of a ray."""
    qx, qy = np.roll(px, -1), np.roll(py, -1)
    spans = (py > y[:, None]) != (qy > y[:, None])
    rise = np.where(qy == py, 1.0, qy - py)
    crossing = px + (y[:, None] - py) * (qx - px) / rise
    return np.asarray(np.sum(spans & (x[:, None] < crossing), axis=1) % 2 == 1)


def _clearance(ax: FloatArray, ay: FloatArray, bx: FloatArray, by: FloatArray) -> tuple[float, float]:
    """Smallest distance between two outlines, negative where one reaches into the other, and where.

    Two lines that do not cross come nearest at a point of one of them; two outlines that cross have points
    inside each other, or segments so short against their spacing that the distance is nearly nothing.
    """
    from_a, from_b = _to_line(ax, ay, bx, by), _to_line(bx, by, ax, ay)
    inside_a, inside_b = _inside(ax, ay, bx, by), _inside(bx, by, ax, ay)
    if inside_a.any() or inside_b.any():
        deep_a, deep_b = np.where(inside_a, from_a, 0.0), np.where(inside_b, from_b, 0.0)
        if deep_a.max() > deep_b.max():
            return -float(deep_a.max()), float(ax[np.argmax(deep_a)])
        return -float(deep_b.max()), float(bx[np.argmax(deep_b)])
    if from_a.min() < from_b.min():
        return float(from_a.min()), float(ax[np.argmin(from_a)])
    return float(from_b.min()), float(bx[np.argmin(from_b)])
