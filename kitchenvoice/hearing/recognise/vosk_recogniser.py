"""The speech engine behind the ear's port: Vosk with the small US English model.

The ear itself uses `SentenceRecogniser`; phrase lists serve the stop words, and comparisons.

Limitations of the engine, and how they are handled here:
- A phrase list becomes a bigram over words, so it also accepts sentences that were never listed ("the weight is is
  rocking"); the sentence graph has a filler of such pairs beside it. Callers must check that a text is a whole
  sentence.
- A phrase list set inside an utterance aborts the process, an empty one crashes it, and a word that the model lacks is
  dropped with a line on stderr. All three are refused here before they reach the engine.
- A decoder that is reset within an utterance hears the end of it in the next one ("failed pressure is eleven" where
  only the latter was said), and keeps up to ten minutes of such sound (200 kB for three seconds, 54 MB in all). A
  phrase list is never freed when another one follows (1 to 3 kB). So both cases get a new decoder, in 0.2 to 1 ms.
- Word confidences are 1.0 for wrong words too. The confidence given here is the posterior of the first text among the
  alternatives: 1.0 if the engine kept no other text within its beam, 0.5 if two were equally likely.
  It says how far the first text stands out among what the phrase list allows, not that it was said. Measured (56 or 70
  sentences in each of five noises): the median is 0.85 to 1.0 where the sentence was right and anything from 0.44 to
  1.0 where it was wrong. So a low value is a reason to ask back, a high one is no reason to act.

The engine's speaker adaptation is reset for every utterance, so that the same sound gives the same text whoever spoke
before. Keeping it gained nothing: 272 instead of 273 of 360 sentences (8 voices; quiet, steam at 10 and 5 dB, hood at
5 dB), and a change of phrases discards it in any case.
"""

from __future__ import annotations

import json
from abc import ABC, abstractmethod
from collections.abc import Sequence
from functools import lru_cache
from importlib import metadata
from pathlib import Path
from typing import Any

import numpy as np

from kitchenvoice.audio.malloc import give_back_memory
from kitchenvoice.errors import BadGrammar
from kitchenvoice.hearing.recognise.engine import Decoder, load_model, model_for_phrases, model_with
from kitchenvoice.hearing.recognise.posteriors import shares
from kitchenvoice.hearing.thresholds import ALTERNATIVES, DITHER_PEAK, UTTERANCES_A_DECODER
from kitchenvoice.ports import EAR_RATE_HZ, ListeningGrammar, Samples, WordGraph

__all__ = ["FreeRecogniser", "SentenceRecogniser", "VoskRecogniser"]

UNKNOWN = "[unk]"


class _Engine(ABC):
    """Common base of the recognisers: one decoder on the one model of the process."""

    def __init__(self, model_folder: Path) -> None:
        self._folder = model_folder.resolve()
        self._decoder: Decoder | None = None
        self._inside = False
        self._position = 0
        self._posteriors: tuple[float, ...] = ()
        self._scores: tuple[float, ...] = ()

    @property
    def engine(self) -> str:
        """Name and version of the engine."""
        return f"vosk {metadata.version('vosk')}"

    @property
    def model(self) -> str:
        """Name of the model: its folder's name."""
        return self._folder.name

    def accept(self, samples: Samples) -> None:
        """Decode one more block of the current utterance; blocks of 0.1 s are cheapest."""
        decoder = self._ready_decoder()
        self._inside = True
        decoder.AcceptWaveform(_dithered(samples, self._position).tobytes())
        self._position += len(samples)

    def partial(self) -> str:
        """Return the text so far, `""` if none."""
        if not self._inside:
            return ""
        return str(json.loads(self._ready_decoder().PartialResult()).get("partial", ""))

    def finish(self) -> tuple[tuple[str, ...], float]:
        """End the utterance; return its alternatives (best first, none twice, none empty) and the confidence 0..1."""
        if not self._inside:
            return (), 1.0
        answer = json.loads(self._ready_decoder().FinalResult())
        self._inside = False
        self._position = 0
        texts, self._scores = _ranked(answer.get("alternatives", []))
        self._posteriors = shares(self._scores)
        return texts, self._posteriors[0] if self._posteriors else 1.0

    def drop(self) -> None:
        """End the utterance without a result: the alternatives of a long one cost seconds of work."""
        if self._inside:
            self._decoder = self._made()
            self._inside = False
            self._position = 0
            self._posteriors = self._scores = ()

    @property
    def posteriors(self) -> tuple[float, ...]:
        """Posteriors of the alternatives that `finish` returned last, in their order."""
        return self._posteriors

    @property
    def scores(self) -> tuple[float, ...]:
        """Their path scores: natural logarithms, comparable between recognisers on the same sound."""
        return self._scores

    @abstractmethod
    def _made(self) -> Decoder:
        """Make a decoder for the current sentences or phrases, on the one model."""

    def _ready_decoder(self) -> Decoder:
        if self._decoder is None:
            raise RuntimeError("set_phrases or set_grammar comes before the first sound")
        return self._decoder

    def _between_utterances(self) -> None:
        if self._inside:
            raise RuntimeError("finish the utterance before changing what is listened for")


class SentenceRecogniser(_Engine):
    """Listen for whole sentences: every sentence of the kitchen, in any stage, with a filler beside them.

    The grammar then selects what can be said now among the alternatives. Not thread-safe; several recognisers share
    the model as long as they listen for the same sentences.
    """

    def __init__(
        self, model_folder: Path, kept: Path | None = None, *, rate_hz: int = EAR_RATE_HZ, seldom: bool = False
    ) -> None:
        """Make one; the compiled graph is cached in the folder `kept` between starts, if one is given.

        A `rate_hz` other than 16,000 makes the voice faster and higher, or slower and lower, by that ratio. One that is
        `seldom` used takes a new decoder for each utterance, and so keeps no memory, some 10 MB; another one takes a
        new decoder every `UTTERANCES_A_DECODER`.
        """
        super().__init__(model_folder)
        self._lasts = 1 if seldom else UTTERANCES_A_DECODER
        self._ended = 0
        self._kept = kept
        self._rate_hz = rate_hz
        self._graph: WordGraph | None = None

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Listen for all sentences of the grammar's graph; 0.5 s for a new graph, 0.2 s if it is cached on the disk.

        The graph in use costs nothing.

        Raises: ModelMissing, BadGrammar if a word isn't in the model's vocabulary, RuntimeError inside an utterance.
        """
        self._between_utterances()
        if grammar.graph is not self._graph:
            self._decoder, self._graph = self._made_for(grammar.graph), grammar.graph

    def finish(self) -> tuple[tuple[str, ...], float]:
        """End the utterance; return its alternatives (best first, none twice, none empty) and the confidence 0..1."""
        heard = super().finish()
        self._ended += 1
        if self._ended % self._lasts == 0 and self._graph is not None:
            self._decoder = self._made()
            if self._lasts > 1:  # one-utterance decoders take the same memory again, in threads that the cook waits for
                give_back_memory()
        return heard

    def _made(self) -> Decoder:
        if self._graph is None:
            raise RuntimeError("set_grammar comes before the first sound")
        return self._made_for(self._graph)

    def _made_for(self, graph: WordGraph) -> Decoder:
        decoder = Decoder(model_with(self._folder, graph, self._kept), float(self._rate_hz))
        decoder.SetMaxAlternatives(ALTERNATIVES)
        return decoder


class VoskRecogniser(_Engine):
    """Listen for a list of phrases. Not thread-safe; several recognisers share the model."""

    def __init__(self, model_folder: Path) -> None:
        super().__init__(model_folder)
        self._model = model_for_phrases(self._folder)
        self._listed = ""

    def knows(self, word: str) -> bool:
        """True if `word` is in the model's vocabulary."""
        return self._model.knows(word)

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Listen for the phrases of the grammar; see `set_phrases`."""
        self.set_phrases(grammar.phrases)

    def set_phrases(self, phrases: Sequence[str]) -> None:
        """Listen for these phrases from the next utterance on; `[unk]` is added.

        Raises: BadGrammar if there is no phrase or a word isn't in the model's vocabulary, RuntimeError inside an
        utterance.
        """
        self._between_utterances()
        self._listed = json.dumps([*self._checked(phrases), UNKNOWN])
        self._decoder = self._made()

    def _made(self) -> Decoder:
        decoder = Decoder(self._model, float(EAR_RATE_HZ), self._listed)
        decoder.SetMaxAlternatives(ALTERNATIVES)
        return decoder

    def _checked(self, phrases: Sequence[str]) -> list[str]:
        split = [phrase.split() for phrase in phrases]
        kept = [" ".join(words) for words in split if words and words != [UNKNOWN]]
        if not kept:
            raise BadGrammar("There is nothing to listen for. Give at least one phrase.")
        unknown = sorted(word for word in {word for words in split for word in words} if not self.knows(word))
        if unknown:
            raise BadGrammar(
                f"The speech model doesn't know {_listed(unknown)}. Put another spelling into the grammar."
            )
        return list(dict.fromkeys(kept))


class FreeRecogniser(_Engine):
    """Take dictation without a grammar: for tests that listen to our own spoken answers."""

    def __init__(self, model_folder: Path) -> None:
        super().__init__(model_folder)
        self._decoder = self._made()

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Ignore the grammar."""

    def _made(self) -> Decoder:
        decoder = Decoder(load_model(self._folder), float(EAR_RATE_HZ))
        decoder.SetMaxAlternatives(ALTERNATIVES)
        return decoder


def _dithered(samples: Samples, position: int) -> Samples:
    """Add fixed, quiet noise by position in the utterance, for repeatable results."""
    noise = _noise()
    picked = noise[(position + np.arange(len(samples))) % len(noise)]
    mixed: Samples = np.clip(samples.astype(np.int32) + picked, -32768, 32767).astype(np.int16)
    return mixed


@lru_cache(maxsize=1)
def _noise() -> Samples:
    noise: Samples = np.random.default_rng(20_011).integers(-DITHER_PEAK, DITHER_PEAK + 1, 48_611, dtype=np.int16)
    return noise


def _ranked(alternatives: list[dict[str, Any]]) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Drop duplicates and empty texts; return texts and path scores (natural logarithms)."""
    scores: dict[str, float] = {}
    for entry in alternatives:
        text = str(entry["text"]).strip()
        if text and text not in scores:
            scores[text] = float(entry["confidence"])
    return tuple(scores), tuple(scores.values())


def _listed(words: Sequence[str]) -> str:
    quoted = [f'"{word}"' for word in words[:10]]
    more = f" and {len(words) - 10} more words" if len(words) > 10 else ""
    return ", ".join(quoted) + more
