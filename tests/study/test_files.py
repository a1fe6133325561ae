"""Files of results: what is written is read back, and what is not whole or not ours is refused."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import h5netcdf
import numpy as np
import pytest

from slowflight.report.pictures.field import read_field
from slowflight.study.array_file import Column, decode_arrays, encode_arrays
from slowflight.study.code_version import PACKAGE
from slowflight.study.field_case import ARRAYS, FieldCase
from slowflight.study.record_file import FORMAT, check_head, decode_record, encode_record
from slowflight.study.section_case import SectionCase
from slowflight.wing.naca import naca_section

DESCRIPTION = {"kind": "something", "chord_m": 1.3}
RESULT = {"cl": 1.0 / 3.0, "missing": None, "words": ["é", "ok"]}
COLUMNS = {
    "x": Column(axes=("x",), unit="m", meaning="a place"),
    "u": Column(axes=("y", "x"), unit="m s-1", meaning="a speed"),
    "wet": Column(axes=("y", "x"), unit="1", meaning="whether it is wet"),
}
NOISE = np.random.default_rng(1).normal(size=(3, 4))
VALUES: dict[str, Any] = {
    "x": np.linspace(0.0, 1.0, 4),
    "u": np.where(NOISE > 1.0, np.nan, NOISE).astype(np.float32),
    "wet": NOISE > 0.0,
}


def record() -> bytes:
    return encode_record(key="k", description=DESCRIPTION, result=RESULT)


def arrays() -> bytes:
    return encode_arrays(
        key="k", title="t", description=DESCRIPTION, numbers=RESULT, arrays=VALUES, columns=COLUMNS
    )


def test_a_record_survives_its_file() -> None:
    assert decode_record(record(), key="k") == RESULT


def test_arrays_survive_their_file() -> None:
    numbers, found = decode_arrays(arrays(), key="k")
    assert numbers == RESULT
    assert set(found) == set(VALUES)
    for name, array in VALUES.items():
        assert found[name].dtype == array.dtype
        assert np.array_equal(found[name], array, equal_nan=array.dtype.kind == "f")


def test_same_result_same_bytes() -> None:
    assert arrays() == arrays()
    assert record() == record()


def test_arrays_say_what_they_are_to_any_reader(tmp_path: Path) -> None:
    path = tmp_path / "k.nc"
    path.write_bytes(arrays())
    with h5netcdf.File(path, "r") as file:
        assert file.variables["u"].dimensions == ("y", "x")
        assert file.variables["u"].attrs["units"] == "m s-1"
        assert file.variables["wet"].attrs["flag_meanings"] == "no yes"
        assert json.loads(file.attrs["input"]) == DESCRIPTION


@pytest.mark.parametrize("kind", ["record", "arrays"])
def test_a_file_of_another_case_is_refused(kind: str) -> None:
    read: Any = decode_record if kind == "record" else decode_arrays
    content = record() if kind == "record" else arrays()
    with pytest.raises(ValueError, match="another case"):
        read(content, key="other")


@pytest.mark.parametrize("found", [FORMAT + 1, FORMAT - 1, None, "1"])
def test_another_format_is_refused_though_the_file_is_whole(found: Any) -> None:
    """Only the format differs: the checksum still holds, so nothing else would tell."""
    with pytest.raises(ValueError, match="a file of format"):
        check_head(found_format=found, found_key="k", key="k")
    content = encode_record(key="k", description={}, result={"number": 1.0})
    other = json.dumps({**json.loads(content), "format": found}).encode()
    assert decode_record(content, key="k") == {"number": 1.0}
    with pytest.raises(ValueError, match="a file of format"):
        decode_record(other, key="k")


def test_a_number_that_is_none_is_not_written() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        encode_record(key="k", description=DESCRIPTION, result={"cl": float("nan")})


@pytest.mark.parametrize("kind", ["record", "arrays"])
def test_damage_is_seen_or_makes_no_difference(kind: str) -> None:
    """Cut the file short anywhere, or turn over one bit anywhere."""
    chance = random.Random(5)
    whole = record() if kind == "record" else arrays()
    seen = 0
    for _ in range(300):
        content = bytearray(whole)
        if chance.random() < 0.3:
            del content[chance.randrange(len(content)) :]
        else:
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        try:
            if kind == "record":
                assert decode_record(bytes(content), key="k") == RESULT
            else:
                numbers, found = decode_arrays(bytes(content), key="k")
                assert numbers == RESULT
                for name, array in VALUES.items():
                    assert np.array_equal(found[name], array, equal_nan=array.dtype.kind == "f")
        except ValueError:
            seen += 1
    assert seen > 100


def test_a_saved_field_is_what_the_report_reads(tmp_path: Path) -> None:
    section = naca_section("naca4415")
    case = SectionCase(section=section, chord=1.3, reynolds_at_unit_lift=1.5e6, angles_deg=(0.0,))
    field = FieldCase(case=case, alpha_deg=6.0)
    result = field.compute()
    path = tmp_path / f"{field.key}{field.suffix}"
    path.write_bytes(field.encode(result))
    saved = read_field(path)
    for name in ARRAYS:
        array = np.asarray(result[name])
        assert np.array_equal(getattr(saved, name), array, equal_nan=array.dtype.kind == "f"), name
    assert saved.slow.dtype == bool


def test_a_field_without_an_answer_survives_its_file() -> None:
    case = SectionCase(
        section=naca_section("naca4415"), chord=1.3, reynolds_at_unit_lift=1.5e6, angles_deg=(0.0,)
    )
    field = FieldCase(case=case, alpha_deg=6.0)
    assert field.decode(field.encode({"problem": "no answer"})) == {"problem": "no answer"}


def test_the_file_libraries_are_loaded_only_when_a_file_is_written() -> None:
    code = (
        "import sys; import slowflight.study.pool, slowflight.study.field_case;"
        "print(*[name for name in ('h5py', 'h5netcdf', 'dask', 'distributed') if name in sys.modules])"
    )
    environment = {**os.environ, "PYTHONPATH": str(PACKAGE.parent)}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment
    )
    assert done.stdout.strip() == ""
