"""What a folder holds, read for the pages: saved records, and what is still to be done."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path
from typing import Any

from slowflight.desk.wing_form import read_values
from slowflight.project import WING_FILE

STAGES = (
    ("wing", "The wing"),
    ("question", "The question"),
    ("prediction", "The prediction"),
    ("layout", "The layout"),
    ("flights", "The flights"),
    ("decision", "The decision"),
)
PLACES = {"prediction": "runs", "second-opinion": "runs", "layout": "layout", "flights": "flights"}
INVENTED = "Invented two-seater"  # the demonstration's name in its wing.toml
UNNAMED = "file"
LONGEST_NAME = 80


def saved(folder: Path, name: str) -> dict[str, Any] | None:
    """Return a record, or None where there is none that can be read.

    Parameters
    ----------
    folder : Path
    name : str
        ``prediction``, ``second-opinion``, ``layout`` or ``flights``.
    """
    try:
        record = json.loads((folder / PLACES[name] / f"{name}.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return record if isinstance(record, dict) and record.get("kind") == name else None


def aircraft_name(folder: Path) -> str:
    """Return what the aircraft is called: as wing.toml says, else as the folder is."""
    name = read_values(folder).get("aircraft", {})
    said = name.get("name") if isinstance(name, dict) else None
    return str(said) if said else folder.name


def done_stages(folder: Path) -> dict[str, bool]:
    """Return which stages have something to show."""
    wing = (folder / WING_FILE).is_file()
    flights = saved(folder, "flights")
    return {
        "wing": wing,
        "question": wing,
        "prediction": saved(folder, "prediction") is not None,
        "layout": saved(folder, "layout") is not None,
        "flights": flights is not None,
        "decision": flights is not None and flights.get("decision") is not None,
    }


def older_than_wing(folder: Path, name: str) -> bool:
    """Tell whether wing.toml was changed after a record was made; whether it matters, a new run tells."""
    try:
        return (folder / WING_FILE).stat().st_mtime > (
            folder / PLACES[name] / f"{name}.json"
        ).stat().st_mtime + 1.0
    except OSError:
        return False


def measured_wing(folder: Path) -> dict[str, Any] | None:
    """Return what was found of the vanes on the wing, with ``stale`` where they were laid out anew since."""
    from slowflight.layout.installed import revision_of

    layout = saved(folder, "layout")
    try:
        record = json.loads((folder / "layout" / "installed.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if layout is None or not isinstance(record, dict) or record.get("kind") != "installed":
        return None
    return {**record, "stale": record.get("revision") != revision_of(layout)}


def older_than_book(folder: Path) -> bool:
    """Tell whether flights.toml says anything else than when the flights were reduced."""
    record = saved(folder, "flights")
    try:
        now = hashlib.sha256((folder / "flights" / "flights.toml").read_bytes()).hexdigest()
    except OSError:
        return False
    then = ((record or {}).get("made_from") or {}).get("flights")
    return bool(then) and not now.startswith(str(then))


def shared_files(folder: Path) -> list[str]:
    """Return the files made to be shown, clips first."""
    kinds = (".gif", ".mp4", ".pdf", ".zip")
    found = [path.name for path in (folder / "share").glob("[!.]*") if path.suffix in kinds]
    return sorted(found, key=lambda name: (kinds.index(Path(name).suffix), name))


def shared_of_older(folder: Path) -> dict[str, str]:
    """Return which files to be shown are of an older prediction, or of older flights, by name."""
    from slowflight.report.shared_files import of_older

    return of_older(folder / "share", {kind: saved(folder, kind) for kind in ("prediction", "flights")})


def may_invent(folder: Path) -> bool:
    """Tell whether invented flights may come in: to the invented aircraft only, and only where none are."""
    content = read_values(folder).get("aircraft", {})
    name = content.get("name") if isinstance(content, dict) else None
    return name == INVENTED and not (folder / "flights" / "flights.toml").exists()


def safe_name(given: str) -> str:
    r"""Return a file name that is nothing but a file name, whatever was sent.

    Examples
    --------
    >>> safe_name("../../.bashrc"), safe_name("flight 1;rm.csv"), safe_name("C:\\\\x\\\\log.csv")
    ('bashrc', 'flight-1-rm.csv', 'log.csv')
    """
    last = re.split(r"[/\\]", given)[-1].lstrip(".")
    stem, dot, end = last.rpartition(".")
    plain, ending = (_plain(stem), _plain(end)) if dot else (_plain(last), "")
    return (plain[: LONGEST_NAME - 10] or UNNAMED) + (f".{ending[:9]}" if ending else "")


def _plain(text: str) -> str:
    return re.sub(r"[^A-Za-z0-9._-]+", "-", text).strip(".-")
