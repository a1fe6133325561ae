"""A small wing.toml to change in tests."""

from __future__ import annotations

from pathlib import Path

# An invented wing, not the demonstration's: trapezoids of 1.6 m to 1.2 m over half of 9.6 m.
GOOD = """\
# measured on a Sunday
[aircraft]
name = "Test bird"
mass = "520 kg"  # weighed
slowest_indicated_speed = "38 kt"
slowest_flap_setting = "30 deg"
three_point_attitude = "11 deg"  # on the floor
cruise_speed = "85 kt"

[wing]
span = "9.6 m"
incidence = "3 deg"
cabin_width = "1.2 m"

# the root
[[wing.section]]
span_station = "0 m"
chord = "1600 mm"
airfoil = "naca2414"

# the tip
[[wing.section]]
span_station = "4.8 m"
chord = "1200 mm"
washout = "2 deg"
airfoil = "naca2412"

[flap]
kind = "plain"
chord = "25 %"
hinge = "lower"
settings = ["0 deg", "15 deg", "30 deg"]

[[candidate]]
name = "tall"
height = "8 mm"
length = "24 mm"
pitch = "80 mm"
gap = "20 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
shape = "rectangular"
edges = "sharp"

[question]
positions = ["4 %", "8 %", "12 %"]
height_factors = [0.8, 1.2]
density_altitude = "1000 ft"
cruise_price = "2 kt"
row_from = "0.7 m"
row_to = "4.6 m"
"""

# Only what is required.
LEAST = """\
[aircraft]
mass = "520 kg"
slowest_indicated_speed = "38 kt"
three_point_attitude = "11 deg"
[wing]
span = "9.6 m"
[[wing.section]]
chord = "1500 mm"
[flap]
kind = "plain"
settings = ["0 deg", "30 deg"]
"""


def written(folder: Path, text: str = GOOD) -> Path:
    """Write a wing.toml."""
    path = folder / "wing.toml"
    path.write_text(text, encoding="utf-8")
    return path


def changed(old: str, new: str, text: str = GOOD) -> str:
    """Change one place of a text, which must be there once."""
    assert text.count(old) == 1, f"{text.count(old)} times {old!r}"
    return text.replace(old, new)
