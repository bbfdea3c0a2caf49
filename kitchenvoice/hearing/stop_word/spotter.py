"""The ear that is open while we speak: our own voice is taken out, and of all words only those that stop us are known.

Everything else stays half duplex. Pure: samples in, at most a text out. Our own sentences may hold the words that stop
us ("say stop talking"): such a sentence is spoken to its end, since a filter that learns can't be trusted with that.
"""

from __future__ import annotations

import math
import statistics
from collections import deque
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from kitchenvoice.hearing.stop_word.echo_canceller import HOP, EchoCanceller
from kitchenvoice.ports import EAR_RATE_HZ, PhraseRecogniser, Samples

__all__ = ["STOP_PHRASES", "StopWordSpotter"]

Floats = npt.NDArray[np.float64]

STOP_PHRASES = ("stop talking", "be quiet")
ALSO_HEARD = {"stop talking": "start talking"}
"""What is heard for a phrase while a sentence of ours holds the other word ("start a load"); nobody says it then."""
WINDOW_S = 0.5
WINDOWS = 12
LEAST_WINDOWS = 4
"""How well the filter works is judged by the middle of the last 6 s of our own speech, 2 s at least."""
TALKED_OVER = 6
"""So many windows in a row in which little is taken away are a cook's; with more the room has changed. They used to
count at once, and one who stopped each answer after a second or two of it spoke in half of them: 7 of 14 tries in the
virtual room, where the filter itself took 13 to 28 dB away whenever nobody talked."""
CLEAN_DB = 6.0
"""Only while it takes so much away is its rest listened to. At first it knows nothing (4 dB in the first two seconds,
13 in the next two, measured), and with two sound cards whose clocks differ by 100 ppm it never gets beyond 4 dB: then
it stays half duplex. Without this rule it obeyed itself once in a greeting, and twice in 5 minutes at 20 ppm."""
FAILING_DB = 2.0
"""Below this a delay has jumped, and is learnt again."""
RECENT_S = 1.0
LEAST_DROP_DB = 3.0
DROP_POSTERIOR = 1 / 3
"""Somebody else is talking only if, while the phrase was said, so much less was taken away than usual, in decibels and
as a share of the usual ones. The rest of our own voice can sound like anything: with 26 dB taken away "control D" was
heard as "be quiet" in 6 of 12 tries, and in none of them was less than 20 dB taken away in any half second. A cook as
far below our own voice as it can be understood at all leaves 6 dB or less."""
FAINT_DB = 30.0
"""An echo so far below what we play is none: a speaker in another room, or headphones."""
RINGING_S = 0.8
"""How long the end of a sentence of ours can still be heard: the sound system's delay and the room's."""
STEP = EAR_RATE_HZ // 10
"""Samples that are decoded at a time; the engine works in steps of about 0.1 s."""
FULL_SCALE = 32_768.0
TINY = 1e-12
PLAYING = 30
"""Peak from which on what we play counts as sound; the noise that wakes a device has 12."""


class StopWordSpotter:
    """Hear the words that stop us through our own voice. `begin`, then `hear` block by block, then `end`."""

    def __init__(
        self,
        recogniser: PhraseRecogniser,
        attention: str,
        phrases: Sequence[str] = STOP_PHRASES,
        knows: Callable[[str], bool] = lambda _: False,
    ) -> None:
        """Listen with `recogniser` for `phrases`, with the wake phrase before them or without.

        `knows` tells whether the recogniser's model has a word. Raises: BadGrammar if it lacks one of the phrases'.
        """
        self._recogniser = recogniser
        self._phrases = tuple(phrases)
        self._wanted = [*phrases, *(f"{attention} {phrase}" for phrase in phrases)]
        self._knows = knows
        recogniser.set_phrases(self._wanted)
        self._canceller = EchoCanceller()
        self._powers: list[tuple[float, float, float]] = []
        self._taken_db: deque[float] = deque(maxlen=WINDOWS)
        self._talked_over: list[float] = []
        self._recent: deque[tuple[float, float]] = deque(maxlen=round(RECENT_S * EAR_RATE_HZ / HOP))
        self._waiting: list[Samples] = []
        self._deaf = False
        self._deaf_for = 0
        self._before = ""
        self._imagined = 0

    def doubt(self) -> None:
        """Learn the room again, and listen to nothing until then: the delays of the sound system have changed."""
        self._canceller.doubt()
        self._taken_db.clear()
        self._talked_over.clear()
        self._powers.clear()

    def begin(self, text: str) -> None:
        """Hear that a sentence of ours begins, and which."""
        self.end()
        words = _plain(text)
        self._deaf = any(_holds(words, phrase) for phrase in self._phrases)
        self._talked_over.clear()
        self._recogniser.set_phrases([*self._wanted, *self._decoys(words)])

    def _decoys(self, words: str) -> list[str]:
        """Return what we say ourselves, in runs of known words: a rest of it is then heard as what it is."""
        runs = "".join(f" {word}" if self._knows(word) else "|" for word in words.split()).split("|")
        return [run.strip() for run in runs if run.strip()]

    def end(self) -> None:
        """Hear that the sentence is over; what it leaves in the room counts as part of it."""
        self._recogniser.finish()
        self._waiting.clear()
        self._before = ""
        self._imagined = 0
        if self._deaf:
            self._deaf, self._deaf_for = False, round(RINGING_S * EAR_RATE_HZ)

    def hear(self, heard: Samples, played: Samples) -> str | None:
        """Take one hop of the microphone and what was in the air then; return the phrase that was said, if one was."""
        left = self._canceller.clean(heard / FULL_SCALE, played / FULL_SCALE)
        came = heard / FULL_SCALE
        self._recent.append((float(left @ left), float(came @ came)))
        if np.abs(played).max(initial=0) >= PLAYING:
            self._watch(left, came, played / FULL_SCALE)
        self._deaf_for = max(0, self._deaf_for - HOP)
        if self._deaf or self._deaf_for or not self.clean:
            return None
        self._waiting.append(_samples(left))
        if len(self._waiting) * HOP < STEP:
            return None
        self._recogniser.accept(np.concatenate(self._waiting))
        self._waiting.clear()
        return self._decide()

    @property
    def clean(self) -> bool:
        """Tell whether enough of our own voice is taken out."""
        return len(self._taken_db) >= LEAST_WINDOWS and statistics.median(self._taken_db) >= CLEAN_DB

    def _watch(self, left: Floats, heard: Floats, played: Floats) -> None:
        """Measure how much is taken out; where that is nothing, let the filter learn fast again."""
        self._powers.append((float(left @ left), float(heard @ heard), float(played @ played)))
        if len(self._powers) * HOP < WINDOW_S * EAR_RATE_HZ:
            return
        remains, came, went = (sum(column) + TINY for column in zip(*self._powers, strict=True))
        self._powers.clear()
        faint = 10 * math.log10(went / came) > FAINT_DB
        self._note(FAINT_DB if faint else 10 * math.log10(came / remains))
        if len(self._taken_db) == WINDOWS and statistics.median(self._taken_db) < FAILING_DB:
            self.doubt()

    def _note(self, taken_db: float) -> None:
        """Keep what a window tells of the filter; one that a cook talked over tells nothing."""
        if not self.clean or taken_db >= CLEAN_DB:
            self._talked_over.clear()
            self._taken_db.append(taken_db)
            return
        self._talked_over.append(taken_db)
        if len(self._talked_over) > TALKED_OVER:
            self._taken_db.clear()
            self._taken_db.extend(self._talked_over)
            self._talked_over.clear()

    def _somebody_talks(self) -> bool:
        """Tell whether clearly less of the last second was taken away than usual: then it isn't all ours."""
        remains, came = (sum(column) + TINY for column in zip(*self._recent, strict=True))
        usual_db = statistics.median(self._taken_db)
        return 10 * math.log10(came / remains) <= usual_db - max(LEAST_DROP_DB, DROP_POSTERIOR * usual_db)

    def _decide(self) -> str | None:
        """Obey what was heard in two steps running: what comes and goes at once was a guess."""
        text = self._recogniser.partial()
        said = next((phrase for phrase in self._phrases if _holds(text, phrase)), None)
        before, self._before = self._before, said or ""
        if said is None or before != said:
            return None
        if not self._somebody_talks():
            self._imagined += 1
            if self._imagined * STEP >= RECENT_S * EAR_RATE_HZ:
                self.end()  # else the next clatter would make it true
            return None
        self.end()
        return said


def _holds(text: str, phrase: str) -> bool:
    return any(f" {form} " in f" {text} " for form in (phrase, ALSO_HEARD.get(phrase, phrase)))


def _plain(text: str) -> str:
    """Return only the words, so that a comma between two of them hides nothing."""
    return " ".join("".join(letter if letter.isalpha() else " " for letter in text.lower()).split())


def _samples(sound: Floats) -> Samples:
    cut: Samples = np.clip(np.rint(sound * FULL_SCALE), -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)
    return cut
