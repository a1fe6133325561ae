"""What leaves the desk, and a project that comes in as one file."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Literal

from fastapi import APIRouter, UploadFile
from fastapi.responses import FileResponse, RedirectResponse
from starlette.background import BackgroundTask
from starlette.exceptions import HTTPException

from slowflight.desk.actions import keep_upload
from slowflight.desk.messages import Messages
from slowflight.errors import InputError, SlowflightError
from slowflight.project import WING_FILE


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

    return router


def _refused() -> str:
    raise InputError(
        where="this folder", found="a project", needed="an empty folder",
        fix="start the desk on a new one: nothing is overwritten",
    )  # fmt: skip


def _to_start(answer: RedirectResponse) -> RedirectResponse:
    # Without a wing its page would lead to the first one and lose the words.
    answer.headers["location"] = answer.headers["location"].replace("/wing", "/start", 1)
    return answer
