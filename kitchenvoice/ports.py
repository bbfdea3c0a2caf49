"""The contracts with the outside: ear, mouth, clock and log. Each has a public fake in `kitchenvoice.testing`.

Sound is mono, 16 bit, as a numpy int16 array. The ear works at 16,000 samples a second; the mouth at whatever
rate its `Sound` names. Times are seconds as float. Nothing here imports audio libraries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cached_property
from hashlib import sha256
from math import inf
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Protocol, runtime_checkable

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = [
    "EAR_RATE_HZ",
    "Announcement",
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
    "content_hash",
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

    State is the fold of events. A report of the cook carries the name of its intent (`steam_steady`, `pressure_is`,
    `seal_count`); what the clock brings carries `timer_due`; a report taken back is a `scratched` event with its `seq`.
    `t` is engine time in seconds since 1970-01-01 UTC; it never runs backwards in a session.
    `seq` counts from 1 without a gap; `load` is the load's number, `None` for the kitchen as a whole; `data` holds the
    slots and other particulars (JSON values only); `heard` is the sentence it came from, `""` if the clock brought it.
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
    """Every sentence that can ever be said, in any stage and to any question, as a deterministic graph without cycles.

    `steps` are each state's words with the state that they lead to, `ends` tells where a sentence may end. `start` is
    where a sentence begins, `seldom` where one begins that can be said but seldom is, `called` where the attention
    phrase has been said. `common` are words of everyday talk, in sentences or not. Graphs of one `fingerprint` are the
    same, in another process too; `""` where that isn't known.
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
        """Every two words that follow each other somewhere."""
        steps = [step for state in self.steps for step in state]
        return frozenset((word, follower) for word, after in steps for follower, _ in self.steps[after])


class ListeningGrammar(Protocol):
    """What can be said right now, as the ear needs to know it."""

    @property
    def graph(self) -> WordGraph:
        """All that can ever be said; the same object as long as nothing is called otherwise."""

    @property
    def phrases(self) -> tuple[str, ...]:
        """Word sequences for the recogniser's phrase list; `[unk]` is added by the recogniser adapter."""

    def is_sentence(self, text: str) -> bool:
        """Tell whether `text` is one whole sentence of the grammar (wake phrase included where needed)."""

    def can_continue(self, text: str) -> bool:
        """Tell whether at least one more word could follow `text` inside a sentence of the grammar."""

    def only_asks(self, text: str) -> bool:
        """Tell whether `text` is one whole sentence whose answer changes nothing, whatever is meant by it."""

    def sentence(self, text: str) -> str | None:
        """Return the whole sentence that `text` is, as the grammar spells it; `None` if it is none."""

    def punctuated(self, sentence: str) -> str:
        """Return a sentence as it would be printed: with a capital letter, a comma after our name, and a full stop."""

    def heard_as(self, sentence: str) -> tuple[str, ...]:
        """Return the sentences that are known to be heard as this one: "... is at nine" for "pressure is not nine"."""


@dataclass(frozen=True, slots=True)
class Rescoring:
    """What a second engine thinks of a sentence: the natural logarithm of the likelihood that it was said.

    `total` is for all of it, `per_token` the mean for one of the pieces that the engine writes it in. None is above 0.
    """

    total: float
    per_token: float


class Rescorer(Protocol):
    """Another engine, asked about sentences that the first one may have heard."""

    def judge(self, samples: Samples, sentences: Sequence[str]) -> tuple[Rescoring, ...]:
        """Return what it thinks of each sentence, for this sound of an utterance; nothing if it can't be asked."""


_NO_OPINIONS: Mapping[str, Rescoring] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech as the engine heard it.

    `alternatives` are the engine's texts, best first; `[unk]` stands for a word outside the grammar.
    `confidence` is 0..1 (how far the chosen path stands out; 1.0 where the engine gives none).
    `posteriors` are the probabilities of the alternatives, each 0..1 and together 1; empty where the engine
    doesn't tell. `latency_s` runs from the end of speech to this decision. `above_noise_db` is how far the level, noise
    included, was above that of the noise before it; infinite where that isn't known. `trouble` names what was wrong
    with the sound, if anything: `too_soft`, `too_loud`, `too_long`. `opinions` holds what a second engine thinks of the
    sentences among the alternatives, each as the grammar spells it; empty where it wasn't asked.
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


class Recogniser(Protocol):
    """Turn 16 kHz samples into text. One utterance at a time; opens no device."""

    @property
    def engine(self) -> str:
        """Name and version of the engine."""

    @property
    def model(self) -> str:
        """Name of the model."""

    def set_grammar(self, grammar: ListeningGrammar) -> None:
        """Listen by this grammar from the next utterance on. Never called inside an utterance.

        Raises: BadGrammar if a word isn't in the model's vocabulary (the message names it), RuntimeError inside an
        utterance.
        """

    def accept(self, samples: Samples) -> None:
        """Decode one more block of the present utterance."""

    def partial(self) -> str:
        """Return the text so far, `""` if none."""

    def finish(self) -> tuple[tuple[str, ...], float]:
        """End the utterance; return its alternatives (best first) and the confidence 0..1."""

    def drop(self) -> None:
        """End the utterance without asking what it was; costs nothing."""

    @property
    def posteriors(self) -> tuple[float, ...]:
        """How the likelihood is shared among the alternatives last returned; empty if the engine doesn't tell."""


class PhraseRecogniser(Recogniser, Protocol):
    """A recogniser that also listens for a bare list of phrases."""

    def set_phrases(self, phrases: Sequence[str]) -> None:
        """Listen for these phrases from the next utterance on; raises as `set_grammar` does."""


class AudioSource(Protocol):
    """Where samples come from: a microphone or a file."""

    def blocks(self) -> Iterator[Samples]:
        """Yield blocks of about 20 ms at 16 kHz until the source ends or is closed.

        Raises: DeviceMissing, DeviceLost, BadAudio.
        """

    def close(self) -> None:
        """Stop; `blocks` then ends. Safe to call twice and from another thread."""


# ---------------------------------------------------------------- the mouth


class Urgency(IntEnum):
    """How much an announcement matters; a higher one interrupts a lower one."""

    CHAT = 1
    GUIDANCE = 2
    READBACK = 3
    CAUTION = 4
    ALARM = 5


@dataclass(frozen=True, slots=True)
class Announcement:
    """Something to be said.

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
    """Samples with their rate (samples a second)."""

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
        """Start playing and return. `on_end(finished)` is called once; False if it was stopped or the device went."""

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
    """One reading of the clock: `utc` (POSIX seconds), `elapsed` (never steps, counts suspend), `boot` (which boot).

    `sure` is False where nothing tells that the wall clock is set: no clock that runs while the machine is off, and no
    time server heard since it was started.
    """

    utc: float
    elapsed: float
    boot: str = ""
    sure: bool = True


class Clock(Protocol):
    """What time it is."""

    def now(self) -> Moment:
        """Read the wall clock and the boot-time clock."""


@runtime_checkable
class EventLog(Protocol):
    """The append-only record. What `append` returned from is on the disk."""

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        """Store events in one transaction. Raises: LogbookError; then none of them is stored."""

    def read(self) -> Iterator[Event]:
        """Yield every event that the present state depends on, oldest first."""

    def close(self) -> None:
        """Release the file. Safe to call twice."""


# ---------------------------------------------------------------- what is made once and kept


def content_hash(paths: Iterable[Path], *more: str) -> str:
    """SHA-256 over files' names and contents and over `more`, used as a cache key; `""` if a file can't be read."""
    whole = sha256()
    try:
        for path in sorted(paths):
            whole.update(f"{path.name} {sha256(path.read_bytes()).hexdigest()}\n".encode())
    except OSError:
        return ""
    whole.update(repr(more).encode())
    return whole.hexdigest()
