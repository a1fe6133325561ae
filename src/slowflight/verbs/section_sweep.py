"""The lift curve of one section, from what an owner writes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.flow import lift_curve as flow
from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.rans.bodies_lift_curve import bodies_lift_curve
from slowflight.flow.rans.two_models import ONE
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.sources import cite
from slowflight.verbs import plain_numbers
from slowflight.verbs.minutes_sweep import minutes_curve, refuse_what_is_not_there
from slowflight.wing.airfoils import airfoil as read_airfoil
from slowflight.wing.elements import Elements, planned
from slowflight.wing.flap import deflect
from slowflight.wing.flap_file import read_flap
from slowflight.wing.naca import naca_digits
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL, flap_kind, read_own_airfoil_flap
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow, read_vane_rows

LOWEST_REYNOLDS, HIGHEST_REYNOLDS = 1e4, 1e8
SHORTEST_CHORD, LONGEST_CHORD = 0.05, 10.0  # [m]
LOWEST_AMPLIFICATION, HIGHEST_AMPLIFICATION = 1.0, 15.0
FORMULA_SOURCES = {4: "Jacobs1933", 5: "JacobsPinkerton1936"}  # by the number of digits
TURBULENT = "turbulent"  # only the minutes tier knows layers turbulent from the stagnation point on
TIERS = ("integral", "rans")


def lift_curve(
    airfoil: str,
    *,
    reynolds: str | float,
    angles: str,
    tier: str = "integral",
    chord: str | None = None,
    transition: str = "free",
    amplification: str | float = 9.0,
    flap: str | Path | None = None,
    flap_angle: str | float | None = None,
    vanes: str | Path | None = None,
    grid: str = "default",
    keep_in: str | Path | None = None,
    time_average: bool = False,
    turbulence: str = ONE,
    on_start: Callable[[int], None] | None = None,
    on_point: Callable[[FlowPoint], None] | None = None,
) -> LiftCurve:
    """Compute how a section's lift, drag and moment go with the angle of attack.

    Parameters
    ----------
    airfoil : str
        ``"naca4412"``, ``"NACA 23012"`` or a file of coordinates or caliper offsets.
    reynolds : str or float
        On the chord [-], 1e4 to 1e8.
    angles : str
        ``FROM:TO:STEP`` [deg], TO included.
    tier : str, optional
        ``"integral"`` (seconds) or ``"rans"`` (minutes).
    chord : str or None, optional
        With its unit, ``"60 in"``; 50 mm to 10 m. Needed with vanes, unless the airfoil's file says it.
    transition : str, optional
        ``"free"``, or where the layers are made turbulent [fraction of chord]: one share, or ``UPPER,LOWER``;
        of the minutes tier also ``"turbulent"``, from the stagnation point on.
    amplification : str or float, optional
        Growth of disturbances, as the exponent of e, at which a free layer turns turbulent [-], 1 to 15.
    flap : str or Path or None, optional
        TOML file with ``[flap]``: plain, hung or slotted.
    flap_angle : str or float or None, optional
        [deg], trailing edge down positive.
    vanes : str or Path or None, optional
        TOML file with one or more ``[[vane_row]]``; the rows act together.
    grid : str, optional
        Of the minutes tier: ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    keep_in : str or Path or None, optional
        Folder in which the minutes tier keeps finished angles, and finds those of an earlier run.
    time_average : bool, optional
        Of the minutes tier: average over time past the last steady answer.
    turbulence : str, optional
        Of the minutes tier: ``"one-equation"``, or ``"both"`` for the two-equation model at each angle too.
    on_start : callable, optional
        Called once with the number of angles, with both models twice that, when all input has been accepted.
    on_point : callable, optional
        Called after each finished angle.

    Returns
    -------
    LiftCurve

    Raises
    ------
    InputError
        Where anything given cannot be used; nothing has been computed then.
    """
    if tier not in TIERS:
        known = " or ".join(repr(t) for t in TIERS)
        fix = "this version computes the integral and the rans tier"
        raise InputError(where="--tier", found=repr(tier), needed=known, fix=fix)
    if tier != "rans" and keep_in is not None:
        needed = "--tier rans with it: the seconds tier is quicker than its files"
        raise InputError(where="--keep", found=f"{str(keep_in)!r}", needed=needed)
    if tier != "rans" and time_average:
        needed = "--tier rans with it: the seconds tier has no time"
        raise InputError(where="--time-average", found=f"--tier {tier}", needed=needed)
    if tier != "rans" and turbulence != ONE:
        needed = "--tier rans with it: the seconds tier has no such models"
        raise InputError(where="--turbulence", found=f"--tier {tier}", needed=needed)
    if turbulence != ONE and time_average:
        raise InputError(
            where="--time-average", found=f"--turbulence {turbulence}",
            needed="one of them: averages are computed with the one-equation model only",
        )  # fmt: skip
    reynolds = plain_numbers.number(
        reynolds,
        where="--reynolds",
        lowest=LOWEST_REYNOLDS,
        highest=HIGHEST_REYNOLDS,
        what="a Reynolds number",
    )
    angles_deg = plain_numbers.angles(angles, where="--angles")
    turbulent = tier == "rans" and transition.strip().lower() == TURBULENT
    stations = plain_numbers.transition("free" if turbulent else transition, where="--transition")
    critical = plain_numbers.number(
        amplification,
        where="--amplification",
        lowest=LOWEST_AMPLIFICATION,
        highest=HIGHEST_AMPLIFICATION,
        what="an exponent",
    )
    chord_m = None if chord is None else _chord(chord)
    section = read_airfoil(airfoil, chord=chord_m)
    warnings = list(section.cautions)
    if chord_m is not None and section.chord_m is not None and abs(chord_m / section.chord_m - 1.0) > 0.01:
        measured = units.format_length(section.chord_m, "mm", decimals=0)
        warnings.append(
            f"the airfoil's file says a chord of {measured}, --chord says {chord}: the latter is used"
        )
    chord_m = section.chord_m if chord_m is None else chord_m
    if tier == "rans":
        refuse_what_is_not_there(
            own_airfoil_flap=flap is not None and flap_kind(flap) in OWN_AIRFOIL,
            grid=grid,
            turbulence=turbulence,
            turbulent=turbulent,
            asked={
                "--keep": keep_in is not None,
                "--time-average": time_average,
                "--turbulence": turbulence != ONE,
            },
        )
    rows = () if vanes is None else _vanes(vanes, chord_m=chord_m)
    elements = with_own_airfoil_flap(section, flap=flap, flap_angle=flap_angle)
    if elements is None:
        section = deflected(section, flap=flap, flap_angle=flap_angle)
    if on_start is not None:
        on_start(len(angles_deg) * (1 if turbulence == ONE else 2))
    if tier == "rans" and elements is not None:
        found = bodies_lift_curve(
            elements,
            reynolds=reynolds,
            angles_deg=angles_deg,
            vane_rows=rows,
            chord_m=chord_m,
            grid=grid,
            on_point=on_point,
        )
    elif tier == "rans":
        found = minutes_curve(
            section,
            reynolds=reynolds,
            angles_deg=tuple(angles_deg),
            transition=None if turbulent else stations,
            critical_amplification=critical,
            vane_rows=rows,
            chord_m=chord_m,
            grid=grid,
            turbulence=turbulence,
            keep_in=keep_in,
            time_average=time_average,
            on_point=on_point,
        )
    else:
        curve = flow.lift_curve if elements is None else elements_lift_curve
        found = curve(
            section if elements is None else elements,  # type: ignore[arg-type]
            reynolds=reynolds,
            angles_deg=angles_deg,
            transition=stations,
            critical_amplification=critical,
            vane_rows=rows,
            chord_m=chord_m,
            on_point=on_point,
        )
    reference = {**found.reference, "airfoil_notes": section.notes} if section.notes else found.reference
    return replace(
        found,
        reference=reference,
        sources=cite(*formula_sources(airfoil), *found.sources),
        warnings=(*warnings, *found.warnings),
    )


def _chord(text: str) -> float:
    chord = units.length(text, where="--chord")
    if not SHORTEST_CHORD <= chord <= LONGEST_CHORD:
        needed = f"a wing chord from {SHORTEST_CHORD:g} to {LONGEST_CHORD:g} m"
        raise RangeError(where="--chord", found=f"{text!r}, {chord:g} m", needed=needed, fix="check the unit")
    return chord


def _vanes(path: str | Path, *, chord_m: float | None) -> tuple[VaneRow, ...]:
    if chord_m is None:
        needed = "--chord with it, because vanes are measured in mm or inches"
        raise InputError(
            where="--vanes", found="no chord", needed=needed, fix='add for example --chord "1500 mm"'
        )
    return read_vane_rows(path, chord_m=chord_m)


def formula_sources(airfoil: str) -> tuple[str, ...]:
    """Sources of a NACA formula by the airfoil's name; none for other airfoils."""
    digits = naca_digits(airfoil)
    return () if digits is None else (FORMULA_SOURCES[len(digits)],)


def with_own_airfoil_flap(
    section: Section, *, flap: str | Path | None, flap_angle: str | float | None
) -> Elements | None:
    """Hang a flap that is an airfoil of its own; ``None`` where there is no such flap."""
    if flap is None or flap_angle is None or flap_kind(flap) not in OWN_AIRFOIL:
        return None
    hung = read_own_airfoil_flap(flap)
    angle = plain_numbers.flap_angle(flap_angle, where="--flap-angle")
    return planned(section, hung.section, plan=hung.plan, angle=angle)


def deflected(section: Section, *, flap: str | Path | None, flap_angle: str | float | None) -> Section:
    """Turn a plain flap; InputError where one of file and angle is missing."""
    if flap is None and flap_angle is None:
        return section
    if flap is None:
        raise InputError(where="--flap-angle", found="no flap", needed="--flap FILE with it")
    if flap_angle is None:
        raise InputError(where="--flap", found="no angle", needed="--flap-angle DEG with it")
    angle = plain_numbers.flap_angle(flap_angle, where="--flap-angle")
    return deflect(section, flap=read_flap(flap), angle=angle)
