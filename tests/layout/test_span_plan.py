"""Zones, keep-outs, moving surfaces, datum, covering and parts."""

from __future__ import annotations

import itertools
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slowflight.errors import InputError, RangeError
from slowflight.layout.covering import covering_warnings
from slowflight.layout.datum_line import DatumLine
from slowflight.layout.fit import Covering, Datum, Fit, KeepOut, Moving, Part, Zone
from slowflight.layout.fit_file import read_fit
from slowflight.layout.place_vanes import Placing, place_vanes
from slowflight.layout.plan import LayoutPlan, PlacedVane, lay_out
from slowflight.layout.record import to_record
from slowflight.layout.row_line import RowLine
from slowflight.wing.vane_row import VaneRow
from tests.layout.wings import straight_wing, tapered_wing, vane_row

STRAIGHT, TAPERED = straight_wing(), tapered_wing()


def keep_out(**changes: Any) -> KeepOut:
    values: dict[str, Any] = {
        "name": "cap",
        "kind": "fuel cap",
        "side": "left",
        "span_from": 2.0,
        "span_to": 2.1,
        "skin_from": 0.0,
        "skin_to": 0.3,
        "clearance": 0.02,
    }
    return KeepOut(**{**values, **changes})


def test_each_zone_has_its_pitch_and_the_sum_is_counted_by_hand() -> None:
    """0.6 to 2 m free of a 32.7 mm pair: 1.3673 / 0.09 = 15 -> 16 pairs; 1.8 m: 1.7673 / 0.06 -> 30."""
    zones = (
        Zone(name="inner", kind="elsewhere", span_from=0.6, span_to=2.0, pitch=0.09),
        Zone(name="aileron", kind="controls", span_from=2.0, span_to=3.8, pitch=0.06),
    )
    plan = lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(zones=zones))
    assert [(zone.name, zone.placed) for zone in plan.stretches] == [("inner", 16), ("aileron", 30)]
    assert len(plan.on("left")) == 2 * 46
    tips = [vane.span_position for vane in plan.on("left")]
    steps = [round(1000 * (b - a), 3) for a, b in itertools.pairwise(tips[::2])]
    assert set(steps[:15]) == {90.0}
    assert set(steps[16:]) == {60.0}
    assert any("not predicted" in text for text in plan.warnings)


def test_a_free_zone_and_the_stretches_nobody_named() -> None:
    zones = (Zone(name="fold", kind="fold", span_from=1.5, span_to=2.0, free=True),)
    plan = lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(zones=zones))
    assert [(s.name, s.pitch) for s in plan.stretches] == [("row", 0.084), ("fold", None), ("row", 0.084)]
    assert not any(1.5 < vane.span_position < 2.0 for vane in plan.vanes)
    assert any("left free as asked" in text for text in plan.warnings)


def test_what_is_in_the_way_on_one_wing_is_left_out_on_both_and_listed() -> None:
    plan = lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(keep_outs=(keep_out(),)))
    whole = lay_out(wing=STRAIGHT, row=vane_row())
    lost = {vane.span_position for vane in whole.on("left")} - {v.span_position for v in plan.on("left")}
    assert {v.span_position for v in plan.on("left")} == {v.span_position for v in plan.on("right")}
    assert len(lost) == 2 * len(plan.left_out) > 0
    assert "left out on the other too" in plan.left_out[0].reason
    assert to_record(plan)["left_out"][0]["vanes"] == 2
    # Behind or below it nothing is lost.
    for clear in (keep_out(skin_from=0.25), keep_out(surface="lower")):
        assert lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(keep_outs=(clear,))).left_out == ()


def test_keep_outs_in_the_way_of_everything_are_refused() -> None:
    with pytest.raises(InputError, match="room for one pair"):
        lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(keep_outs=(keep_out(span_from=0.0, span_to=4.0),)))


def moving(**changes: Any) -> Moving:
    values: dict[str, Any] = {
        "name": "aileron", "span_from": 2.0, "span_to": 3.9, "begins": 0.75, "ends": 1.0, "gap_travel": 0.03,
    }  # fmt: skip
    return Moving(**{**values, **changes})


@pytest.mark.parametrize(
    ("station", "surface", "refused"),
    [
        (0.72, moving(), True),  # the trailing tip at 0.72 x 1500 + 22 + 5 mm reaches past 1125 - 30
        (0.70, moving(), False),  # 1050 + 22 + 5 stays ahead of it
        (0.72, moving(gap_travel=0.0), False),
        (0.72, moving(span_from=3.85), False),  # outboard of the row
        (0.03, moving(name="slat", begins=0.0, ends=0.02, gap_travel=0.02), True),
        (0.06, moving(name="slat", begins=0.0, ends=0.02, gap_travel=0.02), False),
    ],
)
def test_vanes_on_a_moving_surface_or_in_its_gap_are_refused(
    station: float, surface: Moving, refused: bool
) -> None:
    def place() -> LayoutPlan:
        return lay_out(wing=STRAIGHT, row=vane_row(station=station), fit=Fit(moving=(surface,)))

    if refused:
        with pytest.raises(InputError, match="flutter"):
            place()
    else:
        place()


def touches(vane: PlacedVane, keep: KeepOut) -> bool:
    """Any of 21 points of the vane inside the region with its clearance, by plain comparison."""
    for step in range(21):
        share = step / 20
        span = vane.span_position + share * (vane.trailing_span_position - vane.span_position)
        skin = vane.skin_distance + share * (vane.trailing_skin_distance - vane.skin_distance)
        clear = keep.clearance
        if (
            keep.span_from - clear < span < keep.span_to + clear
            and keep.skin_from - clear < skin < keep.skin_to + clear
        ):
            return True
    return False


def random_fit(rng: np.random.Generator) -> Fit:
    zones = []
    borders = np.sort(rng.uniform(0.3, 4.0, rng.integers(2, 6)))
    for number, (low, high) in enumerate(itertools.pairwise(borders)):
        zones.append(
            Zone(
                name=f"zone {number}",
                kind=str(rng.choice(["controls", "elsewhere", "propwash", "tip", "fold", "root"])),
                span_from=low,
                span_to=high,
                pitch=None if rng.random() < 0.3 else rng.uniform(0.06, 0.2),
                free=rng.random() < 0.2,
            )
        )
    keep_outs = []
    for _ in range(rng.integers(0, 5)):
        span, skin = rng.uniform(0.0, 4.0), rng.uniform(0.0, 0.4)
        keep_outs.append(
            keep_out(
                side=str(rng.choice(["left", "right", "both"])),
                span_from=span,
                span_to=span + rng.uniform(0.001, 0.5),
                skin_from=skin,
                skin_to=skin + rng.uniform(0.001, 0.4),
                clearance=rng.uniform(0.0, 0.1),
            )
        )
    return Fit(zones=tuple(zones) if rng.random() < 0.7 else (), keep_outs=tuple(keep_outs))


def test_ten_thousand_plans() -> None:
    """No vane in a keep-out, none lost silently, wings mirror, hands alternate as asked."""
    rng = np.random.default_rng(20261128)
    stations = (0.02, 0.05, 0.08, 0.12, 0.2, 0.4)
    lines = {at: RowLine(wing=TAPERED, station=at, surface="upper") for at in stations}
    met = {"plans": 0, "left out": 0, "refused": 0}
    while met["plans"] < 10_000:
        station = float(rng.choice(stations))
        start = float(rng.uniform(0.0, 3.0))
        row = vane_row(
            station=station,
            arrangement=str(rng.choice(["counter-rotating", "co-rotating"])),
            opening=str(rng.choice(["downstream", "upstream"])),
            span_from=start,
            span_to=min(4.0, start + float(rng.uniform(0.1, 3.0))),
        )
        tips = str(rng.choice(["outboard", "inboard"]))
        fit = random_fit(rng)
        end = row.span_to
        assert end is not None
        try:
            plan = place_vanes(
                row, lines[station], start=start, end=end, fit=fit, single_toe=tips, where="row"
            )
        except InputError as refused:
            met["refused"] += "room for one" in str(refused)
            continue
        met["plans"] += 1
        met["left out"] += bool(plan.left_out)
        check_plan(plan, row, fit, tips=tips)
    # The regions do get in the way, and few rows find no room at all.
    assert met["left out"] > 1_000
    assert met["refused"] < 2_000


def check_plan(plan: Placing, row: VaneRow, fit: Fit, *, tips: str) -> None:
    each = 1 if row.arrangement == "co-rotating" else 2
    left, right = (tuple(v for v in plan.vanes if v.side == side) for side in ("left", "right"))
    wanted, groups = (sum(getattr(s, name) for s in plan.stretches) for name in ("groups", "placed"))
    assert not any(touches(vane, keep) for vane in left for keep in fit.keep_outs)
    assert wanted == groups + len(plan.left_out)
    assert len(left) == len(right) == each * groups
    assert sum(out.vanes for out in plan.left_out) == each * (wanted - groups)
    for mine, other in zip(left, right, strict=True):
        assert {mine.hand, other.hand} == {"A", "B"}
        assert mine.number == other.number
        assert (mine.span_position, mine.skin_distance, mine.toe) == (
            other.span_position, other.skin_distance, other.toe,
        )  # fmt: skip
    if row.arrangement == "co-rotating":
        assert len({vane.toe for vane in plan.vanes}) == 1
        assert (left[0].toe > 0.0) == (tips == "outboard")
    else:
        inner = 1.0 if row.opening == "downstream" else -1.0
        assert [math.copysign(1.0, v.toe) for v in left] == [inner, -inner] * groups
        assert [v.hand for v in left] == [left[0].hand, right[0].hand] * groups
    for zone in fit.zones:
        if zone.free:
            assert not any(zone.span_from < v.span_position < zone.span_to for v in left)


def test_datum_along_the_chord_and_measured_at_ribs() -> None:
    line = DatumLine(Datum(name="spar", station=0.25), wing=STRAIGHT, surface="upper")
    row = lay_out(wing=STRAIGHT, row=vane_row(station=0.25)).vanes[0]
    assert line.behind_nose(2.0) == pytest.approx(row.skin_distance, abs=1e-9)
    measured = DatumLine(Datum(name="rivets", at=((1.0, 0.40), (3.0, 0.30))), wing=STRAIGHT, surface="upper")
    assert measured.behind_nose(2.0) == pytest.approx(0.35)
    assert measured.behind_nose(3.5) is None
    record = to_record(lay_out(wing=STRAIGHT, row=vane_row()), datum=measured)
    (rib,) = [rib for rib in record["ribs"] if rib["span_position_mm"] == 2000.0]
    assert rib["ahead_of_datum_mm"] == pytest.approx(350.0 - rib["skin_distance_mm"], abs=2e-3)
    assert record["ribs"][-1]["ahead_of_datum_mm"] is None


def test_fabric_that_hangs_in_between_ribs() -> None:
    """Slope of a parabola 4 d / w: 3 mm in 300 mm is 2.29 deg, more than the tolerance; 2 mm is 1.53."""
    plan = lay_out(wing=STRAIGHT, row=vane_row())
    cloth = Covering(kind="fabric", sheet_to=0.12, rib_spacing=0.3, first_rib=0.6, sag=0.003)
    text = " ".join(covering_warnings(cloth, plan.vanes, part=Part()))
    assert "2.3 deg" in text
    assert "more than the 2 degrees" in text
    # forward tips at 145 mm along the skin here, sheet to 120 mm
    assert "76 vanes on each wing" in text
    assert "stitching" in text
    flat = covering_warnings(
        Covering(kind="fabric", sheet_to=0.4, rib_spacing=0.3, sag=0.002), plan.vanes, part=Part()
    )
    assert "1.5 deg" in flat[0]
    assert "more than" not in flat[0]


def test_spares_mass_and_cost() -> None:
    part = Part(mass_each=0.002, cost_each=1.5, currency="EUR", spares=0.2)
    plan = lay_out(wing=STRAIGHT, row=vane_row(), mass_each=0.001, fit=Fit(part=part))
    # 152 fitted, 76 of each hand and 15.2 spares of each, rounded up
    assert (plan.parts.to_make_a, plan.parts.to_make_b) == (92, 92)
    assert plan.parts.mass_fitted == pytest.approx(0.304)
    assert plan.parts.cost == pytest.approx(276.0)
    assert to_record(plan)["cost"] == 276.0


FIT = """\
[[zone]]
kind = "controls"
name = "aileron"
span_from = "2.4 m"
span_to = "4.4 m"
pitch = "common practice"
[[zone]]
kind = "root"
span_from = "0.5 m"
span_to = "0.9 m"
pitch = "none"
[[keep_out]]
kind = "stall sensor"
side = "left"
span_from = "2.68 m"
span_to = "2.72 m"
[[moving]]
name = "aileron"
span_from = "2.4 m"
span_to = "4.4 m"
begins = "76 %"
gap_travel = "12 mm"
[datum]
name = "rivet line"
at = [["0.7 m", "412 mm"], ["4.5 m", "405 mm"]]
[covering]
kind = "fabric"
sheet_to = "180 mm"
[part]
cost_each = "1.20 EUR"
tape = "1.1 mm"
[[patch]]
station = "8 %"
span_from = "2 m"
span_to = "2.3 m"
[bought]
height = "8 mm"
length = "24 mm"
top_length = "24 mm"
forward_edge = "straight"
base_length = "26 mm"
base_width = "10 mm"
edge_radius = "0.8 mm"
"""


def test_a_full_fit_file(tmp_path: Path) -> None:
    path = tmp_path / "fit.toml"
    assert read_fit(path) == Fit()
    path.write_text(FIT, encoding="utf-8")
    fit = read_fit(path)
    assert [(zone.name, zone.pitch, zone.free) for zone in fit.zones] == [
        ("root", None, True),
        ("aileron", 0.06, False),
    ]
    assert fit.keep_outs[0].clearance == 0.1
    assert fit.moving[0].gap_travel == pytest.approx(0.012)
    assert fit.datum is not None
    assert fit.datum.at[1] == pytest.approx((4.5, 0.405))
    assert (fit.part.cost_each, fit.part.currency) == (1.2, "EUR")
    assert fit.patches[0].side == "both"
    assert fit.bought is not None


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('span_to = "0.9 m"', 'span_to = "2.5 m"', "zones one beside the other"),
        ('kind = "root"', 'kind = "rudder"', "one of"),
        ('"12 mm"', "12", "with its unit"),
        ('begins = "76 %"\n', "", "where it begins"),
        ('"1.20 EUR"', '"cheap"', "money such as"),
        ("[covering]", "[cover]", "did you mean 'covering'"),
        ("[[moving]]", "[moving]", "double the square brackets"),
        ('at = [["0.7 m", "412 mm"], ["4.5 m", "405 mm"]]', "", "one of them"),
        ('tape = "1.1 mm"', 'tape = "-1 mm"', "zero or more"),
    ],
)
def test_slips_in_a_fit_file(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = tmp_path / "fit.toml"
    path.write_text(FIT.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputError, match=r"fit\.toml") as raised:
        read_fit(path)
    assert said in str(raised.value)
    assert "\n" not in str(raised.value)


def test_a_zone_whose_pairs_would_overlap_is_refused() -> None:
    zones = (Zone(name="dense", kind="controls", span_from=1.0, span_to=2.0, pitch=0.03),)
    with pytest.raises(RangeError, match="dense"):
        lay_out(wing=STRAIGHT, row=vane_row(), fit=Fit(zones=zones))
