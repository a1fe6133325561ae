"""The page of what stands on the wing: typed there, or a completed form taken in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from slowflight.desk.installed_form import save_typed, typed_file, typed_vanes
from slowflight.desk.messages import Messages
from slowflight.desk.records import safe_name, saved
from slowflight.desk.render import Pages
from slowflight.desk.runs import is_going, start_run
from slowflight.desk.sent_form import form_of
from slowflight.desk.uploads import keep_upload, start_with
from slowflight.errors import InputError

Words = Annotated[str, Form(max_length=2000)]
Said = Annotated[str, Query(max_length=40)]
PAGE = "/layout/installed"


def installed_pages(pages: Pages, messages: Messages) -> APIRouter:
    """Return the addresses of what stands on the wing."""
    router = APIRouter(default_response_class=RedirectResponse)
    folder = pages.folder

    @router.get(PAGE, response_class=HTMLResponse)
    def measured(said: Said = "") -> Response:
        """Every vane as laid out, and as measured."""
        layout = saved(folder, "layout")
        kept, message = typed_file(folder), pages.message(said)
        vanes = [] if layout is None else typed_vanes(folder, layout)
        return pages.page(
            "installed.html",
            stage="layout",
            said=said,
            record=layout,
            vanes=vanes,
            complete=sum(vane.complete for vane in vanes),
            elsewhere=bool(vanes) and kept.path.is_file() and not any(any(v.typed.values()) for v in vanes),
            unsaved=message.answers if message else {},
            wrong=message.wrong if message else {},
            version=kept.version,
            steps=kept.steps,
        )

    @router.post("/installed/save")
    async def save(request: Request) -> RedirectResponse:
        """Keep what was typed; compare once every vane has its readings."""
        given = await form_of(request)

        def change() -> str:
            layout = _layout(folder)
            left = save_typed(folder, layout, given, version=given.get("version", ""))
            if left:
                return (
                    f"Saved. {left} vane{'' if left == 1 else 's'} to go; then left is compared with right."
                )
            if is_going(folder):
                return "Saved, every vane. Save again when the run above is over: then it is compared."
            start_run(folder, "installed", {"form": str(typed_file(folder).path)})
            return ""

        return messages.told(PAGE, change, {key: value for key, value in given.items() if key != "version"})

    @router.post("/installed/undo")
    def step_back(version: Words = "") -> RedirectResponse:
        """Go back to what was typed before the last save."""

        def change() -> str:
            return typed_file(folder).step_back(version)

        return messages.told(PAGE, change)

    @router.post("/upload/installed")
    async def upload(file: UploadFile) -> RedirectResponse:
        """Take in a completed as-installed form."""
        fit = Path(safe_name(file.filename or "")).suffix.lower() in (".csv", ".txt")
        kept = await keep_upload(folder, file) if fit else None

        def change() -> str:
            _layout(folder)
            if kept is None:
                raise InputError(where="the form", found="another kind of file", needed=".csv")
            start_with(folder, "installed", {"form": str(kept)}, sent=[kept])
            return ""

        return messages.told(PAGE, change)

    return router


def _layout(folder: Path) -> dict[str, object]:
    layout = saved(folder, "layout")
    if layout is None:
        raise InputError(
            where="the wing", found="no layout", needed="one to compare with", fix="lay out first"
        )
    return layout
