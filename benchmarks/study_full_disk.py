"""Fill a real file system while a study writes to it, then make room and go on.

Needs Linux and the right to mount: ``sudo python benchmarks/study_full_disk.py``. The tests do the same with
a write that is refused.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

from slowflight.errors import InputError
from slowflight.study.index import kept_results
from slowflight.study.pool import run
from slowflight.study.store import RunStore
from tests.study.cases import Square, found, squares

NUMBERS = range(100)


def main() -> None:
    with tempfile.TemporaryDirectory() as place:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", place], check=True)
        try:
            fill(Path(place))
        finally:
            subprocess.run(["umount", place], check=True)


def fill(place: Path) -> None:
    store = RunStore(place / "runs")
    cases = [Square(number=n, padding=20_000) for n in NUMBERS]
    try:
        run(cases, store, workers=2)
    except InputError as error:
        print(f"said: {error}")
    else:
        sys.exit("it was not full")
    kept = sorted(path.name for path in store.folder.iterdir())
    print(f"kept {len(kept)} of {len(cases)}, half written {sum(name.startswith('.') for name in kept)}")
    assert len(kept_results(store.folder)) == len(kept)
    subprocess.run(["mount", "-o", "remount,size=10m", str(place)], check=True)
    assert found(run(cases, store, workers=2)) == squares(NUMBERS)
    print("with room it went on to the same numbers")


if __name__ == "__main__":
    main()
