"""`fly` as it is typed: plan, logs in, verdict out, and what a slip says."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from slowflight.cli.app import run
from slowflight.project import write_demo
from slowflight.verbs.flying_demo import invent_flights

Printed = pytest.CaptureFixture[str]


@pytest.fixture(scope="module", name="demo")
def fixture_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_demo(tmp_path_factory.mktemp("fly") / "demo").folder
    invent_flights(folder)
    return folder


@pytest.fixture(name="empty")
def fixture_empty(tmp_path: Path) -> Path:
    return write_demo(tmp_path / "mine").folder


def test_verdict_comes_first_and_every_stall_has_its_reason(demo: Path, capsys: Printed) -> None:
    assert run(["fly", str(demo)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("INVENTED")
    assert re.match(r".*: (keep|move|remove|fly more) \(measured, owner's flights, not approved\)", lines[1])
    assert re.match(r"flap 0 deg: gain .* kt, likely .* to .*; .* in 10 that it beats 1 kt", lines[2])
    stalls = [line for line in lines if " kt/s, panel " in line]
    assert len(stalls) == 60
    assert all(re.search(r"± \d\.\d kt; (counts|DOES NOT COUNT): \w", line) for line in stalls)
    assert any(line.startswith("Caution: Slow flight and stalls near the ground kill.") for line in lines)
    assert any(line.startswith("Panel, flap 0 deg, from legs of before-1: add +") for line in lines)
    speeds = [line for line in lines if line.startswith("Stall at 1 g and reference mass, flap 0 deg: clean")]
    assert len(speeds) == 1
    assert speeds[0].count("kt calibrated, ") == 2
    assert speeds[0].count("kt on your panel") == 2


def test_json_is_what_is_kept(demo: Path, capsys: Printed) -> None:
    assert run(["fly", str(demo), "--json"]) == 0
    record: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert record == json.loads((demo / "flights" / "flights.json").read_text(encoding="utf-8"))
    gain = record["decision"]["settings"][0]["gain"]
    assert gain["low_kt"] < gain["value_kt"] < gain["high_kt"]
    assert record["flights"][0]["stalls"][0]["lines"][0] > 1
    assert record["unread"] == []


def test_plan_says_what_flights_settle_and_prints_cards(empty: Path, capsys: Printed) -> None:
    assert run(["fly", str(empty), "plan", "--flights", "4"]) == 0
    printed = capsys.readouterr().out
    assert "1 flight a side: a first look" in printed
    assert "4 flights a side: about" in printed
    for paper in ("a4", "letter"):
        content = (empty / "flights" / "cards" / f"cards-{paper}.pdf").read_bytes()
        assert content.startswith(b"%PDF")
    assert "flights_a_side = 4" in (empty / "flights" / "flights.toml").read_text(encoding="utf-8")


def test_a_guess_counts_only_once_it_is_confirmed(empty: Path, demo: Path, capsys: Printed) -> None:
    log = str(demo / "flights" / "logs" / "before-2.csv")
    raw = Path(log).read_bytes()
    assert run(["fly", str(empty), "before", log, "--mass", "550 kg"]) == 0
    shown = capsys.readouterr().out
    assert "GUESSED, not yet confirmed" in shown
    assert re.search(r"IAS \(kt\) +indicated airspeed +kt", shown)
    assert run(["fly", str(empty)]) == 3
    assert "NOT USED" in capsys.readouterr().out
    columns = empty / "flights" / "columns-1.toml"
    columns.write_text(columns.read_text().replace("confirmed = false", "confirmed = true"))
    assert run(["fly", str(empty)]) == 0
    assert (empty / "flights" / "logs" / "before-2.csv").read_bytes() == raw
    other = str(demo / "flights" / "logs" / "before-3.csv")
    assert run(["fly", str(empty), "before", other]) == 0
    assert "Columns (confirmed)" in capsys.readouterr().out
    assert not (empty / "flights" / "columns-2.toml").exists()


def test_the_same_log_is_no_second_flight(empty: Path, demo: Path, capsys: Printed) -> None:
    log = demo / "flights" / "logs" / "before-2.csv"
    copy = empty.parent / "renamed.csv"
    copy.write_bytes(log.read_bytes())
    assert run(["fly", str(empty), "before", str(log), "--confirm"]) == 0
    before = (empty / "flights" / "flights.toml").read_bytes()
    assert run(["fly", str(empty), "after", str(copy)]) == 2
    assert "the same log as before-1" in capsys.readouterr().err
    assert run(["fly", str(empty), "after", str(copy), str(copy)]) == 2
    assert (empty / "flights" / "flights.toml").read_bytes() == before


def test_cards_make_a_flight_by_themselves(empty: Path, capsys: Printed) -> None:
    card, legs = empty.parent / "card.csv", empty.parent / "legs.csv"
    card.write_text(
        "time min, flap deg, speed kt, rate kt/s, ending\n"
        "10, 0, 35.8, 0.6, nose-drop\n14, 0, 35.6, 0.8, nose-drop\n",
        encoding="utf-8",
    )
    legs.write_text(
        "ground speed kt, track deg, indicated kt\n"
        + "".join(f"{speed}, {track}, {speed - 3}\n" for speed in (38, 50, 75) for track in (10, 130, 250)),
        encoding="utf-8",
    )
    command = ["fly", str(empty), "before", str(card), str(legs), "--flap", "0 deg", "--name", "tuesday"]
    assert run(command) == 0
    capsys.readouterr()
    assert run(["fly", str(empty), "--json"]) == 0
    (flight,) = json.loads(capsys.readouterr().out)["flights"]
    assert flight["name"] == "tuesday"
    assert [one["accepted"] for one in flight["stalls"]] == [True, True]
    assert all(one["calibrated"] for one in flight["stalls"])


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["befor", "x.csv"], "needs plan, before, after, again, stalls, strike, restore, tufts or nothing"),
        (["before"], "found no file"),
        (["before", "nothing.csv"], "found no such file"),
        (["before", "wing.toml", "--mass", "540"], "without a unit"),
        (["plan", "x.csv"], "nothing behind 'plan'"),
        (["plan", "--flights", "0"], "1 to 12"),
        ([], "begin with 'slowflight fly DIR plan'"),
    ],
)
def test_a_slip_is_one_line_and_leaves_nothing(
    empty: Path, capsys: Printed, typed: list[str], said: str
) -> None:
    assert run(["fly", str(empty), *typed]) == 2
    (line,) = capsys.readouterr().err.strip().splitlines()
    assert said in line
    assert not (empty / "flights" / "flights.toml").exists()


def test_the_invented_campaign_is_small_and_says_that_it_is_invented(demo: Path, tmp_path: Path) -> None:
    files = [file for file in (demo / "flights").rglob("*") if file.is_file()]
    assert sum(file.stat().st_size for file in files) < 2_500_000
    book = demo / "flights" / "flights.toml"
    assert book.read_text(encoding="utf-8").startswith("# INVENTED from end to end")
    again = write_demo(tmp_path / "again").folder
    assert invent_flights(again).read_bytes() == book.read_bytes()
    for log in (demo / "flights" / "logs").iterdir():
        assert (again / "flights" / "logs" / log.name).read_bytes() == log.read_bytes()


@pytest.mark.parametrize("unit", ["mph", "km/h", "m/s"])
def test_every_panel_has_its_own_unit(demo: Path, empty: Path, capsys: Printed, unit: str) -> None:
    shutil.copytree(demo / "flights", empty / "flights")
    book = empty / "flights" / "flights.toml"
    book.write_text(book.read_text(encoding="utf-8").replace('unit = "kt"', f'unit = "{unit}"'))
    assert run(["fly", str(empty)]) == 0
    printed = capsys.readouterr().out
    gain = re.search(rf"flap 0 deg: gain ([\d.]+) {unit}, likely", printed)
    assert gain is not None
    assert run(["fly", str(demo), "--json"]) == 0
    knots = json.loads(capsys.readouterr().out)["decision"]["settings"][0]["gain"]["value_kt"]
    # Exact conversions: NIST SP 811 (2008), appendix B.8.
    size = {"mph": 1852.0 / 1609.344, "km/h": 1.852, "m/s": 1852.0 / 3600.0}[unit]
    assert float(gain[1]) == pytest.approx(knots * size, abs=0.06)
    assert run(["fly", str(empty), "plan"]) == 0
    assert f" {unit} either way" in capsys.readouterr().out


def test_a_stall_is_looked_at_struck_and_restored(demo: Path, tmp_path: Path, capsys: Printed) -> None:
    mine = tmp_path / "mine"
    shutil.copytree(demo, mine)
    assert run(["fly", str(mine), "stalls"]) == 0
    assert "60 stalls, 60 of them count" in capsys.readouterr().out
    page = (mine / "flights" / "stalls.html").read_text(encoding="utf-8")
    assert page.count("<img ") == 60
    assert "INVENTED" in page
    assert "Slow flight and stalls near the ground kill." in page
    assert f"slowflight fly {mine} strike before-2 3 --reason" in page
    assert run(["fly", str(mine), "strike", "before-2", "3", "--reason", "the wing rocked"]) == 0
    assert "Next: slowflight fly" in capsys.readouterr().out
    assert run(["fly", str(mine), "stalls", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["counted"] == 59
    page = (mine / "flights" / "stalls.html").read_text(encoding="utf-8")
    assert "struck: the wing rocked (" in page
    assert f"slowflight fly {mine} restore before-2 3 --reason" in page
    assert run(["fly", str(mine), "restore", "before-2", "3", "--reason", "seen again", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["counts"] is True
    assert run(["fly", str(mine), "--json"]) == 0
    flights = {one["name"]: one for one in json.loads(capsys.readouterr().out)["flights"]}
    stall = flights["before-2"]["stalls"][2]
    assert stall["accepted"]
    assert stall["reason"].startswith("restored: seen again (struck: the wing rocked (")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["strike", "before-2", "99", "--reason", "x"], "found stall 99; needs one of the 10"),
        (["strike", "before-2", "3"], "found no reason"),
        (["strike", "nobody", "3", "--reason", "x"], "no flight 'nobody'"),
        (["strike", "before-2", "third", "--reason", "x"], "stall 'third'"),
        (["strike", "before-2"], "needs the flight and the number"),
        (["stalls", "before-2"], "needs nothing behind 'stalls'"),
    ],
)
def test_a_slip_strikes_nothing(demo: Path, capsys: Printed, typed: list[str], said: str) -> None:
    book = (demo / "flights" / "flights.toml").read_bytes()
    if not (demo / "flights" / "flights.json").is_file():
        run(["fly", str(demo)])
    assert run(["fly", str(demo), *typed]) == 2
    assert said in capsys.readouterr().err
    assert (demo / "flights" / "flights.toml").read_bytes() == book


def test_a_second_recorder_is_added_with_its_columns(demo: Path, empty: Path, capsys: Printed) -> None:
    log = demo / "flights" / "logs" / "before-2.csv"
    rows = [line.split(",") for line in log.read_text(encoding="utf-8").splitlines()]
    felt = [place for place, name in enumerate(rows[0]) if name.startswith(("Time", "Pressure", "Normal"))]
    phone = empty.parent / "phone.csv"
    phone.write_text("".join(",".join(row[i] for i in felt) + "\n" for row in rows), encoding="utf-8")
    typed = ["fly", str(empty), "before", str(log), "--also", str(phone), "--confirm", "--json"]
    assert run(typed) == 0
    record = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in record["added"]] == ["before-1", "before-1, second recorder"]
    text = (empty / "flights" / "flights.toml").read_text(encoding="utf-8")
    assert 'second_log = "logs/phone.csv"' in text
    assert len(set(re.findall(r'olumns = "(columns-[12].toml)"', text))) == 2
    other = demo / "flights" / "logs" / "before-3.csv"
    assert run(["fly", str(empty), "before", str(log), str(other), "--also", str(phone)]) == 2
    assert "one flight" in capsys.readouterr().err


def test_two_flights_in_one_file_become_two(demo: Path, empty: Path, capsys: Printed) -> None:
    first = (demo / "flights" / "logs" / "before-2.csv").read_text(encoding="utf-8").splitlines()
    second = (demo / "flights" / "logs" / "before-3.csv").read_text(encoding="utf-8").splitlines()
    later = [
        f"{float(time) + 10_000.0:.2f},{rest}"
        for time, _, rest in (line.partition(",") for line in second[1:])
    ]
    log = empty.parent / "both.csv"
    log.write_text("\n".join([*first, *later, ""]), encoding="utf-8")
    assert run(["fly", str(empty), "before", str(log), "--confirm", "--mass", "550 kg"]) == 0
    capsys.readouterr()
    assert run(["fly", str(empty), "--json"]) == 0
    flights = json.loads(capsys.readouterr().out)["flights"]
    assert [flight["name"] for flight in flights] == ["before-1", "before-2"]
    assert [len(flight["stalls"]) for flight in flights] == [10, 10]
