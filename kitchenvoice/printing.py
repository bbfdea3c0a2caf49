"""Output for people and for machines: lines on a terminal, one JSON object a line into a pipe or with --json."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from typing import Any

import click

__all__ = ["Printer", "complain"]


class Printer:
    """Print facts to standard output, in the form that fits."""

    def __init__(self, as_json: bool | None = None) -> None:
        self.as_json = not sys.stdout.isatty() if as_json is None else as_json

    def put(self, fields: Mapping[str, Any], human: str | None = None) -> None:
        """Print one object; on a terminal its `human` line, nothing if that is None."""
        if self.as_json:
            click.echo(json.dumps(dict(fields), ensure_ascii=False, default=list))
        elif human is not None:
            click.echo(human)


def complain(text: str) -> None:
    """Say what is wrong, on standard error, in one line."""
    click.echo(" ".join(text.split()), err=True)
