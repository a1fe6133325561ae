"""The documents: complete, and not behind the code."""

import re
from dataclasses import fields
from pathlib import Path

import pytest
import typer

from docs.write_pages import HELP_BLOCK, pages
from slowflight.cli.app import app
from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.verbs.distributions import COLUMNS
from slowflight.wing.airfoils import airfoil
from slowflight.wing.vane_row import read_vane_rows

ROOT = Path(__file__).parents[2]
PROSE = HELP_BLOCK.sub("", (ROOT / "docs" / "command-line.md").read_text(encoding="utf-8"))
GROUP = typer.main.get_command(app)
COMMANDS = sorted(GROUP.commands)  # type: ignore[attr-defined]


def section_of(command: str) -> str:
    """Return the hand-written text under a command's own heading."""
    return PROSE.split(f"\n## {command}\n", 1)[1].split("\n## ", 1)[0]


@pytest.mark.parametrize("path", pages(), ids=lambda path: path.name)
def test_page_is_not_stale(path: Path) -> None:
    assert path.read_text(encoding="utf-8") == pages()[path], "run: python docs/write_pages.py"


def test_there_are_commands() -> None:
    assert "lift-curve" in COMMANDS


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_and_option_is_documented_by_hand(command: str) -> None:
    text = section_of(command)
    for parameter in GROUP.commands[command].params:  # type: ignore[attr-defined]
        assert parameter.help, f"{command} {parameter.name} has no help"
        name = parameter.opts[0] if parameter.param_type_name == "option" else parameter.metavar
        assert f"`{name}`" in text, f"{command} {name} is not described"


def test_every_key_of_the_json_and_every_column_is_documented() -> None:
    text = section_of("lift-curve")
    keys = {field.name for kind in (LiftCurve, FlowPoint) for field in fields(kind)}
    keys -= {"layers", "vane_effects"}  # not in the JSON
    keys |= {column for column, _ in COLUMNS} | {"element", "side"}
    assert {key for key in keys if f"`{key}`" not in text} == set()


def test_every_exit_code_is_documented() -> None:
    text = PROSE.split("\n## Exit codes\n", 1)[1]
    assert re.findall(r"^\| (\d+) \|", text, re.MULTILINE) == ["0", "2", "3", "130"]


def test_readme_begins_with_the_job_and_the_two_commands() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```sh\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    assert len(blocks) >= 2
    assert all(block.count("\n") == 1 for block in blocks[:2])
    assert blocks[0].startswith("python3 start.py ")
    assert blocks[1] == "python3 start.py check\n"
    first_paragraph = text.split("\n\n")[1]
    assert "vortex generators" in first_paragraph


def test_pages_need_no_network() -> None:
    for path in (ROOT / "docs").glob("*.md"):
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"<script|<link|\$\$|```\{math\}|{math}`", text), path.name


def test_measured_example_is_read_as_it_stands(tmp_path: Path) -> None:
    text = (ROOT / "docs" / "measuring.md").read_text(encoding="utf-8")
    table = re.search(r"```text\n(.*?)```", text, re.DOTALL)
    assert table is not None
    (tmp_path / "rib3.csv").write_text(table[1], encoding="utf-8")
    section = airfoil("rib3.csv", base_folder=tmp_path)
    assert section.chord_m == pytest.approx(1.480, rel=1e-3)
    assert section.cautions == ()


def test_vane_example_is_read_as_it_stands(tmp_path: Path) -> None:
    table = re.search(r"```toml\n(\[\[vane_row\]\].*?)```", PROSE, re.DOTALL)
    assert table is not None
    (tmp_path / "vanes.toml").write_text(table[1], encoding="utf-8")
    (row,) = read_vane_rows(tmp_path / "vanes.toml", chord_m=1.5)
    assert row.station == pytest.approx(0.09)
