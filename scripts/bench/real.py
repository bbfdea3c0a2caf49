"""Real people beside synthetic voices, on the same tasks: numbers, other talk, orders, each under several conditions.

The recordings stay in the folder that they are given in: `labels.json` lists file, kind (`number`, `other`, `order`)
and what was said, beside it `noise/`. 16 kHz mono FLAC or WAV. An order is other talk too, over an open question.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import Any, Literal

import numpy as np

from bench import ear
from bench.corpus import spoken
from bench.orders import SLOTS, order, order_grammar
from kitchenvoice.grammar import Grammar
from kitchenvoice.hearing import settled
from kitchenvoice.hearing.thresholds import LEAD_S
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import Cook, voices
from kitchenvoice.rehearsal.kitchen_noise import active_level, kitchen_noise
from kitchenvoice.rehearsal.room import in_room

__all__ = ["CONDITIONS", "RealTask", "real_tasks", "recording"]

Source = Literal["real", "synthetic"]
Condition = Callable[[Samples, Samples, int], Samples]
_FRAME = 2048
_QUESTIONS = ("count", "yes_no", "pressure", "jar")
_FROM = {"other": ("other", "order")}


def recording(file: Path) -> Samples:
    """Return a recording of 16 kHz. Raises: OSError, RuntimeError for an unreadable one."""
    import soundfile  # an extra of the bench, not needed without recordings

    samples, rate = soundfile.read(str(file), dtype="int16")
    if rate != EAR_RATE_HZ or samples.ndim != 1:
        raise RuntimeError(f"{file} isn't 16 kHz mono. Convert it first.")
    return np.asarray(samples, dtype=np.int16)


def in_noise(speech: Samples, noise: Samples, snr_db: float, seed: int) -> Samples:
    """Mix, loudest frame of 128 ms against loudest frame; turned down together where the sum would clip."""
    start = Random(seed).randrange(max(len(noise) - len(speech), 1))
    part = np.resize(noise[start : start + len(speech)], len(speech)).astype(np.float64)
    part *= _loudest(speech) / max(_loudest(part), 1e-9) / 10.0 ** (snr_db / 20.0)
    mixed = speech + part
    return np.rint(mixed * min(1.0, 32_000.0 / max(float(np.max(np.abs(mixed))), 1.0))).astype(np.int16)


def _loudest(sound: Any) -> float:
    whole = np.resize(sound, max(len(sound) // _FRAME, 1) * _FRAME).astype(np.float64)
    return float(np.sqrt(np.max(np.mean(whole.reshape(-1, _FRAME) ** 2, axis=1))))


def _cut(speech: Samples) -> Samples:
    """Return the speech without what is softer than 30 dB below its level at both ends."""
    loud = np.nonzero(np.abs(speech.astype(np.int32)) > 0.03 * active_level(speech) + 8.0)[0]
    return speech[loud[0] : loud[-1] + 1] if len(loud) else speech


def _gained(speech: Samples, factor: float) -> Samples:
    return np.clip(np.rint(speech.astype(np.float64) * factor), -32768, 32767).astype(np.int16)


CONDITIONS: dict[str, Condition] = {
    "as recorded": lambda speech, _noise, _seed: speech,
    "cut close": lambda speech, _noise, _seed: _cut(speech),
    "clipped": lambda speech, _noise, _seed: _gained(speech, 6.0 * 3277.0 / active_level(speech)),
    "soft": lambda speech, _noise, _seed: _gained(speech, 130.0 / active_level(speech)),
    "3 m": lambda speech, _noise, seed: in_room(speech, 3.0, seed % 5),
    "12 dB": lambda speech, noise, seed: in_noise(speech, noise, 12.0, seed),
    "6 dB": lambda speech, noise, seed: in_noise(speech, noise, 6.0, seed),
}


@dataclass(frozen=True, slots=True)
class RealTask:
    """One clip under one condition; `said` is its meaning, `word` what was said, `speech` file or `cook`'s words."""

    source: Source
    kind: str
    said: str
    word: str
    speech: str
    condition: str
    seed: int
    folder: Path
    cache: Path
    cook: Cook | None = None

    def run(self) -> dict[str, Any]:
        """Return the verdict: right, asked, wrong; for other talk quiet or acted; and whether a voice was detected."""
        cpu = time.process_time()
        sound = self._sound()
        told = list(self._meanings(sound))
        acted = [meaning for meaning, _, _ in told if meaning is not None]
        if self.kind == "other":
            verdict = "acted" if acted else "quiet"
        else:
            verdict = "asked" if not acted else "right" if acted == [self.said] else "wrong"
        return {
            "source": self.source, "kind": self.kind, "condition": self.condition, "verdict": verdict,
            "said": self.said, "speech": self.speech, "acted": acted, "detected": len(told),
            "late_s": [late for _, late, _ in told], "trouble": [trouble for _, _, trouble in told],
            "cpu_s": time.process_time() - cpu, "audio_s": len(sound) / EAR_RATE_HZ,
        }  # fmt: skip

    def _sound(self) -> Samples:
        speech = recording(self.folder / self.speech) if self.cook is None else self._spoken(self.cook)
        noise = _noise(self.source, self.folder, self.condition)
        lead = np.random.default_rng(self.seed).integers(-1, 2, round(LEAD_S * EAR_RATE_HZ), dtype=np.int16)
        return np.concatenate([lead, CONDITIONS[self.condition](speech, noise, self.seed)])

    def _spoken(self, cook: Cook) -> Samples:
        return spoken(cook, self.speech, 1.0, self.cache)

    def _grammar(self) -> Grammar:
        """Return the grammar of an open question: "how many" for a number, else one to which the word is no answer."""
        asked = [ear.grammar_for(("count",), "answers", question) for question in _QUESTIONS]
        if self.kind == "number":
            return asked[0]
        others = [each for each in asked if each.answers is not None and each.answers.sentence(self.word) is None]
        return others[self.seed % len(others)]

    def _meanings(self, sound: Samples) -> Iterator[tuple[str | None, float, str | None]]:
        """Yield each utterance's meaning as a string, its latency and its fault."""
        if self.kind == "order":
            grammar = _orders()
            for heard in ear.utterances(sound, grammar):
                meaning = settled(heard, lambda text: _flat(order(text)) if grammar.is_sentence(text) else None)
                yield meaning, heard.latency_s, heard.trouble
            return
        for decision in ear.listen("ear", sound, self._grammar()):
            read = ear.meant(decision.understanding)
            told = None if read is None else f"{read['slots'].get('value', read['intent'])}"
            yield told, decision.utterance.latency_s, decision.utterance.trouble


@lru_cache(maxsize=1)
def _orders() -> Any:
    return order_grammar()


@lru_cache(maxsize=4)
def _noise(source: Source, folder: Path, condition: str) -> Samples:
    if not condition.endswith("dB"):
        return np.zeros(1, np.int16)
    return recording(folder / "noise" / "kitchen.flac") if source == "real" else kitchen_noise("kitchen", 120.0, 1)


def _flat(slots: dict[str, str]) -> str:
    return ", ".join(f"{slot} {value}" for slot, value in sorted(slots.items()))


def real_tasks(folder: Path, cache: Path, every: int) -> list[RealTask]:
    """Return the tasks: every so many-th clip of each kind, and as many by synthetic voices that say the same.

    Raises: OSError, ValueError if `labels.json` is missing or damaged.
    """
    labels = json.loads((folder / "labels.json").read_text("utf-8"))
    people = voices()
    tasks = []
    for kind in ("number", "other", "order"):
        of_kind = [label for label in labels if label["kind"] in _FROM.get(kind, (kind,))]
        for number, label in enumerate(of_kind):
            for place, condition in enumerate(_conditions(kind)):
                if (number + place) % every:
                    continue
                said, words = _said(label, kind)
                common = (condition, number, folder, cache)
                tasks.append(RealTask("real", kind, said, words, label["file"], *common))
                tasks.append(RealTask("synthetic", kind, said, words, words, *common, people[number % len(people)]))
    Random(1).shuffle(tasks)
    return tasks


def _conditions(kind: str) -> tuple[str, ...]:
    return {"number": tuple(CONDITIONS), "other": ("as recorded", "12 dB")}.get(kind, ("as recorded", "12 dB", "6 dB"))


def _said(label: dict[str, Any], kind: str) -> tuple[str, str]:
    """Return the meaning and words for a synthetic voice that say the same; an order as other talk has no meaning."""
    if label["kind"] == "number":
        return f"{float(label['value'])}", label["word"]
    if label["kind"] == "other":
        return "", label["word"]
    slots = label["slots"]
    before = [slots[slot] for slot in ("size", "numberOfShots", "roast", "coffeeDrink") if slot in slots]
    within = [slots[slot] for slot in SLOTS if slot in slots and slot.endswith("Amount")]
    said = "" if kind == "other" else _flat(slots)
    return said, " ".join(["make me a", *before, *(["with", " and ".join(within)] if within else [])])
