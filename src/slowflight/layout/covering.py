"""What a covering that hangs in between its ribs does to vanes bonded on it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from slowflight import units
from slowflight.layout.fit import Covering, Part
from slowflight.layout.placed import PlacedVane

# Common practice, no source: vanes stand within this of square to the skin.
LEAN_TOLERANCE = math.radians(2.0)


def covering_warnings(covering: Covering | None, vanes: Sequence[PlacedVane], *, part: Part) -> list[str]:
    """Say which vanes would stand on open fabric or on a rib's stitching, and what sag does to them.

    Parameters
    ----------
    covering : Covering or None
        None where nothing was said.
    vanes : sequence of PlacedVane
        Of both wings; they are alike.
    part : Part
        How wide a base is.

    Returns
    -------
    list of str

    Notes
    -----
    Between two ribs a distance w apart the covering is taken to hang in as a parabola of depth d: its slope
    along the span is 4 d / w at a rib and falls to nothing halfway (geometry; the parabola is our choice).
    A vane bonded there leans by that much, and stands up to d too low.
    """
    if covering is None:
        return []
    half = 0.5 * part.base_width
    mine = [vane for vane in vanes if vane.side == vanes[0].side]
    sheet = math.inf if covering.kind != "fabric" else covering.sheet_to
    if covering.kind != "fabric" and covering.sheet_to is not None:
        sheet = covering.sheet_to
    found = []
    open_ones = [v for v in mine if sheet is None or v.trailing_skin_distance + half > sheet]
    if covering.kind == "fabric" and sheet is None:
        found.append(
            "fit.toml does not say where stiff sheet at the nose ends: bond to sheet or to tape over a rib,"
            " not to open fabric (common practice, no source)"
        )
    elif open_ones and math.isfinite(sheet or 0.0):
        found.append(
            f"{len(open_ones)} vanes on each wing, from {_name(open_ones)}, reach behind the stiff sheet,"
            f" which ends {units.format_length(sheet or 0.0, 'mm')} along the skin: they would stand on open"
            " covering, which peels and drums; move the row forward, or put a patch under them (common"
            " practice, no source)"
        )
    spacing, first = covering.rib_spacing, covering.first_rib
    if spacing is not None and first is not None:
        near = [v for v in mine if _from_rib(v, first=first, spacing=spacing) < 0.5 * covering.stitch_width]
        if near:
            names = ", ".join(str(vane.number) for vane in near[:12]) + (" ..." if len(near) > 12 else "")
            found.append(
                f"forward tips within {units.format_length(0.5 * covering.stitch_width, 'mm')} of a rib's"
                f" line, on its stitching or tape: numbers {names}; bed them flat or leave them out with"
                " their pair on both wings"
            )
    if covering.sag > 0.0 and spacing is not None:
        lean = math.atan(4.0 * covering.sag / spacing)
        words = (
            f"the covering hangs in by {units.format_length(covering.sag, 'mm')} between ribs"
            f" {units.format_length(spacing, 'mm', decimals=0)} apart: halfway a vane stands that much too"
            f" low, and beside a rib it leans by up to {units.format_angle(lean)}"
        )
        if lean > LEAN_TOLERANCE:
            words += ", more than the 2 degrees of the tolerances: set it square to a straightedge over ribs"
        found.append(words)
    return found


def _from_rib(vane: PlacedVane, *, first: float, spacing: float) -> float:
    """Distance of the forward tip from the nearest rib's line [m]."""
    number = max(0, round((vane.span_position - first) / spacing))
    return abs(vane.span_position - first - number * spacing)


def _name(vanes: Sequence[PlacedVane]) -> str:
    return f"number {vanes[0].number}" if len(vanes) == 1 else f"numbers {vanes[0].number} on"
