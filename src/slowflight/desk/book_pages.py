"""Pages over flights.toml: answers that no log has, runs to add, and a step back."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from fastapi import APIRouter, Form, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from slowflight.desk.book_form import (
    ADDED,
    TITLES,
    add_table,
    added_fields,
    book_file,
    book_sections,
    save_book,
)
from slowflight.desk.messages import Messages
from slowflight.desk.render import Pages
from slowflight.desk.runs import is_going, run_state
from slowflight.desk.sent_form import form_of
from slowflight.errors import InputError

Words = Annotated[str, Form(max_length=2000)]
Said = Annotated[str, Query(max_length=40)]
PAGE = "/flights/answers"
SHOWN = 6  # of the keys that were saved
WRITERS = ("add", "strike", "restore", "invent", "demo")  # runs that write flights.toml themselves


def book_pages(pages: Pages, messages: Messages) -> APIRouter:
    """Return the addresses of the answers to flights.toml."""
    router = APIRouter(default_response_class=RedirectResponse)
    folder = pages.folder

    @router.get(PAGE, response_class=HTMLResponse)
    def answers(said: Said = "") -> Response:
        """What logs do not say, what the pilot saw, runs of cruise, climb and field."""
        book = book_file(folder)
        message = pages.message(said)
        return pages.page(
            "book.html",
            stage="flights",
            said=said,
            there=book.path.is_file(),
            sections=book_sections(folder),
            added=[(kind, TITLES[kind], added_fields(folder, kind)) for kind in ADDED],
            unsaved=message.answers if message else {},
            wrong=message.wrong if message else {},
            version=book.version,
            steps=book.steps,
        )

    @router.post("/book/save")
    async def save(request: Request) -> RedirectResponse:
        """Put answers into flights.toml."""
        given = await form_of(request)
        values = {key: value for key, value in given.items() if key != "version"}

        def change() -> str:
            refuse_writers(folder)
            changed = save_book(folder, values, version=given.get("version", ""))
            if not changed:
                return "Nothing was different; nothing is changed."
            more = f" and {len(changed) - SHOWN} more" if len(changed) > SHOWN else ""
            return (
                f"Saved: {', '.join(changed[:SHOWN])}{more}. Reduce the flights again: it counts from then."
            )

        return messages.told(PAGE, change, values)

    @router.post("/book/add/{kind}")
    async def add(kind: Literal["cruise", "climb", "field_roll"], request: Request) -> RedirectResponse:
        """Add a run of cruise, climb or field."""
        given = await form_of(request)

        def change() -> str:
            refuse_writers(folder)
            add_table(folder, kind, given, version=given.get("version", ""))
            return f"{TITLES[kind]} added. Reduce the flights again to see what it tells."

        return messages.told(PAGE, change, {f"add.{kind}.{key}": value for key, value in given.items()})

    @router.post("/book/undo")
    def step_back(version: Words = "") -> RedirectResponse:
        """Put the flights.toml before the last save back."""

        def change() -> str:
            refuse_writers(folder)
            return book_file(folder).step_back(version)

        return messages.told(PAGE, change)

    return router


def refuse_writers(folder: Path) -> None:
    """Raise InputError while a run writes flights.toml itself."""
    run = run_state(folder)
    if run is not None and is_going(folder) and run["kind"] in WRITERS:
        raise InputError(
            where="flights.toml", found=f"{run['name']}, going on", needed="its end: it writes there too",
            fix="your answers are below, not saved: save again in a moment",
        )  # fmt: skip
