"""What leaves the desk, and a project that comes in as one file."""

from __future__ import annotations

import math
import tempfile
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, UploadFile
from fastapi.responses import FileResponse, RedirectResponse
from starlette.background import BackgroundTask
from starlette.exceptions import HTTPException

from slowflight.desk.messages import Messages
from slowflight.desk.records import safe_name
from slowflight.desk.runs import start_run
from slowflight.desk.uploads import keep_upload, start_with, take_away
from slowflight.errors import InputError, SlowflightError
from slowflight.project import WING_FILE

Words = Annotated[str, Form(max_length=200)]


def sharing(folder: Path, messages: Messages) -> APIRouter:
    """Return the addresses of what is kept, sent and opened."""
    router = APIRouter()

    @router.get("/share/{name}", responses={409: {"description": "there is no project yet"}})
    def project(name: Literal["project.zip", "project-without-logs.zip"]) -> FileResponse:
        """The project as one file."""
        from slowflight import verbs

        # Beside the project would be in the owner's way, and in the next such file.
        with tempfile.NamedTemporaryFile(suffix=".zip", delete=False) as made:
            target = Path(made.name)
        try:
            verbs.pack(folder, target, logs=name == "project.zip")
        except SlowflightError as error:
            target.unlink(missing_ok=True)
            raise HTTPException(409, str(error)) from None
        away = BackgroundTask(target.unlink, missing_ok=True)
        return FileResponse(target, filename=f"{folder.resolve().name}.zip", background=away)

    @router.post("/open", response_class=RedirectResponse)
    async def opened(file: UploadFile) -> RedirectResponse:
        """Open a project's file in this empty folder."""
        if (folder / WING_FILE).exists():
            return messages.told("/wing", _refused)
        kept = await keep_upload(folder, file)

        def change() -> str:
            from slowflight import verbs

            try:
                count = verbs.unpack(kept, folder)["count"]
            finally:
                kept.unlink(missing_ok=True)
            return (
                f"Opened: {count} files. What is predicted here was computed elsewhere and is about that "
                "aircraft only."
            )

        answer = messages.told("/wing", change)
        return answer if (folder / WING_FILE).exists() else _to_start(answer)

    @router.post("/share/films", response_class=RedirectResponse)
    async def films(
        before: UploadFile,
        after: UploadFile,
        before_from: Words = "0",
        after_from: Words = "0",
        flap: Words = "",
    ) -> RedirectResponse:
        """Put two films side by side."""
        # Only now: it brings a numerical library, and the desk is to open at once.
        from slowflight.flights.tufts.frames import VIDEOS

        endings = {Path(safe_name(file.filename or "")).suffix.lower() for file in (before, after)}
        fit = endings <= set(VIDEOS)
        kept = [await keep_upload(folder, file) for file in (before, after)] if fit else []

        def change() -> str:
            if not kept:
                raise InputError(
                    where="the films", found=" ".join(sorted(endings)) or "none", needed=", ".join(VIDEOS)
                )
            given: dict[str, Any] = {"before": str(kept[0]), "after": str(kept[1]), "flap": flap or None}
            try:
                given |= {"before_from": _seconds(before_from), "after_from": _seconds(after_from)}
            except InputError:
                take_away(folder, [str(one) for one in kept])
                raise
            start_with(folder, "films", given, sent=kept)
            return ""

        return messages.told("/decision", change)

    @router.post("/share/{kind}", response_class=RedirectResponse)
    def made(kind: Literal["clip", "figures", "pdf"]) -> RedirectResponse:
        """Make a clip of the sweep, figures and tables, or the report as PDF."""

        def change() -> str:
            start_run(folder, kind)
            return ""

        return messages.told("/decision", change)

    return router


def _seconds(text: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not 0.0 <= found < 36000.0:
        raise InputError(where="where to begin", found=repr(text[:40]), needed="seconds, such as 12.5")
    return found


def _refused() -> str:
    raise InputError(
        where="this folder", found="a project", needed="an empty folder",
        fix="start the desk on a new one: nothing is overwritten",
    )  # fmt: skip


def _to_start(answer: RedirectResponse) -> RedirectResponse:
    # Without a wing its page would lead to the first one and lose the words.
    answer.headers["location"] = answer.headers["location"].replace("/wing", "/start", 1)
    return answer
