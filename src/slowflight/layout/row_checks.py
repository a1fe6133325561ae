"""Which rows can be laid out at all, and where they start and end."""

from __future__ import annotations

import math

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.layout.spots import ROUNDING_M
from slowflight.wing.planform import Wing
from slowflight.wing.vane_row import LARGEST_INCIDENCE, SMALLEST_INCIDENCE, VaneRow


def check_row(row: VaneRow, *, single_toe: str, where: str) -> None:
    """Refuse a row that cannot be built or would stand on a moving surface; errors as for `lay_out`."""
    if row.element != "main":
        raise InputError(
            where=f"{where} element",
            found=repr(row.element),
            needed='"main"',
            fix="no layout is drawn for a moving surface: vanes change its loads and can start flutter",
        )
    if single_toe not in ("outboard", "inboard"):
        raise InputError(where="single_toe", found=repr(single_toe), needed="outboard or inboard")
    if row.height == 0.0:
        raise RangeError(where=f"{where} height", found="0 mm", needed="a vane that can be built")
    if not SMALLEST_INCIDENCE <= row.incidence <= LARGEST_INCIDENCE:
        found = units.format_angle(row.incidence)
        raise RangeError(where=f"{where} incidence", found=found, needed="2 to 40 deg")
    what = "vane" if row.arrangement == "co-rotating" else "pair"
    if row.trailing_gap < 0.0:
        raise RangeError(
            where=f"{where} gap",
            found=f"{_mm(row.gap)} between forward tips: the vanes of a pair would cross behind",
            needed=f"at least {_mm(row.gap - row.trailing_gap)} for a pair that opens upstream",
        )
    if row.footprint >= row.pitch:
        raise RangeError(
            where=f"{where} pitch",
            found=f"{_mm(row.pitch)}, where one {what} is {_mm(row.footprint)} wide: the vanes would overlap",
            needed=f"more than {_mm(row.footprint)}",
            fix="check the units of pitch, gap and length",
        )


def row_limits(
    wing: Wing, row: VaneRow, *, span_from: float | None, span_to: float | None, where: str
) -> tuple[float, float]:
    """Return where the row starts and ends, from the centerline [m]; errors as for `lay_out`."""
    start = next((x for x in (row.span_from, span_from) if x is not None), 0.5 * wing.cabin_width)
    end = next((x for x in (row.span_to, span_to) if x is not None), wing.semi_span)
    if not (math.isfinite(start) and math.isfinite(end) and 0.0 <= start < end):
        raise RangeError(
            where=f"{where} span_from and span_to",
            found=f"{start:.3f} m and {end:.3f} m from the centerline",
            needed="0 or more, and the end outboard of the start",
        )
    if end > wing.semi_span + ROUNDING_M:
        raise RangeError(
            where=f"{where} span_to",
            found=f"{end:.3f} m from the centerline",
            needed=f"at most {wing.semi_span:.3f} m, where the wing ends",
            fix="measure from the aircraft's centerline, not from tip to tip",
        )
    return start, min(end, wing.semi_span)


def _mm(value: float) -> str:
    return units.format_length(value, "mm")
