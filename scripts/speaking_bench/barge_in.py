"""Barge-in and false stops: the real stop-word spotter in the simulated room."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from kitchenvoice.hearing.stop_word.spotter import StopWordSpotter
from kitchenvoice.ports import EAR_RATE_HZ, Synthesiser
from speaking_bench.echo_room import EchoRoom, attempt, hear_out, is_quiet_about_it, own_sentences, spoken, tries

__all__ = ["VOICES", "OwnVoice", "Stopping", "own_voice", "stopping"]

VOICES = ("flite rms", "flite slt", "flite awb", "flite slt small", "espeak m3", "espeak f3", "festival slt")
PHRASES = ("stop talking", "kitchen voice stop talking", "be quiet", "kitchen voice be quiet")
WARM_UP = 4
"""Sentences to train the filter on first, as the greeting at the start does."""


@dataclass(frozen=True, slots=True)
class OwnVoice:
    """False stops in `minutes` of its own speech: sentence and second."""

    minutes: float
    obeyed: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Stopping:
    """Number of tries obeyed, and their delays after the phrase's end (seconds, sorted)."""

    tried: int
    after_s: tuple[float, ...]
    missed: tuple[str, ...]


def own_voice(
    make: Callable[[], StopWordSpotter], room: EchoRoom, synthesiser: Synthesiser, minutes: float
) -> OwnVoice:
    """Let it talk for so long from a cold start, its own stop words included."""
    ear, obeyed, seconds = make(), [], 0.0
    sentences = np.random.default_rng(11).permutation(own_sentences())
    while seconds < minutes * 60:
        for text in sentences:
            played = spoken(synthesiser, str(text))
            stopped = hear_out(ear, room, str(text), played)
            if stopped is not None:
                obeyed.append((str(text), stopped))
            seconds += len(played) / EAR_RATE_HZ
            if seconds >= minutes * 60:
                break
    return OwnVoice(seconds / 60, tuple(obeyed))


def stopping(
    make: Callable[[], StopWordSpotter],
    room: EchoRoom,
    synthesiser: Synthesiser,
    count: int,
    gain_db: float,
    *,
    voices: Sequence[str] = VOICES,
    phrases: Sequence[str] = PHRASES,
) -> Stopping:
    """Let cooks say the stop words over it, each time over another sentence, `gain_db` louder than recorded."""
    ear = make()
    long = [text for text in own_sentences() if is_quiet_about_it(text) and len(text.split()) >= 12]
    order = [str(text) for text in np.random.default_rng(12).permutation(long)]
    for text in order[-WARM_UP:]:
        hear_out(ear, room, text, spoken(synthesiser, text))
    outcomes = [
        attempt(ear, room, order[n % len(order)], spoken(synthesiser, order[n % len(order)]), each, n, gain_db)
        for n, each in enumerate(tries(count, 13, voices, phrases))
    ]
    after = sorted(outcome.after_s for outcome in outcomes if outcome.after_s is not None)
    missed = [f"{o.tried.who}, {o.tried.distance_m:g} m: {o.tried.phrase}" for o in outcomes if o.after_s is None]
    return Stopping(count, tuple(after), tuple(missed))
