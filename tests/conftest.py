"""What all tests share: one test over many cases, which names each that fails."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterable, Iterator
from typing import Any

import pytest

MOST_SHOWN = 200


def check_every(check: Callable[..., None], cases: Iterable[Any]) -> None:
    """Check every case, a tuple as several arguments; then fail with all that failed, or if there was none."""
    cases, wrong = list(cases), []
    assert cases, "there is nothing to check"
    for case in cases:
        try:
            check(*case) if isinstance(case, tuple) else check(case)
        except Exception as error:
            said = str(error) or type(error).__name__
            wrong.append(f"{str(case)[:MOST_SHOWN]}: {said}")
    assert not wrong, f"{len(wrong)} of {len(cases)} are wrong:\n" + "\n".join(wrong)


@pytest.fixture
def every() -> Callable[[Callable[..., None], Iterable[Any]], None]:
    """Check every case, and name all that fail."""
    return check_every


@pytest.fixture(autouse=True)
def same_signals() -> Iterator[None]:
    """Give each test the usual signals: a command line that runs in this process takes them for itself."""
    numbers = (signal.SIGINT, signal.SIGQUIT, signal.SIGTERM, signal.SIGHUP)
    before = [signal.getsignal(number) for number in numbers]
    yield
    for number, handler in zip(numbers, before, strict=True):
        signal.signal(number, handler)
