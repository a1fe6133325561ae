"""The example of fit.toml in the documents is read as it stands."""

import re
from pathlib import Path

from slowflight.layout.fit_file import read_fit

PAGE = Path(__file__).parents[2] / "docs" / "fitting.md"


def test_the_example_is_read(tmp_path: Path) -> None:
    found = re.search(r"```toml\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert found is not None
    (tmp_path / "fit.toml").write_text(found[1], encoding="utf-8")
    fit = read_fit(tmp_path / "fit.toml")
    assert len(fit.zones) == len(fit.keep_outs) == len(fit.moving) == 1
