"""Films of tufts before and after, invented: reduced, scored, set beside each other at equal speed."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from slowflight.cli.app import run
from slowflight.flights.book.reading import read_book
from slowflight.flights.logs.mapping import read_mapping
from slowflight.flights.logs.reading import read_log
from slowflight.flights.tufts.states import ATTACHED, REVERSED, UNSTEADY
from slowflight.project import write_demo
from slowflight.verbs import fly, reduce_tufts
from slowflight.verbs.flying_demo import invent_flights
from slowflight.verbs.tuft_prediction import predicted_separation
from tests.flights.tufts.films import film, places_text

ROWS = (0.2, 0.4, 0.6, 0.75, 0.9)
SECONDS, RATE = 11.0, 10.0
# Where reversed flow begins on the invented wing: nowhere until so long before the stall, then forward.
BEGINS = {"before": 6.0, "after": 3.0}
Printed = pytest.CaptureFixture[str]


def truth(side: str) -> Callable[[float, str], str]:
    def state(time: float, tuft: str) -> str:
        place = ROWS[int(tuft[1:]) - 1] + 0.03 * "ABC".index(tuft[0])
        front = 1.15 - 0.14 * max(time - (10.0 - BEGINS[side]), 0.0)
        return REVERSED if place > front else UNSTEADY if place > front - 0.12 else ATTACHED

    return state


@pytest.fixture(scope="module", name="filmed")
def fixture_filmed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_demo(tmp_path_factory.mktemp("tufts") / "demo").folder
    invent_flights(folder)
    record = fly(folder)
    flights = folder / "flights"
    book = read_book(flights / "flights.toml")
    text = '\n[tuft_plan]\nspan_pitch = "300 mm"\nrows = ["20 %", "40 %", "60 %", "75 %", "90 %"]\n'
    for side in ("before", "after"):
        name = f"{side}-2"
        entry = next(one for one in book.flights if one.name == name)
        assert entry.log is not None
        assert entry.columns is not None
        log = read_log(entry.log, mapping=read_mapping(entry.columns))
        first = next(one for one in record["flights"] if one["name"] == name)["stalls"][1]
        seconds = stall_second(log, first)
        film(flights / "films" / side, truth(side), seconds=SECONDS, rate=RATE, seed=len(side))
        (flights / "places.csv").write_text(places_text(), encoding="utf-8")
        text += (
            f'\n[[tufts]]\nname = "film-{side}"\nflight = "{name}"\nframes = "films/{side}"\n'
            f'pictures_a_second = {RATE}\nbegins = "{seconds - 10.0:.2f} s"\nplaces = "places.csv"\n'
        )
    with (flights / "flights.toml").open("a", encoding="utf-8") as stream:
        stream.write(text)
    return folder


def stall_second(log: Any, stall: dict[str, Any]) -> float:
    """When a stall was, from the first reading of its log [s]."""
    first, last = (int(np.searchsorted(log.rows, line)) for line in stall["lines"])
    shown = log.channels["indicated_airspeed"][first:last]
    return float(log.time[first + int(np.argmin(shown))] - log.time[0])


@pytest.fixture(scope="module", name="record")
def fixture_record(filmed: Path) -> dict[str, Any]:
    return reduce_tufts(filmed)


def test_films_show_where_the_air_lets_go(record: dict[str, Any]) -> None:
    films = {one["side"]: one for one in record["films"]}
    assert [one["problem"] for one in record["films"]] == [None, None]
    for side, one in films.items():
        assert one["calibrated"]
        speeds = [at["speed_kt"] for at in one["speeds"]]
        assert speeds == sorted(speeds, reverse=True)
        assert speeds[0] - speeds[-1] >= 6.0
        calm, stalled = one["speeds"][0], one["speeds"][-1]
        assert calm["furthest_forward"] is None
        assert calm["tally"][ATTACHED] == 15
        # At the end reversal has come forward to 1.15 - 0.14 x seconds, less what a window blurs.
        front = 1.15 - 0.14 * BEGINS[side]
        assert stalled["furthest_forward"] == pytest.approx(front, abs=0.2)
        assert stalled["tally"][REVERSED] >= 3
        assert one["first"] is not None
    # With "vanes" the air was drawn to let go three seconds, so about three knots, later.
    assert 1.0 < films["before"]["first"]["speed_kt"] - films["after"]["first"]["speed_kt"] < 6.0


def test_both_sides_stand_beside_each_other_at_equal_speed(filmed: Path, record: dict[str, Any]) -> None:
    room = filmed / "flights" / "tufts"
    pictures = sorted((room / "side-by-side").glob("*.png"))
    assert len(pictures) > 20
    with Image.open(pictures[0]) as first:
        assert first.width == 1280
        assert first.height % 2 == 0
    assert (room / "side-by-side.mp4").stat().st_size > 10_000
    page = (room / "tufts.html").read_text(encoding="utf-8")
    heads = [float(one) for one in re.findall(r'"head": "([0-9.]+) kt calibrated, 1 g', page)]
    assert heads == sorted(heads, reverse=True)
    assert "Slow flight and stalls near the ground kill." in page
    assert "INVENTED" in page
    assert "Nobody has scored it by eye" in page
    assert json.loads((room / "tufts.json").read_text(encoding="utf-8")) == record


def test_frames_of_a_pair_have_the_speed_that_stands_over_them(filmed: Path) -> None:
    from slowflight.flights.reduction.campaign import reduce_campaign
    from slowflight.flights.reduction.tuft_film import reduce_film
    from slowflight.flights.tufts.plan import plan_tufts
    from slowflight.verbs.flying import aircraft_facts, flap_settings
    from slowflight.wing.wing_file import read_wing_file

    book = read_book(filmed / "flights" / "flights.toml")
    wing = read_wing_file(filmed / "wing.toml")
    facts = aircraft_facts(wing)
    reduced = reduce_campaign(book, facts=facts, flaps_deg=flap_settings(wing))
    plan = plan_tufts(wing.wing, pitch=0.3, rows=ROWS)
    knot = 1852.0 / 3600.0
    for entry in book.films:
        flight = next(one for one in reduced.flights if one.name == entry.flight)
        flown = next(one for one in book.flights if one.name == entry.flight)
        found = reduce_film(entry, flown, flight, plan, facts=facts)
        assert found.film is not None
        assert found.track is not None
        low, high = np.nanmin(found.track.speed), np.nanmax(found.track.speed)
        numbers = []
        for speed in np.linspace(high, low, 12)[1:-1]:
            number = found.frame_at(float(speed))
            assert number is not None
            place = found.film.numbers.index(number)
            # Ten frames a second and a knot a second: within a frame, and gusts.
            assert abs(found.track.speed[place] - speed) < 0.5 * knot
            numbers.append(number)
        assert numbers == sorted(numbers)
        assert found.frame_at(float(high + knot)) is None
        assert found.frame_at(float(low - knot)) is None
        # The stall of the log is where its calibrated speed is the record's, at one g and reference mass.
        stall = flight.records[1].speed_reference
        at_stall = float(np.interp(10.0, found.film.times, found.track.speed))
        assert at_stall == pytest.approx(stall, abs=1.5 * knot)


def test_scores_by_eye_give_the_confusion_matrix(filmed: Path, tmp_path: Path, capsys: Printed) -> None:
    mine = tmp_path / "mine"
    shutil.copytree(filmed, mine)
    flights = mine / "flights"
    lines = ["time s,tuft,state"]
    for number in range(20):
        time = 0.25 + 0.5 * number
        lines += [f"{time},{s}{r},{truth('before')(time, f'{s}{r}')}" for s in "ABC" for r in range(1, 6)]
    (flights / "scores.csv").write_text("\n".join([*lines, ""]), encoding="utf-8")
    book = flights / "flights.toml"
    text = book.read_text(encoding="utf-8")
    book.write_text(
        text.replace('places = "places.csv"\n', 'places = "places.csv"\nscores = "scores.csv"\n', 1),
        encoding="utf-8",
    )
    assert run(["fly", str(mine), "tufts"]) == 0
    printed = capsys.readouterr().out
    assert re.search(r"pictures agree with the eye in (8|9)\d % of", printed)
    assert "score-film-after.html" in printed
    assert "until then nothing says how well the pictures are read" in " ".join(printed.split())
    kept = json.loads((flights / "tufts" / "tufts.json").read_text(encoding="utf-8"))
    counts = np.array(next(one for one in kept["films"] if one["side"] == "before")["confusion"]["counts"])
    assert counts.sum() > 280
    assert counts[0, 2] + counts[2, 0] == 0


def test_without_films_the_plan_is_written_and_says_what_to_do(tmp_path: Path, capsys: Printed) -> None:
    folder = write_demo(tmp_path / "mine").folder
    assert run(["fly", str(folder), "tufts", "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert record["films"] == []
    assert "film one slow-down before and one after" in record["next"][0]
    plan = (folder / "flights" / "tufts" / "plan.csv").read_text(encoding="utf-8").splitlines()
    assert plan[0].startswith("tuft,from centerline mm")
    assert len(plan) - 1 == len(record["plan"]["tufts"])


def test_a_film_that_cannot_be_used_says_so_and_a_page_is_offered(
    filmed: Path, tmp_path: Path, capsys: Printed
) -> None:
    mine = tmp_path / "mine"
    shutil.copytree(filmed, mine)
    book = mine / "flights" / "flights.toml"
    text = book.read_text(encoding="utf-8").replace('places = "places.csv"\n', "", 1)
    book.write_text(re.sub(r'(frames = "films/)after', r"\1nowhere", text), encoding="utf-8")
    assert run(["fly", str(mine), "tufts"]) == 3
    printed = " ".join(capsys.readouterr().out.split())
    assert "film-before (before): NOT USED: nobody has said where its tufts are" in printed
    assert "film-after (after): NOT USED:" in printed
    page = (mine / "flights" / "tufts" / "place-film-before.html").read_text(encoding="utf-8")
    assert '"A1", "A2"' in page
    assert "data:image/jpeg;base64," in page


@pytest.mark.parametrize(
    ("tufts", "said"),
    [
        ('[[tufts]]\nflight = "nobody"\nframes = "x"\n', "flight: found 'nobody'"),
        ('[[tufts]]\nflight = "before-2"\n', "a folder of pictures or a video"),
        ('[[tufts]]\nflight = "before-2"\nframes = "x"\nbegins = "9 s"\npictures_a_second = "6"\n', "quotes"),
        ('[[tufts]]\nflight = "before-2"\nframes = "x"\n', "begins: found nothing"),
        ('[[tufts]]\nflight = "before-2"\nframes = "x"\nbegins = "9 s"\nyarn = "red"\n', "yarn"),
        ('[[tufts]]\nflight = "before-2"\nframes = "x"\nbegins = "9 s"\n' * 2, "two films named 'before-2'"),
    ],
)
def test_slips_in_the_book(filmed: Path, tmp_path: Path, capsys: Printed, tufts: str, said: str) -> None:
    mine = tmp_path / "mine"
    shutil.copytree(filmed, mine, ignore=shutil.ignore_patterns("films", "tufts"))
    book = mine / "flights" / "flights.toml"
    text = book.read_text(encoding="utf-8")
    book.write_text(text[: text.index("[tuft_plan]")] + tufts, encoding="utf-8")
    assert run(["fly", str(mine), "tufts"]) == 2
    assert said in capsys.readouterr().err


def test_predicted_separation_follows_the_branch_up_to_the_stall() -> None:
    prediction = {
        "settings": [
            {
                "flap_deg": 0.0,
                "predicted": True,
                "clean": {
                    "wing_angles_deg": [10.0, 15.0, 18.0, 20.0],
                    "speed_kt": [45.0, 40.0, 38.0, 39.0],
                    "separation": [None, 0.95, 0.8, 0.5],
                },
                "vanes": None,
            }
        ]
    }
    knot = 1852.0 / 3600.0

    def at(speed: float, **changes: Any) -> dict[str, Any] | None:
        given = {"flap_deg": 0.3, "vanes": False, "anchor": 1.0, **changes}
        return predicted_separation(prediction, speed=speed * knot, **given)

    assert at(44.5) == {"station": None, "past_stall": False, "wing_angle_deg": 10.0}
    # 39 kt comes twice: on the way down, at 15 or 18 degrees, and behind the stall, which does not count.
    assert (at(39.2) or {})["station"] == 0.95
    assert (at(37.0) or {}) == {"station": 0.8, "past_stall": True, "wing_angle_deg": 18.0}
    # Anchored: the owner's wing stalls 5 % faster, so 42 kt there is 40 as predicted.
    assert (at(42.0, anchor=1.05) or {})["wing_angle_deg"] == 15.0
    assert at(40.0, vanes=True) is None
    assert at(40.0, flap_deg=20.0) is None
    assert predicted_separation(None, flap_deg=0.0, vanes=False, speed=20.0) is None
