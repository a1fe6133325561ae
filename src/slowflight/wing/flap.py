"""A plain flap: the aft part of a section turned about a hinge inside it.

The side that opens is faired with an arc about the hinge, tangent to the fixed skin and to the flap's; the
side that closes is trimmed where the two skins meet. Every point of the flap that shows is an exact rotation.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slowflight import units
from slowflight.errors import RangeError, SectionError
from slowflight.wing.curve import OutlineCurve, nearest, outline_curve, station_parameter
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import FlapDeflection, Section

SMALLEST_CHORD, LARGEST_CHORD = 0.05, 0.5
FURTHEST_UP, FURTHEST_DOWN = math.radians(-20.0), math.radians(60.0)
SMALLEST_TURN = 1e-5  # [rad]; less is nothing that anyone can set or measure
HINGE_PLACES = ("middle", "lower", "upper")
# The fairing arc: largest turn from one segment to the next, and shortest segment [chords].
ARC_STEP, SHORTEST_STEP = math.radians(6.0), 2e-4
# Segments away from the joint grow by at most this; points nearer to it than a share of the spacing are
# left out.
LARGEST_RATIO, SHORTEST_SHARE = 3.0, 0.3


@dataclass(frozen=True, kw_only=True)
class PlainFlap:
    """A plain flap and its hinge.

    Parameters
    ----------
    chord : float
        From the hinge to the trailing edge, along the chord line [chords], 0.05 to 0.5.
    hinge : str or float
        ``"middle"`` of the thickness, on the ``"lower"`` or ``"upper"`` skin, or a height above the chord
        line [chords].

    Raises
    ------
    RangeError
        Where the chord is out of range or the hinge is no such place.
    """

    chord: float
    hinge: str | float = "middle"

    def __post_init__(self) -> None:
        if not SMALLEST_CHORD <= self.chord <= LARGEST_CHORD:
            raise RangeError(
                where="flap chord", found=f"{100 * self.chord:.1f} % of chord", needed="5 % to 50 %"
            )
        known = self.hinge in HINGE_PLACES if isinstance(self.hinge, str) else math.isfinite(self.hinge)
        if not known:
            raise RangeError(
                where="flap hinge",
                found=repr(self.hinge),
                needed="middle, lower, upper or a height in chords",
            )


def deflect(section: Section, *, flap: PlainFlap, angle: float) -> Section:
    """Turn the flap of a section.

    Parameters
    ----------
    section : Section
        With no flap turned yet.
    flap : PlainFlap
        Chord and hinge.
    angle : float
        Deflection, trailing edge down positive [rad], from -20 to 60 deg.

    Returns
    -------
    Section
        In the axes and the chord of the undeflected section; at zero angle (or a millionth), its very points.

    Raises
    ------
    RangeError
        Where the angle is out of range, the hinge lies outside the section, or a flap is turned already.
    SectionError
        Where the skins do not meet or the turned outline would cross itself.

    Notes
    -----
    Plane geometry, no source needed: fixed skin and flap skin are both tangent to the circle about the hinge
    through the skin's nearest point. On the opening side the arc of that circle joins them smoothly; on the
    closing side they meet about radius times tan(angle/2) from it. The gap that a real hinge leaves open
    is not drawn.
    """
    _check_angle(section, angle=angle)
    curve = outline_curve(section)
    hinge = _hinge(section, curve, flap=flap)
    deflection = FlapDeflection(
        hinge_x=float(hinge[0]), hinge_y=float(hinge[1]), angle=angle, unturned=section
    )
    if abs(angle) < SMALLEST_TURN:
        return replace(section, flap=deflection)
    sides = []
    for surface in ("lower", "upper"):
        skin = _Skin(section, curve, surface=surface, hinge=hinge, angle=angle)
        opens = (surface == "upper") == (angle > 0.0)
        sides.append(_opened(skin) if opens else _closed(skin))
    points = np.concatenate((sides[0][:0:-1], sides[1]))
    if section.trailing_edge_gap == 0.0:
        points[-1] = points[0]  # rounding would let the two ends cross
    turned = units.format_angle(angle)
    return replace(
        section,
        name=f"{section.name}, flap {turned}",
        x=points[:, 0],
        y=points[:, 1],
        notes=(
            *section.notes,
            f"plain flap of {100 * flap.chord:.1f} % chord turned {turned}"
            f" about ({hinge[0]:.4f}, {hinge[1]:.4f})",
        ),
        flap=deflection,
    )


def at_setting(section: Section, *, angle: float) -> Section:
    """The same section with its plain or split flap at another angle [rad]; errors as for ``deflect``.

    Raises
    ------
    RangeError
        Where no flap is turned, or its section at zero is not known.
    """
    turned = section.flap
    if turned is None or turned.unturned is None:
        raise RangeError(where=section.name, found="no flap that can be turned", needed="a turned flap")
    if turned.kind == "split":
        return deflect_split(turned.unturned, chord=1.0 - turned.hinge_x, angle=angle)
    flap = PlainFlap(chord=1.0 - turned.hinge_x, hinge=turned.hinge_y)
    return deflect(turned.unturned, flap=flap, angle=angle)


def deflect_split(section: Section, *, chord: float, angle: float) -> Section:
    """Turn down the aft part of the lower skin alone: a split flap.

    Parameters
    ----------
    section : Section
        With no flap turned yet.
    chord : float
        Of the flap, from its hinge on the lower skin along the chord line [chords], 0.05 to 0.5.
    angle : float
        Trailing edge down [rad], 0 to 60 deg.

    Returns
    -------
    Section
        Its trailing edge is the gap from the flap's edge up to that of the upper skin, open to the dead air
        behind; at zero angle (or a millionth), its very points.

    Raises
    ------
    RangeError
        Where the angle or the chord is out of range, or a flap is turned already.
    SectionError
        Where the turned outline would cross itself.

    Notes
    -----
    Plane geometry, no source needed. The flap has no thickness of its own.
    """
    _check_angle(section, angle=angle)
    if not SMALLEST_CHORD <= chord <= LARGEST_CHORD:
        raise RangeError(where="flap chord", found=f"{100 * chord:.1f} % of chord", needed="5 % to 50 %")
    if angle < 0.0:
        found = units.format_angle(angle)
        raise RangeError(where="flap angle", found=found, needed="0 to 60 deg: a split flap does not go up")
    curve = outline_curve(section)
    at = station_parameter(curve, section, station=1.0 - chord, surface="lower")
    hinge = np.asarray(curve.at(at), dtype=np.float64)
    deflection = FlapDeflection(
        hinge_x=float(hinge[0]), hinge_y=float(hinge[1]), angle=angle, unturned=section, kind="split"
    )
    if abs(angle) < SMALLEST_TURN:
        return replace(section, flap=deflection)
    points = np.column_stack((section.x, section.y))
    lower = np.arange(section.x.size) < section.nose_index
    near = np.abs(section.x - hinge[0]) < SHORTEST_STEP  # a point as good as on the hinge
    aft = points[lower & (section.x > hinge[0]) & ~near]
    fore = points[~(lower & ((section.x > hinge[0]) | near))]
    turned = rotated(aft, about=hinge, angle=angle)
    joined = np.concatenate((turned, hinge[None], fore))
    shown = units.format_angle(angle)
    return replace(
        section,
        name=f"{section.name}, split flap {shown}",
        x=joined[:, 0],
        y=joined[:, 1],
        notes=(*section.notes, f"split flap of {100 * chord:.1f} % chord turned {shown}"),
        flap=deflection,
    )


def rotated(points: FloatArray, *, about: FloatArray, angle: float) -> FloatArray:
    """Turn points about one, trailing edge down positive.

    Parameters
    ----------
    points : FloatArray
        Shape (..., 2) [chords].
    about : FloatArray
        The hinge, shape (2,) [chords].
    angle : float
        [rad].

    Returns
    -------
    FloatArray
        Shape (..., 2) [chords].
    """
    cosine, sine = math.cos(angle), math.sin(angle)
    x, y = points[..., 0] - about[0], points[..., 1] - about[1]
    return np.stack((about[0] + x * cosine + y * sine, about[1] + y * cosine - x * sine), axis=-1)


def _check_angle(section: Section, *, angle: float) -> None:
    if section.flap is not None and section.flap.angle != 0.0:
        raise RangeError(
            where=section.name,
            found=f"a flap already at {units.format_angle(section.flap.angle)}",
            needed="the section with its flap at zero",
        )
    if not FURTHEST_UP - 1e-12 <= angle <= FURTHEST_DOWN + 1e-12:
        raise RangeError(
            where="flap angle",
            found=units.format_angle(angle) if math.isfinite(angle) else str(angle),
            needed="-20 to 60 deg",
            fix="check that degrees were not taken for radians" if abs(angle) > math.pi else "",
        )


def _hinge(section: Section, curve: OutlineCurve, *, flap: PlainFlap) -> FloatArray:
    """Where the hinge lies, shape (2,) [chords]."""
    x = 1.0 - flap.chord
    lower, upper = (
        float(curve.at(station_parameter(curve, section, station=x, surface=surface))[1])
        for surface in ("lower", "upper")
    )
    places = {"middle": 0.5 * (lower + upper), "lower": lower, "upper": upper}
    y = places[flap.hinge] if isinstance(flap.hinge, str) else float(flap.hinge)
    if not lower - 1e-9 <= y <= upper + 1e-9:
        raise RangeError(
            where="flap hinge",
            found=f"a height of {100 * y:.2f} % of chord",
            needed=f"a place inside the section, {100 * lower:.2f} % to {100 * upper:.2f} % at that station",
            fix="a flap hung below its wing is no plain flap: not yet predicted by this version",
        )
    return np.array([x, y])


class _Skin:
    """One side of the section and the hinge, with parameters counted downstream from the nose."""

    def __init__(
        self, section: Section, curve: OutlineCurve, *, surface: str, hinge: FloatArray, angle: float
    ) -> None:
        nose = section.nose_index
        self.sign = 1.0 if surface == "upper" else -1.0
        self.curve, self.hinge, self.angle = curve, hinge, angle
        indices = np.arange(nose, section.x.size) if surface == "upper" else np.arange(nose, -1, -1)
        self.origin = float(curve.knots[nose])
        self.knots = self.sign * (curve.knots[indices] - self.origin)
        gaps = np.hypot(section.x[indices] - hinge[0], section.y[indices] - hinge[1])
        foot = nearest(curve, int(indices[np.argmin(gaps)]), to=(float(hinge[0]), float(hinge[1])))
        self.foot = self.sign * (foot - self.origin)
        self.radius = float(np.hypot(*(self.at(self.foot) - hinge)))
        beside = int(np.clip(np.searchsorted(self.knots, self.foot), 1, self.knots.size - 1))
        self.spacing = float(self.knots[beside] - self.knots[beside - 1])
        self.where = f"{section.name}, {surface} side"

    def at(self, parameter: FloatArray | float) -> FloatArray:
        """Points on the fixed skin."""
        return self.curve.at(self.origin + self.sign * np.asarray(parameter))

    def turned(self, parameter: FloatArray | float) -> FloatArray:
        """Points on the flap's skin after turning."""
        return rotated(self.at(parameter), about=self.hinge, angle=self.angle)

    def direction(self, parameter: float) -> FloatArray:
        """Change of the fixed skin's position with the parameter."""
        return self.sign * self.curve.direction(self.origin + self.sign * parameter)

    def turned_direction(self, parameter: float) -> FloatArray:
        """Change of the turned skin's position with the parameter."""
        return rotated(self.direction(parameter), about=np.zeros(2), angle=self.angle)

    def ahead(self, end: float, *, step: float) -> FloatArray:
        """Parameters from the nose to `end`, the last segments not much longer than `step`."""
        inner = self.knots[self.knots < end - SHORTEST_SHARE * min(self.spacing, step)]
        return _graded(np.append(inner, end)[::-1], step=step)[::-1]

    def behind(self, begin: float, *, step: float) -> FloatArray:
        """Parameters from `begin` to the trailing edge, the first segments not much longer than `step`."""
        inner = self.knots[self.knots > begin + SHORTEST_SHARE * min(self.spacing, step)]
        if inner.size == 0:
            raise SectionError(
                where=self.where,
                found="a flap trimmed away wholly",
                needed="a longer flap or a smaller angle",
            )
        return _graded(np.insert(inner, 0, begin), step=step)


def _graded(parameters: FloatArray, *, step: float) -> FloatArray:
    """Fill in until no segment, counted away from the first, is much longer than the one before."""
    out = [float(parameters[0])]
    for target in parameters[1:]:
        side = math.copysign(1.0, float(target) - out[-1])
        while abs(float(target) - out[-1]) > LARGEST_RATIO * step:
            step *= 0.5 * (1.0 + LARGEST_RATIO)
            out.append(out[-1] + side * step)
        step = abs(float(target) - out[-1])
        out.append(float(target))
    return np.array(out)


def _opened(skin: _Skin) -> FloatArray:
    """Fixed skin, arc about the hinge, flap skin: points from nose to trailing edge, shape (n, 2)."""
    arc = skin.radius * abs(skin.angle)
    wanted = max(math.ceil(arc / skin.spacing), math.ceil(abs(skin.angle) / ARC_STEP))
    count = min(wanted, int(arc / SHORTEST_STEP))
    if count == 0:
        # The gap is too small to draw: one point stands for it.
        middle = rotated(skin.at(skin.foot), about=skin.hinge, angle=0.5 * skin.angle)
        ahead = skin.ahead(skin.foot, step=skin.spacing)[:-1]
        behind = skin.behind(skin.foot, step=skin.spacing)[1:]
        return np.concatenate((skin.at(ahead), middle[None], skin.turned(behind)))
    turns = np.linspace(0.0, skin.angle, count + 1)[1:-1]
    foot = skin.at(skin.foot)
    bend = np.array([rotated(foot, about=skin.hinge, angle=turn) for turn in turns]).reshape(-1, 2)
    ahead = skin.ahead(skin.foot, step=arc / count)
    behind = skin.behind(skin.foot, step=arc / count)
    return np.concatenate((skin.at(ahead), bend, skin.turned(behind)))


def _closed(skin: _Skin) -> FloatArray:
    """Fixed skin and flap skin up to where they meet: points from nose to trailing edge, shape (n, 2)."""
    reach = skin.radius * math.tan(0.5 * abs(skin.angle))
    ahead, behind = skin.foot - reach, skin.foot + reach
    for _ in range(30):
        gap = skin.at(ahead) - skin.turned(behind)
        slopes = np.column_stack((skin.direction(ahead), -skin.turned_direction(behind)))
        change = np.linalg.solve(slopes, -gap)
        ahead, behind = ahead + float(change[0]), behind + float(change[1])
        if float(np.max(np.abs(change))) < 1e-13:
            break
    last = float(skin.knots[-1])
    meets = float(np.max(np.abs(skin.at(ahead) - skin.turned(behind)))) < 1e-9
    if not (meets and 0.0 < ahead <= skin.foot + 1e-9 and skin.foot - 1e-9 <= behind < last):
        raise SectionError(
            where=skin.where,
            found=f"skins that do not meet with the flap at {units.format_angle(skin.angle)}",
            needed="a hinge nearer to that skin, or a smaller angle",
        )
    front = skin.ahead(ahead, step=skin.spacing)
    back = skin.behind(behind, step=skin.spacing)[1:]
    return np.concatenate((skin.at(front), skin.turned(back)))
