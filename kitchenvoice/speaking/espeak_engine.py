"""The one speech engine of the process, owned by a single thread.

Limitations of the engine's driver (pyttsx3 2.99 on espeak-ng): there can be only one engine in a process; used from
two threads, stopped in mid-sentence or initialised twice it hangs; its loop may return before the file is written,
so only its finished event counts; a setting still in its queue makes it cancel the next text; and without its data
files espeak-ng ends the whole process, which no `except` can catch. Hence: one thread, one text at a time, no stopping,
settings read back before they count, and a trial in another process first.
"""

from __future__ import annotations

import importlib
import logging
import os
import queue
import subprocess
import sys
import tempfile
import threading
import time
import wave
from concurrent.futures import Future
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound

__all__ = ["EngineThread", "Request", "shared_engine"]

_log = logging.getLogger(__name__)

NOT_INSTALLED = "There is no voice, because espeak-ng is not installed. Run: apt-get install espeak-ng"
NO_ANSWER = "The voice does not answer. Start kitchenvoice again; if that does not help, run: apt-get install espeak-ng"
WARM_UP = "ready"
SETTLE_S = 0.05
TRIALS = 5
_LOOK = "import ctypes, sys; sys.exit(ctypes.CDLL('libespeak-ng.so.1').espeak_Initialize(2, 0, None, 0) < 0)"


@dataclass(frozen=True, slots=True)
class Request:
    """One text to render, with its rate in words a minute and the engine's identifier of the voice."""

    text: str
    rate_wpm: int
    voice: str


class EngineThread:
    """Owns the engine; renders one request at a time."""

    def __init__(self, patience_s: float = 10.0) -> None:
        """Start the engine. Raises: VoiceMissing if espeak-ng isn't installed or doesn't start."""
        self._requests: queue.SimpleQueue[tuple[Request, Future[Sound]]] = queue.SimpleQueue()
        self._started: Future[tuple[str, ...]] = Future()
        self._unanswered: Future[Sound] | None = None
        threading.Thread(target=self._work, name="voice-engine", daemon=True).start()
        try:
            self.voices = self._started.result(patience_s)
        except TimeoutError as exc:
            raise VoiceMissing(NO_ANSWER) from exc

    def render(self, request: Request, patience_s: float) -> Sound:
        """Return the spoken text.

        Raises: VoiceMissing after `patience_s`, and at once while an earlier request is still unanswered.
        """
        stuck = self._unanswered
        if stuck is not None and not stuck.done():
            raise VoiceMissing(NO_ANSWER)
        answer: Future[Sound] = Future()
        self._requests.put((request, answer))
        try:
            return answer.result(patience_s)
        except TimeoutError as exc:
            self._unanswered = answer
            raise VoiceMissing(NO_ANSWER) from exc

    def _work(self) -> None:
        try:
            driver = _Driver()
            driver.warm_up()
            self._started.set_result(driver.voices())
        except Exception as exc:  # passed on to the thread that waits for the start
            self._started.set_exception(exc)
            return
        while True:
            request, answer = self._requests.get()
            try:
                answer.set_result(driver.write(request))
            except Exception as exc:  # passed on to the thread that waits for the sound
                _log.info("the voice failed", exc_info=True)
                answer.set_exception(exc)


class _Driver:
    """The engine as its own thread sees it."""

    def __init__(self) -> None:
        try:
            pyttsx3 = importlib.import_module("pyttsx3")
            self._engine: Any = pyttsx3.init("espeak")
            # The driver prints a line for each file. A name in its own module shadows the built-in for it alone;
            # redirecting stdout would swallow what the other threads print.
            vars(importlib.import_module("pyttsx3.drivers.espeak"))["print"] = _say_nothing
        except (ImportError, RuntimeError, OSError) as exc:
            raise VoiceMissing(NOT_INSTALLED) from exc
        self._finished = threading.Event()
        self._completed = True
        self._engine.connect("finished-utterance", self._note_finished)

    def voices(self) -> tuple[str, ...]:
        return tuple(voice.id for voice in self._engine.getProperty("voices"))

    def warm_up(self) -> None:
        """Render a first word: only the first run of the driver's loop returns too early."""
        self._run(WARM_UP)
        time.sleep(SETTLE_S)

    def write(self, request: Request) -> Sound:
        self._set("voice", request.voice)
        self._set("rate", request.rate_wpm)
        for _ in range(TRIALS):
            sound = self._run(request.text)
            if sound is not None:
                return sound
            time.sleep(SETTLE_S)
        raise VoiceMissing(NO_ANSWER)

    def _set(self, name: str, value: str | int) -> None:
        """Set a property and wait until it reads back.

        espeak-ng queues the change, loses it if a run begins meanwhile (measured: 53 of 120), and resets the rate with
        a new voice; an unknown value is accepted silently.
        """
        for _ in range(TRIALS):
            if self._engine.getProperty(name) == value:
                return
            self._engine.setProperty(name, value)
            for _ in range(round(SETTLE_S / 0.001)):
                if self._engine.getProperty(name) == value:
                    break
                time.sleep(0.001)
        raise VoiceMissing(f"The {name} {value} of the voice can't be set. Choose another one.")

    def _run(self, text: str) -> Sound | None:
        """Render once; `None` if the driver cancelled its own work, as it does with a queue that isn't empty yet."""
        handle, name = tempfile.mkstemp(prefix=f"kitchenvoice-{os.getpid()}-", suffix=".wav")
        os.close(handle)
        file = Path(name)
        try:
            self._finished.clear()
            self._engine.save_to_file(text, name)
            self._engine.runAndWait()
            self._finished.wait()
            return _read(file) if self._completed else None
        finally:
            file.unlink(missing_ok=True)

    def _note_finished(self, completed: bool = True, **_: object) -> None:
        self._completed = completed
        self._finished.set()


def _say_nothing(*_: object, **__: object) -> None:
    """Print nothing."""


def _read(file: Path) -> Sound | None:
    """Return the file's sound; `None` if it holds none."""
    try:
        with wave.open(str(file), "rb") as opened:
            data = opened.readframes(opened.getnframes())
            return Sound(np.frombuffer(data, dtype=np.int16).copy(), opened.getframerate()) if data else None
    except (wave.Error, EOFError, OSError):
        return None


def _look_from_outside(patience_s: float = 10.0) -> None:
    """Try espeak-ng in another process (about 60 ms), because it ends the process if its data files are missing."""
    try:
        found = subprocess.run(
            [sys.executable, "-S", "-c", _LOOK], capture_output=True, timeout=patience_s, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as exc:
        raise VoiceMissing(NO_ANSWER) from exc
    if found.returncode != 0:
        raise VoiceMissing(NOT_INSTALLED)


@cache
def shared_engine() -> EngineThread:
    """Return the process's engine, started at the first call. Raises: VoiceMissing (and tries again next time)."""
    if sys.platform.startswith("linux"):
        _look_from_outside()
    return EngineThread()
