"""Everything that changes something: answers, uploads, runs. Each ends on a page that says what happened."""

from __future__ import annotations

import math
import shutil
from pathlib import Path
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Request, UploadFile
from fastapi.responses import RedirectResponse

from slowflight.desk.answers import save_answers
from slowflight.desk.line import ask, forget
from slowflight.desk.messages import Message, Messages
from slowflight.desk.records import may_invent, safe_name, saved
from slowflight.desk.runs import (
    KINDS,
    LONG,
    call_off,
    forget_ended,
    is_going,
    refuse_second,
    start_run,
)
from slowflight.desk.sent_form import form_of
from slowflight.desk.uploads import keep_upload, start_with
from slowflight.desk.wing_form import add_place, begin_wing, wing_file
from slowflight.errors import InputError
from slowflight.project import WING_FILE, write_demo

Words = Annotated[str, Form(max_length=2000)]
PAGE_OF = {
    "predict": "/prediction",
    "layout": "/layout",
    "report": "/decision",
    "demo": "/prediction",
    "tufts": "/flights/tufts",
}
OUTLINES = (".csv", ".dat", ".txt")
PHOTOS = (".jpg", ".jpeg", ".png")
FORM_ONLY = ("version", "stage")
OF_RUNS = ("*run.json", "*run.log", "cancel-*", "asked-*.json")  # left behind in a copy


def actions(folder: Path, messages: Messages) -> APIRouter:
    """Return the addresses that take changes."""
    router = APIRouter(default_response_class=RedirectResponse)

    told = messages.told

    @router.post("/demo")
    def demo() -> RedirectResponse:
        """Put the invented aircraft into the folder."""

        def change() -> str:
            write_demo(folder)
            return "This is the invented two-seater: no such aircraft flies. Look round, then predict."

        return told("/wing", change) if not (folder / WING_FILE).exists() else messages.go("/wing")

    @router.post("/first")
    async def first(request: Request) -> RedirectResponse:
        """Begin a project with the first question's answers."""
        answers = await form_of(request)

        def change() -> str:
            begin_wing(folder, answers)
            return "Begun. The section is a look-alike, marked a guess; predict now, or measure more first."

        good = told("/wing", change, answers)
        return good if (folder / WING_FILE).exists() else told("/start", change, answers)

    @router.post("/save")
    async def save(request: Request) -> RedirectResponse:
        """Put answers into wing.toml."""
        answers = await form_of(request)
        page = "/question" if answers.get("stage") == "question" else "/wing"
        values = {key: value for key, value in answers.items() if key not in FORM_ONLY}

        def change() -> str:
            changed = save_answers(wing_file(folder), values, version=answers.get("version", ""))
            return (
                f"Saved: {', '.join(changed)}." if changed else "Nothing was different; nothing is changed."
            )

        return told(page, change, values)

    @router.post("/undo")
    def step_back(version: Words = "") -> RedirectResponse:
        """Put the wing.toml before the last change back."""

        def change() -> str:
            return wing_file(folder).step_back(version)

        return told("/wing", change)

    @router.post("/copy")
    def copy(name: Words = "") -> RedirectResponse:
        """Copy the project beside itself."""

        def change() -> str:
            target = folder.resolve().parent / safe_name(name or f"{folder.resolve().name}-copy")
            if target.exists():
                raise InputError(where=target.name, found="a folder of that name", needed="a new name")
            shutil.copytree(folder, target, ignore=shutil.ignore_patterns(*OF_RUNS))
            return f"Copied, results and all. Open it with: slowflight desk {target.name}"

        return told("/wing", change)

    @router.post("/run/{kind}")
    def run(
        kind: Literal["predict", "layout", "fly", "report", "invent", "demo", "tufts"],
    ) -> RedirectResponse:
        """Start a run."""

        def change() -> str:
            if kind == "invent" and not may_invent(folder):
                raise InputError(
                    where="invented flights", found="another aircraft, or flights that are there",
                    needed="the invented aircraft without flights", fix="take in your own logs",
                )  # fmt: skip
            start_run(folder, kind)
            return ""

        return told(PAGE_OF.get(kind, "/flights"), change)

    @router.post("/place")
    def place(station: Words = "") -> RedirectResponse:
        """Add a place along the chord to the question, and predict again: what is computed is kept."""

        def change() -> str:
            refuse_second(folder)
            record = saved(folder, "prediction") or {}
            tried = {
                one for setting in record.get("settings", []) for table in setting.get("gain_tables", [])
                for one in table["stations"]
            }  # fmt: skip
            added = add_place(folder, _place(station), tried=sorted(tried))
            start_run(folder, "predict")
            return f"{added} of chord is added to the question and computed now; the rest is kept."

        return told("/prediction", change)

    @router.post("/cancel")
    def cancel() -> RedirectResponse:
        """Call the run off."""
        call_off(folder)
        return messages.go("/", Message(text="Called off; what was finished is kept."))

    @router.post("/second")
    def second(station: Words = "", every: Words = "") -> RedirectResponse:
        """Ask the minutes tier, now or after what it computes now."""

        def change() -> str:
            if saved(folder, "prediction") is None:
                raise InputError(
                    where="the minutes tier", found="no prediction", needed="one to give a second opinion on"
                )
            ask(folder, station=_station(station) if station else None, every_row=bool(every))
            if is_going(folder, LONG):
                return "In line: the minutes tier takes it up after what it computes now."
            start_run(folder, "second")
            return "The minutes tier computes beside the pages; you may go on, or close the browser."

        return told("/prediction", change)

    @router.post("/second/{what}")
    def stop_second(what: Literal["cancel", "forget"]) -> RedirectResponse:
        """Call the minutes tier off; what stood in line stays there, or is forgotten."""
        call_off(folder, LONG)
        if what == "forget":
            forget(folder)
            forget_ended(folder, LONG)
        return messages.go("/prediction", Message(text="Called off; the curves that were finished are kept."))

    @router.post("/stall/{what}")
    def stall(
        what: Literal["strike", "restore"], flight: Words = "", number: Words = "", reason: Words = ""
    ) -> RedirectResponse:
        """Strike a stall, or count it again, and reduce anew."""

        def change() -> str:
            if not reason.strip():
                raise InputError(
                    where=KINDS[what], found="no reason", needed="why, as you saw it",
                    fix="a stall taken out without one is a result made to please",
                )  # fmt: skip
            start_run(folder, what, {"flight": flight, "stall": number, "reason": reason})
            return ""

        return told("/flights", change)

    @router.post("/upload/logs")
    async def logs(
        files: list[UploadFile], side: Literal["before", "after", "before again"] = Form(),
        flap: Words = "", mass: Words = "", cg: Words = "", pilot: Words = "", confirm: Words = "",
    ) -> RedirectResponse:  # fmt: skip
        """Take in logs and cards of one side."""
        kept = [await keep_upload(folder, file) for file in files if file.filename]

        def change() -> str:
            if not kept:
                raise InputError(where="the logs", found="no file", needed="one log or more")
            given = {
                "logs": [str(path) for path in kept], "side": side, "flap": flap or None,
                "mass": mass or None, "centre_of_gravity": cg or None, "pilot": pilot or None,
                "confirm": bool(confirm),
            }  # fmt: skip
            start_with(folder, "add", given, sent=kept)
            return ""

        return told("/flights", change)

    @router.post("/upload/rib")
    async def rib(file: UploadFile, chord: Words = "", version: Words = "") -> RedirectResponse:
        """Take in the outline of a rib, or a photograph to trace."""
        ending = Path(safe_name(file.filename or "")).suffix.lower()
        kept = await keep_upload(folder, file) if ending in (*OUTLINES, *PHOTOS) else None

        def change() -> str:
            if kept is None:
                raise InputError(
                    where="the rib", found=repr(ending or "no file"), needed=", ".join((*OUTLINES, *PHOTOS))
                )
            if ending in PHOTOS:
                if not chord.strip():
                    raise InputError(where="chord by tape", found="none", needed='such as "1370 mm"')
                start_with(folder, "photo", {"photo": str(kept), "chord": chord}, sent=[kept])
                return ""
            return _use_outline(folder, kept, version)

        return told("/wing", change)

    return router


def _place(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return math.nan


def _station(text: str) -> float:
    """Read a place that a page sent; InputError where no vane can stand there."""
    # Only now: it brings a numerical library, and the desk is to open at once.
    from slowflight.wing.vane_row import AFTMOST_STATION, FOREMOST_STATION

    wanted = _place(text)
    if not FOREMOST_STATION <= wanted <= AFTMOST_STATION:
        raise InputError(
            where="place of the row", found=repr(text[:20]),
            needed=f"a share of the chord from {FOREMOST_STATION:g} to {AFTMOST_STATION:g}",
        )  # fmt: skip
    return round(wanted, 4)


def _use_outline(folder: Path, outline: Path, version: str) -> str:
    """Make an uploaded outline the section at every station, if it can be read as one."""
    from slowflight.desk.wing_form import read_values
    from slowflight.wing.airfoils import airfoil

    found = airfoil(str(outline))
    target = folder / outline.name
    if target.exists() and target.read_bytes() != outline.read_bytes():
        raise InputError(where=outline.name, found="another file of that name", needed="a name of its own")
    fresh = not target.exists()
    shutil.copyfile(outline, target)
    sections = read_values(folder).get("wing", {}).get("section", [])
    try:
        save_answers(
            wing_file(folder),
            {f"wing.section.{n}.airfoil": outline.name for n in range(len(sections))},
            version=version,
        )
    except InputError:
        if fresh:
            target.unlink()
        raise
    thick = 100.0 * found.max_thickness
    return f"{outline.name} is the section now: {thick:.1f} % thick. Undo puts the older one back."
