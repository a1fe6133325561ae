"""The form for what was really bonded: written blank, read back complete."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight.errors import InputError
from slowflight.layout.files import replace_file
from slowflight.wing.tomlfile import read_text

COLUMNS = (
    "row",
    "side",
    "number",
    "hand",
    "planned_span_mm",
    "planned_skin_mm",
    "planned_toe_deg",
    "measured_span_mm",
    "measured_skin_mm",
    "measured_toe_deg",
    "remark",
)
MEASURED = ("span_mm", "skin_mm", "toe_deg")
MISSING = "missing"
PRINTED = 0.051  # the form has tenths
# Beyond these a number is a slip of the pen or of the unit.
FARTHEST_MM, LARGEST_TOE = 60.0, 60.0


@dataclass(frozen=True, kw_only=True)
class InstalledVane:
    """One vane as planned and as measured.

    Parameters
    ----------
    row, number : int
    side, hand : str
    planned_span, planned_skin, planned_toe : float
        [mm, mm, deg]
    skin, toe : float or None
        As measured [mm, deg]; None where it is missing from the wing.
    span : float or None
        As measured [mm]; as planned where nobody wrote it.
    remark : str
    """

    row: int
    side: str
    number: int
    hand: str
    planned_span: float
    planned_skin: float
    planned_toe: float
    span: float | None
    skin: float | None
    toe: float | None
    remark: str = ""

    @property
    def missing(self) -> bool:
        """Whether it is not on the wing."""
        return self.skin is None

    @property
    def label(self) -> str:
        """As it is printed beside it: ``"L12"``."""
        return f"{self.side[0].upper()}{self.number}"


def write_form(records: Sequence[Mapping[str, Any]], path: Path | str) -> Path:
    """Write the form to copy and complete, for all rows.

    Parameters
    ----------
    records : sequence of mapping
        One for each row, with ``vanes`` as in the layout's JSON.
    path : Path or str

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where it cannot be written.
    """
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\n")
    table.writerow(COLUMNS)
    for number, record in enumerate(records, start=1):
        for vane in record["vanes"]:
            table.writerow(
                [
                    number, vane["side"], vane["number"], vane["hand"], f"{vane['span_position_mm']:.1f}",
                    f"{vane['skin_distance_mm']:.1f}", f"{vane['toe_deg']:+.1f}", "", "", "", "",
                ]
            )  # fmt: skip
    return replace_file(path, written.getvalue().encode("utf-8"))


def read_installed(path: Path | str, *, records: Sequence[Mapping[str, Any]]) -> list[InstalledVane]:
    """Read a completed form.

    Parameters
    ----------
    path : Path or str
        Comma-separated or, as some spreadsheets write it, separated by semicolons with decimal commas. Skin
        distance and toe of each vane, or ``missing`` as its remark; span may stay empty.
    records : sequence of mapping
        The rows as laid out.

    Returns
    -------
    list of InstalledVane
        Every planned vane once.

    Raises
    ------
    InputError
        Where a column or vane is missing, a vane stands twice or is none of the layout's, a cell is no number
        or a reading is so far off that it must be a slip.
    """
    place = Path(path)
    text = read_text(place, needed="a completed copy of installed-form.csv")
    head = text.splitlines()[0]
    separator = ";" if head.count(";") > head.count(",") else ","
    reader = csv.DictReader(io.StringIO(text), delimiter=separator)
    absent = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
    if absent:
        raise InputError(
            where=str(place), found=f"no column {absent[0]!r}", needed=f"the columns {', '.join(COLUMNS)}",
            fix="start from a copy of installed-form.csv",
        )  # fmt: skip
    wanted = {
        (number, vane["side"], vane["number"]): vane
        for number, record in enumerate(records, start=1)
        for vane in record["vanes"]
    }
    found: dict[tuple[int, str, int], InstalledVane] = {}
    for line, cells in enumerate(reader, start=2):
        if not any((value or "").strip() for value in cells.values() if isinstance(value, str)):
            continue
        where = f"{place} line {line}"
        if None in cells:  # a spreadsheet's empty columns have a place in the first line too
            raise InputError(
                where=where, found="more cells than columns", needed=f"{len(COLUMNS)} cells",
                fix="decimal commas need semicolons between the cells, a remark with a comma needs quotes",
            )  # fmt: skip
        vane = _vane(cells, wanted, where=where, comma=separator == ";")
        key = (vane.row, vane.side, vane.number)
        if key in found:
            raise InputError(where=where, found=f"vane {vane.label} again", needed="every vane once")
        found[key] = vane
    left = [key for key in wanted if key not in found]
    if left:
        row, side, number = left[0]
        raise InputError(
            where=str(place),
            found=f"no line for vane {number} of the {side} wing, row {row}, and {len(left)} such in all",
            needed="every vane of the layout",
            fix="write 'missing' as the remark of one that is not on the wing",
        )
    return [found[key] for key in wanted]


def _vane(
    cells: Mapping[str, Any],
    wanted: Mapping[tuple[int, str, int], Mapping[str, Any]],
    *,
    where: str,
    comma: bool,
) -> InstalledVane:
    def words(name: str) -> str:
        return str(cells.get(name) or "").strip()

    def number(name: str) -> float | None:
        text = words(name)
        if not text:
            return None
        try:
            value = float(text.replace(",", ".") if comma else text)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise InputError(where=f"{where} {name}", found=repr(text), needed="a number, without its unit")
        return value

    def whole(name: str) -> int:
        value = number(name)
        return 0 if value is None or value != int(value) else int(value)

    key = (whole("row"), words("side").lower(), whole("number"))
    plan = wanted.get(key)
    if plan is None:
        raise InputError(
            where=where, found=f"row {words('row')!r}, side {words('side')!r}, number {words('number')!r}",
            needed="a vane of the layout", fix="lay out again, and start from the new installed-form.csv",
        )  # fmt: skip
    planned = (plan["span_position_mm"], plan["skin_distance_mm"], plan["toe_deg"])
    for name, meant in zip(MEASURED, planned, strict=True):
        printed = number(f"planned_{name}")
        if printed is not None and abs(printed - meant) > PRINTED:
            raise InputError(
                where=f"{where} planned_{name}",
                found=f"{printed:g}, where {meant:.1f} is laid out",
                needed="a form of the layout as it is now",
                fix="copy the readings into the new installed-form.csv, if the vanes stand by this layout",
            )
    span, skin, toe = (number(f"measured_{name}") for name in MEASURED)
    if words("remark").lower().startswith(MISSING):
        if skin is not None or toe is not None:
            raise InputError(
                where=where,
                found="a vane that is missing and measured",
                needed="one of the two",
                fix="begin the remark of a vane that is there with another word",
            )
        span = skin = toe = None
    elif skin is None or toe is None:
        raise InputError(
            where=where,
            found="no measured_skin_mm or no measured_toe_deg",
            needed="both, from the wing itself",
            fix="write 'missing' as the remark of a vane that is not on the wing",
        )
    else:
        span = planned[0] if span is None else span
        for name, value, meant in zip(("span", "skin"), (span, skin), planned, strict=False):
            if abs(value - meant) > FARTHEST_MM:
                raise InputError(
                    where=f"{where} measured_{name}_mm",
                    found=f"{value:g} mm, where {meant:.1f} mm was laid out",
                    needed=f"a reading within {FARTHEST_MM:.0f} mm of the layout",
                    fix="check the unit and the datum, or lay the row out as it stands now",
                )
        if abs(toe) > LARGEST_TOE:
            raise InputError(
                where=f"{where} measured_toe_deg",
                found=f"{toe:g}",
                needed=f"at most {LARGEST_TOE:.0f} degrees",
            )
    return InstalledVane(
        row=key[0], side=key[1], number=key[2], hand=str(plan["hand"]), planned_span=planned[0],
        planned_skin=planned[1], planned_toe=planned[2], span=span, skin=skin, toe=toe,
        remark=words("remark"),
    )  # fmt: skip
