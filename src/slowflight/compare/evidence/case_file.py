"""Read one case file: TOML, with a table beside it where the case has many numbers."""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight.compare.evidence.case import (
    CALIBRATES,
    FROM_MEMORY,
    KINDS,
    PROVENANCES,
    QUANTITIES,
    ROLES,
    TIERS,
    Case,
    Conditions,
    Measured,
)
from slowflight.errors import InputError
from slowflight.sources import find
from slowflight.wing.naca import naca_digits

TEXTS = ("title", "kind", "role", "source", "place", "how_read", "provenance")
HEAD = (*TEXTS, "airfoil", "closed_trailing_edge", "angles_deg", "wing", "table")
CONDITIONS = ("reynolds", "mach", "transition", "trips", "turbulence", "aspect_ratio", "tunnel")
MEASURED = ("quantity", "value", "reading_error", "variant", "angle_deg", "span", "against", "note")
WORDS = ("side",)  # columns of a table that hold words
_PRESSURES = ("side", "x", "pressure_coefficient")
# What a comparison takes from the table, beside the column that drag is compared at.
COLUMNS = {
    "lift slope": ("alpha_deg", "cl"),
    "mean drag": ("cd",),
    "mean pressure coefficient, upper side": _PRESSURES,
    "mean pressure coefficient, lower side": _PRESSURES,
}
AT_ANGLE = ("lift", "separation", *(name for name in COLUMNS if "pressure" in name))


def read_case(file: Path) -> Case:
    """Read a case.

    Parameters
    ----------
    file : Path
        Such as ``cases/checks/naca2412-smooth.toml``; a table is looked for beside it.

    Returns
    -------
    Case

    Raises
    ------
    InputError
        Where the file is not TOML, something is missing, unknown or of the wrong kind, the source is not in
        the bibliography, or a remembered value would calibrate.
    """
    where = file.name
    try:
        values = tomllib.loads(file.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(where=where, found=f"no TOML ({error})", needed="a case file") from None
    _refuse_unknown(values, (*HEAD, "conditions", "measured", "not_run"), where)
    texts = {key: _text(values, key, where) for key in TEXTS}
    _one_of(texts["kind"], KINDS, f"{where}: kind")
    _one_of(texts["role"], ROLES, f"{where}: role")
    _one_of(texts["provenance"], PROVENANCES, f"{where}: provenance")
    find(texts["source"])
    if texts["provenance"] == FROM_MEMORY and texts["role"] == CALIBRATES:
        raise InputError(
            where=f"{where}: role", found="a remembered value that calibrates", needed="'checks'"
        )
    table = _table(file, values.get("table"), where)
    case = Case(
        name=where.removesuffix(".toml"),
        **texts,
        conditions=_conditions(_part(values, "conditions", where), f"{where}: conditions"),
        airfoil=values.get("airfoil"),
        closed_trailing_edge=bool(values.get("closed_trailing_edge", False)),
        angles_deg=_angles(values.get("angles_deg"), f"{where}: angles_deg"),
        wing=_wing(values.get("wing"), f"{where}: wing"),
        measured=tuple(_measured(part, table, where) for part in _list(values, "measured", where)),
        table=table,
        not_run=_not_run(values.get("not_run", {}), f"{where}: not_run"),
    )
    _check_that_it_can_be_run(case, where)
    return case


def _check_that_it_can_be_run(case: Case, where: str) -> None:
    if case.airfoil is not None and naca_digits(case.airfoil) is None:
        raise InputError(where=f"{where}: airfoil", found=repr(case.airfoil), needed="a NACA name by formula")
    if case.wing is None and case.airfoil is None and not case.not_run:
        needed = "airfoil or wing, or a [not_run] that says why it cannot be computed"
        raise InputError(where=where, found="nothing to compute", needed=needed)
    if case.airfoil is not None and (case.conditions.reynolds is None or not case.angles_deg):
        needed = "conditions.reynolds and angles_deg"
        raise InputError(where=where, found="an airfoil without its air", needed=needed)
    for measured in case.measured:
        _check_that_it_can_be_compared(case, measured, f"{where}: measured: {measured.quantity}")


def _check_that_it_can_be_compared(case: Case, measured: Measured, where: str) -> None:
    columns = COLUMNS.get(measured.quantity, ())
    if measured.value is None and (case.not_run or not columns):
        raise InputError(where=where, found="no value", needed="a value: it does not follow from the table")
    if case.not_run:
        return
    if measured.quantity == "mean drag":
        columns = (*columns, measured.against)
    missing = [column for column in columns if column not in case.table]
    if missing:
        raise InputError(where=where, found=f"no column {missing[0]!r}", needed="it in the case's table")
    if measured.quantity in AT_ANGLE and measured.angle_deg not in case.angles_deg:
        found = "no angle_deg" if measured.angle_deg is None else f"angle_deg = {measured.angle_deg:g}"
        raise InputError(where=where, found=found, needed="one of the case's angles_deg")


def _measured(values: object, table: Mapping[str, Sequence[object]], case: str) -> Measured:
    where = f"{case}: measured"
    if not isinstance(values, dict):
        raise InputError(where=where, found=repr(values), needed="[[measured]] tables")
    _refuse_unknown(values, MEASURED, where)
    quantity = _text(values, "quantity", where)
    _one_of(quantity, tuple(QUANTITIES), f"{where}: quantity")
    where = f"{where}: {quantity}"
    value = values.get("value")
    if value is None and not table:
        raise InputError(where=where, found="neither a value nor a table", needed="one of them")
    span = values.get("span")
    return Measured(
        quantity=quantity,
        value=None if value is None else _number(value, where),
        reading_error=_positive(values.get("reading_error"), f"{where}: reading_error"),
        variant=str(values.get("variant", "")),
        angle_deg=None if values.get("angle_deg") is None else _number(values["angle_deg"], where),
        span=None if span is None else (_number(span[0], where), _number(span[1], where)),
        against=_against(values.get("against", "alpha_deg"), f"{where}: against"),
        note=str(values.get("note", "")),
    )


def _against(value: object, where: str) -> str:
    text = value if isinstance(value, str) else repr(value)
    _one_of(text, ("alpha_deg", "cl"), where)
    return text


def _conditions(values: Mapping[str, Any], where: str) -> Conditions:
    _refuse_unknown(values, CONDITIONS, where)
    texts = {key: _text(values, key, where) for key in CONDITIONS[3:]}
    sides = values.get("transition", ["free", "free"])
    if not isinstance(sides, list) or len(sides) != 2:
        raise InputError(
            where=f"{where}: transition", found=repr(sides), needed="a list for upper and lower side"
        )
    upper, lower = (None if side == "free" else _number(side, f"{where}: transition") for side in sides)
    reynolds, mach = (
        None if values.get(key, "not stated") == "not stated" else _number(values[key], f"{where}: {key}")
        for key in ("reynolds", "mach")
    )
    return Conditions(reynolds=reynolds, mach=mach, transition=(upper, lower), **texts)


def _table(file: Path, name: object, where: str) -> dict[str, tuple[float | str, ...]]:
    if name is None:
        return {}
    beside = file.parent / str(name)
    if not beside.is_file():
        raise InputError(where=f"{where}: table", found=f"no file {name!r} beside it", needed="its table")
    lines = [line for line in beside.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    if not rows:
        raise InputError(where=str(name), found="no rows", needed="a table with a heading")
    return {
        column: tuple(row[column] if column in WORDS else _number(row[column], str(name)) for row in rows)
        for column in rows[0]
    }


def _angles(values: object, where: str) -> tuple[float, ...]:
    if values is None:
        return ()
    if isinstance(values, dict) and set(values) == {"from", "to", "step"}:
        start, end, step = (_number(values[key], where) for key in ("from", "to", "step"))
        if step <= 0.0 or end < start:
            raise InputError(where=where, found=repr(values), needed="from below to, and a step above 0")
        return tuple(start + step * k for k in range(round((end - start) / step) + 1))
    if isinstance(values, list) and values:
        return tuple(_number(value, where) for value in values)
    raise InputError(where=where, found=repr(values), needed="{from, to, step} or a list of degrees")


def _wing(values: object, where: str) -> tuple[float, float] | None:
    if values is None:
        return None
    if not isinstance(values, dict) or set(values) != {"aspect_ratio", "taper"}:
        raise InputError(where=where, found=repr(values), needed="aspect_ratio and taper")
    return _number(values["aspect_ratio"], where), _number(values["taper"], where)


def _not_run(values: object, where: str) -> dict[str, str]:
    if not isinstance(values, dict) or not all(isinstance(text, str) and text for text in values.values()):
        raise InputError(where=where, found=repr(values), needed="a reason for each tier")
    for tier in values:
        _one_of(tier, ("any", *TIERS), where)
    return dict(values)


def _part(values: Mapping[str, Any], key: str, where: str) -> Mapping[str, Any]:
    part = values.get(key)
    if not isinstance(part, dict):
        raise InputError(where=where, found=f"no [{key}]", needed=f"[{key}]")
    return part


def _list(values: Mapping[str, Any], key: str, where: str) -> list[object]:
    part = values.get(key)
    if not isinstance(part, list) or not part:
        raise InputError(where=where, found=f"no [[{key}]]", needed=f"at least one [[{key}]]")
    return part


def _text(values: Mapping[str, Any], key: str, where: str) -> str:
    text = values.get(key)
    if not isinstance(text, str) or not text.strip():
        found = "nothing" if text is None else repr(text)
        raise InputError(where=f"{where}: {key}", found=found, needed="text")
    return text


def _number(value: object, where: str) -> float:
    try:
        number = float(value) if isinstance(value, int | float | str) else math.nan
    except ValueError:
        number = math.nan
    if isinstance(value, bool) or not math.isfinite(number):
        raise InputError(where=where, found=repr(value), needed="a number")
    return number


def _positive(value: object, where: str) -> float:
    number = _number("nothing" if value is None else value, where)
    if number < 0.0:
        raise InputError(where=where, found=f"{number:g}", needed="0 or more")
    return number


def _one_of(value: str, known: tuple[str, ...], where: str) -> None:
    if value not in known:
        raise InputError(where=where, found=repr(value), needed=f"one of {', '.join(known)}")


def _refuse_unknown(values: Mapping[str, Any], known: tuple[str, ...], where: str) -> None:
    for key in values:
        if key not in known:
            raise InputError(
                where=where, found=f"an unknown key {key!r}", needed=f"keys of {', '.join(known)}"
            )
