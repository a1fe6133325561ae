"""The owner's flap, from a TOML file with ``[flap]``."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.flap import HINGE_PLACES, PlainFlap
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

KINDS_TO_COME = ("split", "slotted", "hung")
# The same file may be the aircraft's whole description.
OTHER_TABLES = ("aircraft", "wing", "vane_row", "question")


def read_flap(path: Path | str) -> PlainFlap:
    """Read the flap of a TOML file.

    Parameters
    ----------
    path : Path or str
        A file with ``[flap]``: ``kind = "plain"``, ``chord = "25 %"``, and ``hinge = "lower"`` or ``"upper"``
        where it is not in the middle of the thickness. ``settings`` may stand there and is not used here.

    Returns
    -------
    PlainFlap

    Raises
    ------
    InputError
        Where the file cannot be used, a key is missing or unknown, or the kind is not yet predicted.
    RangeError
        Where the chord is no flap's.
    """
    where = str(path)
    content = read_toml(path)
    refuse_unknown(content, known=("flap", *OTHER_TABLES), where=where)
    if "flap" not in content:
        raise InputError(where=where, found="no [flap]", needed="one", fix="add a table [flap]")
    table = Table(content["flap"], where=f"{where}: flap")
    kind = table.choice("kind", ("plain", *KINDS_TO_COME))
    if kind != "plain":
        fix = f"a {kind} flap is not yet predicted"
        raise InputError(where=table.field("kind"), found=repr(kind), needed='"plain"', fix=fix)
    chord = table.fraction("chord")
    hinge = table.choice("hinge", HINGE_PLACES, default="middle")
    table.has("settings")
    table.finish()
    try:
        return PlainFlap(chord=chord, hinge=hinge)
    except InputError as error:
        # The flap itself does not know the file it came from.
        raise type(error)(where=f"{where}: {error.where}", found=error.found, needed=error.needed) from None
