"""Where tufts go, and where the air lets go between them."""

from __future__ import annotations

import csv
import math

import pytest

from slowflight.errors import InputError
from slowflight.flights.tufts.plan import plan_text, plan_tufts
from slowflight.flights.tufts.separation import by_speed, first_to_separate, separation_points
from slowflight.flights.tufts.states import ATTACHED, REVERSED, UNSEEN, UNSTEADY
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation

KNOT = 1852.0 / 3600.0
WING = Wing(
    span=9.0,
    incidence=0.0,
    stations=(
        WingStation(
            span_station=0.0, chord=1.25, washout=0.0, section=naca_section("0012"), airfoil="naca0012"
        ),
    ),
    cabin_width=1.0,
)


def test_tufts_stand_on_the_skin_and_not_on_the_chord() -> None:
    """NACA 0012, 8 % of the chord is 9.57 % along the skin from the foremost point (worked vector)."""
    tufts = plan_tufts(WING, rows=(0.08, 0.5), span_from=1.0, span_to=1.31, pitch=0.15)
    assert [one.name for one in tufts] == ["A1", "A2", "B1", "B2", "C1", "C2"]
    assert tufts[0].skin_distance == pytest.approx(0.0957 * 1.25, abs=2e-4)
    assert tufts[0].chord_distance == pytest.approx(0.1)
    assert [one.span_station for one in tufts[::2]] == pytest.approx([1.0, 1.15, 1.3])
    assert all(one.length <= 0.1 for one in tufts)
    rows = list(csv.reader(plan_text(tufts).splitlines()))
    assert rows[1] == ["A1", "1000", "8", "100", "120", "100"]


def test_usual_plan_is_clear_of_cabin_tip_and_vanes() -> None:
    tufts = plan_tufts(WING, vane_station=0.1, vane_height=0.008)
    assert min(one.span_station for one in tufts) > 0.5
    assert max(one.span_station for one in tufts) < 4.4
    # Vanes of 8 mm at 10 %: 15 heights are 120 mm, 9.6 % of the chord, so 20 % stays and 10 % goes.
    assert min(one.station for one in tufts) == 0.2
    assert tufts[0].name == "A2"
    assert len({one.name for one in tufts}) == len(tufts)


@pytest.mark.parametrize(
    ("wanted", "said"),
    [
        ({"span_from": 4.0, "span_to": 3.0}, "from 4.00 to 3.00 m"),
        ({"span_to": 5.0}, "up to 4.50 m"),
        ({"pitch": 0.02}, "188 stations"),
        ({"rows": (0.1,), "vane_station": 0.1, "vane_height": 0.01}, "no row behind the vanes"),
    ],
)
def test_plans_that_do_not_fit(wanted: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        plan_tufts(WING, **wanted)  # type: ignore[arg-type]


def chain(*states: str) -> dict[str, str]:
    return {f"A{number}": state for number, state in enumerate(states, 1)}


TUFTS = plan_tufts(WING, rows=(0.2, 0.4, 0.6, 0.8), span_from=1.0, span_to=1.2, pitch=0.15)


@pytest.mark.parametrize(
    ("states", "forward", "aft", "unsteady"),
    [
        ((ATTACHED,) * 4, None, None, None),
        ((ATTACHED, ATTACHED, ATTACHED, REVERSED), 0.6, 0.8, 0.8),
        ((ATTACHED, UNSTEADY, REVERSED, REVERSED), 0.4, 0.6, 0.4),
        ((REVERSED,) * 4, 0.0, 0.2, 0.2),
        # A bubble, or a tangled tuft, ahead of calm ones moves nothing.
        ((ATTACHED, REVERSED, ATTACHED, ATTACHED), None, None, None),
        ((ATTACHED, ATTACHED, ATTACHED, UNSTEADY), None, None, 0.8),
        ((REVERSED, ATTACHED, REVERSED, UNSTEADY), None, None, 0.6),
    ],
)
def test_reversal_that_reaches_the_trailing_edge_counts(
    states: tuple[str, ...], forward: float | None, aft: float | None, unsteady: float | None
) -> None:
    (point,) = separation_points({20.0: chain(*states)}, TUFTS)
    assert (point.forward, point.aft, point.unsteady_from, point.last) == (forward, aft, unsteady, 0.8)


def test_tufts_that_were_not_seen_leave_a_wider_band() -> None:
    (point,) = separation_points({20.0: {"A1": ATTACHED, "A3": REVERSED, "A4": REVERSED}}, TUFTS)
    assert (point.forward, point.aft) == (0.2, 0.6)
    assert separation_points({20.0: {"A1": ATTACHED}}, TUFTS) == ()
    with pytest.raises(InputError, match="tuft 'Q7'"):
        separation_points({20.0: {"Q7": ATTACHED, "A1": ATTACHED}}, TUFTS)


def test_speeds_are_sorted_into_knots_and_the_worse_of_two_counts() -> None:
    scores = {(0.25, "A1"): ATTACHED, (0.75, "A1"): REVERSED, (1.25, "A1"): UNSEEN, (9.0, "A1"): ATTACHED}
    speeds = {0.25: 40.2 * KNOT, 0.75: 39.8 * KNOT, 1.25: 39.9 * KNOT, 9.0: math.nan}
    found = by_speed(scores, speeds)
    assert list(found) == [pytest.approx(40.0 * KNOT)]
    assert next(iter(found.values())) == {"A1": REVERSED}


def test_the_first_station_to_separate_is_the_fastest_and_furthest_forward() -> None:
    two = {
        42.0 * KNOT: {**chain(*(ATTACHED,) * 4), "B3": ATTACHED, "B4": REVERSED},
        41.0 * KNOT: {**chain(*(REVERSED,) * 4), "B3": REVERSED, "B4": REVERSED},
    }
    first = first_to_separate(separation_points(two, TUFTS))
    assert first is not None
    assert (first.letter, first.aft) == ("B", 0.8)
    assert first_to_separate([]) is None
