"""Read a flap that is an airfoil of its own, hung or slotted, from the ``[flap]`` table of a TOML file."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.airfoils import airfoil
from slowflight.wing.flap_file import KINDS, OTHER_TABLES, read_flap_settings
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.section import Section
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

OWN_AIRFOIL = ("hung", "slotted")


@dataclass(frozen=True)
class OwnAirfoilFlap:
    """A flap as planned, and its section."""

    plan: FlapPlan
    section: Section


def flap_kind(path: Path | str) -> str:
    """Return the kind of flap a file describes; errors as for `read_own_airfoil_flap`."""
    return _table(path).choice("kind", KINDS)


def read_own_airfoil_flap(path: Path | str) -> OwnAirfoilFlap:
    """Read a hung or slotted flap.

    Parameters
    ----------
    path : Path or str
        A file with ``[flap]``: ``kind = "hung"`` or ``"slotted"``, ``airfoil`` (a NACA name or a file beside
        this one), ``chord``, ``axis_aft`` and ``axis_below`` (shares of the main chord, from the main
        trailing edge), ``axis_in_flap`` (share of the flap's chord), and optionally ``settings``, which are
        left to others.

    Returns
    -------
    OwnAirfoilFlap

    Raises
    ------
    InputError
        Where the file is none, the table or a key is missing or unknown, or the flap is of another kind.
    UnitError
        Where a value lacks its unit.
    """
    table = _table(path)
    kind = table.choice("kind", KINDS)
    if kind not in OWN_AIRFOIL:
        raise InputError(
            where=table.field("kind"), found=repr(kind), needed='"hung" or "slotted": an airfoil of its own'
        )
    named = table.value("airfoil", needed='a NACA name such as "naca0012", or a file of points')
    if not isinstance(named, str):
        raise InputError(where=table.field("airfoil"), found=repr(named), needed="a name in quotes")
    try:
        section = airfoil(named, base_folder=Path(path).parent)
    except InputError as error:
        if error.where != "airfoil":
            raise
        raise type(error)(
            where=table.field("airfoil"), found=error.found, needed=error.needed, fix=error.fix
        ) from None
    plan = FlapPlan(
        kind=kind,
        chord=table.fraction("chord"),
        settings=read_flap_settings(table),
        airfoil=named,
        axis_aft=table.fraction("axis_aft"),
        axis_below=table.fraction("axis_below"),
        axis_in_flap=table.fraction("axis_in_flap"),
    )
    for key in ("span_from", "span_to"):
        table.has(key)  # of the wing, without meaning for a section
    table.finish()
    return OwnAirfoilFlap(plan=plan, section=section)


def _table(path: Path | str) -> Table:
    content = read_toml(path)
    refuse_unknown(content, known=("flap", *OTHER_TABLES), where=str(path))
    if "flap" not in content:
        raise InputError(where=str(path), found="no [flap]", needed="that table", fix="add a line [flap]")
    return Table(content["flap"], where=f"{path}: flap")
