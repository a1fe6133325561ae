"""Wing and hung flap by the minutes tier on a very coarse grid: shape of the result, not its accuracy."""

from functools import partial

import pytest

from slowflight.errors import RangeError
from slowflight.flow.rans import bodies_flow as room
from slowflight.flow.rans.bodies_flow import bodies_start
from slowflight.flow.rans.bodies_grid import BODIES_FAMILIES, BodiesSize
from slowflight.flow.rans.bodies_lift_curve import UNCHECKED, bodies_lift_curve
from tests.flow.bodies.cases import hung


def test_points_of_wing_and_flap_are_marked_unchecked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(BODIES_FAMILIES, "preview", BodiesSize(28, 12, 8, 8, 4, 14, 10, 14))
    monkeypatch.setattr(room, "bodies_start", partial(bodies_start, most_halvings=0))
    curve = bodies_lift_curve(hung(16.0), reynolds=1.5e6, angles_deg=(6.0, 4.0), grid="preview")
    assert [p.alpha_deg for p in curve.points] == [6.0, 4.0]
    high, low = curve.points
    assert high.converged
    assert low.converged
    assert high.cl is not None
    assert low.cl is not None
    assert high.cl > low.cl > 1.0
    assert all(p.extrapolated for p in curve.points)
    assert [e.name for e in high.elements] == ["main", "flap"]
    assert UNCHECKED in curve.warnings
    assert any("total pressure" in w for w in high.warnings)


def test_nonsense_is_refused() -> None:
    with pytest.raises(RangeError, match="preview or medium"):
        bodies_lift_curve(hung(16.0), reynolds=1.5e6, angles_deg=(4.0,), grid="huge")
