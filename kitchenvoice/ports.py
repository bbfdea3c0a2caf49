"""Ports of the core: ear, mouth, clock and log. Each has a public fake in `kitchenvoice.testing`.

Sound is mono, 16 bit, as a numpy int16 array. The ear works at 16,000 samples a second; the mouth at whatever
rate its `Sound` names. Times are seconds as float. Nothing here imports audio libraries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property
from math import inf
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = [
    "EAR_RATE_HZ",
    "Announcement",
    "AnswerList",
    "Asking",
    "AudioSource",
    "Clock",
    "Event",
    "EventLog",
    "ListeningGrammar",
    "Moment",
    "PhraseRecogniser",
    "Player",
    "Recogniser",
    "Rescorer",
    "Rescoring",
    "Samples",
    "Sound",
    "Synthesiser",
    "Urgency",
    "Utterance",
    "Value",
    "WordGraph",
]

EAR_RATE_HZ = 16_000
if TYPE_CHECKING:
    Samples = npt.NDArray[np.int16]
else:
    Samples = Any  # a typed session does without numpy, whose import takes a tenth of a second

Value = str | int | float | bool | None | tuple["Value", ...] | Mapping[str, "Value"]
_NOTHING: Mapping[str, Value] = MappingProxyType({})


# ---------------------------------------------------------------- events


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One accepted fact of the day, flat and frozen, as it is stored.

    State is the fold of events. A report of the cook has the name of its intent as `kind` (`steam_steady`,
    `pressure_is`, `seal_count`), a timer's end `timer_due`, a report taken back `scratched`, with its `seq` in `data`.
    `t` is engine time in seconds since 1970-01-01 UTC; it never runs backwards in a session.
    `seq` counts from 1 without a gap; `load` is the load's number, `None` for the kitchen as a whole; `data` holds the
    slots and other particulars (JSON values only); `heard` is its sentence, `""` for an event of the clock.
    """

    seq: int
    t: float
    kind: str
    load: int | None = None
    data: Mapping[str, Value] = field(default_factory=lambda: _NOTHING)
    heard: str = ""


# ---------------------------------------------------------------- the ear


@dataclass(frozen=True, eq=False)
class WordGraph:
    """Every sentence of a kitchen, in any stage and to any question, as an acyclic deterministic automaton.

    `steps` are each state's words with the next state, `ends` its final states. `start` is the start state, `seldom`
    that of the sentences that are seldom said, `called` the state after the wake phrase. `common` are words of everyday
    talk, in sentences or not. Graphs with the same `fingerprint` are equal, in another process too; `""` where it is
    unknown.
    """

    start: int
    steps: tuple[tuple[tuple[str, int], ...], ...]
    ends: tuple[bool, ...]
    seldom: int | None = None
    called: int | None = None
    common: tuple[str, ...] = ()
    fingerprint: str = ""

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word of these sentences."""
        return frozenset(word for steps in self.steps for word, _ in steps)

    @cached_property
    def pairs(self) -> frozenset[tuple[str, str]]:
        """Every bigram of these sentences."""
        steps = [step for state in self.steps for step in state]
        return frozenset((word, follower) for word, after in steps for follower, _ in self.steps[after])


class ListeningGrammar(Protocol):
    """The sentences that can be said now, as the ear needs them."""

    @property
    def graph(self) -> WordGraph:
        """All sentences of the kitchen; the same object while foods, canners and wake phrase keep their names."""

    @property
    def phrases(self) -> tuple[str, ...]:
        """Word sequences for the recogniser's phrase list; `[unk]` is added by the recogniser."""

    def is_sentence(self, text: str) -> bool:
        """True if `text` is one whole sentence of the grammar (wake phrase included where needed)."""

    def can_continue(self, text: str) -> bool:
        """True if at least one more word could follow `text` inside a sentence of the grammar."""

    def only_asks(self, text: str) -> bool:
        """True if `text` is one whole sentence whose answer changes nothing, in each of its meanings."""

    def sentence(self, text: str) -> str | None:
        """Return the whole sentence `text` in the grammar's spelling; `None` if it isn't one."""

    def takes_words(self, text: str) -> bool:
        """True if `text` may be a note: no sentence, after the wake phrase or where a note is asked for."""

    def punctuated(self, sentence: str) -> str:
        """Return a sentence in print: with a capital letter, a comma after the wake phrase, and a full stop."""

    def heard_as(self, sentence: str) -> tuple[str, ...]:
        """Return the sentences known to be misheard as this one: "... is at nine" for "pressure is not nine"."""


class AnswerList(Protocol):
    """Answers to an open question that stand by themselves."""

    @property
    def phrases(self) -> tuple[str, ...]:
        """Word sequences for the recogniser's phrase list."""

    def sentence(self, text: str) -> str | None:
        """Return `text` in the grammar's spelling; `None` if it isn't one whole answer."""


@runtime_checkable
class Asking(Protocol):
    """A listening grammar that may hold an open question; others need not know of any."""

    @property
    def answers(self) -> AnswerList | None:
        """The answers that count without the wake phrase; `None` while no question is open."""


@dataclass(frozen=True, slots=True)
class Rescoring:
    """Score of a sentence by a second engine: the natural logarithm of its likelihood.

    `total` is for the whole sentence, `per_token` the mean over the engine's tokens. None is above 0.
    """

    total: float
    per_token: float


class Rescorer(Protocol):
    """A second engine that scores sentences that the first one may have heard."""

    def load(self) -> bool:
        """Load the models for the first question; False if the engine isn't available."""

    def judge(self, samples: Samples, sentences: Sequence[str]) -> tuple[Rescoring, ...]:
        """Return the score of each sentence for this utterance; empty if the engine isn't available."""

    def write_down(self, samples: Samples) -> str:
        """Return the words said, in print, by this engine alone; empty if it isn't available."""


_NO_OPINIONS: Mapping[str, Rescoring] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech as the engine heard it.

    `alternatives` are the engine's texts, best first; `[unk]` stands for a word outside the grammar.
    `confidence` is 0..1 (how far the chosen path stands out; 1.0 where the engine gives none).
    `posteriors` are the probabilities of the alternatives, each 0..1 and together 1; empty where the engine gives none.
    `latency_s` runs from the end of speech to this decision. `above_noise_db` is how far the level, noise included, was
    above that of the noise before it; infinite where that is unknown. `trouble` names a fault of the sound, if any:
    `too_soft`, `too_loud`, `too_long`. `opinions` holds a second engine's scores of the sentences among the
    alternatives, each in the grammar's spelling, and of the likeliest other ones; empty where it wasn't asked.
    `dictation` is its own text of what is no sentence, where words of any kind may count: a note.
    """

    alternatives: tuple[str, ...]
    confidence: float = 1.0
    audio_s: float = 0.0
    latency_s: float = 0.0
    level_dbfs: float = -30.0
    trouble: str | None = None
    posteriors: tuple[float, ...] = ()
    above_noise_db: float = inf
    opinions: Mapping[str, Rescoring] = field(default_factory=lambda: _NO_OPINIONS)
    dictation: str = ""


class Recogniser(Protocol):
    """Turn 16 kHz samples into text. One utterance at a time; opens no device."""

    @property
    def engine(self) -> str:
        """Name and version of the engine."""

    @property
    def model(self) -> str:
        """Name of the model."""

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Listen by this grammar from the next utterance on. Not to be called inside an utterance.

        Raises: BadGrammar if a word isn't in the model's vocabulary (the message names it), RuntimeError inside an
        utterance.
        """

    def accept(self, samples: Samples) -> None:
        """Decode one more block of the current utterance."""

    def partial(self) -> str:
        """Return the text so far, `""` if none."""

    def finish(self) -> tuple[tuple[str, ...], float]:
        """End the utterance; return its alternatives (best first) and the confidence 0..1."""

    def drop(self) -> None:
        """End the utterance without a result; costs nothing."""

    @property
    def posteriors(self) -> tuple[float, ...]:
        """Posteriors of the alternatives last returned; empty if the engine gives none."""

    @property
    def scores(self) -> tuple[float, ...]:
        """Log-likelihoods of the same, comparable between recognisers on one sound; empty if the engine gives none."""


class PhraseRecogniser(Recogniser, Protocol):
    """A recogniser that also takes a plain list of phrases."""

    def set_phrases(self, phrases: Sequence[str]) -> None:
        """Listen for these phrases from the next utterance on; raises as `set_grammar` does."""


class AudioSource(Protocol):
    """Source of samples: a microphone or a file."""

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks of about 20 ms at 16 kHz until the source ends or is closed.

        Raises: DeviceMissing, DeviceLost, BadAudio.
        """

    def close(self) -> None:
        """Stop; `blocks` then ends. Safe to call twice and from another thread."""


# ---------------------------------------------------------------- the mouth


class Urgency(IntEnum):
    """Priority of an announcement; a higher one interrupts a lower one."""

    CHAT = 1
    GUIDANCE = 2
    READBACK = 3
    CAUTION = 4
    ALARM = 5


@dataclass(frozen=True, slots=True)
class Announcement:
    """A sentence to be said.

    `key` names a call (`"hold_done:2"`): a newer one takes the place of an older that still waits. `true_s` is for how
    many seconds, from when it is handed over, its words stay true; `None`: for ever. `lasting` are those of its words
    that stay true after that. `tone` names a pattern played before the words (`accepted`, `refused`, `timer`, `alarm`)
    or `None`. `repeats` is how often this was called before: the louder it should be.
    """

    text: str
    urgency: Urgency = Urgency.GUIDANCE
    key: str | None = None
    true_s: float | None = None
    lasting: str = ""
    tone: str | None = None
    load: int | None = None
    repeats: int = 0


@dataclass(frozen=True, slots=True)
class Sound:
    """Samples with their sample rate."""

    samples: Samples
    rate_hz: int

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.samples) / self.rate_hz


class Synthesiser(Protocol):
    """Turn text into sound. Blocking; called from one worker."""

    @property
    def name(self) -> str:
        """Name of engine and voice."""

    def render(self, text: str) -> Sound:
        """Return the spoken text. Raises: VoiceMissing if the engine is absent or doesn't answer."""

    def set_rate_wpm(self, rate_wpm: int) -> None:
        """Speak at this many words a minute from the next sentence on."""


class Player(Protocol):
    """Play one sound at a time and stop it at once."""

    def play(self, sound: Sound, *, gain: float = 1.0, on_end: Callable[[bool], None] | None = None) -> None:
        """Start playing and return. `on_end(finished)` is called once; False if stopped or the device was lost."""

    def stop(self) -> None:
        """Fall silent within 0.1 s."""

    @property
    def playing(self) -> bool:
        """True from the first sample until the last has left the device (reported output latency included)."""

    def close(self) -> None:
        """Release the device. Safe to call twice."""


# ---------------------------------------------------------------- clock and log


@dataclass(frozen=True, slots=True)
class Moment:
    """One reading of the clock: `utc` (POSIX seconds), `elapsed` (never steps, counts suspend), `boot` (the boot's id).

    `sure` is False where the wall clock may be wrong: no battery-backed clock, and no time server reached since the
    boot.
    """

    utc: float
    elapsed: float
    boot: str = ""
    sure: bool = True


class Clock(Protocol):
    """Source of the time."""

    def now(self) -> Moment:
        """Read the wall clock and the boot-time clock."""


@runtime_checkable
class EventLog(Protocol):
    """The append-only record. When `append` has returned, the events are on the disk."""

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        """Store events in one transaction. Raises: LogbookError; then none of them is stored."""

    def read(self) -> Iterator[Event]:
        """Yield every event on which the present state depends, oldest first."""

    def close(self) -> None:
        """Release the file. Safe to call twice."""
