"""Log output: on standard error, warnings and errors unless more is asked for."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["logged", "tell_more"]

_OURS = logging.getLogger("kitchenvoice")
_FORMAT = "%(levelname)s %(name)s [%(threadName)s]: %(message)s"

_log = logging.getLogger(__name__)


class _StandardError(logging.Handler):
    """Writes to the current standard error: a spoken session moves it out of the sound drivers' way."""

    def emit(self, record: logging.LogRecord) -> None:
        """Write one record."""
        try:
            if sys.stderr is not None:
                sys.stderr.write(f"{self.format(record)}\n")
                sys.stderr.flush()
        except (OSError, ValueError):
            return  # nobody reads it


def tell_more(times: int) -> None:
    """Log actions as well (1), or every detail (2 and more). Other packages' lines stay warnings and errors."""
    _OURS.setLevel(logging.WARNING if times == 0 else logging.INFO if times == 1 else logging.DEBUG)


@contextmanager
def logged() -> Iterator[None]:
    """Log to standard error, an error that ends a thread too."""
    root, handler, before = logging.getLogger(), _StandardError(), threading.excepthook
    handler.setFormatter(logging.Formatter(_FORMAT))
    root.addHandler(handler)
    threading.excepthook = _log_end
    try:
        yield
    finally:
        threading.excepthook = before
        root.removeHandler(handler)
        _OURS.setLevel(logging.NOTSET)


def _log_end(ended: threading.ExceptHookArgs) -> None:
    if not issubclass(ended.exc_type, SystemExit):
        name = "a thread" if ended.thread is None else ended.thread.name
        _log.error("%s ended by %s", name, ended.exc_type.__name__, exc_info=ended.exc_value)
