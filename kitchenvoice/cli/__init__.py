"""The command line: one file a command."""

from __future__ import annotations

import sys

__all__ = ["main"]


def main() -> None:
    """Run a command. Control-C ends it without a traceback, even while it is being imported."""
    try:
        from kitchenvoice.cli.group import main as run

        run()
    except KeyboardInterrupt:
        sys.exit(130)
