"""Read fit.toml: what the owner says about fitting, in the owner's units."""

from __future__ import annotations

import itertools
import re
from pathlib import Path
from typing import cast

from slowflight import units
from slowflight.errors import InputError, RangeError, UnitError
from slowflight.layout.fit import (
    CLEAR_M,
    CLEAR_OF_SENSOR_M,
    COMMON_PITCH_ELSEWHERE_M,
    COMMON_PITCH_M,
    COVERINGS,
    KEEP_OUT_KINDS,
    ZONE_KINDS,
    Bought,
    Covering,
    Datum,
    Fit,
    KeepOut,
    Moving,
    Part,
    Patch,
    Zone,
)
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

TABLES = ("zone", "keep_out", "moving", "datum", "covering", "part", "patch", "bought")
LISTS = ("zone", "keep_out", "moving", "patch")
_MONEY = re.compile(r"\s*(\d+(?:\.\d+)?)\s*([^\W\d]\S{0,7}|[$€£])\s*")


def read_fit(path: Path | str) -> Fit:
    """Read a fit.toml.

    Parameters
    ----------
    path : Path or str
        The file; a missing one says nothing.

    Returns
    -------
    Fit

    Raises
    ------
    InputError
        Where the file is no TOML, a key is missing or unknown, or zones lie one over another.
    UnitError, RangeError
        Where a value lacks its unit or makes no sense.
    """
    place = Path(path)
    if not place.exists() or not place.read_bytes().strip():
        return Fit()
    content = read_toml(place)
    refuse_unknown(content, known=TABLES, where=str(place))

    def tables(name: str) -> list[Table]:
        found = content.get(name, [])
        if isinstance(found, dict):
            raise InputError(
                where=str(place), found=f"[{name}]", needed=f"[[{name}]]", fix="double the square brackets"
            )
        listed = cast("list[object]", found if isinstance(found, list) else [found])
        return [Table(values, where=f"{place}: {name} {number}") for number, values in enumerate(listed, 1)]

    def table(name: str) -> Table | None:
        return Table(content[name], where=f"{place}: {name}") if name in content else None

    datum, covering, part, bought = (table(name) for name in ("datum", "covering", "part", "bought"))
    zones = sorted((_zone(each) for each in tables("zone")), key=lambda zone: zone.span_from)
    for inner, outer in itertools.pairwise(zones):
        if outer.span_from < inner.span_to - 1e-9:
            raise InputError(
                where=f"{place}: zone {outer.name!r} span_from",
                found=f"{_m(outer.span_from)}, inside zone {inner.name!r}, which ends at {_m(inner.span_to)}",
                needed="zones one beside the other",
            )
    return Fit(
        zones=tuple(zones),
        keep_outs=tuple(_keep_out(each) for each in tables("keep_out")),
        moving=tuple(_moving(each) for each in tables("moving")),
        datum=None if datum is None else _datum(datum),
        covering=None if covering is None else _covering(covering),
        part=Part() if part is None else _part(part),
        patches=tuple(_patch(each) for each in tables("patch")),
        bought=None if bought is None else _bought(bought),
    )


def _zone(table: Table) -> Zone:
    kind = table.choice("kind", ZONE_KINDS)
    pitch, free = None, False
    if table.has("pitch"):
        said = table.value("pitch", needed='a length, "row", "common practice" or "none"')
        if said == "none":
            free = True
        elif said == "common practice":
            pitch = COMMON_PITCH_M.get(kind, COMMON_PITCH_ELSEWHERE_M)
        elif said != "row":
            pitch = _above_zero(table, "pitch")
    start, end = _span(table)
    zone = Zone(
        name=_name(table, default=kind), kind=kind, span_from=start, span_to=end, pitch=pitch, free=free
    )
    table.finish()
    return zone


def _keep_out(table: Table) -> KeepOut:
    kind = table.choice("kind", KEEP_OUT_KINDS)
    start, end = _span(table)
    clear = CLEAR_OF_SENSOR_M if kind == "stall sensor" else CLEAR_M
    skin_from = table.length("skin_from") if table.has("skin_from") else 0.0
    skin_to = table.length("skin_to") if table.has("skin_to") else 100.0
    if not 0.0 <= skin_from < skin_to:
        raise RangeError(
            where=table.field("skin_to"),
            found=f"{_m(skin_from)} to {_m(skin_to)}",
            needed="0 or more, and the end behind the start",
        )
    found = KeepOut(
        name=_name(table, default=kind),
        kind=kind,
        side=table.choice("side", ("left", "right", "both"), default="both"),
        span_from=start,
        span_to=end,
        skin_from=skin_from,
        skin_to=skin_to,
        clearance=_not_negative(table, "clearance") if table.has("clearance") else clear,
        surface=table.choice("surface", ("upper", "lower"), default="upper"),
    )
    table.finish()
    return found


def _moving(table: Table) -> Moving:
    start, end = _span(table)
    begins = table.fraction("begins") if table.has("begins") else 0.0
    ends = table.fraction("ends") if table.has("ends") else 1.0
    if not 0.0 <= begins < ends <= 1.0 or ends - begins == 1.0:
        raise RangeError(
            where=table.field("begins"),
            found=f"a surface from {100 * begins:.1f} to {100 * ends:.1f} % of chord",
            needed="where it begins along the chord (for a slat: where it ends)",
        )
    found = Moving(
        name=_name(table, default=None), span_from=start, span_to=end, begins=begins, ends=ends,
        gap_travel=_not_negative(table, "gap_travel"),
    )  # fmt: skip
    table.finish()
    return found


def _datum(table: Table) -> Datum:
    name = _name(table, default=None)
    station = table.fraction("station") if table.has("station") else None
    at = []
    if table.has("at"):
        needed = 'pairs of span and skin distance such as [["0.7 m", "412 mm"], ["4.5 m", "405 mm"]]'
        pairs = table.value("at", needed=needed)
        if not isinstance(pairs, list) or not all(isinstance(p, list) and len(p) == 2 for p in pairs):
            raise InputError(where=table.field("at"), found=repr(pairs), needed=needed)
        at = sorted(
            (units.length(span, where=table.field("at")), units.length(skin, where=table.field("at")))
            for span, skin in pairs
        )
    if (station is None) == (not at):
        raise InputError(
            where=table.where, found="both or neither of 'station' and 'at'", needed="one of them",
            fix="give the share of chord the line follows, or where it was measured",
        )  # fmt: skip
    table.finish()
    return Datum(name=name, station=station, at=tuple(at))


def _covering(table: Table) -> Covering:
    def optional(key: str) -> float | None:
        return _above_zero(table, key) if table.has(key) else None

    found = Covering(
        kind=table.choice("kind", COVERINGS),
        sheet_to=optional("sheet_to"),
        rib_spacing=optional("rib_spacing"),
        first_rib=optional("first_rib"),
        sag=_not_negative(table, "sag") if table.has("sag") else 0.0,
        stitch_width=optional("stitch_width") or 0.025,
    )
    if found.rib_spacing is not None and found.sag > 0.25 * found.rib_spacing:
        raise RangeError(
            where=table.field("sag"), found=_m(found.sag), needed="less than a quarter of the rib spacing",
            fix="check its unit",
        )  # fmt: skip
    table.finish()
    return found


def _part(table: Table) -> Part:
    usual = Part()
    cost, currency = None, ""
    if table.has("cost_each"):
        said = table.value("cost_each", needed='money such as "1.20 EUR"')
        match = _MONEY.fullmatch(said) if isinstance(said, str) else None
        if match is None:
            raise UnitError(
                where=table.field("cost_each"), found=repr(said), needed='money such as "1.20 EUR"'
            )
        cost, currency = float(match[1]), match[2]
    mass = None
    if table.has("mass_each"):
        mass = units.mass(
            table.value("mass_each", needed='a mass such as "0.0013 kg"'), where=table.field("mass_each")
        )
        if not mass > 0.0:
            raise RangeError(where=table.field("mass_each"), found=f"{mass} kg", needed="a mass above zero")
    spares = table.fraction("spares") if table.has("spares") else usual.spares
    if not 0.0 <= spares <= 1.0:
        raise RangeError(where=table.field("spares"), found=f"{100 * spares:.0f} %", needed="0 to 100 %")
    found = Part(
        base_width=_above_zero(table, "base_width") if table.has("base_width") else usual.base_width,
        base_thickness=_above_zero(table, "base_thickness")
        if table.has("base_thickness")
        else usual.base_thickness,
        tape=_not_negative(table, "tape") if table.has("tape") else usual.tape,
        mass_each=mass,
        cost_each=cost,
        currency=currency,
        spares=spares,
    )
    table.finish()
    return found


def _patch(table: Table) -> Patch:
    start, end = _span(table)
    found = Patch(
        name=_name(table, default="patch"),
        side=table.choice("side", ("left", "right", "both"), default="both"),
        station=table.fraction("station"),
        span_from=start,
        span_to=end,
    )
    table.finish()
    return found


def _bought(table: Table) -> Bought:
    found = Bought(
        height=_above_zero(table, "height"),
        length=_above_zero(table, "length"),
        top_length=_not_negative(table, "top_length"),
        rounded=table.choice("forward_edge", ("straight", "rounded")) == "rounded",
        base_length=_above_zero(table, "base_length"),
        base_width=_above_zero(table, "base_width"),
        edge_radius=_not_negative(table, "edge_radius"),
    )
    table.finish()
    return found


def _span(table: Table) -> tuple[float, float]:
    start, end = table.length("span_from"), table.length("span_to")
    if not 0.0 <= start < end:
        raise RangeError(
            where=table.field("span_to"), found=f"{_m(start)} to {_m(end)}",
            needed="0 or more from the centerline, and the end outboard of the start",
        )  # fmt: skip
    return start, end


def _name(table: Table, *, default: str | None) -> str:
    if default is not None and not table.has("name"):
        return default
    found = table.value("name", needed="a name")
    if not isinstance(found, str) or not found.strip():
        raise InputError(where=table.field("name"), found=repr(found), needed="a name in quotes")
    return " ".join(found.split())


def _above_zero(table: Table, key: str) -> float:
    found = table.length(key)
    if not found > 0.0:
        raise RangeError(where=table.field(key), found=_m(found), needed="a length above zero")
    return found


def _not_negative(table: Table, key: str) -> float:
    found = table.length(key)
    if not found >= 0.0:
        raise RangeError(where=table.field(key), found=_m(found), needed="zero or more")
    return found


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=3)
