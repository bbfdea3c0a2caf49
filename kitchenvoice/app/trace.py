"""The trace of a session: a private file, one JSON object a line, without sound; and its utterances judged again."""

from __future__ import annotations

import json
import logging
import os
import stat
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from importlib.metadata import version
from math import inf, isfinite
from pathlib import Path
from typing import Any

from kitchenvoice.app.session import Trouble
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.errors import BadInput
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.ports import Announcement, Clock, Rescoring, Utterance

__all__ = ["FORMAT", "MOST_BYTES", "Trace", "judged_again", "open_trace"]

FORMAT = 1
"""What the first line of a trace names."""
MOST_BYTES = 50_000_000
"""A trace ends at this size: of a long day with hundreds of utterances about a tenth is expected."""
_LONGEST_LINE = 1_000_000
_HEAD = json.dumps({"kind": "trace", "format": FORMAT}).encode() + b"\n"
_NAMES = frozenset({"attention", "voice", "input_device", "output_device", "push_to_talk", "asked"})
"""What is no number in a profile: it stays out, as the canners' names do."""

_log = logging.getLogger(__name__)


class Trace:
    """Writes each line at once. A full disk or file is reported once, and ends only the trace.

    `tell` takes that trouble. Safe to call from several threads; never raises.
    """

    def __init__(self, handle: int, clock: Clock, *, most_bytes: int = MOST_BYTES) -> None:
        """Write to the open file `handle`, to whose end every write goes, and own it."""
        self.tell: Callable[[Trouble], None] = lambda _: None
        self._handle: int | None = handle
        self._clock = clock
        self._size = os.fstat(handle).st_size
        self._most_bytes = most_bytes
        self._lock = threading.Lock()

    def start(self, t: float, profile: Profile, *, engine: str = "", model: str = "", devices: str = "") -> None:
        """Record versions, models and settings of the session."""
        found = {"engine": engine, "model": model, "devices": devices}
        self._put("start", t, version=version("kitchenvoice"), **found, profile=_numbers(profile))

    def heard(self, t: float, utterance: Utterance, turn: Turn, *, typed: bool) -> None:
        """Note an utterance whole, with the listening scope and the decision."""
        told = next((note for note in turn.notes if note.kind == "heard"), None)
        judged = {} if told is None else {"text": told.text, **told.data}
        self._put("utterance", t, typed=typed, **_fields(utterance), **judged)

    def turned(self, t: float, turn: Turn, *, recorded: bool) -> None:
        """Record decision, events and settings of a turn."""
        for note in turn.notes:
            if note.kind != "heard":
                self._put(note.kind, t, text=note.text, data=note.data)
        for event in turn.events:
            self._put("event", t, event=event, recorded=recorded)
        for control in turn.controls:
            data = list(control.data) if control.name == "profile" else control.data
            self._put("control", t, name=control.name, data=data)

    def queued(self, t: float, announcement: Announcement) -> None:
        """Record a queued announcement."""
        self._put("queued", t, **{**_fields(announcement), "urgency": announcement.urgency.name.lower()})

    def began(self, t: float, announcement: Announcement) -> None:
        """Note that it begins to sound."""
        self._put("began", t, text=announcement.text, key=announcement.key)

    def answered(self, t: float, key: str) -> None:
        """Note a call answered by hand."""
        self._put("call_answered", t, key=key)

    def troubled(self, t: float, text: str, *, spoken: bool) -> None:
        """Note a trouble."""
        self._put("trouble", t, text=text, spoken=spoken)

    def close(self) -> None:
        """End the trace. Safe to call twice."""
        with self._lock:
            self._close()

    def _close(self) -> None:
        handle, self._handle = self._handle, None
        if handle is not None:
            os.close(handle)

    def _put(self, kind: str, t: float, /, **told: Any) -> None:
        trouble = None
        with self._lock:
            if self._handle is None:
                return
            try:
                times = {"t": round(t, 3), "wall": round(self._clock.now().utc, 3)}
                line = json.dumps({"kind": kind, **times, **_plain(told)}).encode() + b"\n"
                if self._size + len(line) > self._most_bytes:
                    trouble = Trouble("trace_full")
                else:
                    self._write(self._handle, line)
            except Exception as exc:  # what watches the session must not hold it
                _log.debug("the trace ends", exc_info=True)
                trouble = Trouble("trace_refused", values={"why": getattr(exc, "strerror", None) or str(exc)})
            if trouble is not None:
                self._close()
        if trouble is not None:
            self.tell(trouble)

    def _write(self, handle: int, line: bytes) -> None:
        while line:
            written = os.write(handle, line)
            self._size += written
            line = line[written:]


def _numbers(profile: Profile) -> dict[str, Any]:
    known = {name: value for name, value in _fields(profile).items() if name not in _NAMES}
    canners = [{name: value for name, value in _fields(each).items() if name != "name"} for each in profile.canners]
    return {**known, "canners": canners}


def _fields(one: Any) -> dict[str, Any]:
    return {each.name: getattr(one, each.name) for each in fields(one)}


def _plain(value: Any) -> Any:
    """Return a value that JSON can hold: a number without end is `None`."""
    if is_dataclass(value):
        return _plain(_fields(value))
    if isinstance(value, Mapping):
        return {str(name): _plain(each) for name, each in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(each) for each in value]
    if isinstance(value, float):
        return value if isfinite(value) else None
    return value if value is None or isinstance(value, str | int) else str(value)


# ---------------------------------------------------------------- the file


def open_trace(path: Path, clock: Clock, *, most_bytes: int = MOST_BYTES) -> Trace:
    """Make a trace that only its owner can read, or go on with one of the same owner.

    Raises: BadInput if it can't be made, or is anything else than a trace of ours.
    """
    try:
        return Trace(_opened(path), clock, most_bytes=most_bytes)
    except OSError as exc:
        raise BadInput(f"The trace {path} can't be written: {exc.strerror}. Name another file.") from exc


def _opened(path: Path) -> int:
    safe = os.O_APPEND | os.O_NOFOLLOW | os.O_CLOEXEC
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL | safe, 0o600)
    except FileExistsError:
        handle = os.open(path, os.O_RDWR | os.O_NONBLOCK | safe)  # without waiting for whoever reads a pipe
    try:
        told = os.fstat(handle)
        ordinary = stat.S_ISREG(told.st_mode) and told.st_uid == os.geteuid() and told.st_nlink == 1
        if not ordinary or (told.st_size and os.pread(handle, len(_HEAD), 0) != _HEAD):
            raise BadInput(f"{path} is no trace of yours. Name a file that isn't there yet.")
        os.fchmod(handle, 0o600)
        if not told.st_size:
            os.write(handle, _HEAD)
        elif os.pread(handle, 1, told.st_size - 1) != b"\n":
            os.write(handle, b"\n")  # the last line was cut short
    except BaseException:
        os.close(handle)
        raise
    return handle


def _object(line: bytes) -> dict[str, Any] | None:
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


# ---------------------------------------------------------------- judged again


def judged_again(path: Path, book_of: Callable[[str], GrammarBook]) -> Iterator[dict[str, Any]]:
    """Judge each utterance of a trace by the present rules, with the same things listened for.

    `book_of` gives the grammars of a language. Yields t, text, intent, slots, reject_reason, `was` (the intent then)
    and `same`. What a crash cut short, and an utterance that a fault kept from being judged, is left out.
    Raises: BadInput if it is no trace, or a line of it isn't as a trace has it.
    """
    lines = _lines(path)
    if next(lines, b"") != _HEAD:
        raise BadInput(f"{path} is no trace. Name one that kitchenvoice start --trace has written.")
    book: GrammarBook | None = None
    for number, line in enumerate(lines, 2):
        told = _object(line)
        try:
            if told is not None and told.get("kind") == "start":
                book = book_of(told["profile"]["language"])
            elif told is not None and told.get("kind") == "utterance" and told.get("scope") is not None and book:
                yield _judged(told, book)
        except (KeyError, TypeError, ValueError, AttributeError) as exc:
            if isinstance(exc, BadInput):
                raise
            raise BadInput(f"{path}, line {number}: this isn't as a trace has it. Remove the line.") from exc


def _lines(path: Path) -> Iterator[bytes]:
    try:
        if not path.is_file():
            raise BadInput(f"There is no file {path}. Name a trace that kitchenvoice start --trace has written.")
        with path.open("rb") as file:
            while line := file.readline(_LONGEST_LINE):
                yield line
    except OSError as exc:
        raise BadInput(f"{path} can't be read: {exc.strerror}. Make it a readable file.") from exc


def _judged(told: Mapping[str, Any], book: GrammarBook) -> dict[str, Any]:
    scope, above = told["scope"], told["above_noise_db"]
    loads = {int(number): food for number, food in scope["loads"].items()}
    utterance = Utterance(
        tuple(told["alternatives"]),
        told["confidence"],
        trouble=told["trouble"],
        posteriors=tuple(told["posteriors"]),
        above_noise_db=inf if above is None else above,
        opinions={sentence: Rescoring(**opinion) for sentence, opinion in told["opinions"].items()},
    )
    found = understand(utterance, book.grammar(**{**scope, "loads": loads}))
    now = {"text": found.text, "intent": found.intent, "slots": _plain(found.slots)}
    now["reject_reason"] = found.reject_reason
    same = all(now[name] == told[name] for name in ("intent", "slots", "reject_reason"))
    return {"t": told["t"], **now, "was": told["intent"], "same": same}
