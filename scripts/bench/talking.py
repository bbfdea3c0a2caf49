"""Kitchens in the situations of a canning day, into each of which a sentence is typed; what it was taken for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

import yaml

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Utterance
from kitchenvoice.testing.copied import copied

FOLDER = Path(__file__).resolve().parents[2] / "tests" / "bench" / "natural"
MORNING = 1_786_521_600.0

_BEANS = ("start seven quarts of green beans raw pack", "yes")
_CARROTS = ("start nine pints of carrots hot pack in canner two", "yes")
_PEACHES = ("start seven quarts of peaches hot pack boiling water", "yes")
_TO_WEIGHT = ("nine jars packed", "jars are in", "lid is locked", "steam is steady", 10.1, "weight is on")
_TO_CANNER = ("seven jars packed", "jars are in")
_TO_VENT = (*_TO_CANNER, "lid is locked", "steam is steady")
_TO_HOLD = (*_TO_VENT, 10.1, "weight is on", "pressure is eleven")
_HELD = (5, "pressure is eleven") * 4
_TO_COOL = (*_TO_HOLD, *_HELD, 5.1, "heat is off")
_TO_ZERO = (*_TO_COOL, 45, "gauge is at zero", 11)
_TO_COUNT = (*_TO_ZERO, "lid is off", "jars are out", 721)

SITUATIONS: Mapping[str, tuple[str | float, ...]] = MappingProxyType(
    {
        "idle": (),
        "gear": _BEANS,
        "pack": (*_BEANS, "two jars packed", 1),
        "canner": (*_BEANS, *_TO_CANNER),
        "locked": (*_BEANS, *_TO_CANNER, "lid is locked", "heat is on"),
        "vent": (*_BEANS, *_TO_VENT, 3),
        "come_up": (*_BEANS, *_TO_VENT, 10.1, "weight is on", 1),
        "hold": (*_BEANS, *_TO_HOLD, 3),
        "two": (*_BEANS, *_TO_HOLD, *_CARROTS, "two jars packed", 3),
        "cool": (*_BEANS, *_TO_COOL, 10),
        "zero": (*_BEANS, *_TO_ZERO),
        "rest": (*_BEANS, *_TO_ZERO, "lid is off", "jars are out", 5),
        "count": (*_BEANS, *_TO_COUNT),
        "weighted": (*_CARROTS, *_TO_WEIGHT, 4, "weight is rocking", 3),
        "bath": (*_PEACHES, "clear", "seven jars packed", "jars are in", "done", "heat is on", "it's boiling", 3),
    }
)
"""What is typed to get there; a number lets so many minutes pass. Seven quarts of beans in the practice kitchen."""


_TOLD = MappingProxyType(
    {
        "answered": "?",
        "asked_back": "did you ask",
        "no_such_food": "no such food",
        "guessed": "did you say",
        "wished": "!",
        "spoken_of": "?",
    }
)


@dataclass(frozen=True)
class Row:
    """One sentence of a list, and what it may be taken for."""

    situation: str
    said: str
    fits: tuple[str, ...]


@dataclass(frozen=True)
class Taken:
    """What a sentence was taken for (`miss` if for nothing), and all that was answered."""

    taken: str
    answer: str


class _Shelf:
    """Three kinds of jars."""

    _HELD = (
        ("snap_beans", "quart", 6, MORNING - 9e6),
        ("carrots", "pint", 9, MORNING - 5e6),
        ("peaches", "quart", 4, MORNING),
    )

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> list[tuple[str, str, int, float]]:
        return [each for each in self._HELD if food in (None, each[0]) and jar in (None, each[1])]

    def put_up(self, food: str | None = None) -> list[tuple[str, str, int, float]]:
        done = (("snap_beans", "quart", 14, MORNING - 3e7), *self._HELD)
        return [each for each in done if food in (None, each[0])]


class Kitchens:
    """A kitchen of its own for each sentence, in its situation, which is brought about once."""

    def __init__(self) -> None:
        self._begun: dict[str, tuple[Conversation, float, Taken]] = {}

    @cached_property
    def _book(self) -> GrammarBook:
        return GrammarBook.load()

    def type(self, situation: str, *said: str) -> Taken:
        """Type sentences in a situation; returns what came of the last."""
        if situation not in self._begun:
            fresh = Conversation(self._book, PRACTICE_KITCHEN, pantry=_Shelf())
            fresh.begin(MORNING, typed=True)
            self._begun[situation] = (fresh, *_lived(fresh, MORNING, *SITUATIONS[situation]))
        talk, t, taken = self._begun[situation]
        return _lived(copied(talk), t, *said)[1] if said else taken


def _lived(talk: Conversation, t: float, *lines: str | float) -> tuple[float, Taken]:
    """Type lines, a number lets minutes pass; return when it ends, and what came of the last."""
    taken = Taken("", "")
    for line in lines:
        if isinstance(line, str):
            t += 2.0
            taken = _typed(talk, line, t)
        else:
            t = _wait(talk, t, 60.0 * line)
    return t, taken


def _wait(talk: Conversation, t: float, seconds: float) -> float:
    end = t + seconds
    while (coming := talk.next_t()) is not None and coming < end:
        talk.tick(max(t, coming + 0.001))
    talk.tick(end)
    return end


def _typed(talk: Conversation, line: str, t: float) -> Taken:
    misses = talk.talk.misses
    turn = talk.hear(Utterance((line,)), t, typed=True)
    answer = " ".join(each.text for each in turn.announcements)
    told = next((note for note in turn.notes if note.kind in _TOLD), None)
    heard = [note.data for note in turn.notes if note.kind == "heard"]
    if told is not None:
        what = told.data.get("family") or told.data.get("food") or told.data["intent"]
        return Taken(f"{_TOLD[told.kind]} {what}", answer)
    if talk.talk.misses > misses:
        return Taken("miss", answer)
    return Taken(" + ".join(_meaning(each["intent"], each["slots"]) for each in heard), answer)


def _meaning(intent: str | None, slots: Mapping[str, object]) -> str:
    return " ".join([intent or "elsewhere", *(f"{name}={value}" for name, value in sorted(slots.items()))])


def lists(files: Sequence[Path] = ()) -> Iterator[tuple[str, list[Row]]]:
    """Yield each list: situation -> sentence -> what it may be taken for, one or several."""
    for file in files or sorted(FOLDER.glob("*.yaml")):
        table = yaml.safe_load(file.read_text("utf-8"))
        rows = [
            Row(situation, said, tuple([fits] if isinstance(fits, str) else fits or ()))
            for situation, sentences in table.items()
            for said, fits in sentences.items()
        ]
        yield file.stem, rows


def judged(row: Row, taken: str) -> bool:
    """Tell whether the sentence was taken for what it may be, answered at once or asked back."""
    return _meant(taken) in map(_meant, row.fits)


def _meant(taken: str) -> str:
    """Leave out whether an answer was offered, and that an end is told by the clock too."""
    return taken.replace("did you ask ", "? ", 1).replace(" clock=1", "")
