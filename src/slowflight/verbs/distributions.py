"""What the air does along each surface, written as a table that a spreadsheet opens."""

from __future__ import annotations

import csv
import math
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TextIO

from slowflight.errors import InputError
from slowflight.flow.solution import FlowPoint

# Column in the file, and field of a SurfaceLayer. Lengths are in chords.
COLUMNS = (
    ("arc", "arc"),
    ("x", "x"),
    ("y", "y"),
    ("pressure_coefficient", "pressure_coefficient"),
    ("edge_speed", "edge_speed"),
    ("displacement_thickness", "displacement_thickness"),
    ("momentum_thickness", "momentum_thickness"),
    ("shape_factor", "shape_factor"),
    ("friction_coefficient", "friction_coefficient"),
)


def check_destination(path: str | Path, *, where: str) -> Path:
    """Make sure before a long computation that a file can be written.

    Parameters
    ----------
    path : str or Path
        The file wanted.
    where : str
        Option or field, for the message.

    Returns
    -------
    Path

    Raises
    ------
    InputError
        Where it is a folder or a device, its folder is missing, or it cannot be written.
    """
    path = Path(path)
    if path.is_dir():
        raise InputError(where=where, found=f"the folder {str(path)!r}", needed="the name of a file to write")
    if path.exists() and not path.is_file():
        # A device would be replaced by a file of its name.
        raise InputError(
            where=where, found=f"{str(path)!r}, which is no file", needed="the name of a file to write"
        )
    if not path.parent.is_dir():
        fix = "make the folder first"
        raise InputError(
            where=where, found=f"no folder {str(path.parent)!r}", needed="one that exists", fix=fix
        )
    if not os.access(path.parent, os.W_OK) or (path.exists() and not os.access(path, os.W_OK)):
        raise InputError(
            where=where, found=f"{str(path)!r}, which is protected", needed="a file that may be written"
        )
    return path


def write_distributions(points: Sequence[FlowPoint], path: str | Path) -> None:
    """Write the layers of every angle, element and side as comma-separated values.

    The file appears whole or not at all: an older one of that name stays until the new one is complete.

    Parameters
    ----------
    points : sequence of FlowPoint
        Written in rising angle of attack; a point without layers has no rows.
    path : str or Path
        The file.

    Raises
    ------
    InputError
        Where it cannot be written.
    """
    # A link stays a link: what it points to is replaced.
    with _replacing(Path(path).resolve()) as stream:
        table = csv.writer(stream, lineterminator="\n")
        table.writerow(["alpha_deg", "element", "side", *(column for column, _ in COLUMNS)])
        for point in sorted(points, key=lambda point: point.alpha_deg):
            for element, layers in point.layers.items():
                for layer in layers:
                    values = [getattr(layer, field).tolist() for _, field in COLUMNS]
                    for row in zip(*values, strict=True):
                        table.writerow([repr(float(point.alpha_deg)), element, layer.side, *map(_cell, row)])


def _cell(value: float) -> str:
    return f"{value:.9g}" if math.isfinite(value) else ""


@contextmanager
def _replacing(path: Path) -> Iterator[TextIO]:
    """Open a new file beside the old one and put it in its place only when all went well."""
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise _unwritable(path, error) from error
    temporary = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
            yield stream
        temporary.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        temporary.replace(path)
    except OSError as error:
        raise _unwritable(path, error) from error
    finally:
        temporary.unlink(missing_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _unwritable(path: Path, error: OSError) -> InputError:
    reason = error.strerror or type(error).__name__
    return InputError(
        where=str(path), found=f"a file that cannot be written ({reason})", needed="one that can"
    )
