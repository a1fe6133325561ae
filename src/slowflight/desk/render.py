"""From saved records to pages: everything a template needs, and words for what is not there."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from slowflight.desk.line import waiting
from slowflight.desk.messages import Message, Messages
from slowflight.desk.quantities import QUANTITIES
from slowflight.desk.records import STAGES, aircraft_name, done_stages, older_than_wing, saved
from slowflight.desk.runs import FRONT, GOING, LONG, run_state
from slowflight.report.words import FILTERS

CAUTIONS = (
    "Slow flight and stalls kill. A prediction clears no wing to be flown slower; only flights do, with "
    "height to end a spin, within the aircraft's limits.",
    "This aircraft only, owner-measured, not approved. Ask your authority or inspector before anything is "
    "glued on.",
    "No vanes on a moving control surface.",
)
OLD_NEWS = 300.0  # a run that ended longer ago [s] is no news


class Pages:
    """The pages of one folder.

    Parameters
    ----------
    folder : Path
    messages : Messages
    """

    def __init__(self, folder: Path, messages: Messages) -> None:
        self.folder = folder
        self._messages = messages
        self._environment = Environment(
            loader=PackageLoader("slowflight.desk", "templates"),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._environment.filters.update(FILTERS)

    def page(self, template: str, *, stage: str = "", said: str = "", **values: Any) -> HTMLResponse:
        """Return a page.

        Parameters
        ----------
        template : str
        stage : str, optional
            Which of the six it is.
        said : str, optional
            Number of a message to show.
        **values
            For the template.
        """
        run, long = (_news(self.folder, lane) for lane in (FRONT, LONG))
        text = self._environment.get_template(template).render(
            stages=STAGES,
            done=done_stages(self.folder),
            stage=stage,
            aircraft=aircraft_name(self.folder),
            message=self.message(said),
            run=run,
            going=run is not None and run["state"] in GOING,
            long=long,
            long_going=long is not None and long["state"] in GOING,
            in_line=waiting(self.folder),
            cautions=CAUTIONS,
            quantities=QUANTITIES,
            **values,
        )
        return HTMLResponse(text)

    def message(self, said: str) -> Message | None:
        """Return what a change had to say."""
        return self._messages.of(said)

    def problem(self, words: str, *, status: int) -> HTMLResponse:
        """Return a page that says what is wrong."""
        answer = self.page("problem.html", words=words)
        answer.status_code = status
        return answer

    def record(self, name: str) -> tuple[dict[str, Any] | None, bool]:
        """Return a saved record, and whether wing.toml is younger."""
        return saved(self.folder, name), older_than_wing(self.folder, name)


def _news(folder: Path, lane: str) -> dict[str, Any] | None:
    run = run_state(folder, lane)
    old = run is not None and run["state"] == "done" and time.time() - run["written"] > OLD_NEWS
    return None if old else run
