"""Every solid of a row, as STL and 3MF, with notes."""

from __future__ import annotations

import math
from pathlib import Path

from slowflight.errors import RangeError
from slowflight.layout.files import replace_file
from slowflight.layout.fit import Part
from slowflight.layout.placed import LayoutPlan
from slowflight.layout.solids.coupon import coupon
from slowflight.layout.solids.jig import jigs
from slowflight.layout.solids.print_notes import print_notes
from slowflight.layout.solids.solid import Solid, write_3mf, write_stl
from slowflight.layout.solids.vane_solid import VaneSize, vane_solid
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import VaneRow

WIDEST_BESIDE, LEAST_BESIDE = 3.0, 0.8


def vane_size(row: VaneRow, *, part: Part, hand: str) -> VaneSize:
    """Sizes of a row's vane in print.

    Parameters
    ----------
    row : VaneRow
    part : Part
        Its foot and tape; what is under the foot is taken off the height, so that the top stands as high
        above the skin as was predicted.
    hand : str

    Returns
    -------
    VaneSize

    Raises
    ------
    RangeError
        Where the feet of a pair would touch, or the vane is too low to print.
    """
    usual = VaneSize(
        height=1000.0 * (row.height - part.tape),
        length=1000.0 * row.length,
        shape=row.shape,
        hand=hand,
        toe=math.degrees(row.incidence),
        foot=1000.0 * part.base_thickness,
    )
    room = WIDEST_BESIDE
    if row.arrangement == "counter-rotating":
        # Feet of a pair are nearest where its tips are.
        least = 1000.0 * min(row.gap, row.trailing_gap)
        room = min(room, 0.5 * (least - usual.root) - 0.25)
    if room < LEAST_BESIDE:
        raise RangeError(
            where="gap of a printed pair",
            found=f"{1000.0 * min(row.gap, row.trailing_gap):.1f} mm between tips",
            needed=f"room for two feet, {usual.root + 2.0 * LEAST_BESIDE + 0.5:.1f} mm",
            fix="no vanes are printed for this row: fold or buy them",
        )
    return VaneSize(**{**vars(usual), "beside": room})


def write_solids(plan: LayoutPlan, folder: Path, *, stem: str, wing: Wing) -> list[Path]:
    """Write vanes of both hands, the jig and the coupon.

    Parameters
    ----------
    plan : LayoutPlan
        The layout.
    folder : Path
        An existing folder.
    stem : str
        How the files' names begin.
    wing : Wing

    Returns
    -------
    list of Path
        STL and 3MF of each part, and the notes.

    Raises
    ------
    RangeError
        Where the row's vane cannot be printed.
    SlowflightError
        Where a part makes no closed solid; nothing of it is written.
    """
    part = plan.fit.part
    sizes = {hand: vane_size(plan.row, part=part, hand=hand) for hand in ("A", "B")}
    solids: list[tuple[str, Solid]] = [
        (f"{stem}-vane-{hand}", vane_solid(size)) for hand, size in sizes.items()
    ]
    made = jigs(plan, wing=wing, size=sizes["A"], tape=1000.0 * part.tape)
    for number, jig in enumerate(made, start=1):
        solids.append((f"{stem}-jig" if len(made) == 1 else f"{stem}-jig-{number}", jig.solid))
    solids.append((f"{stem}-coupon", coupon()))
    files = []
    for name, solid in solids:
        files.append(write_stl(solid, folder / f"{name}.stl"))
        files.append(write_3mf(solid, folder / f"{name}.3mf"))
    notes = print_notes(
        solids,
        size=sizes["A"],
        to_make=(plan.parts.to_make_a, plan.parts.to_make_b),
        tape=1000.0 * part.tape,
        jigs=len(made),
        everywhere=all(jig.everywhere for jig in made),
    )
    files.append(replace_file(folder / f"{stem}-print-notes.txt", notes.encode("utf-8")))
    return files
