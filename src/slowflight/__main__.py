"""The ``slowflight`` command."""

import io
import sys

from slowflight.cli.app import run


def main() -> None:
    """Run the command line and leave with its exit code."""
    # A terminal that lacks a letter of an author's name shows a question mark, and the result all the same.
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    sys.exit(run(sys.argv[1:]))


if __name__ == "__main__":
    main()
