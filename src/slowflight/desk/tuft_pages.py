"""Tufts at the desk: films taken in, tufts placed and scored by clicks and keys, what came of both sides."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Form, Query, UploadFile
from fastapi.responses import FileResponse, HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from slowflight.desk.answers import read_values, save_answers
from slowflight.desk.book_form import add_table, book_file, flight_names
from slowflight.desk.book_pages import refuse_writers
from slowflight.desk.guard import LARGEST
from slowflight.desk.kept_file import KeptFile
from slowflight.desk.messages import Messages
from slowflight.desk.records import safe_name
from slowflight.desk.render import Pages
from slowflight.errors import InputError

Words = Annotated[str, Form(max_length=400)]
Table = Annotated[str, Form(max_length=900_000)]
Asked = Annotated[str, Query(max_length=120)]
PAGE = "/flights/tufts"
ROOM = "flights/tufts"
FILMS = "films"
# These pages are our own, with their script in line; they have no address here, can ask for nothing, and hand
# what was clicked to the page around them, which shows it before it is kept.
TUFT_POLICY = (
    "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'unsafe-inline'; "
    "frame-ancestors 'self'; sandbox allow-scripts allow-downloads"
)
KEPT = {"place": "places", "score": "scores"}


def tuft_pages(pages: Pages, messages: Messages) -> APIRouter:
    """Return the addresses of tufts."""
    router = APIRouter(default_response_class=RedirectResponse)
    folder = pages.folder

    @router.get(PAGE, response_class=HTMLResponse)
    def tufts(said: Asked = "", film: Asked = "", what: Literal["", "place", "score"] = "") -> Response:
        """Films of tufts, and the pages to place and to score them."""
        record, message = _saved(folder), pages.message(said)
        names = [str(one["name"]) for one in (record or {}).get("films", [])]
        page = f"{what}-{film}.html"
        shown = bool(what) and film in names and (folder / ROOM / page).is_file()
        return pages.page(
            "tufts.html",
            stage="flights",
            said=said,
            record=record,
            films=_films(folder),
            flights=flight_names(folder),
            unsaved=message.answers if message else {},
            version=book_file(folder).version,
            drawn=_drawn(folder),
            shown={"film": film, "what": what, "page": page, "kept": KEPT[what]} if shown else None,
            table_version=_table_file(folder, film, KEPT[what]).version if shown else "",
            largest_mb=LARGEST // 1024**2,
        )

    @router.get("/tufts/page/{name}", responses={404: {"description": "no such page"}})
    def page_of(name: str) -> FileResponse:
        """A page to place or score tufts, or of what came of them; it runs shut off from the desk."""
        if name not in _drawn(folder):
            raise HTTPException(404, "there is no such page of tufts")
        return FileResponse(folder / ROOM / name, headers={"content-security-policy": TUFT_POLICY})

    @router.post("/upload/film")
    async def film_in(
        files: list[UploadFile], flight: Words = "", begins: Words = "", rate: Words = "",
        yarn: Literal["dark", "light"] = Form("dark"), version: Words = "",
    ) -> RedirectResponse:  # fmt: skip
        """Take in one film: a video, or pictures in the order of the numbers in their names."""
        sent = [(safe_name(file.filename or ""), await file.read()) for file in files if file.filename]
        given = {"flight": flight, "begins": begins, "pictures_a_second": rate, "yarn": yarn}

        def change() -> str:
            refuse_writers(folder)
            name = f"film-{safe_name(flight)}"
            taken = {one["name"] for one in _films(folder)}
            name = next(one for one in (name, *(f"{name}-{n}" for n in range(2, 99))) if one not in taken)
            place = _keep_film(folder, name, sent)
            try:
                add_table(
                    folder, "tufts", {"name": name, "frames": f"{FILMS}/{place.name}", **given},
                    version=version,
                )  # fmt: skip
            except InputError:
                shutil.rmtree(place, ignore_errors=True)
                place.unlink(missing_ok=True)
                raise
            return f"{name} is taken in. Read the films: that makes the page on which its tufts are placed."

        return messages.told(PAGE, change, given)

    @router.post("/tufts/keep")
    def keep(
        film: Words = "", what: Literal["places", "scores"] = Form(), table: Table = "", version: Words = ""
    ) -> RedirectResponse:
        """Keep where tufts are in a film, or what the eye said of them."""

        def change() -> str:
            refuse_writers(folder)
            number = next((n for n, one in enumerate(_films(folder)) if one["name"] == film), None)
            if number is None:
                raise InputError(where="tufts", found=repr(film), needed="a film of flights.toml with a name")
            kept = _table_file(folder, film, what)
            kept.refuse_other(version)
            kept.put(table.replace("\r\n", "\n"))
            book = book_file(folder)
            save_answers(book, {f"tufts.{number}.{what}": kept.path.name}, version=book.version)
            lines = len(table.strip().splitlines()) - 1
            return f"Kept: {lines} {what} of {film}. Read the films again to use them."

        return messages.told(PAGE, change)

    return router


def _table_file(folder: Path, film: str, what: str) -> KeptFile:
    from slowflight.flights.tufts.in_picture import read_places
    from slowflight.flights.tufts.scores import read_scores

    readers: dict[str, Callable[[Path], object]] = {"places": read_places, "scores": read_scores}
    name = f"{what}-{safe_name(film)}"
    return KeptFile(
        folder=folder, place=f"flights/{name}.csv", history=f"history-{name}", check=readers[what]
    )


def _films(folder: Path) -> list[dict[str, Any]]:
    found = read_values(book_file(folder)).get("tufts", [])
    films = [one for one in found if isinstance(one, dict)] if isinstance(found, list) else []
    usual = {"flight": "", "places": "", "scores": ""}
    return [usual | one | {"name": str(one.get("name") or one.get("flight", ""))} for one in films]


def _saved(folder: Path) -> dict[str, Any] | None:
    try:
        record = json.loads((folder / ROOM / "tufts.json").read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return record if isinstance(record, dict) and record.get("kind") == "tufts" else None


def _drawn(folder: Path) -> list[str]:
    return sorted(path.name for path in (folder / ROOM).glob("[!.]*.html"))


def _keep_film(folder: Path, name: str, sent: list[tuple[str, bytes]]) -> Path:
    """Put a video, or a folder of pictures, beside flights.toml."""
    # Only now: it brings a numerical library, and the desk is to open at once.
    from slowflight.flights.tufts.frames import PICTURES, VIDEOS

    endings = {Path(one).suffix.lower() for one, _ in sent}
    video = len(sent) == 1 and endings <= set(VIDEOS)
    if not sent or not (video or endings <= set(PICTURES)):
        raise InputError(
            where="the film", found=" ".join(sorted(endings)) or "no file",
            needed=f"one video ({', '.join(VIDEOS)}) or pictures ({', '.join(PICTURES)})",
        )  # fmt: skip
    room = folder / "flights" / FILMS
    room.mkdir(parents=True, exist_ok=True)
    place = room / (name + Path(sent[0][0]).suffix.lower() if video else name)
    if place.exists():
        raise InputError(where=place.name, found="a film of that name", needed="a name of its own")
    if video:
        place.write_bytes(sent[0][1])
        return place
    if len({one for one, _ in sent}) < len(sent):
        raise InputError(where="the film", found="two pictures of one name", needed="each its own, numbered")
    place.mkdir()
    for one, content in sent:
        (place / one).write_bytes(content)
    return place
