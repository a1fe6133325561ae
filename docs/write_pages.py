"""Renew what the documents take from the code: the text of ``--help`` and the list of sources.

Run it as ``python docs/write_pages.py``; a test fails while a page is stale.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
from pathlib import Path

from slowflight.cli.app import run
from slowflight.sources import bibliography, describe

HERE = Path(__file__).parent
HELP_BLOCK = re.compile(r"<!-- help:(?P<command>[^>]*)-->\n.*?<!-- end -->", re.DOTALL)
SOURCES_HEAD = """\
# Sources

Every result names the keys of the published works it used. These are all there are.

"""


def pages() -> dict[Path, str]:
    """Return each page that holds something from the code, as it should be."""
    command_line = HERE / "command-line.md"
    return {
        command_line: HELP_BLOCK.sub(_help_block, command_line.read_text(encoding="utf-8")),
        HERE / "sources.md": SOURCES_HEAD
        + "".join(f"- `{key}`: {describe(key)}\n" for key in bibliography()),
    }


def _help_block(found: re.Match[str]) -> str:
    command = found["command"].split()
    shown = io.StringIO()
    columns = os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = "80"  # help wraps to the terminal; the page must not depend on it
    try:
        with contextlib.redirect_stdout(shown):
            run([*command, "--help"])
    finally:
        if columns is None:
            del os.environ["COLUMNS"]
        else:
            os.environ["COLUMNS"] = columns
    text = "\n".join(line.rstrip() for line in shown.getvalue().splitlines())
    return f"<!-- help:{found['command']}-->\n```text\n{text}\n```\n<!-- end -->"


if __name__ == "__main__":
    for path, text in pages().items():
        path.write_text(text, encoding="utf-8")
