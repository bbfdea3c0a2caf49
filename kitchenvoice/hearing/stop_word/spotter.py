"""Stop-word spotter: echo cancellation, then a recogniser that knows only the stop words and our own sentence's words.

Everything else stays half duplex. Pure: samples in, at most a text out. Our own sentences may contain stop words ("say
stop talking"): such a sentence is spoken to its end, since an adaptive filter can't be trusted with that.
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
"""What is heard for a phrase while our own sentence has the other word ("start a load"); nobody says it then."""
WINDOW_S = 0.5
WINDOWS = 12
LEAST_WINDOWS = 4
"""The filter is judged by the median of the last 6 s of our own speech, 2 s at least."""
TALKED_OVER = 6
"""So many consecutive windows with little attenuation are double talk; with more, the room has changed. They used to
count at once, and a cook who stopped each answer after a second or two of it spoke in half of them: 7 of 14 tries in
the virtual room, where the filter itself attenuated by 13 to 28 dB whenever nobody talked."""
CLEAN_DB = 6.0
"""Least attenuation at which the residue is listened to. At first the filter knows nothing (4 dB in the first two
seconds, 13 in the next two, measured), and with two sound cards whose clocks differ by 100 ppm it never gets beyond
4 dB: then the ear stays half duplex. Without this rule it obeyed itself once in a greeting, and twice in 5 minutes at
20 ppm."""
FAILING_DB = 2.0
"""Attenuation below which the delay is taken to have jumped, and the filter adapts fast again."""
RECENT_S = 1.0
LEAST_DROP_DB = 3.0
DROP_SHARE = 1 / 3
"""Somebody else is talking only if, while the phrase was said, the attenuation fell by this share of its usual value in
decibels, and by `LEAST_DROP_DB`. The residue of our own voice can sound like anything: with 26 dB attenuation "control
D" was heard as "be quiet" in 6 of 12 tries, and in none of them was it less than 20 dB in any half second. A cook as
far below our own voice as can be understood at all leaves 6 dB or less."""
FAINT_DB = 30.0
"""An echo so far below the playback counts as none: a speaker in another room, or headphones."""
RINGING_S = 0.8
"""How long the end of our own sentence stays audible: the sound system's delay and the room's."""
STEP = EAR_RATE_HZ // 10
"""Samples decoded at a time; the engine works in steps of about 0.1 s."""
FULL_SCALE = 32_768.0
TINY = 1e-12
PLAYING = 30
"""Peak from which the playback counts as sound; the noise that keeps a device awake has 12."""


class StopWordSpotter:
    """Recognise the stop words through our own voice. `begin`, then `hear` block by block, then `end`."""

    def __init__(
        self,
        recogniser: PhraseRecogniser,
        attention: str,
        phrases: Sequence[str] = STOP_PHRASES,
        knows: Callable[[str], bool] = lambda _: False,
    ) -> None:
        """Listen with `recogniser` for `phrases`, with or without the wake phrase before them.

        `knows` is True for a word of the recogniser's vocabulary. Raises: BadGrammar if a phrase has another word.
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
        """Adapt to the room again, deaf until then: the delays of the sound system have changed."""
        self._canceller.doubt()
        self._taken_db.clear()
        self._talked_over.clear()
        self._powers.clear()

    def begin(self, text: str) -> None:
        """Note the sentence of ours that begins."""
        self.end()
        words = _plain(text)
        self._deaf = any(_holds(words, phrase) for phrase in self._phrases)
        self._talked_over.clear()
        self._recogniser.set_phrases([*self._wanted, *self._decoys(words)])

    def _decoys(self, words: str) -> list[str]:
        """Return our own sentence in runs of known words, to recognise its residue."""
        runs = "".join(f" {word}" if self._knows(word) else "|" for word in words.split()).split("|")
        return [run.strip() for run in runs if run.strip()]

    def end(self) -> None:
        """Note the end of the sentence; its reverberation counts as part of it."""
        self._recogniser.finish()
        self._waiting.clear()
        self._before = ""
        self._imagined = 0
        if self._deaf:
            self._deaf, self._deaf_for = False, round(RINGING_S * EAR_RATE_HZ)

    def hear(self, heard: Samples, played: Samples) -> str | None:
        """Take one hop of the microphone and of the playback; return a stop phrase, if one was said."""
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
        """True if the echo is attenuated enough."""
        return len(self._taken_db) >= LEAST_WINDOWS and statistics.median(self._taken_db) >= CLEAN_DB

    def _watch(self, left: Floats, heard: Floats, played: Floats) -> None:
        """Measure the attenuation; where there is none, make the filter adapt fast again."""
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
        """Keep a window's attenuation; double talk says nothing about the filter."""
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
        """True if the attenuation of the last second was clearly below the usual: then it isn't all our voice."""
        remains, came = (sum(column) + TINY for column in zip(*self._recent, strict=True))
        usual_db = statistics.median(self._taken_db)
        return 10 * math.log10(came / remains) <= usual_db - max(LEAST_DROP_DB, DROP_SHARE * usual_db)

    def _decide(self) -> str | None:
        """Obey a phrase heard in two consecutive steps: one that comes and goes was a guess."""
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
    """Return the words alone, without punctuation."""
    return " ".join("".join(letter if letter.isalpha() else " " for letter in text.lower()).split())


def _samples(sound: Floats) -> Samples:
    cut: Samples = np.clip(np.rint(sound * FULL_SCALE), -FULL_SCALE, FULL_SCALE - 1).astype(np.int16)
    return cut
