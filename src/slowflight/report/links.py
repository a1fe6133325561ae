"""Links from the page to the files beside it, by relative name only."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote


@dataclass(frozen=True, kw_only=True)
class Link:
    """A file beside the report.

    Parameters
    ----------
    name : str
        As shown.
    href : str
        Relative to the page, every odd character quoted.
    """

    name: str
    href: str


def links_to(files: Iterable[str], *, folder: Path) -> tuple[Link, ...]:
    """Return links to a layout's files from the page in a report folder.

    Parameters
    ----------
    files : iterable of str
        Absolute, or as seen from the report folder, the project folder or its ``layout`` folder.
    folder : Path
        The report folder.

    Returns
    -------
    tuple of Link
        One for each file; a name found nowhere is taken to be in the project's ``layout`` folder.
    """
    found = []
    for file in files:
        path = _placed(Path(file), folder=folder)
        relative = os.path.relpath(path.absolute(), folder.absolute()).replace(os.sep, "/")
        # "./" in front, so that no name can pass for the address of another place.
        found.append(Link(name=path.name, href=f"./{quote(relative)}"))
    return tuple(found)


def _placed(file: Path, *, folder: Path) -> Path:
    if file.is_absolute():
        return file
    project = folder.absolute().parent
    tried = [project / "layout" / file, project / file, folder / file]
    return next((path for path in tried if path.is_file()), tried[0])
