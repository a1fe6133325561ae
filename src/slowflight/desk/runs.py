"""Long runs as processes of their own: started, watched, called off; their state lives in the folder.

The process that computes writes where it is; any desk that opens the folder reads that, so neither a closed
browser nor a desk that was killed loses a run. There are two lanes: what is asked on the pages goes one thing
at a time, and the minutes tier goes beside it, so that nobody waits half an hour to strike a stall.
"""

from __future__ import annotations

import json
import os
import secrets
import subprocess
import sys
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.errors import InputError

FOLDER = "desk"
FRONT, LONG = "front", "long"
STATES = {FRONT: "run.json", LONG: "long-run.json"}
SILENT = 20.0  # a run that has not written for so long [s] is taken for stopped
KINDS = {
    "demo": "everything on the invented aircraft",
    "predict": "the prediction",
    "layout": "the layout",
    "installed": "comparing what stands on the wing",
    "add": "taking in flights",
    "tufts": "reading the films of tufts",
    "fly": "reducing the flights",
    "strike": "striking a stall",
    "restore": "counting a stall again",
    "invent": "the demonstration's invented flights",
    "photo": "tracing the rib's photograph",
    "report": "the report",
    "clip": "the clip of the angle sweep",
    "films": "your two films side by side",
    "figures": "figures and tables",
    "pdf": "the report as PDF",
    "second": "the minutes tier",
}
LANES = {"second": LONG}  # the others go in front
GOING = ("starting", "running")


def state_file(folder: Path, lane: str = FRONT) -> Path:
    """Return where the last run of a lane is told of."""
    return folder / FOLDER / STATES[lane]


def run_state(folder: Path, lane: str = FRONT) -> dict[str, Any] | None:
    """Return what is known of the last run; one that fell silent is called ``stopped``.

    Parameters
    ----------
    folder : Path
    lane : str, optional
        ``"front"`` or ``"long"``.

    Returns
    -------
    dict or None
        ``kind``, ``state`` (starting, running, done, refused, cancelled, stopped), ``what``, ``done``,
        ``total``, ``left_s`` and ``message``; None where nothing ever ran or the note is damaged.
    """
    try:
        state = json.loads(state_file(folder, lane).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    if not isinstance(state, dict) or state.get("kind") not in KINDS:
        return None
    if LANES.get(state["kind"], FRONT) != lane:
        return None
    if state.get("state") in GOING and time.time() - float(state.get("written", 0.0)) > SILENT:
        state["state"] = "stopped"
        state["message"] = "this run stopped before it was done; what it finished is kept: go on with it"
    return {**state, "name": KINDS[state["kind"]]}


def start_run(folder: Path, kind: str, arguments: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Start a run beside the desk.

    Parameters
    ----------
    folder : Path
    kind : str
        One of `KINDS`.
    arguments : mapping, optional
        For its verb; plain data.

    Returns
    -------
    dict
        Its state.

    Raises
    ------
    InputError
        Where another run is going on in its lane: results would not know which one made them.
    """
    lane = LANES.get(kind, FRONT)
    refuse_second(folder, lane)
    state = {
        "id": secrets.token_hex(8), "kind": kind, "arguments": dict(arguments or {}), "state": "starting",
        "what": "starting", "done": 0, "total": 0, "left_s": None, "message": "", "begun": time.time(),
        "written": time.time(),
    }  # fmt: skip
    write_state(folder, state)
    log = (folder / FOLDER / f"{Path(STATES[lane]).stem}.log").open("ab")
    with log:
        process = subprocess.Popen(
            [sys.executable, "-m", "slowflight.desk.work", str(folder.resolve()), lane, str(state["id"])],
            stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True,
            env={**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
        )  # fmt: skip
    # Somebody has to take note of its end, or it stays in the system's list for as long as the desk is open.
    threading.Thread(target=process.wait, daemon=True).start()
    return state


def is_going(folder: Path, lane: str = FRONT) -> bool:
    """Tell whether a run is going on in a lane."""
    now = run_state(folder, lane)
    return now is not None and now["state"] in GOING


def refuse_second(folder: Path, lane: str = FRONT) -> None:
    """Refuse a run while another is going on in the same lane.

    Raises
    ------
    InputError
        Where one is: results would not know which one made them.
    """
    now = run_state(folder, lane)
    if now is not None and now["state"] in GOING:
        raise InputError(
            where="this folder", found=f"{now['name']}, going on", needed="one thing at a time",
            fix="wait for it, or call it off",
        )  # fmt: skip


def call_off(folder: Path, lane: str = FRONT) -> None:
    """Ask the run that is going on to stop; it does so itself, so no process is ever stopped by mistake."""
    state = run_state(folder, lane)
    if state is not None and state["state"] in GOING:
        (folder / FOLDER / f"cancel-{state['id']}").touch()


def forget_ended(folder: Path, lane: str) -> None:
    """Take away the note of a run that is not going on."""
    state = run_state(folder, lane)
    if state is not None and state["state"] not in GOING:
        state_file(folder, lane).unlink(missing_ok=True)


def write_state(folder: Path, state: Mapping[str, Any]) -> None:
    """Put the state where the desk reads it, whole or not at all."""
    place = state_file(folder, LANES.get(state["kind"], FRONT))
    place.parent.mkdir(parents=True, exist_ok=True)
    fresh = place.with_name(f".{place.name}.{os.getpid()}.part")
    fresh.write_text(json.dumps(state), encoding="utf-8")
    fresh.replace(place)
