"""Whether the undercarriage lets the wing reach the angle at which it stalls.

An aircraft with a tail wheel that touches down on all three wheels meets the ground at the attitude it
stands at. Where that is short of the stall, no row of vanes makes such a touchdown slower, however much it
does aloft.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight import units
from slowflight.errors import RangeError

STEEPEST = math.radians(45.0)
# How far a predicted stall angle may be off, either way: a stated default. Five measured sections were off by
# 0.2 to 1.2 deg; none of a whole wing is on record.
ANGLE_BAND = math.radians(1.5)
WING, GEAR = "wing", "three-point attitude"
ON_LEVEL_GROUND = (
    "This holds for level ground and a path held level just above it; a path that still sinks adds its own "
    "angle, and a wheel landing meets the ground at less."
)


@dataclass(frozen=True, kw_only=True)
class Attitude:
    """The wing's angle on three wheels, beside the angles at which it stalls.

    All angles are geometric: between the chord line of the wing's root and the ground or the flight path. The
    air that meets a section is turned down by the wing, so a section sees several degrees less.

    Parameters
    ----------
    wing_angle : float
        Chord line of the root above level ground, on three wheels [rad].
    reaches_clean_stall, reaches_vane_stall : bool or None
        Whether that angle is as large as the stall angle as predicted; ``None`` where that is not predicted.
    clean_is_close, vane_is_close : bool
        Whether the two angles lie within the band of a predicted stall angle: which is larger cannot be told.
    margin : float or None
        Wing angle on three wheels less the clean stall angle [rad], negative where the gear stops the wing
        first.
    usable_share : float or None
        Share of the vanes' gain in maximum lift coefficient that a three-point touchdown can use [-], 0 to 1;
        ``None`` where it cannot be said, as within the band of a stall angle.
    sentence : str
        The finding in a builder's words.
    """

    wing_angle: float
    reaches_clean_stall: bool | None
    reaches_vane_stall: bool | None
    clean_is_close: bool
    vane_is_close: bool
    margin: float | None
    usable_share: float | None
    sentence: str

    @property
    def binding_limit(self) -> str:
        """What ends a three-point touchdown first: the wing, the gear, or words that it is not known."""
        if self.clean_is_close:
            return f"{WING} or {GEAR}: cannot tell"
        if self.reaches_clean_stall is None:
            return "not known"
        return WING if self.reaches_clean_stall else GEAR


def check_attitude(
    *,
    three_point_attitude: float,
    incidence: float,
    stall_angle_clean: float | None,
    stall_angle_vanes: float | None,
    cl_max_clean: float | None = None,
    cl_max_vanes: float | None = None,
    cl_vanes_on_three_wheels: float | None = None,
    doubt: float = 0.0,
) -> Attitude:
    """Compare the wing's angle on three wheels with the angles at which it stalls.

    Parameters
    ----------
    three_point_attitude : float
        Fuselage datum above level ground, on three wheels [rad].
    incidence : float
        Root chord line above the fuselage datum [rad].
    stall_angle_clean, stall_angle_vanes : float or None
        Wing angles of maximum lift, from the root's chord line [rad]; ``None`` where not predicted.
    cl_max_clean, cl_max_vanes : float, optional
        Maximum lift coefficients of the wing [-].
    cl_vanes_on_three_wheels : float, optional
        Lift coefficient of the wing with vanes at the three-point angle [-]; with the other two it says how
        much of the gain can be used.
    doubt : float, optional
        Half-band of attitude plus incidence as measured or guessed [rad]; it widens the band of the stall
        angle by the root of the sum of squares.

    Returns
    -------
    Attitude

    Raises
    ------
    RangeError
        Where an angle is not finite or beyond 45 degrees: degrees may have been taken for radians.

    Notes
    -----
    Level ground, no angle of the flight path, no ground effect. Near the ground the air is turned down less,
    so sections see more of the wing's angle, but their largest lift does not grow with it; none is credited.
    """
    for name, angle in (
        ("three-point attitude", three_point_attitude),
        ("incidence", incidence),
        ("clean stall angle", stall_angle_clean),
        ("stall angle with vanes", stall_angle_vanes),
    ):
        if angle is not None and not abs(angle) <= STEEPEST:
            raise RangeError(
                where=name,
                found=f"{angle:g} rad",
                needed="an angle up to 45 degrees",
                fix="give it in radians",
            )
    wing_angle = three_point_attitude + incidence
    clean = None if stall_angle_clean is None else wing_angle >= stall_angle_clean
    vanes = None if stall_angle_vanes is None else wing_angle >= stall_angle_vanes
    band = math.hypot(ANGLE_BAND, doubt)
    clean_is_close, vane_is_close = (
        angle is not None and abs(wing_angle - angle) <= band
        for angle in (stall_angle_clean, stall_angle_vanes)
    )
    share = _usable_share(clean, vanes, cl_max_clean, cl_max_vanes, cl_vanes_on_three_wheels)
    if (
        stall_angle_clean is not None
        and stall_angle_vanes is not None
        and stall_angle_vanes <= stall_angle_clean
    ):
        share = None  # there is no gain in angle to be shared out
    if clean_is_close or (vane_is_close and clean):
        share = None  # a share of what cannot be told
    finding = _sentence(wing_angle, stall_angle_clean, stall_angle_vanes, share, band)
    return Attitude(
        wing_angle=wing_angle,
        reaches_clean_stall=clean,
        reaches_vane_stall=vanes,
        clean_is_close=clean_is_close,
        vane_is_close=vane_is_close,
        margin=None if stall_angle_clean is None else wing_angle - stall_angle_clean,
        usable_share=share,
        sentence=f"{finding} {ON_LEVEL_GROUND}",
    )


def _usable_share(
    clean: bool | None,
    vanes: bool | None,
    cl_max_clean: float | None,
    cl_max_vanes: float | None,
    cl_vanes_on_three_wheels: float | None,
) -> float | None:
    if clean is False:
        return 0.0
    if clean is None or vanes is None:
        return None
    if vanes:
        return 1.0
    if cl_max_clean is None or cl_max_vanes is None or cl_vanes_on_three_wheels is None:
        return None
    if cl_max_vanes <= cl_max_clean:
        return None
    share = (cl_vanes_on_three_wheels - cl_max_clean) / (cl_max_vanes - cl_max_clean)
    return min(max(share, 0.0), 1.0)


def _sentence(
    wing_angle: float, clean: float | None, vanes: float | None, share: float | None, band: float
) -> str:
    why = f"the two are known to about {_deg(band)} of each other (a stated default)"
    stands = f"On three wheels the wing stands at {_deg(wing_angle)}"
    if clean is None:
        return f"{stands}; the angle at which it stalls is not yet predicted."
    if abs(wing_angle - clean) <= band:
        return (
            f"{stands}, near its stall at {_deg(clean)} without vanes: {why}, so whether the gear or "
            "the stall comes first cannot be told, nor whether a row slows a three-point touchdown."
        )
    if wing_angle < clean:
        return (
            f"{stands}, {_deg(clean - wing_angle)} short of its stall at {_deg(clean)}: the gear stops you "
            "first; a row cannot slow a three-point touchdown."
        )
    if vanes is None:
        return (
            f"{stands}, past its stall at {_deg(clean)} without vanes; the angle at which it stalls with "
            "vanes is not yet predicted."
        )
    if vanes <= clean:
        return (
            f"{stands}, past its stall at {_deg(clean)}; this row does not let the wing reach a larger angle "
            "before it stalls."
        )
    if abs(wing_angle - vanes) <= band:
        return (
            f"{stands}, past its stall at {_deg(clean)} without vanes and near the {_deg(vanes)} with them: "
            f"{why}, so whether all of the gain can be used in a three-point touchdown cannot be told."
        )
    if wing_angle < vanes:
        part = "" if share is None else f", about {100.0 * share:.0f} % of the added lift coefficient"
        return (
            f"{stands}, between its stall at {_deg(clean)} without vanes and {_deg(vanes)} with them: only "
            f"part of the gain can be used in a three-point touchdown{part}; the rest is there only aloft."
        )
    return (
        f"{stands}, past its stall at {_deg(clean)} without vanes and at {_deg(vanes)} with them: the gear "
        "lets the wing reach its stall either way."
    )


def _deg(angle: float) -> str:
    return units.format_angle(angle, "deg")
