"""The process of one run: calls one verb and writes how far it is. Started by the desk only."""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
from pathlib import Path
from typing import Any

from slowflight.desk.line import answered, waiting
from slowflight.desk.runs import FOLDER, LONG, state_file, write_state
from slowflight.desk.uploads import take_away
from slowflight.errors import SlowflightError

SHARED = {"clip": "sweep_clip", "films": "film_clip", "figures": "figures", "pdf": "report_pdf"}  # verbs
BEAT = 1.0  # between two notes [s]
BEHIND = 10  # how far the long lane stands behind the pages for the machine's time


class Note:
    """Where the run is, written once a second by a thread of its own.

    Parameters
    ----------
    folder : Path
    state : dict
        As the desk wrote it.
    """

    def __init__(self, folder: Path, state: dict[str, Any]) -> None:
        self._folder, self._state = folder, state
        self._lock, self._over = threading.Lock(), threading.Event()
        self._cancel = folder / FOLDER / f"cancel-{state['id']}"
        self._begun, self._at_begin = time.monotonic(), 0
        self._beat = threading.Thread(target=self._beating, daemon=True)

    def begin(self) -> None:
        """Say that the run lives."""
        self.write(state="running")
        self._beat.start()

    def tell(self, what: str, done: int, total: int) -> None:
        """Note that ``done`` of ``total`` are finished."""
        with self._lock:
            if what != self._state["what"] or total != self._state["total"]:
                self._begun, self._at_begin = time.monotonic(), done
            made = done - self._at_begin
            left = None if made <= 0 else (time.monotonic() - self._begun) / made * (total - done)
            self._state |= {"what": what, "done": done, "total": total, "left_s": left}

    def write(self, **changed: Any) -> None:
        """Write the state, with what has changed."""
        with self._lock:
            self._state |= {**changed, "written": time.time()}
            write_state(self._folder, self._state)

    def end(self, **changed: Any) -> None:
        """Write how it ended."""
        self._over.set()
        self.write(**changed)

    def _beating(self) -> None:
        while not self._over.wait(BEAT):
            if self._cancel.exists():
                self._cancel.unlink(missing_ok=True)
                self.write(state="cancelled", message="called off; what was finished is kept")
                take_away(self._folder, self._state["arguments"].values())
                _stop_all()
            self.write()


def _stop_all() -> None:
    """Stop this process and those it computes with, which are in a group of their own."""
    if os.name == "posix" and os.getpgrp() == os.getpid():
        os.killpg(os.getpgrp(), signal.SIGKILL)
    os._exit(130)


def perform(folder: Path, kind: str, given: dict[str, Any], note: Note) -> str:
    """Call the verb of a run; returns what to say when it is done."""
    from slowflight import verbs
    from slowflight.verbs.flying_demo import invent_flights

    cores = verbs.usable_cores()
    if kind == "demo":
        verbs.demo(folder, workers=cores, on_progress=note.tell)
        return "the whole job on the invented aircraft is done"
    if kind == "predict":
        record = verbs.predict(folder, workers=cores, on_progress=note.tell)
        return f"predicted: {record['verdict']['finding']}"
    if kind == "second":
        return _second_opinion(folder, cores, note)
    if kind == "layout":
        return f"{len(verbs.layout(folder)['vanes'])} vanes are laid out"
    if kind == "installed":
        return _compared(verbs.installed(folder, given["form"]))
    if kind == "add":
        return _added(verbs.add_flights(folder, **given), verbs.fly(folder))
    if kind == "invent":
        invent_flights(folder)
        return _flown(verbs.fly(folder))
    if kind == "tufts":
        return _read(verbs.reduce_tufts(folder, on_film=lambda name: note.tell(f"reading {name}", 0, 0)))
    if kind == "fly":
        return _flown(verbs.fly(folder))
    if kind in ("strike", "restore"):
        mark = verbs.strike_stall if kind == "strike" else verbs.restore_stall
        mark(folder, given["flight"], given["stall"], reason=given["reason"])
        return _flown(verbs.fly(folder))
    if kind == "photo":
        traced = verbs.measure_photo(folder, given["photo"], chord=given["chord"])
        return (
            f"traced: {Path(traced['file']).name}, {traced['thickness_percent']:.1f} % thick; look at the "
            "picture with the outline drawn in before you use it"
        )
    if kind in SHARED:
        made: dict[str, Any] = getattr(verbs, SHARED[kind])(folder, **given)
        return f"{len(made['files'])} files are made, to keep and to show"
    return f"written: {verbs.report(folder).name}"


def _second_opinion(folder: Path, cores: int, note: Note) -> str:
    """Compute what stands in the line, and what joins it meanwhile; a core is left to the pages."""
    from slowflight import verbs

    record: dict[str, Any] = {}
    while (asked := waiting(folder)) is not None or not record:
        record = verbs.second_opinion(
            folder,
            stations=() if asked is None else asked.stations,
            every_row=asked is not None and asked.every_row,
            workers=max(1, cores - 1),
            on_progress=note.tell,
        )
        if asked is not None:
            answered(asked)
    return " ".join(record["findings"][:2]) or "nothing came of it"


def _compared(record: dict[str, Any]) -> str:
    if record["blocked"]:
        return f"NO TEST CARD until left and right match: {record['blocked_because'][0]}"
    off = len(record["out_of_tolerance"])
    return f"left and right match; {off} vane{'' if off == 1 else 's'} out of tolerance"


def _read(record: dict[str, Any]) -> str:
    films, wanted = record["films"], record["next"]
    if not films:
        return f"{len(record['plan']['tufts'])} tufts are planned"
    usable = sum(not film["problem"] for film in films)
    return f"{usable} of {len(films)} films are read" + ("; some still want a hand" if wanted else "")


def _flown(record: dict[str, Any]) -> str:
    decision = record["decision"]
    return "reduced; nothing to decide yet" if decision is None else f"measured: {decision['verdict']}"


def _added(added: dict[str, Any], record: dict[str, Any]) -> str:
    count = len(added["added"])
    return f"{count} flight{'' if count == 1 else 's'} taken in. {_flown(record).capitalize()}"


def main(folder: Path, lane: str, run: str) -> int:
    """Do one run; returns 0, or 1 where it was refused."""
    state = json.loads(state_file(folder, lane).read_text(encoding="utf-8"))
    if state["id"] != run:
        return 1
    if lane == LONG and hasattr(os, "nice"):
        os.nice(BEHIND)
    note = Note(folder, state)
    note.begin()
    try:
        said = perform(folder, state["kind"], state["arguments"], note)
    except SlowflightError as error:
        note.end(state="refused", message=str(error))
        return 1
    except Exception as error:
        note.end(
            state="refused", message=f"a mistake of this program: {type(error).__name__}; see the log in desk"
        )
        raise
    finally:
        take_away(folder, state["arguments"].values())
    note.end(state="done", message=said, left_s=0.0)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), sys.argv[2], sys.argv[3]))
