"""Read a plain flap from the ``[flap]`` table of a TOML file."""

from __future__ import annotations

from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, UnitError
from slowflight.wing.flap import HINGE_PLACES, PlainFlap
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

# Top-level tables that may stand beside [flap]: those of wing.toml.
OTHER_TABLES = ("aircraft", "wing", "candidate", "vane_row", "question")
KINDS = ("plain", "split", "slotted", "hung")
# Keys of the other kinds, which a wing.toml may hold; a plain flap has no use for them.
KEYS_OF_OTHER_KINDS = ("airfoil", "axis_aft", "axis_below", "axis_in_flap")


def read_flap(path: Path | str) -> PlainFlap:
    """Read the flap of a TOML file.

    Parameters
    ----------
    path : Path or str
        A file with ``[flap]``: ``kind = "plain"``, ``chord = "19 %"`` from hinge to trailing edge, and
        optionally ``hinge``: ``"middle"`` (of the thickness, the default), ``"lower"``, ``"upper"`` or a
        height above the chord line such as ``"-1.2 %"``; ``settings`` are checked and left to others.
        Other tables of wing.toml may stand beside it.

    Returns
    -------
    PlainFlap

    Raises
    ------
    InputError
        Where the file is none, the table or a key is missing or unknown, or the flap is of another kind.
    UnitError
        Where a value lacks its unit.
    RangeError
        Where the chord is out of range.
    """
    place = str(path)
    content = read_toml(path)
    refuse_unknown(content, known=("flap", *OTHER_TABLES), where=place)
    if "flap" not in content:
        raise InputError(where=place, found="no [flap]", needed="that table", fix="add a line [flap]")
    table = Table(content["flap"], where=f"{place}: flap")
    kind = table.choice("kind", KINDS)
    if kind != "plain":
        raise InputError(
            where=table.field("kind"),
            found=repr(kind),
            needed='"plain"',
            fix=f"the {kind} flap is not yet predicted by this version",
        )
    for key in KEYS_OF_OTHER_KINDS:
        if table.has(key):
            raise InputError(
                where=table.field(key),
                found="a key of a hung or slotted flap",
                needed="none for a plain flap",
            )
    flap = _flap(table)
    read_flap_settings(table)
    table.finish()
    return flap


def _flap(table: Table) -> PlainFlap:
    chord = table.fraction("chord")
    hinge: str | float = "middle"
    if table.has("hinge"):
        found = table.value("hinge", needed="a place")
        if isinstance(found, str) and found in HINGE_PLACES:
            hinge = found
        else:
            try:
                hinge = units.fraction(found, where=table.field("hinge"))
            except UnitError as error:
                raise UnitError(
                    where=table.field("hinge"),
                    found=error.found,
                    needed='"middle", "lower", "upper" or a height above the chord line such as "-1.2 %"',
                ) from None
    try:
        return PlainFlap(chord=chord, hinge=hinge)
    except InputError as error:
        key = error.where.removeprefix("flap ")
        raise type(error)(
            where=table.field(key), found=error.found, needed=error.needed, fix=error.fix
        ) from None


def read_flap_settings(table: Table) -> tuple[float, ...]:
    """Return the settings a table lists [rad], ``(0,)`` where it lists none; InputError for another thing."""
    if not table.has("settings"):
        return (0.0,)
    settings = table.value("settings", needed="a list of angles")
    if not isinstance(settings, list) or not settings:
        raise InputError(
            where=table.field("settings"), found=repr(settings), needed='a list such as ["0 deg", "18 deg"]'
        )
    return tuple(units.angle(setting, where=table.field("settings")) for setting in settings)
