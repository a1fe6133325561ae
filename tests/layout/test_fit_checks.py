"""What fit.toml says has to lie on the wing: a slip of the unit is no keep-out."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from slowflight.errors import InputError, RangeError
from slowflight.layout.fit import Datum, Fit, KeepOut, Moving, Patch, Zone
from slowflight.layout.fit_checks import check_fit
from slowflight.layout.fit_file import read_fit
from tests.layout.wings import straight_wing

WING = straight_wing()
TIP = WING.semi_span
HORN = KeepOut(
    name="horn", kind="stall sensor", side="left", span_from=0.5 * TIP, span_to=0.6 * TIP, skin_from=0.0,
    skin_to=0.05, clearance=0.1,
)  # fmt: skip


def test_what_lies_on_the_wing_passes() -> None:
    check_fit(Fit(), wing=WING, where="fit.toml")
    check_fit(
        Fit(
            zones=(Zone(name="tip", kind="tip", span_from=0.9 * TIP, span_to=1.01 * TIP),),
            keep_outs=(HORN,),
            datum=Datum(name="rivets", at=((0.0, 0.4), (TIP, 0.4))),
        ),
        wing=WING,
        where="fit.toml",
    )


@pytest.mark.parametrize(
    "fit",
    [
        Fit(keep_outs=(replace(HORN, span_from=10.0 * TIP, span_to=11.0 * TIP),)),
        Fit(keep_outs=(replace(HORN, skin_from=60.0, skin_to=90.0),)),
        Fit(zones=(Zone(name="tip", kind="tip", span_from=TIP, span_to=2.0 * TIP),)),
        Fit(
            moving=(
                Moving(
                    name="aileron",
                    span_from=9.0 * TIP,
                    span_to=10.0 * TIP,
                    begins=0.7,
                    ends=1.0,
                    gap_travel=0.0,
                ),
            )
        ),
        Fit(patches=(Patch(name="a", side="both", station=0.1, span_from=TIP, span_to=1.1 * TIP),)),
        Fit(datum=Datum(name="rivets", at=((0.5, 412.0),))),
        Fit(datum=Datum(name="rivets", at=((-0.5, 0.412),))),
    ],
    ids=[
        "horn off the tip",
        "horn behind",
        "zone",
        "aileron",
        "patch",
        "datum in mm",
        "datum beyond the middle",
    ],
)
def test_what_lies_off_the_wing_is_a_slip(fit: Fit) -> None:
    with pytest.raises(RangeError, match="unit"):
        check_fit(fit, wing=WING, where="fit.toml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            '[covering]\nkind = "fabric"\nrib_spacing = "300 mm"\nsag = "80 mm"\n',
            "a quarter of the rib spacing",
        ),
        ('[covering]\nkind = "fabric"\nrib_spacing = "300"\n', "unit"),
        ('[datum]\nname = "rivets"\n', "one of them"),
        ('[part]\nspares = "300 %"\n', "0 to 100 %"),
        ('[[keep_out]]\nkind = "horn"\nspan_from = "1 m"\nspan_to = "2 m"\n', "stall sensor"),
        ('[[zones]]\nkind = "tip"\n', "zone"),
        ("[[zone]\n", "TOML"),
    ],
)
def test_slips_in_fit_toml_are_said(text: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "fit.toml"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=said):
        read_fit(file)
