"""How soon the desk opens, paints and answers: start, first paint, slider, on a folder with results.

Run with the folder of a finished job, as ``slowflight desk`` makes one of the demonstration:

    python -m benchmarks.desk_speed DIR

Promised on two cores: start within 3 s, first paint within 1 s of it, nineteen in twenty updates of the
slider within 200 ms while a prediction computes beside it. A busy machine is slower: the load is printed
first, and the time that a core worked for the start beside it.
"""

from __future__ import annotations

import math
import os
import shutil
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from playwright.sync_api import Browser, sync_playwright

from tests.desk.browsing import FOUND
from tests.desk.desk_server import Desk, desk_on
from tests.desk.test_browser import MEASURED

STARTS = 5
PROMISED = {"start": 3.0, "of it worked": 3.0, "first paint": 1.0, "slider": 0.2}  # [s]
PAINTED = "performance.getEntriesByName('first-contentful-paint')[0].startTime"


def painted(browser: Browser, desk: Desk) -> float:
    """Return when the first page of a new browser window has its first words, from asking for it [s]."""
    page = browser.new_context(viewport={"width": 1280, "height": 720}).new_page()
    page.goto(desk.address)
    page.wait_for_load_state("networkidle")
    found = float(page.evaluate(PAINTED)) / 1000.0
    page.context.close()
    return found


def core_time(desk: Desk) -> float:
    """Return how long cores have worked for the desk so far [s]; NaN where the system does not tell."""
    try:
        fields = Path(f"/proc/{desk.process.pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    except OSError:
        return math.nan
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def dragged(browser: Browser, desk: Desk) -> dict[str, float]:
    """Return the time of 19 in 20 updates of each slider while a prediction computes [s]."""
    page = browser.new_context(viewport={"width": 1280, "height": 720}).new_page()
    page.goto(desk.address)
    page.goto(f"{desk.origin}/prediction")
    page.wait_for_selector("body[data-live=ready]")
    desk.post("/run/predict")
    time.sleep(5.0)  # until it computes
    found = {name: float(page.evaluate(MEASURED, name)) / 1000.0 for name in ("live-angle", "nose-slider")}
    desk.post("/cancel")
    desk.wait("cancelled")
    return found


def main(folder: Path) -> int:
    print(f"cores {os.cpu_count()}, load {os.getloadavg()[0]:.1f}")
    starts, paints, worked = [], [], []
    with tempfile.TemporaryDirectory() as room, sync_playwright() as driver:
        copy = Path(room) / "copy"
        shutil.copytree(folder, copy)
        browser = driver.chromium.launch(executable_path=FOUND, args=["--no-sandbox"])
        for _ in range(STARTS):
            with desk_on(copy) as desk:
                starts.append(desk.seconds_to_start)
                worked.append(core_time(desk))
                paints.append(painted(browser, desk))
        # What is computed already is taken from the folder: a prediction has to compute for the last figure.
        for kept in (copy / "runs").glob("*.json"):
            if kept.name != "prediction.json":
                kept.unlink()
        with desk_on(copy) as desk:
            sliders = dragged(browser, desk)
        browser.close()
    rows = [
        ("start", median(starts), max(starts)),
        ("of it worked", median(worked), max(worked)),
        ("first paint", median(paints), max(paints)),
        *(("slider", value, value) for value in sliders.values()),
    ]
    print(f"{'what':<14}{'middle':>9}{'worst':>9}{'promised':>10}")
    for name, middle, worst in rows:
        print(f"{name:<14}{middle:8.2f}s{worst:8.2f}s{PROMISED[name]:9.1f}s")
    return 0 if all(not middle > PROMISED[name] for name, middle, _ in rows) else 1


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
