"""A scripted day on a simulated clock, through the same session as a live one.

The ear and the mouth are given: words straight from the script, or a synthetic cook in a noisy kitchen whose sound the
real engine recognises, and answers that are really synthesised.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from itertools import takewhile
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Protocol

from kitchenvoice.app.inbox import Chosen
from kitchenvoice.app.languages import in_language
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.ports import Announcement, Event, ListeningGrammar, Utterance
from kitchenvoice.rehearsal.scenario import Scenario, ScenarioLine, clock_text, event_of, plain_words, seconds_of
from kitchenvoice.testing.simulated_kitchen import KitchenLog, SimulatedKitchen

__all__ = [
    "CookEar",
    "Failure",
    "Rehearsal",
    "Stagehand",
    "TranscriptEntry",
    "WordsEar",
    "same_words",
]


class CookEar(Protocol):
    """How the cook's words reach the dialogue."""

    @property
    def patience(self) -> int:
        """How often a cook says a line at most when it isn't understood."""

    def hear(self, words: str, grammar: ListeningGrammar) -> Utterance:
        """Return the words of the cook as they were heard."""


class Stagehand(Protocol):
    """Hooks for an answer besides printing it."""

    def speak(self, announcement: Announcement, t: float) -> None:
        """Say it: into a file, or nowhere."""


class WordsEar:
    """An ear that hears every word as it is written."""

    patience = 1

    def hear(self, words: str, grammar: ListeningGrammar) -> Utterance:  # noqa: ARG002
        """Return the words."""
        return Utterance((plain_words(words),))


@dataclass(frozen=True, slots=True)
class TranscriptEntry:
    """One line of the transcript: `t` since the start, `who` (`cook`, `kitchenvoice`, `log`), `text`, `event`."""

    t: str
    who: str
    text: str | None = None
    event: str | None = None
    heard: str | None = None
    intent: str | None = None
    reject_reason: str | None = None


@dataclass(frozen=True, slots=True)
class Failure:
    """An expectation of the script that wasn't met."""

    line: int
    text: str


class Rehearsal:
    """Run one scenario. `failures` lists the expectations that were not met, `misheard` the sentences heard wrong."""

    def __init__(
        self,
        scenario: Scenario,
        book: GrammarBook,
        profile: Profile,
        log: KitchenLog,
        ear: CookEar | None = None,
        mouth: Stagehand | None = None,
    ) -> None:
        self._scenario = scenario
        self._book = book
        self._profile = profile
        self._log = log
        self._ear = ear or WordsEar()
        self._mouth = mouth
        self._entries: list[TranscriptEntry] = []
        self._noted: dict[str, tuple[str, str | None]] = {}
        self._answers: list[str] = []
        self._said_at = 0
        self._cursor = 0
        self._events: list[Event] = []
        self.failures: list[Failure] = []
        self.misheard: list[tuple[str, str]] = []
        self.spoken_lines = 0

    def run(self) -> Iterator[TranscriptEntry]:
        """Play the script; yield the transcript as it grows."""
        setting = [line for line in self._scenario.lines if line.kind == "kitchen"]
        for line in setting:
            self._set_kitchen(line)
        first_start = any(line.setting[0] == "profile" for line in setting)
        with TemporaryDirectory() as home:
            self._kitchen = SimulatedKitchen(
                self._book, self._profile, self._log, home=Path(home),
                mouth=self, ear=self, show=self._show, watch=self._watch,
            )  # fmt: skip
            self._kitchen.begin(under_way=not first_start)
            for line in self._scenario.lines:
                self._play(line)
                yield from self._entries
                self._entries.clear()

    def _set_kitchen(self, line: ScenarioLine) -> None:
        name, value = line.setting
        if name == "altitude":
            feet = None if value == "unknown" else int(value)
            self._profile = replace(self._profile, altitude_ft=feet)
        elif name == "dial":
            canners = tuple(_with_dial(canner, value) for canner in self._profile.canners)
            self._profile = replace(self._profile, canners=canners)
        elif name == "profile":
            self._profile = in_language(Profile(), self._profile.language)
        elif name == "level":
            self._profile = replace(self._profile, speech_level=value)

    def _play(self, line: ScenarioLine) -> None:
        if line.kind == "time":
            self._kitchen.wait(seconds_of(line.text) - self._kitchen.day_s)
        elif line.kind == "cook":
            self._cook(line)
        elif line.kind == "answer":
            self._check_answer(line)
        elif line.kind == "event":
            self._check_event(line)
        elif line.setting[0] == "off":
            self._kitchen.cut(seconds_of(line.setting[1]))

    # ------------------------------------------------------------ what the session has around it

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Act as its ear: keep the active grammar."""
        self._grammar = grammar

    def use_other_microphone(self) -> None:
        """Be its ear, which has one microphone."""
        self._kitchen.put(Chosen(None))

    def say(self, announcement: Announcement) -> None:
        """Be its mouth: write the answer down, and have it said."""
        self._answers.append(announcement.text)
        self._add("kitchenvoice", announcement.text)
        if self._mouth is not None:
            self._mouth.speak(announcement, self._kitchen.day_s)

    def obey(self, control: Control) -> None:
        """Say on: nothing sounds here that could be stopped."""

    def _show(self, who: str, text: str, event: str | None) -> None:
        if who == "log":
            self._add("log", event=event)
        self._noted[who] = (text, event)

    def _watch(self, conversation: Conversation, _: float) -> None:
        """Keep the record; after a cut the session itself knows only the part still needed."""
        last = self._events[-1].seq if self._events else 0
        fresh = takewhile(lambda event: event.seq > last, reversed(conversation.talk.history))
        self._events.extend(reversed(tuple(fresh)))

    def _add(self, who: str, text: str | None = None, **more: str | None) -> None:
        self._entries.append(TranscriptEntry(clock_text(self._kitchen.day_s), who, text, **more))

    # ------------------------------------------------------------ words

    def _cook(self, line: ScenarioLine) -> None:
        self._cursor = max(self._cursor, self._said_at)
        self._said_at = len(self._answers)
        meant = self._grammar.is_sentence(self._plain(line.text))
        for _ in range(self._ear.patience if meant else 1):  # what was never meant for us is said once
            understood = self._say(line.text, meant)
            asked = self._asked_back(line) if meant else None
            if asked is not None:
                understood = self._say(asked, True) and asked == _yes(self._talk)
            if understood:
                break

    @property
    def _talk(self) -> Talk:
        return self._kitchen.conversation.talk

    def _plain(self, text: str) -> str:
        return plain_words(text, self._talk.language)

    def _asked_back(self, line: ScenarioLine) -> str | None:
        """Return a cook's answer to a "did you say": yes to the words just spoken, no to others."""
        talk = self._talk
        asked = talk.question.heard if talk.question is not None and len(self._answers) > self._said_at else ""
        if not asked or self._plain(line.text) in (_yes(talk), _no(talk)):
            return None
        words = self._plain(line.text).removeprefix(self._plain(self._profile.attention)).strip()
        return _yes(talk) if same_words(asked, words) else _no(talk)

    def _say(self, words: str, meant: bool) -> bool:
        """Say it; tell whether it was understood."""
        self._noted.clear()
        begun = len(self._entries)
        self._kitchen.put(self._ear.hear(words, self._grammar))
        text, intent = self._noted.get("heard", ("", None))
        _, reason = self._noted.get("ignored", ("", None))
        self.spoken_lines += 1
        if meant and not same_words(text, words):
            self.misheard.append((words, text))
        t = clock_text(self._kitchen.day_s)
        entry = TranscriptEntry(t, "cook", words, heard=text, intent=intent, reject_reason=reason)
        self._entries.insert(begun, entry)
        return intent is not None and reason is None

    # ------------------------------------------------------------ expectations

    def _check_answer(self, line: ScenarioLine) -> None:
        wanted = self._plain(line.text)
        if line.text.startswith("-"):
            unwanted = self._plain(line.text.removeprefix("-"))
            if any(self._has(answer, unwanted) for answer in self._answers[self._said_at :]):
                self.failures.append(Failure(line.number, f"was answered: {line.text.removeprefix('-').strip()}"))
            return
        for index in range(self._cursor, len(self._answers)):
            if self._has(self._answers[index], wanted):
                self._cursor = index
                return
        heard = " / ".join(self._answers[self._cursor :]) or "nothing"
        self.failures.append(Failure(line.number, f"not answered: {line.text} (answered: {heard})"))

    def _has(self, answer: str, wanted: str) -> bool:
        return f" {wanted} " in f" {self._plain(answer)} "

    def _check_event(self, line: ScenarioLine) -> None:
        wanted, name, data = event_of(line.text)
        scratched = {event.data.get("seq") for event in self._events if event.kind == "scratched"}
        logged = [x for x in self._events if x.seq not in scratched and x.data.get("of") not in scratched]
        there = any(event.kind == name and _matches(event, data) for event in logged)
        if there is not wanted:
            near = get_close_matches(name, {event.kind for event in self._events}, 1)
            hint = f" (logged: {near[0]})" if near and near[0] != name else ""
            self.failures.append(Failure(line.number, f"{'not logged' if wanted else 'logged'}: {line.text}{hint}"))


def same_words(one: str | None, other: str | None) -> bool:
    """True if two texts are the same to the ear: "25" and "twenty five", "applesauce" and "apple sauce"."""
    return _letters(one or "") == _letters(other or "")


def _with_dial(canner: Canner, found: str) -> Canner:
    """Return the canner with the tested error of its dial; weighted ones have none."""
    if canner.gauge != "dial":
        return canner
    if found == "untested":
        return replace(canner, dial_error_psi=None, dial_tested=None)
    return replace(canner, dial_error_psi=float(found))


def _letters(text: str) -> str:
    return plain_words(text).replace(" ", "").replace("'", "")


def _yes(talk: Talk) -> str:
    return talk.language.phrase("names", "yes")


def _no(talk: Talk) -> str:
    return talk.language.phrase("names", "no")


def _matches(event: Event, data: dict[str, str]) -> bool:
    return all(_same(event.data.get(name), value) for name, value in data.items())


def _same(value: object, wanted: str) -> bool:
    if isinstance(value, int | float) and not isinstance(value, bool):
        try:
            return float(wanted) == float(value)
        except ValueError:
            return False
    return str(value) == wanted
