"""The web application of one project folder."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, JSONResponse, Response, StreamingResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp

from slowflight.desk.actions import actions
from slowflight.desk.book_pages import book_pages
from slowflight.desk.guard import Guard
from slowflight.desk.installed_pages import installed_pages
from slowflight.desk.live import live_data
from slowflight.desk.messages import Messages
from slowflight.desk.pictures import picture
from slowflight.desk.planform_view import planform_data
from slowflight.desk.render import Pages
from slowflight.desk.runs import FRONT, GOING, LONG, run_state
from slowflight.desk.section_view import section_data
from slowflight.desk.sharing import sharing
from slowflight.desk.stages import stages
from slowflight.desk.tuft_pages import tuft_pages

HERE = Path(__file__).parent
BETWEEN_EVENTS = 0.5  # [s]
# The report is made of our own words, but words of the project stand in it too: it runs nothing here.
REPORT_POLICY = "default-src 'none'; img-src data:; style-src 'unsafe-inline'; sandbox allow-downloads"
SENT_FOLDERS = {
    **{name: name for name in ("layout", "report", "measure", "flights", "share")},
    "flights-tufts": "flights/tufts",
}


def desk_application(folder: Path, *, token: str, port: int) -> ASGIApp:
    """Return the guarded application.

    Parameters
    ----------
    folder : Path
        The project; it may be empty.
    token : str
        Whoever has it may use the desk.
    port : int
        On which it will listen.
    """
    return Guard(open_application(folder), token=token, port=port)


def open_application(folder: Path) -> FastAPI:
    """Return the application without its guard, whose description of itself is in ``openapi()``."""
    app = FastAPI(title="desk", docs_url=None, redoc_url=None, openapi_url=None)
    messages = Messages()
    pages = Pages(folder, messages)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    app.include_router(stages(pages))
    app.include_router(actions(folder, messages))
    app.include_router(sharing(folder, messages))
    app.include_router(book_pages(pages, messages))
    app.include_router(tuft_pages(pages, messages))
    app.include_router(installed_pages(pages, messages))

    @app.get("/state")
    def state() -> JSONResponse:
        """Where the last run is."""
        return JSONResponse(run_state(folder))

    @app.get("/events", response_class=StreamingResponse)
    async def events(request: Request) -> StreamingResponse:
        """Where the runs are, whenever that changes; ends with the last of them."""
        return StreamingResponse(_events(folder, request), media_type="text/event-stream")

    @app.get("/live")
    def live() -> JSONResponse:
        """Saved curves for the slider."""
        return JSONResponse(live_data(folder))

    @app.get("/planform")
    def planform() -> JSONResponse:
        """The half wing and how its stall spreads, as saved."""
        return JSONResponse(planform_data(folder))

    @app.get("/section")
    def section() -> JSONResponse:
        """The section with its vane, in millimeters."""
        return JSONResponse(section_data(folder))

    @app.get("/picture/{name}", responses={404: {"description": "no such picture"}})
    def drawn(name: str) -> Response:
        """A picture of the saved records."""
        found = picture(folder, name)
        if found is None:
            raise HTTPException(404, "there is no such picture of the saved results")
        return Response(found[0], media_type=found[1])

    @app.get("/file/{place}/{name}", responses={404: {"description": "no such file"}})
    def file(place: str, name: str) -> FileResponse:
        """A file of the project, to keep or to look at."""
        return _sent(folder, place, name)

    @app.exception_handler(HTTPException)
    async def refused(request: Request, error: HTTPException) -> Response:
        """Say in words what is not there."""
        page = pages.problem(str(error.detail), status=error.status_code)
        page.headers.update(error.headers or {})
        return page

    @app.exception_handler(RequestValidationError)
    async def unfit(request: Request, error: RequestValidationError) -> Response:
        """Say which part of a request makes no sense."""
        parts = sorted({str(one["loc"][-1]) for one in error.errors()})
        return pages.problem(f"This does not fit: {', '.join(parts)[:200]}. Nothing was changed.", status=422)

    @app.exception_handler(500)
    async def broken(request: Request, error: Exception) -> Response:
        """Say that the mistake is ours, and no more."""
        return pages.problem(
            "This is a mistake of the desk itself. Nothing of yours was changed.", status=500
        )

    return app


async def _events(folder: Path, request: Request) -> AsyncIterator[str]:
    last = ""
    while not await request.is_disconnected():
        states = [await asyncio.to_thread(run_state, folder, lane) for lane in (FRONT, LONG)]
        text = json.dumps(dict(zip((FRONT, LONG), map(_shown, states), strict=True)))
        if text != last:
            last = text
            yield f"data: {text}\n\n"
        if all(state is None or state["state"] not in GOING for state in states):
            return
        await asyncio.sleep(BETWEEN_EVENTS)


def _shown(state: dict[str, Any] | None) -> dict[str, Any]:
    keys = ("id", "name", "kind", "state", "what", "done", "total", "left_s", "message")
    return {} if state is None else {key: state.get(key) for key in keys}


def _sent(folder: Path, place: str, name: str) -> FileResponse:
    base = (folder / SENT_FOLDERS.get(place, place)).resolve()
    found = base / name
    if place not in SENT_FOLDERS or name != Path(name).name or "\0" in name or not _is_file(found, base):
        raise HTTPException(404, "there is no such file in this project")
    if found.suffix in (".html", ".svg"):
        return FileResponse(found, headers={"content-security-policy": REPORT_POLICY})
    inside = found.suffix in (".png", ".pdf", ".gif", ".mp4")
    return FileResponse(found, filename=name, content_disposition_type="inline" if inside else "attachment")


def _is_file(found: Path, base: Path) -> bool:
    try:
        return found.resolve().parent == base and found.is_file()
    except OSError:
        return False
