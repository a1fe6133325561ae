"""The one door to the published cases, which asks for the role first."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from slowflight.compare.evidence.case import ROLES, Case
from slowflight.compare.evidence.case_file import read_case
from slowflight.errors import InputError

ANY = "any"


def cases(*, role: str, folder: Path | None = None) -> tuple[Case, ...]:
    """Return published cases.

    Code that sets a constant asks for ``role="calibrates"``; the files of the other role are not even opened
    then, so that no calibration can read its own check.

    Parameters
    ----------
    role : str
        ``"calibrates"``, ``"checks"``, or ``"any"`` for both.
    folder : Path, optional
        Of another library of the same shape: a folder for each role with case files in it.

    Returns
    -------
    tuple of Case
        By name.

    Raises
    ------
    InputError
        For an unknown role, a faulty case file, or one in the other role's folder.
    """
    if role not in (*ROLES, ANY):
        raise InputError(where="role", found=repr(role), needed=f"one of {', '.join((*ROLES, ANY))}")
    root = Path(str(files("slowflight.compare.evidence"))) / "cases" if folder is None else folder
    found = [
        _filed(path, wanted)
        for wanted in (ROLES if role == ANY else (role,))
        for path in sorted((root / wanted).glob("*.toml"))
    ]
    names = [case.name for case in found]
    for name in names:
        if names.count(name) > 1:
            raise InputError(where=f"{name}.toml", found="the name twice", needed="one name for each case")
    return tuple(sorted(found, key=lambda case: case.name))


def _filed(path: Path, role: str) -> Case:
    case = read_case(path)
    if case.role != role:
        raise InputError(
            where=path.name,
            found=f"role {case.role!r} in the folder {role!r}",
            needed="the folder of its own role",
        )
    return case
