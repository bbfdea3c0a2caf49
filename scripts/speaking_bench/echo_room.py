"""Simulated room: the echo of our own voice at the microphone, with a cook who talks over it. No device."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from kitchenvoice.hearing.stop_word.echo_canceller import HOP
from kitchenvoice.hearing.stop_word.spotter import StopWordSpotter
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Synthesiser
from kitchenvoice.rehearsal.cook import voice
from kitchenvoice.rehearsal.room import impulse_response, in_room
from kitchenvoice.rehearsal.scenario import plain_words
from kitchenvoice.speaking.levels import levelled

ROOT = Path(__file__).resolve().parents[2]
DEVICE_S = 0.06
"""Delay of the sound system, the same as the virtual room's."""
SPEAKER_M = 0.6
"""Distance from speaker to microphone."""
TAIL_S = 0.6
NOISE_DBFS = -60.0

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Try:
    """A cook says `phrase` over one of our sentences, `at_s` after its start, from `distance_m` away."""

    who: str
    phrase: str
    distance_m: float
    at_s: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """Outcome: the delay from the phrase's last sample to obedience; `None` if it wasn't obeyed."""

    tried: Try
    after_s: float | None


class EchoRoom:
    """A kitchen with an echo of the speaker at `echo_db` below the playback."""

    def __init__(self, echo_db: float, seed: int, *, drive: float = 1.0, drift_ppm: float = 0.0) -> None:
        """`drive` above 1 overdrives the speaker (soft clipping); `drift_ppm` is the difference of the two clocks."""
        self._echo_db = echo_db
        self._drive = drive
        self._drift_ppm = drift_ppm
        response = impulse_response(SPEAKER_M, seed)
        self._response = np.concatenate([np.zeros(round(DEVICE_S * EAR_RATE_HZ)), response])
        self._ringing: Floats = np.zeros(0)
        self._noise = np.random.default_rng(seed)
        self._drifted = 0.0

    def echo(self, played: Floats) -> Floats:
        """Return the echo of `played`; its reverberation comes with the next call."""
        driven = np.tanh(played * self._drive) / self._drive if self._drive > 1.0 else played
        size = 1 << (len(driven) + len(self._response)).bit_length()
        wet = np.fft.irfft(np.fft.rfft(driven, size) * np.fft.rfft(self._response, size), size)
        wet = wet[: len(driven) + len(self._response)]
        loud, wet_loud = np.sqrt(np.mean(played**2)), np.sqrt(np.mean(wet[: len(played)] ** 2))
        wet *= loud / max(wet_loud, 1e-9) * 10 ** (self._echo_db / 20) if loud else 0.0
        wet[: len(self._ringing)] += self._ringing[: len(wet)]
        self._ringing = wet[len(played) :]
        heard = wet[: len(played)]
        if self._drift_ppm:
            at = np.arange(len(heard)) * (1.0 + self._drift_ppm * 1e-6) + self._drifted
            self._drifted += len(heard) * self._drift_ppm * 1e-6
            heard = np.interp(at, np.arange(len(heard)), heard)
        return heard + self._noise.normal(0.0, 10 ** (NOISE_DBFS / 20), len(heard))


@lru_cache(maxsize=1)
def own_sentences() -> tuple[str, ...]:
    """Return the program's own sentences: those written in the scenarios, and those of its texts."""
    found: dict[str, None] = {}
    for file in sorted((ROOT / "tests" / "scenarios").glob("*.txt")):
        for line in file.read_text("utf-8").splitlines():
            if line.startswith("< ") and len(line.split()) > 3:
                found[line[2:].strip()] = None
    for text in re.findall(r'= "([^"]+)"', (ROOT / "kitchenvoice/language/texts/en.toml").read_text("utf-8")):
        if len(text.split()) > 3:
            found[re.sub(r"\{\w+\}", "twelve", text)] = None
    return tuple(found)


def spoken(synthesiser: Synthesiser, text: str) -> Floats:
    """Return one of our sentences at 16 kHz as played, full scale 1, with the silence after it."""
    sound = levelled(synthesiser.render(text))
    even = soxr.resample(sound.samples.astype(np.float64) / 32768.0, sound.rate_hz, EAR_RATE_HZ)
    length = -(-(len(even) + round(TAIL_S * EAR_RATE_HZ)) // HOP) * HOP
    return np.pad(even, (0, length - len(even)))


@lru_cache(maxsize=256)
def cook(who: str, phrase: str, distance_m: float, seed: int) -> Samples:
    """Return a cook's phrase at the microphone, trimmed to where it is loud."""
    said = voice(who).say(phrase)
    loud = np.flatnonzero(np.abs(said) > 0.02 * np.abs(said).max())
    return in_room(said[loud[0] : loud[-1] + 1], distance_m, seed)


def hear_out(
    ear: StopWordSpotter, room: EchoRoom, text: str, played: Floats, over: Floats | None = None
) -> float | None:
    """Speak one sentence to its end; return when the ear recognised a stop word, in seconds from its start."""
    heard = room.echo(played) + (0.0 if over is None else over)
    ear.begin(text)
    stopped = None
    for place, here, there in _hops(heard, played):
        if ear.hear(here, there) is not None and stopped is None:
            stopped = (place + HOP) / EAR_RATE_HZ
    ear.end()
    return stopped


def _hops(heard: Floats, played: Floats) -> Iterator[tuple[int, Samples, Samples]]:
    both = [np.clip(np.rint(sound * 32767), -32767, 32767).astype(np.int16) for sound in (heard, played)]
    for place in range(0, len(heard) - HOP + 1, HOP):
        yield place, both[0][place : place + HOP], both[1][place : place + HOP]


def attempt(
    ear: StopWordSpotter, room: EchoRoom, text: str, played: Floats, tried: Try, seed: int, gain_db: float
) -> Outcome:
    """Let a cook talk over a sentence."""
    said = cook(tried.who, tried.phrase, tried.distance_m, seed).astype(np.float64) / 32768.0
    begin = round(tried.at_s * EAR_RATE_HZ)
    over = np.zeros(len(played))
    part = said[: len(played) - begin] * 10 ** (gain_db / 20)
    over[begin : begin + len(part)] = part
    stopped = hear_out(ear, room, text, played, over)
    dry_s = len(said) / EAR_RATE_HZ - _RINGING_S
    good = stopped is not None and stopped > tried.at_s
    return Outcome(tried, stopped - tried.at_s - dry_s if good and stopped is not None else None)


_RINGING_S = 0.6
"""Reverberation that `in_room` adds after the last sample of the dry phrase."""


def tries(count: int, seed: int, voices: Sequence[str], phrases: Sequence[str]) -> list[Try]:
    """Return so many tries, cycling through voices, phrases and distances."""
    rng = np.random.default_rng(seed)
    return [
        Try(
            voices[n % len(voices)],
            phrases[n // len(voices) % len(phrases)],
            (1.0, 2.0, 3.0)[n % 3],
            rng.uniform(0.3, 1.0),
        )
        for n in range(count)
    ]


def is_quiet_about_it(text: str) -> bool:
    """True if one of our sentences contains no stop word."""
    return not any(word in plain_words(text).split() for word in ("stop", "talking", "quiet"))
