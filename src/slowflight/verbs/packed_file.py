"""What a project in one file holds and how large it may be: the same rules for packing and for opening."""

from __future__ import annotations

from pathlib import PurePosixPath

from slowflight.errors import InputError
from slowflight.project import FIT_FILE, WING_FILE

ENDING = ".zip"
READ_FIRST = "READ-FIRST.txt"
MOST_FILES = 5000
LARGEST_FILE = 128 * 1024 * 1024  # [bytes]
LARGEST_ALL = 512 * 1024 * 1024  # [bytes] when opened
LONGEST_PATH = 200
FOLDERS = {
    "runs": (".json", ".nc", ".npz"),
    "layout": (".json", ".csv", ".pdf", ".svg", ".dxf", ".stl", ".3mf", ".txt", ".toml"),
    "report": (".html", ".pdf"),
    "flights": (".json", ".toml", ".csv", ".txt", ".log", ".gpx", ".igc", ".pdf", ".html"),
    "measure": (".json", ".csv", ".dat", ".txt", ".png", ".jpg", ".jpeg", ".pdf"),
}
OUTLINES = (".csv", ".dat", ".txt", ".toml")  # beside wing.toml
FORBIDDEN = frozenset('<>:"|?*\\')  # no file name on every system
# Names some systems keep for devices, whatever ending stands behind them.
DEVICES = frozenset({"con", "prn", "aux", "nul"} | {f"{a}{n}" for a in ("com", "lpt") for n in range(1, 10)})
MARK = "This aircraft only, owner-measured, not approved."
CAUTIONS = (
    "Slow flight and stalls kill. What is called predicted clears no wing to be flown slower; only flights "
    "decide, with height to end a spin, within the aircraft's limits, by a pilot in practice.",
    "A row that suits this wing may harm another, even of the same type.",
    "Before anything is glued on: ask your authority or inspector. No vanes on a moving control surface.",
)


def why_not(name: str) -> str:
    r"""Return why a path has no place in a project's file, or nothing where it has.

    Parameters
    ----------
    name : str
        Path from the project's folder, parts divided by ``/``.

    Examples
    --------
    >>> why_not("runs/prediction.json"), why_not("wing.toml"), why_not("../wing.toml")
    ('', '', 'a path that leads out of the folder')
    """
    parts = name.split("/")
    if name.startswith("/") or "\\" in name or ".." in parts or (len(name) > 1 and name[1] == ":"):
        return "a path that leads out of the folder"
    if len(name) > LONGEST_PATH or not all(map(_plain, parts)):
        return "a name that is no plain file name"
    ending = PurePosixPath(name).suffix.lower()
    if len(parts) == 1:
        known = name in (WING_FILE, FIT_FILE, READ_FIRST) or ending in OUTLINES
    else:
        known = parts[0] in FOLDERS and ending in FOLDERS[parts[0]]
    return "" if known else "a file that belongs to no project"


def check_size(size: int, *, total: int, where: str) -> None:
    """Refuse a file that is too large, by itself or with those before it.

    Parameters
    ----------
    size, total : int
        Of this file and of all so far [bytes].
    where : str
        Its name, for the message.

    Raises
    ------
    InputError
        Where either is over its limit.
    """
    for what, most in (("one file", LARGEST_FILE), ("all files", LARGEST_ALL)):
        if (size if what == "one file" else total) > most:
            raise InputError(
                where=where, found=f"more than {most // 1024**2} MB in {what}",
                needed=f"{LARGEST_FILE // 1024**2} MB at most in one, {LARGEST_ALL // 1024**2} MB in all",
                fix="send the logs apart: 'slowflight pack --no-logs'",
            )  # fmt: skip


def check_count(count: int, *, where: str) -> None:
    """Refuse more files than a project has.

    Raises
    ------
    InputError
        Where there are more than `MOST_FILES`.
    """
    if count > MOST_FILES:
        raise InputError(where=where, found=f"{count} files", needed=f"{MOST_FILES} at most")


def _plain(part: str) -> bool:
    return (
        bool(part)
        and not part.startswith(".")
        and not part.endswith((".", " ", ".part"))
        and part.isprintable()
        and not FORBIDDEN & set(part)
        and part.split(".")[0].lower() not in DEVICES
    )
