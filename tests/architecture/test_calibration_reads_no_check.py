"""No calibration can read its own check: code that sets constants has one door to published cases."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from slowflight.compare.evidence.library import cases

ROOT = Path(__file__).parents[2]
KNOWN = ("set_lag_constant.py",)
DOOR = "slowflight.compare.evidence.library"
# Other ways to figures or to files with figures.
CLOSED = (
    "slowflight.compare.evidence", "slowflight.verbs", "slowflight.cli", "slowflight.report", "docs", "tests",
    "csv", "tomllib", "tomlkit", "importlib", "pathlib", "os", "io", "subprocess", "pickle", "json", "runpy",
)  # fmt: skip
CALLS = ("open", "exec", "eval", "compile", "__import__", "getattr", "globals", "vars")
METHODS = ("open", "read_text", "read_bytes", "loadtxt", "genfromtxt", "load", "fromfile")


def calibration_code(root: Path) -> list[Path]:
    """Return every file outside the tests whose name, or whose folder's name, says that it calibrates."""
    found = []
    for place in ("src", "benchmarks", "docs", "examples"):
        for path in sorted((root / place).rglob("*.py")):
            names = path.relative_to(root).with_suffix("").parts
            if path.name in KNOWN or any("calibrat" in name.lower() for name in names):
                found.append(path)
    return found


def other_ways(code: str) -> list[str]:
    """Return what in a program could get at a published case other than ``cases(role="calibrates")``."""
    tree = ast.parse(code)
    doors: set[str] = set()
    found: list[str] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [f"import {alias.name}" for alias in node.names if _closed(alias.name)]
        elif isinstance(node, ast.ImportFrom):
            module = node.module or "."
            for alias in node.names:
                if module == DOOR and alias.name == "cases":
                    doors.add(alias.asname or alias.name)
                elif node.level or _closed(module) or _closed(f"{module}.{alias.name}"):
                    found.append(f"from {module} import {alias.name}")
    found += list(_uses(tree, doors))
    return found


def _closed(module: str) -> bool:
    return any(module == name or module.startswith(f"{name}.") for name in CLOSED)


def _uses(tree: ast.AST, doors: set[str]) -> Iterator[str]:
    rightly = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else ""
            method = node.func.attr if isinstance(node.func, ast.Attribute) else ""
            if name in doors and not node.args and _role(node) == ["calibrates"]:
                rightly.add(id(node.func))
            if name in CALLS or method in METHODS:
                yield f"call of {name or method}"
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and node.id in doors and id(node) not in rightly:
            yield f"{node.id} without role='calibrates'"


def _role(call: ast.Call) -> list[object]:
    return [
        word.value.value if word.arg == "role" and isinstance(word.value, ast.Constant) else None
        for word in call.keywords
    ]


FILES = calibration_code(ROOT)


def test_the_known_calibration_is_found() -> None:
    assert [path.name for path in FILES if path.name in KNOWN] == list(KNOWN)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_calibration_code_opens_no_check(path: Path) -> None:
    assert other_ways(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_calibration_code_has_no_figure_of_a_check_written_in(path: Path) -> None:
    """Maximum lifts with three digits behind the point: few enough not to be met by chance."""
    figures = {
        measured.value
        for case in cases(role="checks")
        for measured in case.measured
        if measured.quantity.startswith("maximum lift")
        and measured.value is not None
        and round(measured.value, 2) != measured.value
    }
    assert {1.596, 1.561} <= figures
    tree = ast.parse(path.read_text(encoding="utf-8"))
    written = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert not figures & written


GOOD = "from slowflight.compare.evidence.library import cases\n"


@pytest.mark.parametrize(
    "code",
    [
        GOOD + 'found = cases(role="calibrates")',
        GOOD.replace("cases", "cases as published") + 'x = [c for c in published(role="calibrates")]',
        "from slowflight.wing.naca import naca_section\nimport numpy as np\nprint(np.arange(3))",
    ],
)
def test_the_one_door_is_open(code: str) -> None:
    assert other_ways(code) == []


@pytest.mark.parametrize(
    "code",
    [
        GOOD + 'cases(role="checks")',
        GOOD + 'cases(role="any")',
        GOOD + 'role = "checks"\ncases(role=role)',
        GOOD + 'cases(**{"role": "checks"})',
        GOOD + 'cases(role="calibrates", folder=elsewhere)',
        GOOD + 'door = cases\ndoor(role="checks")',
        GOOD.replace("cases", "cases as published") + 'published(role="checks")',
        "import slowflight.compare.evidence.library as library",
        "from slowflight.compare.evidence import library",
        "from slowflight.compare import evidence",
        "from slowflight.compare.evidence.case_file import read_case",
        "from slowflight.verbs import evidence",
        "from slowflight import verbs",
        "from docs.make_evidence import comparisons",
        "from tests.published import test_evidence",
        "from . import library",
        "from pathlib import Path",
        "import csv",
        "from importlib.resources import files",
        'open("x")',
        "np.loadtxt(name)",
        "place.read_text()",
        '__import__("csv")',
    ],
)
def test_every_other_way_is_seen(code: str) -> None:
    assert other_ways(code) != []


def test_a_new_calibration_is_found_by_its_name(tmp_path: Path) -> None:
    for place in ("benchmarks/calibrate_mixing.py", "src/x/calibration/vanes.py", "src/x/other.py"):
        (tmp_path / place).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / place).write_text("", encoding="utf-8")
    found = [path.relative_to(tmp_path).as_posix() for path in calibration_code(tmp_path)]
    assert sorted(found) == ["benchmarks/calibrate_mixing.py", "src/x/calibration/vanes.py"]
