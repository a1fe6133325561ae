"""What the owner has to know about rows of vanes: where they stand, how they were marched."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from slowflight.flow.integral import vanes
from slowflight.flow.integral.handed import Marched
from slowflight.flow.integral.section_flow import SectionModel, Solved

STAGNANT = 0.35  # edge speed below which a row without help stands near stagnation, not in separated air [-]
CLOSE_TO_EDGE = 0.02  # short of the trailing edge by less, a march is taken as whole [chords]
NOT_SEEN = (
    "what the march of the vanes does not see: rounded edges, and how rows stand to each other across the"
    " span; a triangular or ogival vane is one of less strength and area"
)


def vane_remarks(model: SectionModel, solved: Solved) -> tuple[str, ...]:
    """What the owner has to know about each row at this angle."""
    remarks = []
    for r in range(model.rows.shape[0]):
        row, told = model.rows[r], solved.told[r]
        if row[vanes.HEIGHT] <= 0.0:
            continue
        name = f"vane row {r + 1}"
        if told[2] == 0.0:
            remarks.append(f"{name} stands ahead of the stagnation point and is left out")
        elif told[3] < 0.5 and told[2] < STAGNANT:
            remarks.append(f"{name} stands close to the stagnation point: it is counted as little help")
        elif told[3] < 0.5:
            remarks.append(f"{name} stands in air that has let go: it is counted as no help")
    return tuple(remarks)


def of_fit(model: SectionModel) -> tuple[str, ...]:
    """What of each row lies outside what its strength was fitted on, at any angle of attack.

    The ranges are those of Wendt, NASA/CR-2001-211144, as known at second hand.
    """
    remarks = []
    low, high = vanes.FITTED_INCIDENCE
    least, most = vanes.FITTED_ASPECT
    for r in range(model.rows.shape[0]):
        row = model.rows[r]
        if row[vanes.HEIGHT] <= 0.0:
            continue
        incidence = math.degrees(row[vanes.INCIDENCE])
        if not low - 1e-6 <= incidence <= high + 1e-6:
            remarks.append(
                f"vane row {r + 1}: incidence {incidence:.3g} deg, outside the {low:g} to {high:g} deg its"
                " strength was fitted on" + ("; vanes so steep may stall" if incidence > high else "")
            )
        aspect = vanes.aspect_ratio(row[vanes.HEIGHT], row[vanes.LENGTH])
        if not least <= aspect <= most:
            remarks.append(
                f"vane row {r + 1}: aspect ratio {aspect:.2g} (8 heights over pi lengths), outside the"
                f" {least:g} to {most:g} its strength was fitted on"
            )
    return tuple(remarks)


def of_marches(marched: Iterable[Marched], row: int) -> tuple[str, ...]:
    """What came of the marches of one row, over the angles marched."""
    mine = sorted((m for m in marched if m.row == row), key=lambda m: m.alpha)
    name = f"vane row {row + 1}"
    if not mine:
        return (f"{name}: not marched, because no attached flow was found to begin from: it only trips",)
    remarks = [f"{name}: marched at {_angles(mine)} deg in the coupled flow"]
    short = [m for m in mine if m.status != "refused" and m.to_edge - m.valid_to > CLOSE_TO_EDGE]
    if short:
        least = min(m.valid_to / m.to_edge for m in short)
        remarks.append(
            f"{name}: the march stops short of the trailing edge at {_angles(short)} deg, at worst"
            f" {100.0 * least:.0f} % of the way, because the air lets go somewhere between the vanes; beyond"
            " that what it found at the next lower angle is held"
        )
    refused = [m for m in mine if m.status == "refused"]
    if refused:
        remarks.append(
            f"{name}: not marched at {_angles(refused)} deg ({refused[0].reason}); the nearest angle"
            " marched is taken"
        )
    tripped = [m for m in mine if m.tripped]
    if tripped:
        remarks.append(
            f"{name} stands in a laminar layer at {_angles(tripped)} deg: it is marched as turbulent from the"
            " vanes on"
        )
    return tuple(remarks)


def _angles(marched: list[Marched]) -> str:
    return ", ".join(f"{np.degrees(m.alpha):.3g}" for m in marched)


def of_rows(model: SectionModel, angles_deg: Iterable[float] = ()) -> tuple[str, ...]:
    """All that holds for the rows over the angles that have an answer [deg]."""
    there = [r for r in range(model.rows.shape[0]) if model.rows[r, vanes.HEIGHT] > 0.0]
    if not there:
        return ()
    remarks = [*of_fit(model), *(m for r in there for m in of_marches(model.handed.marched, r)), NOT_SEEN]
    marched = np.degrees(model.handed.angles)
    beyond = [a for a in angles_deg if marched.size and not marched[0] - 0.01 <= a <= marched[-1] + 0.01]
    if beyond:
        remarks.append(
            f"the vanes' mixing at {', '.join(f'{a:g}' for a in beyond)} deg is that of the nearest angle"
            " marched: the march found no answer there"
        )
    return tuple(remarks)
