"""Records for JSON: the agreed shape, and nulls instead of NaN."""

import json

from slowflight.flow.solution import LiftCurve
from slowflight.verbs import lift_curve_record, shortfall
from tests.verbs.curves import MadeUpFlow

CURVE_KEYS = "airfoil reynolds tier reference points cl_max alpha_cl_max_deg stall sources warnings version"
POINT_KEYS = (
    "alpha_deg cl cd cd_vanes cm converged residual steady amplitude extrapolated blended stalled_cl"
    " two_equation separation_upper elements warnings seconds"
)


class Named:
    name = "made up"


def curve() -> LiftCurve:
    return MadeUpFlow(failing=(1.0,))(Named(), angles_deg=(0.0, 1.0), reynolds=1e6)


def test_shape_is_the_agreed_one() -> None:
    record = lift_curve_record(curve())
    assert list(record) == CURVE_KEYS.split()
    assert list(record["points"][0]) == POINT_KEYS.split()
    assert record["points"][0]["elements"] == [
        {
            "name": "main",
            "upper": {"transition": 0.3, "separated": [[0.8, 1.0]], "bubbles": []},
            "lower": {"transition": None, "separated": [], "bubbles": []},
        }
    ]


def test_record_survives_strict_json() -> None:
    record = lift_curve_record(curve())
    assert json.loads(json.dumps(record, allow_nan=False)) == record
    assert record["reference"]["not_finite"] is None
    assert record["points"][1]["cl"] is None


def test_shortfall_names_the_failed_angles() -> None:
    assert shortfall(curve()) == (1.0,)
