"""Changing one value of a wing.toml: everything else stays as it was."""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slowflight import units
from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing import wing_file
from slowflight.wing.toml_edit import with_value
from slowflight.wing.wing_file import read_wing_file, set_value
from tests.wing.wing_files import GOOD, changed, written

# Without a flap to turn, reading back is quick.
COMMENTED = """\
# top of the file

[aircraft]   # the bird
mass = "520 kg"  # weighed
slowest_indicated_speed = "38 kt"# no space
three_point_attitude = "11 deg"

# ----- the wing -----
[wing]
span = "9.6 m"   # tip to tip

# the root
[[wing.section]]
chord = "1600 mm"  # at the root
airfoil = "naca2414"

# the tip
[[wing.section]]
span_station = "4.8 m"
chord = "1200 mm"

[flap]
kind = "hung"
settings = ["0 deg", "30 deg"]  # up and down
# nothing more to say
"""


@pytest.mark.parametrize(
    ("key", "value", "old", "new"),
    [
        ("aircraft.mass", "545 kg", 'mass = "520 kg"  # weighed', 'mass = "545 kg"  # weighed'),
        ("wing.section.1.chord", "50 in", 'chord = "1200 mm"', 'chord = "50 in"'),
        ("wing.section.0.chord", "5 ft 3 in", '"1600 mm"  # at', '"5 ft 3 in"  # at'),
        (
            "flap.settings",
            '["0 deg", "12 deg", "30 deg"]',
            'settings = ["0 deg", "30 deg"]  # up',
            'settings = ["0 deg", "12 deg", "30 deg"]  # up',
        ),
    ],
)
def test_one_value_changes(tmp_path: Path, key: str, value: str, old: str, new: str) -> None:
    path = written(tmp_path, COMMENTED)
    set_value(path, key=key, value=value)
    assert path.read_text(encoding="utf-8") == changed(old, new, COMMENTED)


@pytest.mark.parametrize(
    ("key", "value", "after"),
    [
        ("aircraft.power", "80 hp", 'three_point_attitude = "11 deg"\n'),
        ("wing.incidence", "2 deg", 'span = "9.6 m"   # tip to tip\n'),
        ("wing.section.0.span_station", "0 m", 'airfoil = "naca2414"\n'),
        ("wing.section.1.washout", "1 deg", 'chord = "1200 mm"\n'),
        ("flap.chord", "24 %", 'settings = ["0 deg", "30 deg"]  # up and down\n'),
    ],
)
def test_a_missing_value_is_added_to_its_own_table(tmp_path: Path, key: str, value: str, after: str) -> None:
    """Below the table's last key, above the remarks that belong to the next table."""
    path = written(tmp_path, COMMENTED)
    set_value(path, key=key, value=value)
    line = f'{key.split(".")[-1]} = "{value}"\n'
    assert path.read_text(encoding="utf-8") == changed(after, after + line, COMMENTED)
    assert not [entry for entry in read_wing_file(path).assumptions if entry.field == key]


def test_a_missing_table_is_added_at_the_end(tmp_path: Path) -> None:
    path = written(tmp_path, COMMENTED)
    set_value(path, key="question.cruise_price", value="3 kt")
    text = path.read_text(encoding="utf-8")
    assert text.startswith(COMMENTED)
    assert text[len(COMMENTED) :].split("\n") == ["", "[question]", 'cruise_price = "3 kt"', ""]
    set_value(path, key="question.height_factors", value="[0.9, 1.1]")
    assert read_wing_file(path).question.height_factors == (0.9, 1.1)


def test_a_file_without_a_last_line_end(tmp_path: Path) -> None:
    text = COMMENTED[: COMMENTED.index("  # up and down")]
    path = written(tmp_path, text)
    set_value(path, key="flap.chord", value="24 %")
    assert path.read_text(encoding="utf-8") == text + '\nchord = "24 %"\n'


def test_line_ends_of_another_system_stay(tmp_path: Path) -> None:
    path = tmp_path / "wing.toml"
    path.write_bytes(COMMENTED.replace("\n", "\r\n").encode())
    set_value(path, key="aircraft.mass", value="545 kg")
    set_value(path, key="wing.incidence", value="2 deg")
    content = path.read_bytes()
    assert content.count(b"\n") == content.count(b"\r\n") == COMMENTED.count("\n") + 1
    assert b'span = "9.6 m"   # tip to tip\r\nincidence = "2 deg"\r\n' in content


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("[a]\nb = 1 # one\n[c]\nb = 2\n", '[a]\nb = "x" # one\n[c]\nb = 2\n'),
        ('a.b = 1 # dotted\nc = 2\n', 'a.b = "x" # dotted\nc = 2\n'),
        ("a = {b = 1, c = 2} # inline\n", 'a = {b = "x", c = 2} # inline\n'),
        ("[a]\nc = [\n  1, # one\n]\n\n# d\n[d]\n", '[a]\nc = [\n  1, # one\n]\nb = "x"\n\n# d\n[d]\n'),
        ("[a] # empty\n", '[a] # empty\nb = "x"\n'),
        ("[a.c]\nd = 1\n[e]\nf = 1\n[a]\nb = 1\n", '[a.c]\nd = 1\n[e]\nf = 1\n[a]\nb = "x"\n'),
    ],
)  # fmt: skip
def test_other_ways_to_write_a_table(before: str, after: str) -> None:
    assert with_value(before, key="a.b", value="x", where="wing.toml") == after


def test_quotes_and_other_letters(tmp_path: Path) -> None:
    path = written(tmp_path, COMMENTED)
    name = 'The "blue\\white" one, Jürg’s #3'
    set_value(path, key="aircraft.name", value=name)
    assert read_wing_file(path).aircraft.name == name


VALUES = st.one_of(
    st.tuples(st.just("aircraft.mass"), st.integers(150, 900).map(lambda kg: f"{kg} kg")),
    st.tuples(st.just("aircraft.mass"), st.integers(150, 400).map(lambda kg: f"{kg} to {kg + 20} kg")),
    st.tuples(st.just("wing.section.0.chord"), st.integers(1200, 2000).map(lambda mm: f"{mm} mm")),
    st.tuples(st.just("wing.incidence"), st.integers(1, 90).map(lambda tenth: f"{tenth / 10} deg")),
    st.tuples(st.just("flap.chord"), st.integers(6, 45).map(lambda share: f"{share} %")),
    st.tuples(st.just("question.cruise_price"), st.integers(1, 19).map(lambda kt: f"{kt} kt")),
    st.tuples(
        st.just("aircraft.stall_warning"),
        # what starts with a bracket is a list
        st.text(
            st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), min_size=1, max_size=30
        ).filter(lambda text: not text.strip().startswith("[")),
    ),
)


@settings(max_examples=60)
@given(changes=st.lists(VALUES, min_size=1, max_size=3))
def test_every_remark_and_every_other_line_stays(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[str, str]]
) -> None:
    path = written(tmp_path_factory.mktemp("edit"), COMMENTED)
    for key, value in changes:
        set_value(path, key=key, value=value)
    after = path.read_text(encoding="utf-8").splitlines()
    touched = {key.split(".")[-1] for key, _ in changes}

    def untouched(lines: list[str]) -> list[str]:
        names = [line.split(" = ")[0] for line in lines]
        chord_of_the_tip = 'chord = "1200 mm"'
        return [
            line
            for line, name in zip(lines, names, strict=True)
            if line and line != "[question]" and (name not in touched or line == chord_of_the_tip)
        ]

    assert untouched(after) == untouched(COMMENTED.splitlines())
    remarks = [line.split("#", 1)[1] for line in COMMENTED.splitlines() if "#" in line]
    assert [line.split("#", 1)[1] for line in after if "#" in line and "stall_warning" not in line] == remarks
    # The last change of the mass, if any, is what is read back.
    masses = [value for key, value in changes if key == "aircraft.mass"]
    if masses and " to " not in masses[-1]:
        assert read_wing_file(path).aircraft.mass == units.mass(masses[-1], where="mass")


@settings(max_examples=40)
@given(st.text(st.sampled_from("# \n[]=\"'ab0.\r\t"), max_size=40))
def test_text_that_is_no_wing_file_is_refused_in_one_line(text: str) -> None:
    """Whatever is in the file, editing gives TOML with the value or one of our errors."""
    try:
        after = with_value(text, key="a.b", value="c", where="wing.toml")
    except InputError:
        return
    assert 'b = "c"' in after


@pytest.mark.parametrize(
    ("key", "value", "error", "message"),
    [
        ("aircraft.mass", "545", UnitError, "aircraft mass: found '545' without a unit"),
        ("aircraft.mass", "54 kg", RangeError, "aircraft mass: found '54 kg'"),
        ("aircraft.mass", "unknown", InputError, "nothing can stand in for this one"),
        ("aircraft.mas", "545 kg", InputError, "did you mean 'mass'?"),
        ("aeroplane.mass", "545 kg", InputError, "the unknown key 'aeroplane'"),
        ("wing.section.0.chord", "63 mm", RangeError, "section 1 chord"),
        ("wing.section.2.chord", "1 m", InputError, "2 of wing.section; needs a number from 0 to 1"),
        ("wing.section.chord", "1 m", InputError, "whose wing.section is no table"),
        ("wing.section", "1 m", InputError, "a whole table"),
        ("wing.section.0", "1 m", InputError, "table and key"),
        ("candidate.0.height", "6 mm", InputError, "but no candidate"),
        ("wing.span.low", "6 m", InputError, "table and key"),
        ("mass", "545 kg", InputError, 'table and key such as "aircraft.mass"'),
        ("", "545 kg", InputError, "the key ''"),
        ("aircraft..mass", "545 kg", InputError, "the key 'aircraft..mass'"),
        ("flap.settings", "[0 deg, 30 deg]", InputError, "put quotes round each value"),
        ("flap.settings", '["0 deg"', InputError, "flap.settings"),
        ("wing.section.0.airfoil", "no_such_rib.csv", InputError, "no such file"),
    ],
)
def test_nothing_is_overwritten_where_the_value_is_refused(
    tmp_path: Path, key: str, value: str, error: type[InputError], message: str
) -> None:
    path = written(tmp_path, COMMENTED)
    before = path.stat()
    with pytest.raises(error) as caught:
        set_value(path, key=key, value=value)
    assert message in str(caught.value)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)
    assert path.read_text(encoding="utf-8") == COMMENTED
    assert path.stat().st_mtime_ns == before.st_mtime_ns
    assert [entry.name for entry in tmp_path.iterdir()] == ["wing.toml"]


def test_a_file_that_was_wrong_before_can_be_mended(tmp_path: Path) -> None:
    path = written(tmp_path, changed('mass = "520 kg"', 'mass = "520"'))
    set_value(path, key="aircraft.mass", value="520 kg")
    assert path.read_text(encoding="utf-8") == GOOD


def test_an_interrupted_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path, COMMENTED)

    def fails(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fails)
    with pytest.raises(InputError, match="cannot be written"):
        set_value(path, key="aircraft.mass", value="545 kg")
    assert path.read_text(encoding="utf-8") == COMMENTED
    assert [entry.name for entry in tmp_path.iterdir()] == ["wing.toml"]


@pytest.mark.skipif(sys.platform == "win32", reason="links and rights are those of other systems")
def test_a_linked_file_stays_a_link_and_rights_stay(tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    real = written(tmp_path / "kept", COMMENTED)
    real.chmod(0o640)
    link = tmp_path / "wing.toml"
    link.symlink_to(real)
    set_value(link, key="aircraft.mass", value="545 kg")
    assert link.is_symlink()
    assert '"545 kg"' in real.read_text(encoding="utf-8")
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def test_the_new_text_is_read_before_the_old_file_goes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path, COMMENTED)
    seen: list[str] = []
    understood = wing_file._understood

    def watched(content: dict[str, object], *, place: Path) -> wing_file.WingFile:
        seen.append(place.read_text(encoding="utf-8"))
        return understood(content, place=place)

    monkeypatch.setattr(wing_file, "_understood", watched)
    set_value(path, key="aircraft.mass", value="545 kg")
    assert seen == [COMMENTED]
