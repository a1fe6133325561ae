"""What a prediction may say about a trial, and what it may never say."""

from __future__ import annotations

import re

import pytest

from slowflight.compare.attitude import Attitude, check_attitude
from slowflight.compare.bands import GAIN_WHY, uncalibrated
from slowflight.compare.choice import Choice
from slowflight.compare.verdict import CANNOT_TELL, NOT_WORTH, WORTH, AtSetting, Verdict, judge
from tests.compare.rows import KNOT, answer

DEG = 0.017453292519943295


def attitude(three_point: float = 25.0) -> Attitude:
    return check_attitude(
        three_point_attitude=three_point * DEG,
        incidence=0.0,
        stall_angle_clean=17.0 * DEG,
        stall_angle_vanes=21.0 * DEG,
    )


def verdict(
    fall: float | None,
    *,
    on_wheels: float = 25.0,
    choice: Choice | None = None,
    unpredicted: tuple[str, ...] = (),
    nose: bool = False,
    claim: str = "agrees",
    others: tuple[AtSetting, ...] = (),
) -> Verdict:
    if choice is None:
        best = None if fall is None else answer(fall=fall)
        choice = Choice(best=best, ties=(), band=0.1, too_dear=0, unanswered=0)
    return judge(
        choice=choice,
        fall=None if fall is None else uncalibrated(fall * KNOT, why=GAIN_WHY),
        attitude=attitude(on_wheels),
        claim_finding=claim,
        price=1.0,
        unpredicted=unpredicted,
        nose_stall=nose,
        others=others,
    )


def elsewhere(fall: float, best: float | None) -> AtSetting:
    same = uncalibrated(fall * KNOT, why=GAIN_WHY)
    best_fall = same if best == fall else None if best is None else uncalibrated(best * KNOT, why=GAIN_WHY)
    return AtSetting(
        words="30 deg", fall=same, best_station=0.2, best_fall=best_fall, reaches=None, trend=False
    )


@pytest.mark.parametrize(
    ("fall", "finding"),
    [
        (2.0, WORTH),
        (1.01, WORTH),
        (0.9, CANNOT_TELL),
        (0.6, CANNOT_TELL),
        (0.45, NOT_WORTH),
        (None, NOT_WORTH),
    ],
)
def test_finding_follows_what_flights_can_show(fall: float | None, finding: str) -> None:
    """Careful flights can show 1 kt (common practice, no source); the band is nothing to twice."""
    assert verdict(fall).finding == finding


def test_without_a_clean_stall_nothing_can_be_told() -> None:
    found = judge(
        choice=None, fall=None, attitude=attitude(), claim_finding="not yet predicted", price=1.0,
        unpredicted=(), nose_stall=False,
    )  # fmt: skip
    assert found.finding == CANNOT_TELL


def test_unanswered_rows_leave_no_safe_no() -> None:
    open_question = Choice(best=None, ties=(), band=0.1, too_dear=0, unanswered=3)
    assert verdict(None, choice=open_question).finding == CANNOT_TELL
    dear = Choice(best=None, ties=(), band=0.1, too_dear=3, unanswered=0)
    # what they cost is uncalibrated: the price lies inside its band
    assert verdict(None, choice=dear).finding == CANNOT_TELL
    nothing = Choice(best=None, ties=(), band=0.1, too_dear=0, unanswered=0)
    assert verdict(None, choice=nothing).finding == NOT_WORTH
    assert "3 cost more" in verdict(None, choice=dear).reasons[0]


def test_gear_is_a_reason() -> None:
    assert any("three-point touchdown gets no slower" in r for r in verdict(2.0, on_wheels=14.0).reasons)
    assert any("only part of the gain" in r for r in verdict(2.0, on_wheels=19.0).reasons)
    for near in (16.0, 18.0):
        said = " ".join(verdict(2.0, on_wheels=near).reasons)
        assert "whether a three-point touchdown gets slower too cannot be told" in said
        assert "touchdown gets no slower" not in said
    assert not any("three" in r for r in verdict(2.0, on_wheels=25.0).reasons)


@pytest.mark.parametrize(("fall", "finding"), [(0.5, WORTH), (-0.5, WORTH), (-1.5, CANNOT_TELL)])
def test_a_loss_at_another_setting_is_called_a_rise(fall: float, finding: str) -> None:
    found = verdict(2.0, others=(elsewhere(fall, None),))
    said = " ".join(found.reasons)
    assert found.finding == finding
    assert ("RAISE the stall speed by" in said) == (fall < 0.0)
    assert "fall -" not in said
    if fall < -1.0:
        assert "RAISE the stall speed by 1.5 kt (uncalibrated, 0.0 kt to 3.0 kt)" in said


def test_the_best_row_elsewhere_is_named_only_where_it_is_another() -> None:
    assert "best there" not in " ".join(verdict(2.0, others=(elsewhere(0.5, 0.5),)).reasons)
    assert "best there at 20 %" in " ".join(verdict(2.0, others=(elsewhere(0.5, 0.7),)).reasons)


def test_what_is_left_out_is_said() -> None:
    found = verdict(2.0, unpredicted=("20 deg", "40 deg"), nose=True, claim="lift too high")
    assert any("20 deg, 40 deg" in reason for reason in found.reasons)
    assert any("nose" in reason for reason in found.reasons)
    assert any("indicator" in item for item in found.would_settle)


@pytest.mark.parametrize("fall", [3.0, 0.7, 0.1, None])
def test_no_verdict_clears_or_keeps(fall: float | None) -> None:
    found = verdict(fall, on_wheels=14.0, unpredicted=("30 deg",), nose=True, claim="lift too high")
    said = " ".join((found.finding, *found.reasons, *found.would_settle))
    assert not re.search(r"\b(keep|kept|safe|safely|cleared)\b", said)
