"""Broken logs: a clear one-line message, or a partial result that is right row by row. Nothing in between."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flights.logs.cleaning import clean
from slowflight.flights.logs.reading import read_logs
from tests.flights.logs.base import NUMBER, ROUNDING, differences, good
from tests.flights.logs.broken import CASES, Broken


def test_there_are_forty_and_more() -> None:
    assert len(CASES) >= 40
    assert len({case.name for case in CASES}) == len(CASES)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_broken_log(case: Broken, tmp_path: Path) -> None:
    path, expected = case.make(tmp_path), case.expected
    before = path.read_bytes() if path.is_file() else b""
    if expected.refused:
        with pytest.raises(InputError, match=expected.refused) as caught:
            list(read_logs(path, accept_guess=True))
        assert "\n" not in str(caught.value)
        assert len(str(caught.value)) < 600
        return
    logs = list(read_logs(path, accept_guess=True))
    assert tuple(len(log) for log in logs) == expected.rows
    cleaned = [clean(log) for log in logs]
    said = " | ".join(step.what for log in cleaned for step in log.history)
    for sentence in expected.says:
        assert sentence in said, said
    for log in cleaned:
        assert np.all(np.diff(log.time) > 0.0)
        numbers = log.channels[NUMBER].astype(np.intp)
        shift = log.time - good().time[numbers]
        assert np.ptp(shift) <= expected.clock
        assert np.all(np.isin(log.rows, np.arange(1, 2 * len(good()) + 1000)))
        off = {name: worst for name, worst in differences(log).items() if worst > 1.02 * ROUNDING[name]}
        assert off == {}
    blanks = {name: int(np.isnan(values).sum()) for name, values in cleaned[0].channels.items()}
    assert {name: blanks[name] for name in expected.missing} == expected.missing
    # What is not expected to be missing may lose a reading or two to the search for spikes, no more.
    assert all(count <= 2 for name, count in blanks.items() if name not in expected.missing), blanks
    assert path.read_bytes() == before
