"""Whether a saved record still belongs to the wing.toml beside it and to the code that shows it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import slowflight
from slowflight.project import Project
from slowflight.study.code_version import code_version
from slowflight.wing.tomlfile import read_toml

JUDGES = (
    "compare",
    "flight_state",
    "verbs",
    "layout",
)  # folders whose code is in no result's key, but in every record


def made_from(project: Project) -> dict[str, str]:
    """Return what a record that is made now is made from.

    Parameters
    ----------
    project : Project

    Returns
    -------
    dict of str
        ``wing``: hash of wing.toml, its remarks and layout aside, and of the airfoil files it names;
        ``fit``: hash of what fit.toml says, on which only layouts depend;
        ``code``: hash of the code that computes and of that which judges.

    Raises
    ------
    InputError
        Where wing.toml cannot be read.
    """
    content = read_toml(project.wing_file)
    digest = hashlib.sha256(json.dumps(content, sort_keys=True, default=str).encode())
    for name in sorted(set(_airfoils(content))):
        file = project.folder / name
        if file.is_file():
            digest.update(b"\0" + name.encode() + b"\0" + file.read_bytes())
    said = read_toml(project.fit_file) if _says_something(project.fit_file) else {}
    fit = hashlib.sha256(json.dumps(said, sort_keys=True, default=str).encode()).hexdigest()[:24]
    return {
        "wing": digest.hexdigest()[:24],
        "fit": fit,
        "code": f"{code_version()['code']}-{_judging_code()}",
    }


def named_airfoils(project: Project) -> tuple[str, ...]:
    """Return what wing.toml calls its airfoils, files and names alike, each once."""
    return tuple(sorted(set(_airfoils(read_toml(project.wing_file)))))


def _says_something(path: Path) -> bool:
    return path.is_file() and bool(path.read_bytes().strip())


@cache
def _judging_code() -> str:
    """Hash of what makes a record of results: bands, verdict, words."""
    digest = hashlib.sha256()
    package = Path(slowflight.__file__).parent
    for folder in JUDGES:
        for file in sorted((package / folder).rglob("*.py")):
            digest.update(file.relative_to(package).as_posix().encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()[:12]


def why_old(project: Project, record: Mapping[str, Any], *, file: Path, what: str) -> tuple[str, ...]:
    """Say why a saved record is not what would be made now.

    Parameters
    ----------
    project : Project
    record : mapping
        With ``made_from`` as `made_from` gave it; a record without it goes by its file's time.
    file : Path
        Where it is kept.
    what : str
        ``"prediction"``, ``"layout"`` or ``"second opinion"``.

    Returns
    -------
    tuple of str
        Empty where nothing has changed.
    """
    command = {"prediction": "predict", "second opinion": "second-opinion"}.get(what, what)
    again = f"run 'slowflight {command}' again"
    then = record.get("made_from")
    if not isinstance(then, Mapping):
        changed = file.is_file() and project.wing_file.stat().st_mtime > file.stat().st_mtime
        return (f"wing.toml has changed since this {what} was made: {again}",) if changed else ()
    now = made_from(project)
    found = []
    if then.get("wing") != now["wing"]:
        found.append(f"wing.toml or an airfoil file has changed since this {what} was made: {again}")
    if what == "layout" and then.get("fit", now["fit"]) != now["fit"]:
        found.append(f"fit.toml has changed since this layout was made: {again}")
    if then.get("code") != now["code"]:
        found.append(
            f"this {what} was made by other code (version {record.get('version', 'unknown')}): {again}"
        )
    return tuple(found)


def _airfoils(part: object) -> Iterator[str]:
    """Every text under a key ``airfoil``, at any depth."""
    if isinstance(part, Mapping):
        for key, value in part.items():
            if key == "airfoil" and isinstance(value, str):
                yield value
            yield from _airfoils(value)
    elif isinstance(part, list):
        for value in part:
            yield from _airfoils(value)
