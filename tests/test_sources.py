"""The bibliography: well formed, printable, and holding every key that code names."""

import ast
from pathlib import Path

import pytest

import slowflight
from slowflight import sources
from slowflight.errors import InputError

PACKAGE = Path(slowflight.__file__).parent


def keys_named_in(tree: ast.AST) -> set[str]:
    """Collect string constants given to ``cite``, set as ``SOURCES`` or passed as ``sources=``."""
    places: list[ast.AST] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
            places += node.args if name in ("cite", "describe") else []
            places += [keyword.value for keyword in node.keywords if keyword.arg == "sources"]
        elif isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if any(isinstance(target, ast.Name) and target.id.endswith("SOURCES") for target in targets):
                places.append(node.value)
    constants = (part for place in places for part in ast.walk(place) if isinstance(part, ast.Constant))
    return {part.value for part in constants if isinstance(part.value, str)}


def test_every_key_that_code_names_is_in_the_bibliography() -> None:
    named = {
        key: path.relative_to(PACKAGE)
        for path in sorted(PACKAGE.rglob("*.py"))
        for key in keys_named_in(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert "USSA1976" in named  # the search finds what is known to be there
    assert {key: path for key, path in named.items() if key not in sources.bibliography()} == {}


def test_the_search_sees_each_way_of_naming_a_key() -> None:
    code = """
SOURCES = ("A",)
cite("B")
sources.cite("C", *more)
LiftCurve(sources=("D", *x))
OWN_SOURCES: T = ("E",)
"""
    assert keys_named_in(ast.parse(code)) == {"A", "B", "C", "D", "E"}


@pytest.mark.parametrize("key", sources.bibliography())
def test_every_entry_prints_on_one_line_without_markup(key: str) -> None:
    line = sources.describe(key)
    assert not set(line) & set("{}\\\n")
    assert sources.find(key).year in line
    assert line.endswith((".", ".)"))


def test_article_and_report_print_as_people_cite_them() -> None:
    assert sources.describe("DrelaGiles1987") == (
        "Drela, M.; Giles, M. B.: Viscous-inviscid analysis of transonic and low Reynolds number airfoils. "
        "AIAA Journal, 25(10), 1347–1355, 1987."
    )
    assert sources.describe("GregoryOReilly1970").endswith("simulating hoar frost. ARC R&M 3726, 1970.")
    assert sources.describe_all(["Mack1977"]) == (sources.describe("Mack1977"),)


def test_cite_returns_each_key_once_in_order() -> None:
    assert sources.cite("Mack1977", "USSA1976", "Mack1977") == ("Mack1977", "USSA1976")


def test_unknown_key_is_refused() -> None:
    with pytest.raises(InputError, match=r"sources\.bib: found no entry 'Nobody1900'"):
        sources.cite("USSA1976", "Nobody1900")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("@book{A,\n  author = {B},\n  title = {C},\n}\n", "no year"),
        ("@book{A,\n  author = {B},\n  title = {C},\n  year = {1},\n}\n" * 2, "the key twice"),
        ("@book{A,\n  author = {B},\n  title = {C\n    D},\n  year = {1},\n}\n", "no title"),
        ("@book{A, author = {B}, title = {C}, year = {1}}\n", "plain form"),
        ("stray\n", "stray"),
    ],
)
def test_malformed_bibliography_is_an_error(text: str, problem: str) -> None:
    with pytest.raises(InputError, match=problem):
        sources.parse(text)
