"""The [flap] table of a TOML file."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing.flap import PlainFlap
from slowflight.wing.flap_file import read_flap


def written(folder: Path, body: str) -> Path:
    path = folder / "flap.toml"
    path.write_text(body, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("lines", "flap"),
    [
        ('chord = "19 %"', PlainFlap(chord=0.19)),
        ('chord = "0.19"\nhinge = "lower"', PlainFlap(chord=0.19, hinge="lower")),
        ('chord = 0.25\nhinge = "-1.2 %"', PlainFlap(chord=0.25, hinge=-0.012)),
        ('chord = "25 %"\nsettings = ["0 deg", "18 deg"]', PlainFlap(chord=0.25)),
    ],
)
def test_a_plain_flap(tmp_path: Path, lines: str, flap: PlainFlap) -> None:
    path = written(tmp_path, f'[flap]\nkind = "plain"\n{lines}\n\n[wing]\nspan = "9 m"\n')
    assert read_flap(path) == flap


@pytest.mark.parametrize(
    ("body", "error", "message"),
    [
        ("", InputError, "an empty file"),
        ('[wing]\nspan = "9 m"', InputError, r"no \[flap\]"),
        ('[flaps]\nkind = "plain"', InputError, "did you mean 'flap'"),
        ("flap = 3", InputError, "needs a table"),
        ('[flap]\nchord = "19 %"', InputError, "flap: found no 'kind'"),
        ('[flap]\nkind = "plane"\nchord = "19 %"', InputError, "did you mean 'plain'"),
        ('[flap]\nkind = "hung"\nchord = "19 %"', InputError, "the hung flap is not yet predicted"),
        ('[flap]\nkind = "plain"', InputError, "no 'chord'"),
        ('[flap]\nkind = "plain"\nchord = 19', UnitError, "flap chord: found 19"),
        ('[flap]\nkind = "plain"\nchord = "60 mm"', UnitError, "a length"),
        ('[flap]\nkind = "plain"\nchord = "80 %"', RangeError, "flap chord: found 80.0 % of chord"),
        (
            '[flap]\nkind = "plain"\nchord = "19 %"\nhinge = "botom"',
            UnitError,
            '"middle", "lower", "upper" or',
        ),
        ('[flap]\nkind = "plain"\nchord = "19 %"\nhinges = "lower"', InputError, "did you mean 'hinge'"),
        ('[flap]\nkind = "plain"\nchord = "19 %"\naxis_aft = "1 %"', InputError, "hung or slotted"),
        ('[flap]\nkind = "plain"\nchord = "19 %"\nsettings = "18 deg"', InputError, "a list such as"),
        (
            '[flap]\nkind = "plain"\nchord = "19 %"\nsettings = [18]',
            UnitError,
            "settings: found 18 without a unit",
        ),
    ],
)
def test_what_is_refused(tmp_path: Path, body: str, error: type[InputError], message: str) -> None:
    path = written(tmp_path, body)
    with pytest.raises(error, match=message) as caught:
        read_flap(path)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)
