"""What all tests share: the grammar, read once; a virtual sound card; one test over many cases, naming each failure."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from kitchenvoice.grammar import GrammarBook

ROOT = Path(__file__).parents[1]

MOST_SHOWN = 200

settings.register_profile("patient", deadline=None)  # a machine that is busy makes no case wrong
settings.load_profile("patient")


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


@pytest.fixture(scope="session")
def book() -> GrammarBook:
    """The grammar of a kitchen without names of its own."""
    from kitchenvoice.grammar import GrammarBook

    return GrammarBook.load()


@pytest.fixture(scope="session")
def room_script() -> Callable[..., str]:
    """Run scripts/virtual_room and return what it prints; it must succeed."""

    def run(verb: str, folder: Path) -> str:
        command = [sys.executable, str(ROOT / "scripts" / "virtual_room"), verb, str(folder)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        return done.stdout

    return run


@pytest.fixture
def virtual_room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, room_script: Callable[..., str]) -> Iterator[Path]:
    """A virtual sound card; the test's process uses no other."""
    folder = tmp_path / "room"
    for word in room_script("start", folder).split()[1:]:
        name, _, value = word.partition("=")
        monkeypatch.setenv(name, value.strip("'"))
    yield folder
    room_script("stop", folder)


@pytest.fixture(autouse=True)
def same_signals() -> Iterator[None]:
    """Give each test the usual signals: a command line that runs in this process takes them for itself."""
    numbers = (signal.SIGINT, signal.SIGQUIT, signal.SIGTERM, signal.SIGHUP)
    before = [signal.getsignal(number) for number in numbers]
    yield
    for number, handler in zip(numbers, before, strict=True):
        signal.signal(number, handler)
