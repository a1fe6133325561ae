"""Tufts at the desk: a film taken in, placed by clicks, scored by keys, and read."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from slowflight.flights.tufts.states import ATTACHED
from slowflight.project import write_demo
from slowflight.verbs.flying_demo import invent_flights
from tests.desk.browsing import FOUND, RUN, opened
from tests.desk.desk_server import Desk, desk_on
from tests.flights.tufts.drawn import rows_of_tufts
from tests.flights.tufts.films import film, places_text

PAGE = "/flights/tufts"
TALL = (1280, 1900)  # the whole picture: a click that has to scroll first may be lost in a page within a page


@pytest.fixture(scope="module", name="flown")
def fixture_flown(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("tufts") / "own"
    write_demo(folder)
    invent_flights(folder)
    plan = '\n[tuft_plan]\nspan_pitch = "300 mm"\nrows = ["20 %", "40 %", "60 %", "75 %", "90 %"]\n'
    with (folder / "flights" / "flights.toml").open("a", encoding="utf-8") as stream:
        stream.write(plan)
    return folder


@pytest.fixture(scope="module", name="pictures")
def fixture_pictures(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = film(tmp_path_factory.mktemp("film") / "x", lambda time, tuft: ATTACHED, seconds=2.0, rate=10.0)
    return sorted(folder.iterdir(), key=lambda one: int(one.stem.split("-")[1]))


@pytest.fixture(name="desk")
def fixture_desk(flown: Path, tmp_path: Path) -> Iterator[Desk]:
    folder = tmp_path / "own"
    shutil.copytree(flown, folder)
    with desk_on(folder) as found:
        yield found


def book(desk: Desk) -> str:
    return (desk.folder / "flights" / "flights.toml").read_text(encoding="utf-8")


def test_a_film_that_is_none_or_has_no_beginning_leaves_nothing_behind(desk: Desk) -> None:
    before = book(desk)
    given = {"flight": "before-2", "begins": "600 s", "yarn": "dark", "version": desk.form(PAGE)["version"]}
    assert "one video" in desk.send("/upload/film", {"files": ("x.exe", b"x")}, **given).text
    slip = given | {"begins": "soon", "rate": "10"}
    page = desk.send("/upload/film", {"files": ("1.png", b"x")}, **slip).text
    assert "begins" in page
    assert 'value="soon"' in page
    assert book(desk) == before
    assert not list((desk.folder / "flights" / "films").iterdir())
    other = given | {"version": "other"}
    assert "made elsewhere" in desk.send("/upload/film", {"files": ("1.png", b"x")}, **other).text
    assert not list((desk.folder / "flights" / "films").iterdir())


def test_a_table_that_is_none_is_refused_and_an_older_one_is_kept(desk: Desk) -> None:
    version = desk.form(PAGE)["version"]
    given = {"flight": "before-2", "begins": "600 s", "rate": "10", "yarn": "dark"}
    desk.send("/upload/film", {"files": ("1.png", b"x")}, **given, version=version)
    keep = {"film": "film-before-2", "what": "places"}
    assert 'role="alert"' in desk.post("/tufts/keep", **keep, table="no table", version="none").text
    place = desk.folder / "flights" / "places-film-before-2.csv"
    assert not place.exists()
    assert "Kept: 15 places" in desk.post("/tufts/keep", **keep, table=places_text(), version="none").text
    assert tomllib.loads(book(desk))["tufts"][0]["places"] == place.name
    assert "made elsewhere" in desk.post("/tufts/keep", **keep, table=places_text(), version="none").text
    assert place.read_text(encoding="utf-8") == places_text()
    assert "a film of flights.toml" in desk.post("/tufts/keep", film="else", what="places", table="x").text


def test_the_pages_of_tufts_can_ask_for_nothing(desk: Desk) -> None:
    room = desk.folder / "flights" / "tufts"
    room.mkdir()
    (room / "place-x.html").write_text("<script>1</script>", encoding="utf-8")
    policy = desk.ask("GET", "/tufts/page/place-x.html").headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "sandbox allow-scripts" in policy
    assert "allow-same-origin" not in policy
    for name in ("plan.csv", "..%2fflights.toml", "%2e%2e", "x" * 400):
        assert desk.ask("GET", f"/tufts/page/{name}").status == 404


@pytest.mark.skipif(
    FOUND is None, reason="NO BROWSER: install chromium, or tufts are not placed by clicks here"
)
def test_tufts_are_placed_by_clicks_and_scored_by_keys(
    browser: Browser, desk: Desk, pictures: list[Path]
) -> None:
    _place_and_score(browser, desk, pictures)


def _place_and_score(browser: Browser, desk: Desk, pictures: list[Path]) -> None:
    page, wrong = opened(browser, desk, TALL)
    page.goto(f"{desk.origin}{PAGE}")
    page.get_by_label("A video, or all its pictures").set_input_files(pictures)
    page.get_by_label("Flight").select_option("before-2")
    page.get_by_label("Its first frame").fill("600 s")
    page.get_by_label("Pictures a second").fill("10")
    page.get_by_role("button", name="Take it in").click()
    assert "is taken in" in page.inner_text(".message")
    page.get_by_role("button", name="Read the films").click()
    page.wait_for_selector("#run[data-state=done]", timeout=RUN)
    page.get_by_role("link", name="place its tufts").click()
    inside = page.frame_locator("#tuft-frame")
    board = inside.locator("#frame")
    expect(inside.locator("#now")).to_have_text("A1")  # its script has begun
    size = board.evaluate("e => [e.clientWidth / e.naturalWidth, e.naturalWidth]")
    for count, tuft in enumerate(rows_of_tufts(), 1):
        for spot in (tuft.base, tuft.tip):
            board.click(position={"x": spot[0] * size[0], "y": spot[1] * size[0]}, force=True)
        expect(inside.locator("#count")).to_have_text(f"{count} placed")
    inside.get_by_role("button", name="Save the table").click()
    page.wait_for_function("document.getElementById('tuft-table').value.length > 100")
    assert "15 lines, not kept yet" in page.inner_text("#tuft-words")
    page.get_by_role("button", name="Keep these places").click()
    assert "Kept: 15 places" in page.inner_text(".message")
    page.get_by_role("button", name="Read the films").click()
    page.wait_for_selector("#run[data-state=done]", timeout=RUN)
    page.get_by_role("link", name="score it by eye").click()
    inside = page.frame_locator("#tuft-frame")
    inside.locator("h1").click()
    for key in "aaau":
        page.keyboard.press(key)
    inside.get_by_role("button", name="Save the scores so far").click()
    page.wait_for_function("document.getElementById('tuft-table').value.length > 40")
    page.get_by_role("button", name="Keep these scores").click()
    assert "Kept: 4 scores" in page.inner_text(".message")
    found = tomllib.loads(book(desk))["tufts"][0]
    assert found["scores"] == "scores-film-before-2.csv"
    text = (desk.folder / "flights" / found["scores"]).read_text(encoding="utf-8")
    assert [line.rsplit(",", 1)[1] for line in text.splitlines()[1:]] == [*["attached"] * 3, "unsteady"]
    assert wrong == []
