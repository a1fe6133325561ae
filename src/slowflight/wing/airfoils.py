"""One door to an airfoil: a NACA name or a file, told apart by what is written."""

from __future__ import annotations

from pathlib import Path

from slowflight.errors import InputError
from slowflight.wing.caliper_header import is_caliper_header
from slowflight.wing.calipers import read_calipers
from slowflight.wing.coordinates import LARGEST_FILE, read_coordinates
from slowflight.wing.naca import naca_digits, naca_section
from slowflight.wing.section import Section
from slowflight.wing.tomlfile import read_text


def airfoil(text: str, *, base_folder: Path | str | None = None, chord: float | None = None) -> Section:
    """Find the airfoil an owner names.

    Parameters
    ----------
    text : str
        A NACA four- or five-digit name (``"naca4412"``, ``"NACA 23012"``), or a file of coordinates or
        caliper offsets.
    base_folder : Path or str, optional
        Where a relative file name starts; the current folder otherwise.
    chord : float, optional
        The real chord [m]; decides the unit of a coordinates file that does not say it.

    Returns
    -------
    Section

    Raises
    ------
    InputError
        Where the text is neither, or the file cannot be used (see `read_coordinates` and `read_calipers`).
    """
    if not isinstance(text, str) or not text.strip():
        raise InputError(
            where="airfoil", found=repr(text), needed="a NACA name or a file", fix="for example naca4412"
        )
    path = Path(text) if base_folder is None else Path(base_folder) / text
    # A file called 4412 stays reachable as ./4412.
    if naca_digits(text) is not None:
        return naca_section(text)
    if not path.exists():
        looks_like_name = text.strip().lower().startswith("naca") and not path.suffix
        raise InputError(
            where="airfoil",
            found=f"{text!r}, no such file",
            needed="a file of points, or a NACA name of four or five digits such as naca4412",
            fix="give other families as a file of points"
            if looks_like_name
            else "check the name and the folder",
        )
    content = read_text(path, needed="a file of airfoil points", largest=LARGEST_FILE)
    if any(is_caliper_header(line) for line in content.splitlines()[:100]):
        return read_calipers(path)
    return read_coordinates(path, chord=chord)
