"""The six stages, in the order of the job."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from fastapi import APIRouter, Query
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from slowflight.desk.book_form import BOOK
from slowflight.desk.guard import LARGEST
from slowflight.desk.quantities import STEPS
from slowflight.desk.records import may_invent, measured_wing, older_than_book, shared_files, shared_of_older
from slowflight.desk.render import Pages
from slowflight.desk.wing_form import question_groups, read_values, wing_file, wing_groups
from slowflight.project import WING_FILE
from slowflight.report.saved import read_prediction

Said = Annotated[str, Query(max_length=40)]


def stages(pages: Pages) -> APIRouter:
    """Return the addresses of the six stages."""
    router = APIRouter(default_response_class=HTMLResponse)
    folder = pages.folder

    @router.get("/")
    def first() -> RedirectResponse:
        """Go to where the job is."""
        if not (folder / WING_FILE).is_file():
            return RedirectResponse("/start", 303)
        known = pages.record("prediction")[0] is not None
        return RedirectResponse("/prediction" if known else "/wing", 303)

    @router.get("/start")
    def start(said: Said = "") -> Response:
        """An empty folder: the demonstration, or the first question."""
        message = pages.message(said)
        there = (folder / WING_FILE).is_file()
        return pages.page(
            "start.html",
            said=said,
            there=there,
            answers=message.answers if message else {},
            largest_mb=LARGEST // 1024**2,
        )

    @router.get("/help")
    def help_page(said: Said = "") -> Response:
        """A first project step by step, and what the words mean."""
        return pages.page("help.html", stage="help", said=said, steps=STEPS)

    @router.get("/wing")
    def wing(said: Said = "") -> Response:
        """What was measured."""
        if not (folder / WING_FILE).is_file():
            return RedirectResponse("/start", 303)
        return _form(pages, "wing", said)

    @router.get("/question")
    def question(said: Said = "") -> Response:
        """What is to be tried."""
        if not (folder / WING_FILE).is_file():
            return RedirectResponse("/start", 303)
        return _form(pages, "question", said)

    @router.get("/prediction")
    def prediction(said: Said = "") -> Response:
        """What is predicted, and how sure."""
        record, old = pages.record("prediction")
        shown = None if record is None else read_prediction(record)
        opinion, opinion_old = pages.record("second-opinion")
        return pages.page(
            "prediction.html",
            stage="prediction",
            said=said,
            record=shown,
            old=old,
            opinion=opinion,
            opinion_old=opinion_old,
        )

    @router.get("/layout")
    def layout(said: Said = "") -> Response:
        """Where each vane stands."""
        record, old = pages.record("layout")
        files = [] if record is None else sorted(Path(name).name for name in record["files"])
        # Rows of wing.toml itself need no prediction.
        rows = bool(read_values(folder).get("vane_row"))
        known = rows or pages.record("prediction")[0] is not None
        return pages.page(
            "layout.html",
            stage="layout",
            said=said,
            record=record,
            old=old,
            files=files,
            known=known,
            measured=measured_wing(folder),
        )

    @router.get("/flights")
    def flights(said: Said = "") -> Response:
        """What was flown."""
        record, old = pages.record("flights")
        return pages.page(
            "flights.html",
            stage="flights",
            said=said,
            record=record,
            old=old,
            invented=may_invent(folder),
            book_old=older_than_book(folder),
            book=(folder / BOOK).is_file(),
        )

    @router.get("/decision")
    def decision(said: Said = "") -> Response:
        """What the flights say."""
        record, old = pages.record("flights")
        predicted = pages.record("prediction")[0]
        report = (folder / "report" / "index.html").is_file()
        return pages.page(
            "decision.html",
            stage="decision",
            said=said,
            record=record,
            old=old,
            predicted=predicted,
            report=report,
            book_old=older_than_book(folder),
            shared=shared_files(folder),
            of_older=shared_of_older(folder),
            largest_mb=LARGEST // 1024**2,
        )

    return router


def _form(pages: Pages, stage: str, said: str) -> Response:
    groups = wing_groups(pages.folder) if stage == "wing" else question_groups(pages.folder)
    message = pages.message(said)
    measured = sorted(path.name for path in (pages.folder / "measure").glob("*-check.png"))
    return pages.page(
        "form.html",
        stage=stage,
        said=said,
        groups=groups,
        unsaved=message.answers if message else {},
        version=wing_file(pages.folder).version,
        steps=wing_file(pages.folder).steps,
        wrong=message.wrong if message else {},
        measured=measured,
        next_measure=((pages.record("prediction")[0] or {}).get("measure_next") or [])[:5],
    )
