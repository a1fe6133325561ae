"""Two recorders in one flight: a panel log cut in two, the halves on clocks that differ, gives the same."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from slowflight.flights.logs.mapping import guess_mapping, save_mapping
from tests.flights.reduction.flown_campaign import KNOT, Reduce

FELT = ("Pitch (deg)", "Roll (deg)", "Normal acceleration (g)")
BOTH = ("Pressure altitude (ft)",)


def halves(log: Path, *, ahead: float) -> tuple[Path, Path]:
    """Cut the channels of attitude and load out of a log, onto a clock that is ahead [s]."""
    with log.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    names = list(rows[0])
    time = names[0]
    first = [name for name in names if name not in FELT]
    found = []
    for part, columns, shift in (("panel", first, 0.0), ("phone", [time, *BOTH, *FELT], ahead)):
        lines = [",".join(columns)]
        lines += [",".join([f"{float(r[time]) + shift:.2f}", *(r[n] for n in columns[1:])]) for r in rows]
        place = log.with_name(f"{log.stem}-{part}.csv")
        place.write_text("\n".join([*lines, ""]), encoding="utf-8")
        save_mapping(guess_mapping(place).confirm(), log.with_name(f"columns-{part}.toml"))
        found.append(place)
    return found[0], found[1]


@pytest.mark.parametrize("ahead", [-17.0, 11.5])
def test_a_phone_beside_the_panel_gives_the_same_stalls(reduce: Reduce, logs: Path, ahead: float) -> None:
    halves(logs / "before-2.csv", ahead=ahead)
    whole = reduce().flights[1]
    two = reduce(
        (
            r'log = "before-2.csv"\ncolumns = "columns-1.toml"',
            'log = "before-2-panel.csv"\ncolumns = "columns-panel.toml"\n'
            'second_log = "before-2-phone.csv"\nsecond_columns = "columns-phone.toml"',
        )
    ).flights[1]
    said = " ".join(two.flown.remarks)
    moved = re.search(r"moved by ([+-][0-9.]+) s", said)
    assert moved is not None
    assert float(moved[1]) == pytest.approx(-ahead, abs=0.1)
    assert [one.ending for one in two.records] == [one.ending for one in whole.records]
    off = [a.speed_reference - b.speed_reference for a, b in zip(two.records, whole.records, strict=True)]
    assert np.max(np.abs(off)) < 0.2 * KNOT
    wider = [
        a.speed_uncertainty > b.speed_uncertainty for a, b in zip(two.records, whole.records, strict=True)
    ]
    assert all(wider)
    assert "clocks of both recorders known to 0.1" in said


def test_a_second_log_that_cannot_be_matched_is_left_out_and_says_so(reduce: Reduce, logs: Path) -> None:
    """Another flight's log is no second recorder of this one, unless the pilot gives the offset."""
    panel, _ = halves(logs / "before-2.csv", ahead=900.0)
    second = 'second_log = "before-2-phone.csv"\nsecond_columns = "columns-phone.toml"\n'
    change = (
        r'log = "before-2.csv"\ncolumns = "columns-1.toml"\n',
        f'log = "{panel.name}"\ncolumns = "columns-panel.toml"\n',
    )
    alone = reduce((change[0], change[1] + second)).flights[1]
    assert any(remark.startswith("second recorder not used:") for remark in alone.flown.remarks)
    given = reduce((change[0], change[1] + second + 'clocks_apart = "-900 s"\n')).flights[1]
    assert not any("not used" in remark for remark in given.flown.remarks)
    assert [one.ending for one in given.records] == [one.ending for one in reduce().flights[1].records]
