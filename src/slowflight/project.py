"""The project folder: one wing.toml and what was made from it, to read, zip and send."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from slowflight.errors import InputError

WING_FILE = "wing.toml"
FIT_FILE = "fit.toml"
# The wing file comes last: a folder that has it has everything it names.
DEMO_FILES = ("rib.csv", WING_FILE)


@dataclass(frozen=True, kw_only=True)
class Project:
    """Where things are in a project folder.

    Parameters
    ----------
    folder : Path
        The folder itself.
    wing_file : Path
        What was measured.
    fit_file : Path
        What is said about fitting a row; it may be missing.
    runs, layout, report, flights : Path
        Folders for results, the sheet for the wing, the report, and what was flown; `ready` makes them
        when they are needed.
    """

    folder: Path
    wing_file: Path
    fit_file: Path
    runs: Path
    layout: Path
    report: Path
    flights: Path

    def ready(self, folder: Path) -> Path:
        """Make one of the folders where it is missing.

        Parameters
        ----------
        folder : Path
            ``project.runs``, ``project.layout``, ``project.report`` or ``project.flights``, or one inside.

        Returns
        -------
        Path
            The folder, which now exists.

        Raises
        ------
        InputError
            Where a file is in the way or nothing may be written there.
        """
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except FileExistsError:
            raise InputError(
                where=str(folder),
                found="a file",
                needed="a folder of that name",
                fix="move the file away",
            ) from None
        except OSError as error:
            raise _unwritable(folder, error) from None
        return folder


def open_project(folder: Path | str) -> Project:
    """Find the parts of a project folder.

    Parameters
    ----------
    folder : Path or str
        A folder with a wing.toml.

    Returns
    -------
    Project
        Nothing is read and nothing is made yet.

    Raises
    ------
    InputError
        Where there is no such folder, or no wing.toml in it.
    """
    place = Path(folder)
    if place.is_file():
        beside = place.name == WING_FILE
        raise InputError(
            where=str(place),
            found="a file",
            needed="the project folder",
            fix="give the folder it is in" if beside else "",
        )
    if not place.is_dir():
        raise InputError(
            where=str(place), found="no such folder", needed="a project folder", fix="check the name"
        )
    if not (place / WING_FILE).is_file():
        raise InputError(
            where=str(place),
            found=f"no {WING_FILE}",
            needed="a folder with that file",
            fix="'slowflight demo' writes one to copy",
        )
    return _project(place)


def write_demo(folder: Path | str) -> Project:
    """Write the demonstration aircraft, which is invented, into a folder.

    Parameters
    ----------
    folder : Path or str
        A new folder, or one written earlier: files that are there already and unchanged are left alone.

    Returns
    -------
    Project

    Raises
    ------
    InputError
        Where a file of the same name differs, or nothing may be written there. Nothing is overwritten.
    """
    place = Path(folder)
    if place.exists() and not place.is_dir():
        raise InputError(where=str(place), found="a file", needed="a folder, or a name not yet taken")
    missing = {name: content for name, content in _demo() if not _is_there(place / name, content)}
    try:
        place.mkdir(parents=True, exist_ok=True)
        for name, content in missing.items():
            _write_new(place / name, content)
    except OSError as error:
        raise _unwritable(place, error) from None
    return _project(place)


def _project(folder: Path) -> Project:
    return Project(
        folder=folder,
        wing_file=folder / WING_FILE,
        fit_file=folder / FIT_FILE,
        runs=folder / "runs",
        layout=folder / "layout",
        report=folder / "report",
        flights=folder / "flights",
    )


def _demo() -> list[tuple[str, bytes]]:
    source = resources.files("slowflight").joinpath("demo")
    return [(name, source.joinpath(name).read_bytes()) for name in DEMO_FILES]


def _is_there(path: Path, content: bytes) -> bool:
    """Tell whether a demonstration file is there already; refuse another one of its name."""
    if path.is_file() and _lines(path.read_bytes()) == _lines(content):
        return True
    if path.exists() or path.is_symlink():
        raise InputError(
            where=str(path),
            found="another file than the demonstration's",
            needed="a folder without one",
            fix="give a new folder: nothing is overwritten",
        )
    return False


def _lines(content: bytes) -> list[bytes]:
    # Line endings may differ where an editor or a version control system has been.
    return content.splitlines()


def _write_new(path: Path, content: bytes) -> None:
    """Write a file that is there whole or not at all, and never in another's place."""
    fresh = path.with_name(f".{path.name}.part")
    try:
        fresh.write_bytes(content)
        try:
            path.hardlink_to(fresh)
        except FileExistsError:
            raise
        except OSError:
            # Some file systems have no links; the name was free a moment ago.
            fresh.replace(path)
    finally:
        fresh.unlink(missing_ok=True)


def _unwritable(path: Path, error: OSError) -> InputError:
    return InputError(
        where=str(path),
        found=f"a place that cannot be written ({error.strerror or error})",
        needed="a folder one may write to",
    )
