"""What stands on the wing, typed at the desk: half a row, slips, another layout, left against right."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from slowflight.project import write_demo
from tests.desk.desk_server import Desk, desk_on
from tests.desk.laid_out import write_laid_out

PAGE = "/layout/installed"


@pytest.fixture(scope="module", name="running")
def fixture_running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = tmp_path_factory.mktemp("installed") / "own"
    write_laid_out(folder)
    with desk_on(folder) as found:
        yield found


@pytest.fixture(name="blank")
def fixture_blank(running: Desk) -> Desk:
    """The same desk, nothing measured."""
    for name in ("layout/installed-measured.csv", "layout/installed.json"):
        (running.folder / name).unlink(missing_ok=True)
    shutil.rmtree(running.folder / "desk" / "history-installed", ignore_errors=True)
    return running


def planned(desk: Desk) -> dict[str, dict[str, float]]:
    """Return every vane of the layout by its key on the page."""
    record = json.loads((desk.folder / "layout" / "layout.json").read_text(encoding="utf-8"))
    return {
        f"1.{one['side']}.{one['number']}": {
            "span": one["span_position_mm"], "skin": one["skin_distance_mm"], "toe": one["toe_deg"],
        }
        for one in record["vanes"]
    }  # fmt: skip


def as_laid_out(desk: Desk) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, one in planned(desk).items():
        found |= {f"{key}.skin": f"{one['skin']:.1f}", f"{key}.toe": f"{one['toe']:+.1f}"}
    return found


def version(desk: Desk) -> str:
    return desk.form(PAGE)["version"]


def test_half_a_row_is_kept_and_gone_on_with(blank: Desk) -> None:
    every = as_laid_out(blank)
    some = dict(list(every.items())[:5])
    count = len(planned(blank))
    page = blank.post("/installed/save", version=version(blank), **some).text
    assert f"Saved. {count - 2} vanes to go" in page  # two with both readings, one with its skin only
    assert f"2 of {count} vanes are measured" in page
    assert not (blank.folder / "layout" / "installed.json").exists()
    for key, value in some.items():
        assert re.search(rf'name="{re.escape(key)}" value="{re.escape(value.rstrip("0").rstrip("."))}', page)


def test_vanes_as_laid_out_match_and_one_that_is_off_blocks_the_next_card(blank: Desk) -> None:
    every = as_laid_out(blank)
    blank.post("/installed/save", version=version(blank), **every)
    assert "left and right match" in str(blank.wait()["message"])
    assert "Left and right match" in blank.ask("GET", "/layout").text
    key = next(key for key in planned(blank) if ".left." in key)
    off = {**every, f"{key}.skin": f"{planned(blank)[key]['skin'] + 6.0:.1f}"}  # 2 mm are allowed
    blank.post("/installed/save", version=version(blank), **off)
    assert "NO TEST CARD" in str(blank.wait()["message"])
    assert "No test card until left and right match" in blank.ask("GET", "/layout").text


def test_a_unit_a_comma_and_a_missing_vane_are_understood(blank: Desk) -> None:
    key = next(iter(planned(blank)))
    skin = planned(blank)[key]["skin"]
    blank.post("/installed/save", version=version(blank), **{f"{key}.skin": f"{skin / 25.4:.3f} in"})
    text = (blank.folder / "layout" / "installed-measured.csv").read_text(encoding="utf-8")
    assert float(text.splitlines()[1].split(",")[8]) == pytest.approx(skin, abs=0.02)  # 1 in is 25.4 mm
    comma = f"{skin:.1f}".replace(".", ",")
    blank.post("/installed/save", version=version(blank), **{f"{key}.skin": comma, f"{key}.toe": "−15,5"})
    line = (blank.folder / "layout" / "installed-measured.csv").read_text(encoding="utf-8").splitlines()[1]
    assert line.split(",")[8:10] == [f"{round(skin, 1):g}", "-15.5"]
    blank.post(
        "/installed/save", version=version(blank), **{f"{key}.missing": "yes", f"{key}.remark": "fell"}
    )
    line = (blank.folder / "layout" / "installed-measured.csv").read_text(encoding="utf-8").splitlines()[1]
    assert line.endswith(",,,,missing: fell")


def test_every_slip_has_its_own_message_and_nothing_is_saved(blank: Desk) -> None:
    keys = list(planned(blank))
    wrong = {
        f"{keys[0]}.skin": "25",
        f"{keys[1]}.toe": "15.5",
        f"{keys[2]}.skin": "nan",
        f"{keys[3]}.toe": "+90",
    }
    page = blank.post("/installed/save", version=version(blank), **as_laid_out(blank) | wrong).text
    found = re.findall(r'<p class="wrong">([^<]*)</p>', page)
    assert len(found) == 4
    assert "its sign" in found[1]
    assert not (blank.folder / "layout" / "installed-measured.csv").exists()
    assert 'value="25"' in page


def test_two_pages_and_a_step_back(blank: Desk) -> None:
    key, other = list(planned(blank))[:2]
    first = second = version(blank)
    skin = {one: f"{planned(blank)[one]['skin']:.1f}" for one in (key, other)}
    blank.post("/installed/save", version=first, **{f"{key}.skin": skin[key]})
    saved = (blank.folder / "layout" / "installed-measured.csv").read_bytes()
    page = blank.post("/installed/save", version=second, **{f"{other}.skin": skin[other]}).text
    assert "made elsewhere" in page
    assert (blank.folder / "layout" / "installed-measured.csv").read_bytes() == saved
    blank.post("/installed/save", version=version(blank), **{f"{other}.skin": skin[other]})
    blank.post("/installed/undo", version=version(blank))
    assert (blank.folder / "layout" / "installed-measured.csv").read_bytes() == saved


def test_what_was_measured_on_another_layout_is_not_shown_as_of_this_one(blank: Desk) -> None:
    blank.post("/installed/save", version=version(blank), **as_laid_out(blank))
    blank.wait()
    place = blank.folder / "layout" / "layout.json"
    text = place.read_text(encoding="utf-8")
    record = json.loads(text)
    record["revision"] = "other"
    for one in record["vanes"]:
        one["skin_distance_mm"] += 20.0
    try:
        place.write_text(json.dumps(record), encoding="utf-8")
        assert "an earlier layout" in blank.ask("GET", "/layout").text
        page = blank.ask("GET", PAGE).text
        assert "belongs to another layout" in page
        assert f"0 of {len(planned(blank))} vanes" in page
    finally:
        place.write_text(text, encoding="utf-8")


def test_a_form_completed_elsewhere_is_taken_in(blank: Desk) -> None:
    lines = (blank.folder / "layout" / "installed-form.csv").read_text(encoding="utf-8").splitlines()
    filled = [lines[0]]
    for line in lines[1:]:
        cells = line.split(",")
        filled.append(",".join([*cells[:7], "", cells[5], cells[6], ""]))
    blank.send("/upload/installed", {"file": ("ours.csv", "\n".join(filled).encode())})
    assert "left and right match" in str(blank.wait()["message"])
    assert "another kind of file" in blank.send("/upload/installed", {"file": ("x.exe", b"x")}).text


def test_without_a_layout_the_page_says_what_comes_first(tmp_path: Path) -> None:
    write_demo(tmp_path)
    with desk_on(tmp_path) as desk:
        assert "Lay out first" in desk.ask("GET", PAGE).text
        assert "no layout" in desk.post("/installed/save", version="none").text
