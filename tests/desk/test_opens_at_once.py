"""What the desk needs to open: no numerical or drawing library is loaded before a page asks for one."""

import subprocess
import sys

HEAVY = ("numpy", "scipy", "numba", "matplotlib", "PIL")
TOLD = f"import sys, slowflight.desk.application; print(*[one for one in {HEAVY} if one in sys.modules])"


def test_nothing_heavy_is_loaded_before_a_page_asks_for_it() -> None:
    loaded = subprocess.run([sys.executable, "-c", TOLD], capture_output=True, text=True, check=True).stdout
    assert loaded.split() == []
