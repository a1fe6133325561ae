"""From a book and its logs to the decision: simulated campaigns whose truth is known."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from slowflight.flights.logs.mapping import guess_mapping, save_mapping
from slowflight.flights.reduction.flight_record import flight_record
from slowflight.flights.simulator.demo_campaign import FLAPS, TRUE_GAINS
from slowflight.flights.stalls.reducing import NOT_CALIBRATED
from slowflight.flights.verdict.judge import FLY_MORE, REMOVE
from tests.flights.reduction.flown_campaign import KNOT, Reduce, without

HANDLING = """
[[handling]]
side = "{side}"
flap = "{flap:g} deg"
roll_at_stall = "4 deg"
roll_held = true
wing_drop = "none"
warning = {warning}
warning_margin = "6 kt"
stick_stop_first = false
flare = "as before"
pitch = "as before"
height_lost = "140 ft"
recovery = "as before"
sink = "550 ft/min"
rudder = "as before"
shake = "none new"
ailerons = "as before"
"""


def test_gains_come_out_with_their_bands(reduce: Reduce) -> None:
    found = reduce()
    assert found.decision is not None
    for setting, flap in zip(found.decision.settings, FLAPS, strict=True):
        assert setting.gain is not None
        low, high = setting.gain.band(0.95)
        assert low <= TRUE_GAINS[flap] <= high
        assert setting.gain.value / KNOT == pytest.approx(TRUE_GAINS[flap] / KNOT, abs=0.8)
        assert setting.gain.flights == (3, 3)
    assert all(not flight.problem and not flight.asks for flight in found.flights)


def test_a_flight_without_legs_uses_those_of_its_side_and_the_band_says_so(reduce: Reduce) -> None:
    found = reduce()
    assert [[curve.own for curve in flight.curves] for flight in found.flights] == [
        [True, True], [False, False], [False, False]
    ] * 2  # fmt: skip
    assert {curve.flights for flight in found.flights[3:] for curve in flight.curves} == {("after-1",)}
    # 0.2 kt is what is left where each flight calibrates itself; two shared curves add theirs.
    assert found.position_shift > 0.3 * KNOT


def test_one_side_uncalibrated_borrows_and_says_it(reduce: Reduce) -> None:
    found = reduce(without("after-1"))
    for flight in found.flights[3:]:
        assert not any(curve.same_side for curve in flight.curves)
        assert any("was not measured" in ask for ask in flight.asks)
    # With vanes it stalls more than 2 kt below the slowest clean leg; the panel is unknown there.
    assert not any(record.accepted for flight in found.flights[3:] for record in flight.records)
    assert found.decision is not None
    assert found.decision.verdict.finding == FLY_MORE


def test_without_any_calibration_speeds_are_said_to_be_indicated(reduce: Reduce) -> None:
    found = reduce(without("after-1"), without("before-1"))
    assert all(any("no airspeed calibration" in ask for ask in flight.asks) for flight in found.flights)
    assert any("read from the panel alone, so biased" in remark for remark in found.remarks)
    stalls = [one for flight in found.flights for one in flight_record(flight)["stalls"]]
    assert stalls
    assert not any(one["calibrated"] for one in stalls)


def test_stalls_below_the_slowest_leg_are_asked_for_and_not_dropped_in_silence(
    reduce: Reduce, logs: Path
) -> None:
    """The slow legs of one side are taken away: all its stalls wait, no flight of it counts alone."""
    log = (logs / "before-1.csv").read_text(encoding="utf-8").splitlines()
    shown = np.array([float(line.split(",")[1] or "nan") for line in log[1:]])
    rpm = np.array([float(line.rsplit(",", 1)[1]) for line in log[1:]])
    stalls = np.convolve(rpm < 1500.0, np.ones(121), mode="same") > 0.0
    rows = [line for line, a, b in zip(log[1:], stalls, shown > 39.0, strict=True) if a or b]
    (logs / "fast.csv").write_text("\n".join([log[0], *rows, ""]), encoding="utf-8")
    found = reduce((r'log = "before-1.csv"', 'log = "fast.csv"'))
    for flight in found.flights[:3]:
        waiting = [r for r in flight.records if r.flap_deg == 0.0 and NOT_CALIBRATED in r.reason]
        assert waiting
        assert not any(record.accepted for record in waiting)
        (ask,) = [ask for ask in flight.asks if ask.startswith("flap 0 deg")]
        assert re.search(r"none of \d stalls counts.* kt below the slowest calibrated speed", ask)
        assert re.search(r"fly calibration legs at \d+ kt to \d+ kt indicated", ask)


def test_a_center_of_gravity_that_nobody_wrote_down_forbids_the_comparison(reduce: Reduce) -> None:
    found = reduce(('centre_of_gravity = "27 %"\n# end after-2', "# end after-2"))
    assert found.decision is not None
    assert any("center of gravity" in reason for reason in found.decision.verdict.reasons)
    assert found.decision.verdict.finding == FLY_MORE


def test_a_struck_stall_does_not_count_and_keeps_its_reason(reduce: Reduce) -> None:
    strike = 'strike = [{stall = 2, reason = "a bird"}]\n# end before-2'
    records = reduce(("# end before-2", strike)).flights[1].records
    assert not records[1].accepted
    assert records[1].reason.startswith("struck: a bird (")
    assert all(record.accepted for number, record in enumerate(records) if number != 1)
    wrong = reduce(("# end before-2", strike.replace("2,", "99,"))).flights[1]
    assert "a mark on stall 99" in wrong.problem


def test_a_red_handling_finding_outranks_the_gain(reduce: Reduce) -> None:
    cards = [
        HANDLING.format(side=side, flap=flap, warning="true" if side == "before" else "false")
        for side in ("before", "after")
        for flap in FLAPS
    ]
    found = reduce(("\\[rules\\]", '[rules]\nworth_having = "0.1 kt"'), more="".join(cards))
    assert found.decision is not None
    assert found.decision.verdict.finding == REMOVE
    assert any("no warning ahead of the stall" in reason for reason in found.decision.verdict.reasons)


def test_the_log_may_not_show_less_than_the_pilot_says(reduce: Reduce) -> None:
    """The worse of what was written down and what the log shows counts: roll, and height lost."""
    cards = "".join(
        HANDLING.format(side=side, flap=flap, warning="true").replace('"140 ft"', '"1 ft"')
        for side in ("before", "after")
        for flap in FLAPS
    )
    found = reduce(more=cards)
    assert found.decision is not None
    assert found.decision.handling is not None
    assert found.decision.handling.complete
    lost = [r for flight in found.flights for r in flight.flown.events if r.height_lost]
    assert max(event.height_lost or 0.0 for event in lost) > 5.0
    words = " ".join(one.words for one in found.decision.handling.findings)
    assert "1 ft" not in re.findall(r"\b1 ft\b", words)


def test_flights_that_cannot_be_used_say_so_and_the_others_go_on(reduce: Reduce, logs: Path) -> None:
    guess = guess_mapping(logs / "after-2.csv")
    save_mapping(guess, logs / "columns-9.toml")
    found = reduce(
        (r'log = "before-3.csv"', 'log = "gone.csv"'),
        (r'(log = "after-2.csv"\ncolumns = )"columns-1.toml"', r'\1"columns-9.toml"'),
        ("# end after-3", 'sha256 = "0123"\n# end after-3'),
    )
    problems = {flight.name: flight.problem for flight in found.flights if flight.problem}
    assert set(problems) == {"before-3", "after-2"}
    assert "no such file" in problems["before-3"]
    assert "not confirmed" in problems["after-2"]
    assert any("must not be changed" in remark for remark in found.flights[5].flown.remarks)
    assert found.decision is not None
    assert found.decision.settings[0].gain is not None
    assert found.decision.settings[0].gain.flights == (2, 2)


def test_ground_velocity_serves_where_the_panel_is_not_calibrated_slow_enough(
    reduce: Reduce, logs: Path
) -> None:
    """The flights with legs have a wind; the others say what they lack."""
    found = reduce(("\\[rules\\]", '[rules]\nairspeed = "ground"'))
    by_panel = reduce()
    for flight in (found.flights[0], found.flights[3]):
        counted = [record for record in flight.records if record.accepted]
        assert len(counted) >= 7
        same = next(other for other in by_panel.flights if other.name == flight.name)
        for flap in FLAPS:
            own = [record.speed_reference for record in counted if record.flap_deg == flap]
            panel = [r.speed_reference for r in same.records if r.accepted and r.flap_deg == flap]
            # Two ways that share no airspeed instrument.
            assert float(np.mean(own)) / KNOT == pytest.approx(float(np.mean(panel)) / KNOT, abs=0.8)
    assert not found.flights[1].records
    assert any("no wind for its stalls" in remark for remark in found.flights[1].flown.remarks)
    assert any("not of the panel" in remark for remark in found.remarks)


def test_stalls_on_the_card_of_a_log_are_not_counted_twice(reduce: Reduce, logs: Path) -> None:
    (logs / "card.csv").write_text(
        "time min, flap deg, speed kt, rate kt/s, ending\n10, 0, 33.0, 1.0, nose-drop\n", encoding="utf-8"
    )
    found = reduce(("# end before-2", 'stall_card = "card.csv"\n# end before-2'))
    assert len(found.flights[1].records) == len(reduce().flights[1].records)
    assert any("not more" in remark for remark in found.flights[1].flown.remarks)


def test_a_slower_roll_counts_among_the_handling(reduce: Reduce, logs: Path) -> None:
    """Bank to bank at a steady rate: 60 degrees at 30 deg/s takes 2 s, at 15 deg/s twice as long: red."""
    for side, rate in (("before", 30.0), ("after", 15.0)):
        rolls = [(0.0, 6.0), (rate, 40.0 / rate), (-rate, 80.0 / rate)] + [
            (sign * rate, 80.0 / rate) for _ in range(3) for sign in (1.0, -1.0)
        ]
        lines, time = ["Time (s),Roll rate (deg/s)"], 0.0
        for speed, seconds in rolls:
            for _ in range(round(50.0 * seconds)):
                lines.append(f"{time:.2f},{speed:.2f}")
                time += 0.02
        place = logs / f"roll-{side}.csv"
        place.write_text("\n".join([*lines, ""]), encoding="utf-8")
        save_mapping(guess_mapping(place).confirm(), logs / "roll-columns.toml")
    more = "".join(
        f'[[roll_test]]\nside = "{side}"\nlog = "roll-{side}.csv"\n'
        'columns = "roll-columns.toml"\ntimes = 1.3\n'
        for side in ("before", "after")
    )
    found = reduce(more=more)
    assert found.decision is not None
    assert found.decision.verdict.finding == REMOVE
    words = [reason for reason in found.decision.verdict.reasons if "bank to bank" in reason]
    assert any(re.search(r"4\.0 s from bank to bank, before 2\.0 s", reason) for reason in words)
    alone = reduce(more=more.replace('side = "after"', 'side = "before"'))
    assert any("not compared" in remark for remark in alone.remarks)


def test_a_stall_far_from_the_others_is_named_and_left_in(reduce: Reduce, logs: Path) -> None:
    (logs / "odd.csv").write_text(
        "time min, flap deg, speed kt, rate kt/s, ending\n"
        + "".join(f"{10 + i}, 0, {speed}, 1.0, nose-drop\n" for i, speed in enumerate((32.6, 32.8, 37.0))),
        encoding="utf-8",
    )
    (pattern, _) = without("before-3")
    card = '[[flight]]\nname = "typed"\nside = "before"\nstall_card = "odd.csv"\nmass = "550 kg"\n'
    found = reduce((pattern, card))
    (odd,) = [remark for remark in found.remarks if remark.startswith("typed, stall 3, flap 0 deg")]
    assert "faster than the middle of its side" in odd
    (flight,) = [flight for flight in found.flights if flight.name == "typed"]
    assert all(record.accepted for record in flight.records)


def test_clean_again_shows_a_drift(reduce: Reduce) -> None:
    found = reduce((r'name = "before-3"\nside = "before"', 'name = "before-3"\nside = "before again"'))
    assert found.decision is not None
    for setting, flap in zip(found.decision.settings, FLAPS, strict=True):
        assert setting.gain is not None
        assert setting.gain.drift is not None
        low, high = setting.gain.band(0.95)
        assert low <= TRUE_GAINS[flap] <= high
    assert all(curve.same_side for curve in found.flights[2].curves)
