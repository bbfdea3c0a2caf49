"""The command line: one file a command."""

from kitchenvoice.cli.group import main

__all__ = ["main"]
