"""The command line: one file a command."""

from __future__ import annotations

import os
import signal
import sys

__all__ = ["main"]

_WISHES = (signal.SIGINT, signal.SIGQUIT, signal.SIGTERM, signal.SIGHUP)
_STANDARD_ERROR = 2


class _Ended(SystemExit):
    """A wish to end, by a key, a polite kill or the end of the terminal; a session has its own way to take it."""


def main() -> None:
    """Run a command. An interrupt undoes unfinished work, says so, and exits with 128 plus the signal number."""
    _fill_streams()
    os.umask(os.umask(0o077) & 0o077)  # whatever the shell takes from others, the owner keeps the own files' rights
    for number in _WISHES:
        if signal.getsignal(number) != signal.SIG_IGN:  # as nohup and a shell in the background have it
            signal.signal(number, _end)
    try:
        from kitchenvoice.cli.group import main as run

        run()
    except _Ended:
        from kitchenvoice.terminal import complain

        complain("Stopped before it was done.")
        raise


def _fill_streams() -> None:
    """Put nowhere in the place of closed standard streams: the next file, or a driver's, would have their numbers."""
    while (handle := os.open(os.devnull, os.O_RDWR)) <= _STANDARD_ERROR:
        continue
    os.close(handle)
    sys.stdin = sys.stdin or open(0, closefd=False)  # noqa: SIM115
    sys.stderr = sys.stderr or open(_STANDARD_ERROR, "w", closefd=False)  # noqa: SIM115


def _end(number: int, _frame: object) -> None:
    """Interrupt the command. A closing terminal may signal twice; any other second signal exits at once."""
    for each in _WISHES:
        signal.signal(each, signal.SIG_IGN if each == signal.SIGHUP else signal.SIG_DFL)
    raise _Ended(128 + number)
