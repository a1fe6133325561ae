"""Settings shared by every test."""

from collections import Counter

import pytest
from hypothesis import settings

# The first call of a compiled function is slow and says nothing about the code under test.
settings.register_profile("slowflight", deadline=None)
settings.load_profile("slowflight")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say aloud what was not tried here and why, also where only a summary is asked for."""
    reasons = Counter(
        str(report.longrepr[2])
        for report in terminalreporter.stats.get("skipped", ())
        if isinstance(report.longrepr, tuple)
    )
    for reason, count in reasons.items():
        terminalreporter.write_line(f"NOT TRIED ({count} tests): {reason}", yellow=True)
