"""Fakes of the ear for tests, rehearsals and users: texts from a script, blocks from a list, a grammar from sentences.

`ScriptedRecogniser` ignores the content of samples: only their number counts, and the texts come from its script.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from kitchenvoice.errors import BadGrammar
from kitchenvoice.ports import EAR_RATE_HZ, ListeningGrammar, Rescoring, Samples, WordGraph

__all__ = ["ListSource", "LoudnessDetector", "ScriptedOpinion", "ScriptedRecogniser", "ScriptedSpeech", "SentenceList"]


@dataclass(frozen=True, slots=True)
class ScriptedSpeech:
    """Script of one utterance.

    `partials` are (seconds of sound in the utterance, text from then on) in order; without them the first alternative
    is the partial text from the first block.
    """

    alternatives: tuple[str, ...]
    confidence: float = 1.0
    partials: tuple[tuple[float, str], ...] = ()

    def text_after(self, seconds: float) -> str:
        """Return the partial text after that much sound."""
        if not self.partials:
            return self.alternatives[0] if self.alternatives else ""
        return next((text for start, text in reversed(self.partials) if start <= seconds), "")


class ScriptedRecogniser:
    """A recogniser that answers from a script, one entry an utterance, and hears nothing at its end."""

    engine = "scripted"
    model = "none"
    posteriors: tuple[float, ...] = ()
    scores: tuple[float, ...] = ()

    def __init__(self, script: Iterable[str | ScriptedSpeech], vocabulary: Collection[str] | None = None) -> None:
        entries = (ScriptedSpeech((entry,)) if isinstance(entry, str) else entry for entry in script)
        self._script = deque(entries)
        self._vocabulary = vocabulary
        self._taken: int | None = None
        self.phrases: tuple[str, ...] = ()
        self.accepted: list[Samples] = []

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Keep the phrases of the grammar."""
        self.set_phrases(grammar.phrases)

    def set_phrases(self, phrases: Sequence[str]) -> None:
        """Keep the phrases. Raises: BadGrammar if there is none or a word isn't in the vocabulary, RuntimeError inside
        an utterance."""
        if self._taken is not None:
            raise RuntimeError("finish the utterance before changing the phrases")
        words = {word for phrase in phrases for word in phrase.split()} - {"[unk]"}
        if not words:
            raise BadGrammar("There is nothing to listen for. Give at least one phrase.")
        unknown = sorted(words - set(self._vocabulary)) if self._vocabulary is not None else []
        if unknown:
            quoted = ", ".join(f'"{word}"' for word in unknown)
            raise BadGrammar(f"The speech model doesn't know {quoted}. Put another spelling into the grammar.")
        self.phrases = tuple(phrases)

    def accept(self, samples: Samples) -> None:
        """Count the samples and keep them in `accepted`."""
        if not self.phrases:
            raise RuntimeError("set_phrases comes before the first sound")
        self._taken = (self._taken or 0) + len(samples)
        self.accepted.append(samples)

    def partial(self) -> str:
        """Return the scripted text for the sound so far."""
        if self._taken is None or not self._script:
            return ""
        return self._script[0].text_after(self._taken / EAR_RATE_HZ)

    def finish(self) -> tuple[tuple[str, ...], float]:
        """End the utterance and go on to the next entry; outside an utterance nothing was heard."""
        if self._taken is None:
            return (), 1.0
        self._taken = None
        if not self._script:
            return (), 1.0
        heard = self._script.popleft()
        return heard.alternatives, heard.confidence

    def drop(self) -> None:
        """End the utterance and go on to the next entry."""
        self.finish()


class ScriptedOpinion:
    """A second engine with scripted scores, low for any other sentence; without a script it gives none.

    `asked` records the questions: the sound, and the sentences. What it writes down is `dictation`.
    """

    def __init__(self, script: Mapping[str, Rescoring] | None = None, dictation: str = "") -> None:
        self._script = script
        self._dictation = dictation
        self.asked: list[tuple[Samples, tuple[str, ...]]] = []

    def load(self) -> bool:
        """Return True if there is a script."""
        return self._script is not None

    def judge(self, samples: Samples, sentences: Sequence[str]) -> tuple[Rescoring, ...]:
        """Record the question; answer from the script."""
        self.asked.append((samples, tuple(sentences)))
        if self._script is None:
            return ()
        return tuple(self._script.get(sentence, Rescoring(-60.0, -10.0)) for sentence in sentences)

    def write_down(self, samples: Samples) -> str:
        """Record the question, without sentences; return the dictation."""
        self.asked.append((samples, ()))
        return self._dictation


class ListSource:
    """An audio source that yields given blocks, and then raises `failure` if there is one."""

    def __init__(self, blocks: Iterable[Samples], failure: Exception | None = None) -> None:
        self._blocks = blocks
        self._failure = failure
        self._closed = False

    def blocks(self) -> Iterator[Samples]:
        """Yield the blocks until they end or the source is closed."""
        for block in self._blocks:
            if self._closed:
                return
            yield block
        if self._failure is not None and not self._closed:
            raise self._failure

    def close(self) -> None:
        """Stop."""
        self._closed = True


class LoudnessDetector:
    """A voice detector with a threshold of loudness (probability 1 above it, else 0)."""

    def __init__(self, threshold_dbfs: float = -60.0) -> None:
        self._least = 10.0 ** (threshold_dbfs / 10.0)

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Judge the frame by its mean square."""
        return 1.0 if float(np.mean(frame * frame)) >= self._least else 0.0

    def reset(self) -> None:
        """Forget nothing: frames are judged one by one."""


class SentenceList:
    """A listening grammar made of a list of whole sentences."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self._sentences = tuple(" ".join(sentence.split()) for sentence in sentences)
        split = [sentence.split() for sentence in self._sentences]
        self._beginnings = {" ".join(words[:length]) for words in split for length in range(len(words))}

    @property
    def phrases(self) -> tuple[str, ...]:
        """The sentences."""
        return self._sentences

    @cached_property
    def graph(self) -> WordGraph:
        """The sentences as a trie of words."""
        beginnings = sorted({"", *self._beginnings, *self._sentences})
        number = {text: place for place, text in enumerate(beginnings)}
        steps: list[list[tuple[str, int]]] = [[] for _ in beginnings]
        for text in beginnings:
            if text:
                before, _, word = f" {text}".rpartition(" ")
                steps[number[before.strip()]].append((word, number[text]))
        ends = tuple(text in self._sentences for text in beginnings)
        return WordGraph(number[""], tuple(tuple(sorted(each)) for each in steps), ends)

    def is_sentence(self, text: str) -> bool:
        """True if `text` is in the list."""
        return text in self._sentences

    def can_continue(self, text: str) -> bool:
        """True if `text` is the beginning of a longer sentence of the list."""
        return text in self._beginnings

    def only_asks(self, text: str) -> bool:
        """True if `text` is in the list and begins with "how" or "what"."""
        return self.is_sentence(text) and text.startswith(("how ", "what "))

    def sentence(self, text: str) -> str | None:
        """Return `text` if it is in the list."""
        return text if self.is_sentence(text) else None

    def takes_words(self, text: str) -> bool:
        """True if `text` begins with "kitchen voice" and isn't in the list."""
        return text.startswith("kitchen voice ") and not self.is_sentence(text)

    def punctuated(self, sentence: str) -> str:
        """Return the sentence with a full stop."""
        return f"{sentence}."

    def heard_as(self, sentence: str) -> tuple[str, ...]:
        """Return the sentence without its "not", if that is in the list."""
        report = sentence.replace(" not ", " ")
        return (report,) if report != sentence and self.is_sentence(report) else ()
