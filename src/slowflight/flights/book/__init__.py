"""The owner's flights.toml: which flights were flown, and by which rules they are judged."""
