"""The lift curve of one section by the minutes tier, from what an owner writes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from slowflight.errors import InputError
from slowflight.flow.rans.grid import FAMILIES
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.rans.two_models import BOTH, ONE
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.study.minutes_points import KeptPoints
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

SECONDS = "use --tier integral for it"


def refuse_what_is_not_there(
    *,
    own_airfoil_flap: bool,
    grid: str,
    turbulence: str,
    turbulent: bool,
    asked: Mapping[str, bool],
) -> None:
    """Refuse what the minutes tier cannot compute yet, before anything is computed.

    Parameters
    ----------
    own_airfoil_flap : bool
        Whether there is a hung or slotted flap.
    grid, turbulence : str
    turbulent : bool
        Whether layers are fully turbulent.
    asked : mapping
        Options that need one body, and whether they were given.

    Raises
    ------
    InputError
    """
    if grid not in FAMILIES:
        raise InputError(where="--grid", found=repr(grid), needed=" or ".join(FAMILIES))
    if turbulence not in (ONE, BOTH):
        raise InputError(where="--turbulence", found=repr(turbulence), needed=f"{ONE} or {BOTH}")
    if turbulence == BOTH and not turbulent:
        raise InputError(
            where="--turbulence",
            found="both models with laminar layers",
            needed="--transition turbulent with it: the two-equation model is computed with no other",
        )
    if not own_airfoil_flap:
        return
    with_flap = "with a hung or slotted flap and --tier rans"
    if not turbulent:
        raise InputError(
            where="--transition",
            found=f"laminar layers {with_flap}",
            needed="--transition turbulent",
            fix=SECONDS,
        )
    for option, given in asked.items():
        if given:
            raise InputError(where=option, found=f"it {with_flap}", needed="one body for it", fix=SECONDS)


def minutes_curve(
    section: Section,
    *,
    reynolds: float,
    angles_deg: tuple[float, ...],
    transition: tuple[float | None, float | None] | None,
    critical_amplification: float,
    vane_rows: tuple[VaneRow, ...],
    chord_m: float | None,
    grid: str,
    turbulence: str,
    keep_in: str | Path | None,
    time_average: bool,
    on_point: Callable[[FlowPoint], None] | None,
) -> LiftCurve:
    """Compute, with finished angles kept in a folder where one is given and taken from it.

    Raises
    ------
    InputError
        Where the folder cannot be written, or the section cannot be gridded.
    """
    kept = None
    if keep_in is not None:
        kept = KeptPoints(
            Path(keep_in), section=section, reynolds=reynolds, grid=grid, angles_deg=angles_deg,
            vane_rows=vane_rows, chord_m=chord_m, transition=transition,
            critical_amplification=critical_amplification,
        )  # fmt: skip
    return rans_lift_curve(
        section,
        reynolds=reynolds,
        angles_deg=angles_deg,
        transition=transition,
        critical_amplification=critical_amplification,
        vane_rows=vane_rows,
        chord_m=chord_m,
        grid=grid,
        turbulence=turbulence,
        recall=None if kept is None else kept.recall,
        keep=None if kept is None else kept.keep,
        time_average=time_average,
        on_point=on_point,
    )
