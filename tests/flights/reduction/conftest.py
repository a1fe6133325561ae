"""The simulated campaign, written once, and its book changed and reduced."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from slowflight.flights.book.reading import read_book
from slowflight.flights.logs.mapping import guess_mapping, save_mapping
from slowflight.flights.reduction.campaign import ReducedCampaign, reduce_campaign
from slowflight.flights.simulator.demo_campaign import FLAPS, stall_temperature, write_campaign
from tests.flights.reduction.flown_campaign import FACTS, Reduce


@pytest.fixture(scope="module", name="logs")
def fixture_logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("campaign")
    flights = list(write_campaign(folder, mass=FACTS.mass, area=FACTS.area))
    save_mapping(guess_mapping(flights[0].file).confirm(), folder / "columns-1.toml")
    text = f'[rules]\nairspeed_lag = "0.5 s"\nflaps = {[f"{flap:g} deg" for flap in FLAPS]}\n'
    for flight in flights:
        text += (
            f'\n[[flight]]\nname = "{flight.name}"\nside = "{flight.side}"\nlog = "{flight.file.name}"\n'
            f'columns = "columns-1.toml"\nmass = "{flight.mass} kg"\nfuel_burn = "15 l/h"\n'
            f'temperature = "{stall_temperature() - 273.15:.2f} C"\n'
            f'centre_of_gravity = "27 %"\n# end {flight.name}\n'
        )
    (folder / "flights.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture(name="reduce")
def fixture_reduce(logs: Path) -> Reduce:
    """Reduce the campaign with its book changed: pairs of pattern and replacement, then text to add."""

    def reduce(*changes: tuple[str, str], more: str = "") -> ReducedCampaign:
        text = (logs / "flights.toml").read_text(encoding="utf-8")
        for pattern, replacement in changes:
            text, count = re.subn(pattern, replacement, text)
            assert count, pattern
        place = logs / "changed.toml"
        place.write_text(text + more, encoding="utf-8")
        return reduce_campaign(read_book(place), facts=FACTS, flaps_deg=FLAPS)

    return reduce
