"""Hearing test of one cook in one kitchen: sentences to say, results, advice.

Pure but for the ear that it is given: no device, no file, no clock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from kitchenvoice.dialogue.understand import Understanding, understand
from kitchenvoice.grammar import Grammar
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Utterance

if TYPE_CHECKING:
    from kitchenvoice.hearing import Listener

__all__ = [
    "SENTENCES",
    "SentenceResult",
    "advice",
    "alike_in",
    "compared",
    "gain_for",
    "in_words",
    "judged",
    "listen_for_one",
]

SENTENCES = (
    "steam is steady",
    "weight is on",
    "pressure is eleven",
    "the pressure dropped to nine",
    "weight is rocking",
    "heat is off",
    "the gauge is at zero",
    "fifteen jars are in",
    "six sealed and one failed",
    "next",
    "stop talking",
    "where are we",
)
"""To be said after the wake phrase: reports, counts and short words, each understood in some stage."""

PATIENCE_S = 12.0
"""How long a sentence is waited for, seconds of sound. Judgement: long enough to read it twice."""

_USUAL_DBFS, _MOST_GAIN_DB, _TAKEN_BACK_DB = -27.0, 30.0, 12.0
"""Level to which a soft voice is raised, by how much at most, and what is taken back where it clips. Judgement, the
first by `hearing.thresholds.TOO_SOFT_DBFS`."""
_SOFT_DBFS = -42.0
"""From here down a little less is too soft: see `hearing.thresholds.TOO_SOFT_DBFS`."""
_NEAR_DB = 12.0
"""Speech so little above the noise loses one command in six (tests/bench/hearing.md, between 10 and 20 dB)."""
_FRAME = 512
_SCORES = ((1.0, "very well"), (0.9, "well"), (0.75, "fairly well"), (0.5, "badly"), (0.0, "hardly at all"))
"""Least share of the sentences understood, and what it amounts to. Judgement."""


@dataclass(frozen=True, slots=True)
class SentenceResult:
    """What was made of one sentence. Levels are in dB below full scale; `level_dbfs` is `None` if nothing was heard.

    `mistaken` is a number that was said, and the one it was taken for: "eleven seven".
    """

    said: str
    text: str
    right: bool
    reason: str | None
    level_dbfs: float | None
    noise_dbfs: float
    trouble: str | None = None
    mistaken: str = ""

    def fields(self) -> dict[str, Any]:
        """Return it as plain data."""
        level = None if self.level_dbfs is None else round(self.level_dbfs, 1)
        return {
            "said": self.said,
            "heard": self.text,
            "right": self.right,
            "reason": self.reason,
            "level_dbfs": level,
            "noise_dbfs": round(self.noise_dbfs, 1),
            "trouble": self.trouble,
        }

    def line(self) -> str:
        """Return it as a line for a terminal."""
        if self.right:
            return "     as you said it"
        if self.level_dbfs is None:
            return f"     I heard nothing within {PATIENCE_S:.0f} seconds"
        return f"     not sure; nearest: {self.text}" if self.reason else f"     taken for: {self.text}"


def listen_for_one(blocks: Iterator[Samples], listener: Listener) -> tuple[Samples, tuple[Utterance, ...]]:
    """Listen until one utterance has ended, or `PATIENCE_S` of sound have come; return the sound and what was heard."""
    came: list[Samples] = []
    heard: tuple[Utterance, ...] = ()
    for block in blocks:
        came.append(block)
        heard += listener.feed(block)
        length = sum(map(len, came))
        if (heard and not listener.hearing_speech) or length >= PATIENCE_S * EAR_RATE_HZ:
            break
    sound = np.concatenate(came) if came else np.zeros(0, np.int16)
    return sound, heard + listener.flush()


def judged(said: str, heard: Sequence[Utterance], sound: Samples, grammar: Grammar) -> SentenceResult:
    """Compare the meaning understood with the meaning of the words."""
    noise = _noise_dbfs(sound)
    if not heard:
        return SentenceResult(said, "", False, "silence", None, noise)
    wanted = understand(Utterance((said,)), grammar)
    told = [(utterance, understand(utterance, grammar)) for utterance in heard]
    taken = [pair for pair in told if pair[1].intent is not None]
    utterance, understood = (taken or told)[0]
    right = len(taken) == 1 and _meaning(understood) == _meaning(wanted)
    reason = None if taken else understood.reject_reason
    mistaken = "" if right else _mistaken(said, understood.text, grammar)
    return SentenceResult(
        said, understood.text, right, reason, utterance.level_dbfs, noise, utterance.trouble, mistaken
    )


def advice(heard: Sequence[SentenceResult]) -> str:
    """Return the one thing that would help most."""
    spoken = [(each.level_dbfs, each.noise_dbfs) for each in heard if each.level_dbfs is not None]
    if not spoken:
        return "I heard nothing of you. Run kitchenvoice check, and look at the microphone it names."
    level, noise = (float(np.median(values)) for values in zip(*spoken, strict=True))
    if _are_too_loud(heard):
        return "You are too loud for the microphone. Turn its level down, or step back."
    if level < _SOFT_DBFS:
        return "You are too soft for the microphone. Come nearer, or turn its level up."
    if level - noise < _NEAR_DB:
        return (
            f"You are only {level - noise:.0f} decibels above the noise. Come nearer, turn the hood down, or wear a "
            "headset or a collar microphone: that helps most."
        )
    if all(each.right for each in heard):
        return "Stay where you are."
    return f"You are {level - noise:.0f} decibels above the noise. Say each sentence in one go, without a pause in it."


def gain_for(heard: Sequence[SentenceResult], gain_db: float) -> float:
    """Return the gain that brings a soft voice to the usual level, with `gain_db` until now."""
    spoken = [each.level_dbfs for each in heard if each.level_dbfs is not None]
    if _are_too_loud(heard):
        return max(0.0, gain_db - _TAKEN_BACK_DB)
    if not spoken or (level := float(np.median(spoken))) >= _SOFT_DBFS:
        return gain_db
    return min(_MOST_GAIN_DB, gain_db + round(_USUAL_DBFS - level))


def alike_in(heard: Sequence[SentenceResult], before: Sequence[str]) -> tuple[str, ...]:
    """Return this cook's numbers that are taken for others; of those from `before` only what wasn't said again."""
    said_now = {word for each in heard if each.text for word in each.said.split()}
    kept = [pair for pair in before if pair.split()[0] not in said_now]
    return tuple(dict.fromkeys((*kept, *(each.mistaken for each in heard if each.mistaken))))


def _mistaken(said: str, text: str, grammar: Grammar) -> str:
    """Return the one word that was heard as another, and that, if it makes nothing but another number of the report."""
    apart = [pair for pair in zip(said.split(), text.split(), strict=False) if pair[0] != pair[1]]
    readings = [grammar.parse(sentence) for sentence in (said, text)]
    if len(apart) != 1 or len(said.split()) != len(text.split()) or not all(readings):
        return ""
    meant, heard = (read[0] for read in readings)
    numbers = [type(slots[name]) in (int, float) for slots in (meant.slots, heard.slots) for name in slots]
    return " ".join(apart[0]) if meant.intent == heard.intent and any(numbers) else ""


def _are_too_loud(heard: Sequence[SentenceResult]) -> bool:
    return sum(each.trouble == "too_loud" for each in heard) > len(heard) / 4


def in_words(right: int, said: int) -> str:
    """Return the score as a sentence."""
    share = right / max(said, 1)
    how = next(words for least, words in _SCORES if share >= least)
    return f"{right} of {said} as you said it: you are heard {how}."


def compared(now: Mapping[str, bool], before: Mapping[str, bool]) -> str:
    """Return the changes since the last time in the sentences said both times; `""` if there are none."""
    both = [said for said in now if said in before]
    if not both:
        return ""
    gained = [said for said in both if now[said] and not before[said]]
    lost = [said for said in both if before[said] and not now[said]]
    changes = [
        f"{what}: {', '.join(each)}." for what, each in (("Now understood", gained), ("No longer", lost)) if each
    ]
    return " ".join([f"The last time it was {sum(before[said] for said in both)} of these {len(both)}.", *changes])


def _meaning(understood: Understanding) -> tuple[str | None, dict[str, Any]]:
    return understood.intent, dict(understood.slots)


def _noise_dbfs(sound: Samples) -> float:
    """Return the level of the quietest tenth of the frames: the room without speech."""
    whole = len(sound) // _FRAME * _FRAME
    if not whole:
        return -120.0
    frames = sound[:whole].astype(np.float64).reshape(-1, _FRAME)
    power = float(np.quantile(np.mean(frames * frames, axis=1), 0.1))
    return 10.0 * float(np.log10(max(power, 1e-3) / 32768.0**2))
