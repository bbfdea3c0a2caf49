"""A cook with ears: silent while the program speaks, answers to its questions, a no to a wrong read-back.

The last question decides the answer, so that the cook follows wherever the program leads: when it asks again, when it
heard something else, and when it goes back.
"""

from __future__ import annotations

import os
import re
import subprocess
import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from kitchenvoice.ports import EAR_RATE_HZ
from kitchenvoice.rehearsal.cook import Cook
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise

from .kitchen import Kitchen, Program

__all__ = ["AnswerBook", "Hood", "SpokenCook"]

Answer = str | Callable[[str], str | None]

_AGAIN = re.compile(r"Say that again\?|I didn't get that|too softly|I hear nothing")
_WAITS = re.compile(r"say (.*), and then your answer")
_ASKED_BACK = re.compile(r"Did you say (.*)\?")
_UNHEARD_S = 9.0
"""Words without an answer are said again after this time: longer than the ear needs for its decision."""


@dataclass
class AnswerBook:
    """Answers to questions: of the entries that match, the one latest in the program's words counts.

    `read_backs` are the words expected after an answer; anything else is answered with no.
    """

    answers: Iterable[tuple[str, Answer]]
    read_backs: Mapping[str, str] = field(default_factory=dict)
    said: str = ""
    corrections: int = 0
    _asked: str = ""

    def to(self, text: str) -> str | None:
        """Return the answer, `None` if nothing was asked."""
        if asked := _ASKED_BACK.search(text):
            return "yes" if _plain(asked[1]) in _plain(self.said) else "no"
        if _AGAIN.search(text):
            return self.said
        if waits := _WAITS.search(text):
            self.said = f"{waits[1]} {self.said}"
            return self.said
        found = [(match.end(), *entry) for entry in self.answers for match in re.finditer(entry[0], text)]
        if not found:
            return None
        _, asked, answer = max(found, key=lambda each: each[0])
        before, self._asked = self._asked, asked
        wanted = self.read_backs.get(self.said)
        if wanted is not None and wanted not in text and asked != before:
            self.corrections += 1
            return "no"
        return answer if isinstance(answer, str) else answer(text)


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^a-z ]", " ", text.lower()).split())


class Hood:
    """Noise at the virtual microphone until it is closed; `below_db`: how far below a voice at -20 dBFS."""

    def __init__(self, kitchen: Kitchen, below_db: float, *, kind: str = "hood", minutes: int = 15) -> None:
        noise = kitchen_noise(kind, 20.0, 5).astype(np.float64) * 10.0 ** (-below_db / 20.0)
        file = kitchen.folder / "hood.raw"
        file.write_bytes(np.tile(np.rint(noise).astype(np.int16), 3 * minutes).tobytes())
        words = ["paplay", "--raw", f"--rate={EAR_RATE_HZ}", "--channels=1", "--format=s16le", "--device=room"]
        self._player = subprocess.Popen([*words, str(file)], env=os.environ | kitchen.environment)

    def close(self) -> None:
        """Turn it off."""
        self._player.kill()
        self._player.wait(5.0)


class SpokenCook:
    """A synthetic voice in the virtual room, with ears for the program."""

    def __init__(self, kitchen: Kitchen, program: Program, voice: Cook, show: Callable[[str], None]) -> None:
        self._kitchen = kitchen
        self._program = program
        self._voice = voice
        self._show = show
        self._read = 0
        self.spoken = 0
        self.repeated = 0

    def converse(self, book: AnswerBook, until: Callable[[], bool], limit_s: float) -> None:
        """Go on answering until it is so. Raises: AssertionError after `limit_s`."""
        end_t = time.perf_counter() + limit_s
        spoken_t, waits = time.perf_counter(), False
        while not until():
            assert time.perf_counter() < end_t, f"it never came to its end: {self._program.story()[-3000:]}"
            text = self._told()
            if text:
                self._kitchen.speaker.wait_quiet(spoken_t, 2.5, 90.0)
                text += self._told()
            answer = book.to(text) if text else None
            if waits and not text and time.perf_counter() - spoken_t > _UNHEARD_S:
                answer = book.said
            if answer is None:
                waits = waits and not text
                time.sleep(0.1)
                continue
            self.repeated += answer == book.said and not text.endswith("right? ")
            if not _ASKED_BACK.search(text):
                book.said = answer
            self._say(answer)
            spoken_t, waits = time.perf_counter(), True

    def _say(self, words: str) -> None:
        self._show(f"cook:    {words}")
        self.spoken += 1
        self._kitchen.say(self._voice.say(words))

    def _told(self) -> str:
        """Return what the program said since the last look."""
        fresh = [line for _, line in self._program.pieces[self._read :]]
        self._read += len(fresh)
        for line in fresh:
            if line["who"] == "heard" and line["text"]:
                self._show(f"heard:   {line['text']}   ({line['event']})")
            elif line["who"] == "trouble":
                self._show(f"trouble: {line['text']}")
        told = [line["text"] for line in fresh if line["who"] in ("kitchenvoice", "practice") and line["text"]]
        for text in told:
            self._show(f"answer:  {text}")
        return "".join(f"{text} " for text in told)
