"""The report as PDF, printed by a browser that is installed on this machine."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from slowflight.errors import SlowflightError

NAMES = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "microsoft-edge",
    "msedge",
)
PLACES = (
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    "{ProgramFiles}/Google/Chrome/Application/chrome.exe",
    "{ProgramFiles(x86)}/Microsoft/Edge/Application/msedge.exe",
)
PATIENCE = 120.0  # [s]


def print_page(page: Path, target: Path) -> Path:
    """Print a page as PDF with its own print style.

    The browser gets an empty profile of its own and no network; the page has no scripts.

    Parameters
    ----------
    page : Path
        An HTML file that needs nothing beside it.
    target : Path
        Where the PDF goes.

    Returns
    -------
    Path
        ``target``.

    Raises
    ------
    SlowflightError
        Where no browser of a kind that prints by itself is found, or it did not print.
    """
    browser = next(_browsers(), None)
    if browser is None:
        raise SlowflightError(
            f"report: found no browser that prints by itself (looked for {', '.join(NAMES[:3])} and others); "
            f"open {page} in yours and print it, or save it as PDF: its print style has cautions and marks"
        )
    with tempfile.TemporaryDirectory() as place:
        made = Path(place) / "report.pdf"
        command = [
            browser, "--headless", "--disable-gpu", "--no-first-run", "--disable-extensions",
            "--disable-background-networking", "--disable-sync", "--host-resolver-rules=MAP * ~NOTFOUND",
            f"--user-data-dir={place}/profile", "--no-pdf-header-footer", f"--print-to-pdf={made}",
        ]  # fmt: skip
        if hasattr(os, "geteuid") and os.geteuid() == 0:
            # Its own cage does not work for the system's administrator; the page has no scripts.
            command.append("--no-sandbox")
        try:
            done = subprocess.run([*command, page.resolve().as_uri()], capture_output=True, timeout=PATIENCE)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise SlowflightError(f"report: {browser} did not print ({type(error).__name__})") from None
        if not made.is_file() or not made.read_bytes().startswith(b"%PDF"):
            said = done.stderr.decode("utf-8", errors="replace").strip()[-200:]
            raise SlowflightError(f"report: {browser} did not print ({said or f'code {done.returncode}'})")
        shutil.copyfile(made, target)
    return target


def _browsers() -> Iterator[str]:
    yield from (found for name in NAMES if (found := shutil.which(name)))
    for place in PLACES:
        try:
            path = Path(place.format_map(os.environ))
        except KeyError:
            continue
        if path.is_file():
            yield str(path)
