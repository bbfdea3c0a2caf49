"""The sounding side of a rehearsal: a synthetic cook in a noisy kitchen, the real ear, and answers as WAV files."""

from __future__ import annotations

import io
import wave
from collections.abc import Callable, Sequence
from pathlib import Path

from kitchenvoice.files import replace_file
from kitchenvoice.hearing import Another, SileroDetector, hear_samples
from kitchenvoice.ports import (
    EAR_RATE_HZ,
    Announcement,
    ListeningGrammar,
    PhraseRecogniser,
    Recogniser,
    Rescorer,
    Samples,
    Sound,
    Synthesiser,
    Utterance,
)
from kitchenvoice.rehearsal.cook import Cook
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix

__all__ = ["FileMouth", "NoisyEar", "write_wav"]

_LEAD = round(0.4 * EAR_RATE_HZ)


class NoisyEar:
    """Speak each line with a synthetic voice into kitchen noise, and recognise it with the real engine.

    `snr_db` is the level of the voice over the noise; `None` leaves the noise out.
    The sound of every line is kept as a WAV file in `folder`.
    """

    patience = 3  # a cook who isn't understood says it again, and once more

    def __init__(
        self,
        recogniser: Recogniser,
        cook: Cook,
        folder: Path | None = None,
        *,
        cleaned: Sequence[Recogniser] = (),
        again: Sequence[Another] = (),
        second: Rescorer | None = None,
        answers: Callable[[], PhraseRecogniser] | None = None,
        noise: str = "kitchen",
        snr_db: float | None = 20.0,
        seed: int = 1,
    ) -> None:
        self._recogniser = recogniser
        self._cleaned = cleaned
        self._again = again
        self._second = second
        self._answers = answers
        self._cook = cook
        self._folder = folder
        self._noise = noise
        self._snr_db = snr_db
        self._seed = seed
        self._count = 0
        self._detector = SileroDetector()
        self.latencies_s: list[float] = []

    def hear(self, words: str, grammar: ListeningGrammar) -> Utterance:
        """Return the utterance that the engine heard; an utterance without alternatives if it heard nothing."""
        self._count += 1
        sound = self._in_the_kitchen(self._cook.say(words))
        if self._folder is not None:
            write_wav(self._folder / f"{self._count:03d}-cook.wav", Sound(sound, EAR_RATE_HZ))
        heard = hear_samples(
            sound,
            self._recogniser,
            grammar,
            self._detector,
            cleaned=self._cleaned,
            again=self._again,
            second=self._second,
            answers=self._answers,
        )
        whole = next((each for each in heard if any(map(grammar.is_sentence, each.alternatives))), None)
        utterance = whole or (heard[0] if heard else Utterance(()))
        self.latencies_s.append(utterance.latency_s)
        return utterance

    def _in_the_kitchen(self, speech: Samples) -> Samples:
        if self._snr_db is None:
            return speech
        seconds = (len(speech) + 2 * _LEAD) / EAR_RATE_HZ
        return mix(speech, kitchen_noise(self._noise, seconds, self._seed + self._count), self._snr_db)


class FileMouth:
    """Synthesise every answer to a WAV file of its own."""

    def __init__(self, synthesiser: Synthesiser, folder: Path) -> None:
        self._synthesiser = synthesiser
        self._folder = folder
        self._count = 0
        self.seconds = 0.0

    def speak(self, announcement: Announcement, t: float) -> None:
        """Write the answer's sound; `t` is the simulated time of it, in seconds since the start, and names the file."""
        self._count += 1
        sound = self._synthesiser.render(announcement.text)
        self.seconds += sound.seconds
        write_wav(self._folder / f"answer-{self._count:03d}-{int(t):06d}s.wav", sound)


def write_wav(path: Path, sound: Sound) -> None:
    """Write a sound as a 16 bit mono WAV file, private to its owner. Raises: OSError."""
    raw = io.BytesIO()
    with wave.open(raw, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(sound.rate_hz)
        file.writeframes(sound.samples.tobytes())
    replace_file(path, raw.getvalue(), sync=False)
