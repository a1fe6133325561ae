"""Roll input, a lost vane and junctions on invented sections whose answer is known."""

from __future__ import annotations

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flight_state.junctions import knocked_down, with_junctions
from slowflight.flight_state.lost_vane import lost_vanes
from slowflight.flight_state.roll import FlaperonWing, between, roll_authority, roll_rate
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, whole_wing, wing_lift
from slowflight.wing.in_the_air import JUNCTIONS, Junction
from tests.verification.lifting_line_wings import curve_of, everywhere, rounded, tapered

WING = tapered(aspect_ratio=7.0, taper=1.0, washout=np.radians(2.0))
TIP = WING.semi_span


def shifted(degrees: float, *, more: float = 0.0) -> SectionCurve:
    """The rounded section, stalling so much earlier and higher: what a flap does."""
    base = rounded()
    return SectionCurve(alpha=base.alpha - np.radians(degrees), cl=base.cl + more, cd=base.cd)


def test_curve_between_two_settings_keeps_its_maximum() -> None:
    curves = {0.0: shifted(0.0), 0.2: shifted(6.0, more=0.4)}
    found, beyond = between(curves, 0.1)
    assert beyond == 0.0
    assert found.peak is not None
    a, b = curves[0.0].peak, curves[0.2].peak
    assert a is not None
    assert b is not None
    assert found.peak[0] == pytest.approx(0.5 * (a[0] + b[0]), abs=2e-3)
    assert found.peak[1] == pytest.approx(0.5 * (a[1] + b[1]), abs=2e-3)
    assert between(curves, 0.2)[0] is curves[0.2]
    up, beyond = between(curves, -0.05)
    assert beyond == pytest.approx(0.05)
    assert up.peak is not None
    assert up.peak[1] < a[1]
    with pytest.raises(InputError, match="flap settings"):
        between({0.0: curves[0.0]}, 0.1)


def flaperon() -> FlaperonWing:
    bare = shifted(0.0)
    spans = {
        setting: [
            SpanCurve(span_from=0.0, span_to=0.2 * TIP, inner=bare, outer=bare),
            SpanCurve(span_from=0.2 * TIP, span_to=TIP, inner=curve, outer=curve),
        ]
        for setting, curve in (
            (0.0, shifted(0.0)),
            (0.2, shifted(4.0, more=0.2)),
            (0.4, shifted(7.0, more=0.3)),
        )
    }
    return FlaperonWing(wing=WING, spans=spans, moves=(False, True))


def test_roll_input_rolls_toward_the_raised_flaperon_and_fades_near_the_stall() -> None:
    angles = np.radians(np.arange(0.0, 19.0, 1.0))
    found = roll_authority(flaperon(), droop=0.2, up=0.1, down=0.1, angles=angles)
    assert found.moment[2] > 0.0
    assert found.yaw[4] < 0.0  # adverse: nose away from the roll
    assert found.damping is not None
    assert found.damping < 0.0
    assert np.nanmin(found.moment[-4:]) < 0.8 * found.moment[2]
    # the drooped left half stalls first
    past = found.stalled_left > 0.02
    assert np.any(past)
    assert found.stalled_left[np.argmax(past)] > found.stalled_right[np.argmax(past)]
    rate = roll_rate(found.moment[2], found.damping, speed=20.0, span=9.0)
    assert rate == pytest.approx(-found.moment[2] / found.damping * 40.0 / 9.0)


def test_no_input_no_roll() -> None:
    found = roll_authority(flaperon(), droop=0.2, up=0.0, down=0.0, angles=np.radians([2.0, 6.0, 10.0, 14.0]))
    np.testing.assert_allclose(found.moment, 0.0, atol=1e-12)


def test_lost_vanes_drop_their_own_wing_and_nothing_is_lost_where_they_did_nothing() -> None:
    bare = everywhere(rounded(), TIP)
    late = curve_of(lambda alpha: np.interp(np.degrees(alpha), *_later()))
    vanes = everywhere(late, TIP)
    top = wing_lift(WING, curve_at=vanes, angles=np.radians([5.0]), smoothing=0.2)
    assert top.angle_continued is not None
    found = lost_vanes(
        WING,
        vanes=vanes,
        bare=bare,
        row_from=0.15 * TIP,
        row_to=0.95 * TIP,
        width=0.1,
        angle=top.angle_continued,
    )
    assert len(found) == 8
    assert all(lost.moment > 0.0 for lost in found[1:-1])
    none = lost_vanes(
        WING,
        vanes=vanes,
        bare=vanes,
        row_from=0.15 * TIP,
        row_to=0.95 * TIP,
        width=0.1,
        angle=top.angle_continued,
    )
    assert max(abs(lost.moment) for lost in none) < 1e-9
    # twice as wide a gap: about twice the moment
    wide = lost_vanes(
        WING,
        vanes=vanes,
        bare=bare,
        row_from=0.15 * TIP,
        row_to=0.95 * TIP,
        width=0.2,
        angle=top.angle_continued,
    )
    assert wide[3].moment / found[3].moment == pytest.approx(2.0, rel=0.35)


def _later() -> tuple[list[float], list[float]]:
    """Angles [deg] and lift of a section like the rounded one that stalls four degrees later."""
    base = rounded()
    degrees = np.degrees(base.alpha)
    straight = np.where(degrees <= 12.0, 1.5 / 15.0 * (degrees + 4.0), 0.0)
    bend = np.clip(degrees - 12.0, 0.0, 6.0)
    past = 1.6 + 0.1 * (bend - bend**2 / 12.0) - 0.03 * np.maximum(degrees - 18.0, 0.0)
    return list(degrees), list(np.where(degrees <= 12.0, straight, past))


def test_junctions_take_from_the_maximum_beside_them_alone() -> None:
    base = rounded()
    cut = knocked_down(base, JUNCTIONS["strut"])
    assert cut.peak is not None
    assert base.peak is not None
    assert cut.peak[1] == pytest.approx(0.92 * base.peak[1], rel=0.02)
    low = base.alpha < np.radians(-1.0)
    np.testing.assert_allclose(cut.cl[low], base.cl[low])
    spans = with_junctions(
        everywhere(base, TIP), [Junction(kind="strut", span_station=0.5 * TIP)], chord=1.0, semi_span=TIP
    )
    assert [s.span_from for s in spans] == pytest.approx([0.0, 0.5 * TIP - 0.5, 0.5 * TIP + 0.5])
    assert spans[-1].span_to == TIP
    whole, less = (
        whole_wing(WING, right=s, angles=np.radians([5.0])).cl_max for s in (everywhere(base, TIP), spans)
    )
    assert whole is not None
    assert less is not None
    assert 0.9 * whole < less < whole
