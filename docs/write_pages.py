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
from slowflight.desk.quantities import QUANTITIES, STEPS
from slowflight.desk.records import STAGES
from slowflight.sources import bibliography, describe

HERE = Path(__file__).parent
HELP_BLOCK = re.compile(r"<!-- help:(?P<command>[^>]*)-->\n.*?<!-- end -->", re.DOTALL)
SOURCES_HEAD = """\
# Sources

Every result names the keys of the published works it used. These are all there are.

"""
FIRST_HEAD = """\
# A first project, with a tape measure and a phone

A tape measure, a phone with a level and a camera, the weight sheet, and seven steps. `slowflight desk DIR`
opens the pages; its *Help* has the same steps. Stop at any of them: "not worth it" after the first evening
is an answer too.

```{warning}
Slow flight and stalls kill. Nothing on these pages clears a wing to be flown slower: only careful flights do,
at a height from which a spin can be ended, in an aircraft that is legal to fly as modified. Ask your
authority or inspector before anything is fitted, tape included.
```

"""
WORDS_HEAD = """
## What the words mean
"""


def pages() -> dict[Path, str]:
    """Return each page that holds something from the code, as it should be."""
    command_line = HERE / "command-line.md"
    return {
        command_line: HELP_BLOCK.sub(_help_block, command_line.read_text(encoding="utf-8")),
        HERE / "first-project.md": FIRST_HEAD + _steps() + WORDS_HEAD + _words(),
        HERE / "sources.md": SOURCES_HEAD
        + "".join(f"- `{key}`: {describe(key)}\n" for key in bibliography()),
    }


def _steps() -> str:
    return "".join(f"{n}. **{title}.** {words}\n" for n, (_, title, words) in enumerate(STEPS, 1))


def _words() -> str:
    names = dict(STAGES)
    return "".join(
        f"\n### {names[stage]}\n\n"
        + "".join(f"- **{one.name}.** {one.plain} *For the engineer:* {one.engineer}\n" for one in found)
        for stage, found in QUANTITIES.items()
    )


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
