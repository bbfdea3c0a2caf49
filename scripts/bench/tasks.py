"""Tasks: each is one clip or one scene through one ear, and gives one plain record."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from bench import ear
from bench.corpus import CONDITIONS, Condition, human_numbers, human_recordings, place, spoken
from bench.sentences import Sentence
from bench.small_talk import talk
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar import STAGES, Grammar
from kitchenvoice.hearing import read_wav
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Utterance
from kitchenvoice.rehearsal.cook import Cook, voices
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise, mix
from kitchenvoice.rehearsal.room import in_room

__all__ = ["ATTENTION", "CommandTask", "HumanNumberTask", "NoiseTask", "TalkTask", "expected"]

ATTENTION = "kitchen voice"
Record = dict[str, Any]
_BY_NAME = {condition.name: condition for condition in CONDITIONS}


def expected(sentence: Sentence) -> Record | None:
    """Return the expected result, the grammar's own reading of the right words; `None` if register and grammar disagree
    (another intent, a slot missing or of another value)."""
    grammar = _grammar("ear", sentence)
    read = ear.meant(understand(Utterance(alternatives=(_said(sentence),)), grammar))
    if read is None or read["intent"] != sentence.intent:
        return None
    for name, value in sentence.slots.items():
        wanted = float(value) if isinstance(value, int | float) else value
        if read["slots"].get(name) != wanted:
            return None
    return read


@dataclass(frozen=True, slots=True)
class CommandTask:
    """One sentence by one voice under one condition into one ear."""

    sentence: Sentence
    cook: Cook
    rate: float
    condition: str
    system: str
    seed: int
    cache: Path

    def run(self) -> Record:
        """Return the decision."""
        speech = spoken(self.cook, _said(self.sentence), self.rate, self.cache)
        clip = place(speech, _BY_NAME[self.condition], self.seed)
        record = _heard(self.system, clip.samples, clip.speech_end, _grammar(self.system, self.sentence))
        return record | {
            "kind": "command",
            "system": self.system,
            "condition": self.condition,
            "voice": self.cook.name,
            "family": self.cook.family,
            "stage": "question" if self.sentence.question else self.sentence.stage,
            "text": _said(self.sentence),
            "phrase": self.sentence.phrase,
            "expected": expected(self.sentence),
        }


@dataclass(frozen=True, slots=True)
class HumanNumberTask:
    """A number spoken by a person as the answer to "how many?"."""

    number: int
    condition: str

    def run(self) -> Record:
        """Return the decision."""
        clip = place(human_numbers()[self.number], _BY_NAME[self.condition], self.number)
        grammar = ear.grammar_for(("count",), "optional", "count")
        record = _heard("ear", clip.samples, clip.speech_end, grammar)
        return record | {
            "kind": "human number",
            "system": "ear",
            "condition": self.condition,
            "voice": "person",
            "family": "person",
            "stage": "question",
            "text": str(self.number),
            "expected": {"intent": "number", "slots": {"value": float(self.number)}},
        }


@dataclass(frozen=True, slots=True)
class TalkTask:
    """A minute of talk not meant for us; `attention` is `required` or `optional` (a question is open)."""

    kind: str
    condition: str
    attention: ear.Attention
    seed: int
    seconds: float
    cache: Path

    def run(self) -> Record:
        """Return the false accepts."""
        random = Random(f"{self.kind} {self.condition} {self.seed}")
        sound = _over(_scene(self.kind, random, self.seconds, self.cache), _BY_NAME[self.condition], self.seed)
        stage = random.choice(("idle", "start", "pack", "canner", "vent", "come_up", "hold", "cool", "count", "keep"))
        question = random.choice(("yes_no", "count", "pressure")) if self.attention == "optional" else None
        return _accepted(sound, ear.grammar_for((stage,), self.attention, question)) | {
            "kind": "talk",
            "talk": self.kind,
            "condition": self.condition,
            "attention": self.attention,
            "stage": stage,
        }


@dataclass(frozen=True, slots=True)
class NoiseTask:
    """A stretch of noise without speech."""

    noise: str
    attention: ear.Attention
    seed: int
    seconds: float

    def run(self) -> Record:
        """Return the false accepts."""
        sound = kitchen_noise(self.noise, self.seconds, self.seed)
        question = "count" if self.attention == "optional" else None
        return _accepted(sound, ear.grammar_for(("hold",), self.attention, question)) | {
            "kind": "noise",
            "noise": self.noise,
            "attention": self.attention,
        }


def _said(sentence: Sentence) -> str:
    bare = sentence.question or sentence.intent == "attention"
    return sentence.text if bare else f"{ATTENTION} {sentence.text}"


def _grammar(system: str, sentence: Sentence) -> Grammar:
    stages = STAGES if system == "big" else (sentence.stage,)
    attention: ear.Attention = "optional" if sentence.question else "required"
    return ear.grammar_for(stages, attention, sentence.question or None)


def _heard(system: str, samples: Samples, speech_end: int, grammar: Grammar) -> Record:
    cpu = time.process_time()
    decisions = list(ear.listen(system, samples, grammar))
    cpu = time.process_time() - cpu
    whole = [ear.meant(decision.understanding) for decision in decisions]
    best = [ear.meant(ear.best_only(decision, grammar)) for decision in decisions]
    acted = next((d for d, m in zip(decisions, whole, strict=True) if m is not None), None)
    return {
        "heard": [list(decision.utterance.alternatives) for decision in decisions],
        "confidence": [decision.utterance.confidence for decision in decisions],
        "shares": [
            list(decision.utterance.posteriors) for decision in decisions
        ],  # for trying other thresholds on the records
        "above_noise_db": [decision.utterance.above_noise_db for decision in decisions],
        "reasons": [decision.understanding.reject_reason for decision in decisions],
        "meant": [m for m in whole if m is not None],
        "meant_best": [m for m in best if m is not None],
        "latency_s": None if acted is None else (acted.at - speech_end) / EAR_RATE_HZ + acted.last_block_s,
        "audio_s": len(samples) / EAR_RATE_HZ,
        "cpu_s": cpu,
    }


def _accepted(sound: Samples, grammar: Grammar) -> Record:
    cpu = time.process_time()
    accepted = []
    utterances = 0
    for decision in ear.listen("ear", sound, grammar):
        utterances += 1
        read = ear.meant(decision.understanding)
        if read is not None:
            accepted.append(
                read
                | {
                    "text": decision.understanding.text,
                    "alternatives": list(decision.utterance.alternatives),
                    "confidence": decision.utterance.confidence,
                    "at_s": decision.at / EAR_RATE_HZ,
                }
            )
    cpu = time.process_time() - cpu
    return {
        "accepted": accepted,
        "utterances": utterances,
        "audio_s": len(sound) / EAR_RATE_HZ,
        "cpu_s": cpu,
    }


def _scene(kind: str, random: Random, seconds: float, cache: Path) -> Samples:
    """Return a minute of one kind of talk with pauses of 0.2 to 1.5 s."""
    if kind in ("babble", "radio"):
        return kitchen_noise(kind, seconds, random.randrange(10**6))
    pieces: list[Samples] = []
    total = 0
    people = [cook for cook in voices() if cook.engine != "festival"]
    recordings = human_recordings()
    while total < seconds * EAR_RATE_HZ:
        if kind == "person":
            speech = _levelled(read_wav(random.choice(recordings)))
        else:
            speech = spoken(random.choice(people), talk(kind, random), random.choice((0.9, 1.0, 1.1, 1.2)), cache)
        pause = np.zeros(round(random.uniform(0.2, 1.5) * EAR_RATE_HZ), np.int16)
        pieces += [speech, pause]
        total += len(speech) + len(pause)
    return np.concatenate(pieces)


def _levelled(samples: Samples) -> Samples:
    peak = float(np.max(np.abs(samples.astype(np.int32)), initial=1))
    levelled: Samples = np.rint(samples * min(12_000.0 / peak, 8.0)).astype(np.int16)
    return levelled


def _over(scene: Samples, condition: Condition, seed: int) -> Samples:
    sound = scene if condition.distance_m is None else in_room(scene, condition.distance_m, seed % 5)
    hiss = np.rint(np.random.default_rng(seed).normal(0.0, 6.0, len(sound)))
    sound = np.clip(sound + hiss, -32768, 32767).astype(np.int16)
    if condition.snr_db is None:
        return sound
    return mix(sound, kitchen_noise("kitchen", len(sound) / EAR_RATE_HZ, seed), condition.snr_db)
