"""Output for people and for machines: lines on a terminal, one JSON object a line into a pipe or with --json."""

from __future__ import annotations

import json
import logging
import queue
import shutil
import sys
import textwrap
import threading
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

import click

__all__ = ["Printer", "Screen", "complain", "wrapped"]

_log = logging.getLogger(__name__)


_LONGEST = 2_000
_NARROWEST = 20


class Printer:
    """Print facts to standard output, in the matching format."""

    def __init__(self, as_json: bool | None = None) -> None:
        self.as_json = not sys.stdout.isatty() if as_json is None else as_json

    def put(self, fields: Mapping[str, Any], human: str | None = None) -> None:
        """Print one object; on a terminal its `human` line, nothing if that is None."""
        line = json.dumps(dict(fields), ensure_ascii=False, default=list) if self.as_json else human
        if line is not None:
            self._print(line)

    def _print(self, line: str) -> None:
        click.echo(line)


class Screen(Printer):
    """Print from a separate thread, in order: a blocked terminal or a closed pipe blocks nobody."""

    def __init__(self, as_json: bool | None = None) -> None:
        super().__init__(as_json)
        self.lost = False
        """True if what was to be shown couldn't be written, other than for want of a reader."""
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._work, name="screen", daemon=True)
        self._thread.start()

    def _print(self, line: str) -> None:
        self._lines.put(line if self.as_json else wrapped(line, shutil.get_terminal_size().columns))

    def close(self, patience_s: float = 2.0) -> None:
        """Wait for the output to finish, `patience_s` at most."""
        self._lines.put(None)
        self._thread.join(patience_s)

    def _work(self) -> None:
        while (line := self._lines.get()) is not None:
            try:
                click.echo(line)
            except (BrokenPipeError, ValueError) as exc:
                _log.info("the screen is left, since nobody reads any more: %s", exc)
                return
            except OSError as exc:
                self.lost = True
                complain(f"What I say can't be shown any more: {exc.strerror}. The session goes on.")
                return


def wrapped(text: str, columns: int) -> str:
    """Break long lines between words, with the continuation indented like the line, after its sign."""
    return "\n".join(_wrapped(line, columns) for line in text.splitlines())


def _wrapped(line: str, columns: int) -> str:
    if len(line) <= columns or "\x1b" in line:
        return line
    indent = " " * (len(line) - len(line.lstrip(" >!*")))
    return textwrap.fill(
        line, max(columns, _NARROWEST), subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def complain(text: str) -> None:
    """Print an error to standard error, in one line; a very long one loses its middle.

    Where standard error takes nothing either, the exit code tells alone.
    """
    line = " ".join(text.split())
    with suppress(OSError, ValueError):
        click.echo(line if len(line) <= _LONGEST else f"{line[: _LONGEST // 2]} ... {line[-_LONGEST // 2 :]}", err=True)
