"""How far a long computation has come, on standard error so that results stay clean."""

from __future__ import annotations

import sys
import time
from types import TracebackType

from rich import progress as bars
from rich.console import Console

BETWEEN_LINES = 5.0  # where there is no terminal to draw on [s]


class Progress:
    """A bar on a terminal; elsewhere a line every few seconds.

    Use it as a context manager. It shows nothing before `start`, so that refused input leaves one line only.
    """

    def __init__(self) -> None:
        self._console = Console(stderr=True)
        self._bar: bars.Progress | None = None
        self._task = bars.TaskID(0)
        self._total = self._done = 0
        self._last = self._begun = 0.0
        self._what, self._at_begin = "", 0

    def __enter__(self) -> Progress:
        """Return itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None
    ) -> None:
        """Take the bar away."""
        if self._bar is not None:
            self._bar.stop()

    def start(self, total: int) -> None:
        """Begin counting to a total number of angles."""
        self._total, self._last = total, time.monotonic()
        if self._console.is_terminal:
            self._bar = bars.Progress(
                bars.TextColumn("{task.description}"),
                bars.BarColumn(),
                bars.MofNCompleteColumn(),
                console=self._console,
                transient=True,
            )
            # The first angle ever on a machine also compiles the solver, which is kept for later runs.
            self._task = self._bar.add_task("computing angles (the first time takes longer)", total=total)
            self._bar.start()

    def tell(self, what: str, done: int, total: int) -> None:
        """Show that ``done`` of ``total`` of something are finished; a new ``what`` is a new stage."""
        if what != self._what or total != self._total:
            if self._bar is not None:
                self._bar.stop()
                self._bar = None
            self._what, self._total, self._done = what, total, done
            self._begun = self._last = time.monotonic()
            self._at_begin = done
            if self._console.is_terminal:
                self._bar = bars.Progress(
                    bars.TextColumn("{task.description}"),
                    bars.BarColumn(),
                    bars.MofNCompleteColumn(),
                    bars.TimeRemainingColumn(),
                    console=self._console,
                    transient=True,
                )
                self._task = self._bar.add_task(f"{what} (the first takes longer)", total=total)
                self._bar.start()
            elif done:
                print(f"slowflight: {what}: {done} of {total} are kept from before", file=sys.stderr)  # noqa: T201
        self._done = done
        now = time.monotonic()
        if self._bar is not None:
            self._bar.update(self._task, completed=done)
        elif now - self._last > BETWEEN_LINES:
            self._last = now
            made = done - self._at_begin
            left = "" if made <= 0 else f", about {(now - self._begun) / made * (total - done):.0f} s left"
            print(f"slowflight: {what}: {done} of {total}{left}", file=sys.stderr)  # noqa: T201

    def advance(self) -> None:
        """Count one finished angle."""
        self._done += 1
        if self._bar is not None:
            self._bar.advance(self._task)
        elif time.monotonic() - self._last > BETWEEN_LINES:
            self._last = time.monotonic()
            print(f"slowflight: {self._done} of {self._total} angles", file=sys.stderr)  # noqa: T201
