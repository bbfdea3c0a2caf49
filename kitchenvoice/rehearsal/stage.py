"""A scripted day on a simulated clock, through the same dialogue and engine as the live session.

The ear and the mouth are given: words straight from the script, or a synthetic cook in a noisy kitchen whose sound the
real engine recognises, and answers that are really synthesised.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from typing import Protocol

from kitchenvoice.app.languages import book_for
from kitchenvoice.app.session import begin_after
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.context import Pantry, Talk
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.ports import Announcement, EventLog, ListeningGrammar, Utterance
from kitchenvoice.process import Event
from kitchenvoice.rehearsal.scenario import Scenario, ScenarioLine, clock_text, event_of, plain_words, seconds_of

__all__ = [
    "DAY_START_UTC",
    "CookEar",
    "Failure",
    "Record",
    "Rehearsal",
    "Stagehand",
    "TranscriptEntry",
    "WordsEar",
    "same_words",
]

DAY_START_UTC = 1_786_521_600.0
"""12 August 2026, 08:00 UTC: a Wednesday in the season. Any day would do."""


class CookEar(Protocol):
    """How the cook's words reach the dialogue."""

    @property
    def patience(self) -> int:
        """How often a cook says a line at most when it isn't understood."""

    def hear(self, words: str, grammar: ListeningGrammar) -> Utterance:
        """Return what was heard of the cook's words."""


class Stagehand(Protocol):
    """What is done with an answer besides printing it."""

    def speak(self, announcement: Announcement, t: float) -> None:
        """Say it: into a file, or nowhere."""


class Record(EventLog, Protocol):
    """The log of a rehearsal: it also knows which numbers were used, in loads that `read` leaves out."""

    @property
    def last_seq(self) -> int:
        """The number of the latest entry, 0 in an empty log."""

    @property
    def last_load(self) -> int:
        """The highest load id ever used, 0 if none was."""


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
        log: Record,
        ear: CookEar | None = None,
        mouth: Stagehand | None = None,
        pantry: Pantry | None = None,
    ) -> None:
        self._scenario = scenario
        self._book = book
        self._profile = profile
        self._log = log
        self._ear = ear or WordsEar()
        self._mouth = mouth
        self._pantry = pantry
        self._clock = SimulatedClock(DAY_START_UTC)
        self._answers: list[str] = []
        self._said_at = 0
        self._cursor = 0
        self._events: list[Event] = []
        self.failures: list[Failure] = []
        self.misheard: list[tuple[str, str]] = []
        self.spoken_lines = 0

    @property
    def _t(self) -> float:
        return self._clock.now().utc

    def run(self) -> Iterator[TranscriptEntry]:
        """Play the script; yield the transcript as it grows."""
        setting = [line for line in self._scenario.lines if line.kind == "kitchen"]
        for line in setting:
            self._set_kitchen(line)
        self._conversation = Conversation(self._book, self._profile, pantry=self._pantry)
        if any(line.setting[0] == "profile" for line in setting):  # the first start is part of the story
            yield from self._take(self._conversation.begin(self._t))
        for line in self._scenario.lines:
            yield from self._play(line)

    def _set_kitchen(self, line: ScenarioLine) -> None:
        name, value = line.setting
        if name == "altitude":
            feet = None if value == "unknown" else int(value)
            self._profile = replace(self._profile, altitude_ft=feet)
        elif name == "dial":
            canners = tuple(_with_dial(canner, value) for canner in self._profile.canners)
            self._profile = replace(self._profile, canners=canners)
        elif name == "profile":
            self._profile = Profile()
        elif name == "level":
            self._profile = replace(self._profile, speech_level=value)

    def _play(self, line: ScenarioLine) -> Iterator[TranscriptEntry]:
        if line.kind == "time":
            yield from self._until(DAY_START_UTC + seconds_of(line.text))
        elif line.kind == "cook":
            yield from self._cook(line)
        elif line.kind == "answer":
            self._check_answer(line)
        elif line.kind == "event":
            self._check_event(line)
        elif line.setting[0] == "off":
            yield from self._power_cut(seconds_of(line.setting[1]))

    # ------------------------------------------------------------ time and words

    def _until(self, t: float) -> Iterator[TranscriptEntry]:
        while True:
            coming = self._conversation.next_t()
            if coming is None or coming >= t:
                break
            self._advance_to(coming + 0.001)
            yield from self._take(self._conversation.tick(self._t))
        self._advance_to(t)
        yield from self._take(self._conversation.tick(self._t))

    def _advance_to(self, t: float) -> None:
        self._clock.advance(max(0.0, t - self._t))

    def _cook(self, line: ScenarioLine) -> Iterator[TranscriptEntry]:
        self._cursor = max(self._cursor, self._said_at)
        self._said_at = len(self._answers)
        meant = self._meant_for_us(line)
        for _ in range(self._ear.patience if meant else 1):
            entries, understood = self._say(line, meant)
            yield from entries
            asked = self._asked_back(line) if meant else None
            if asked is not None:
                entries, understood = self._say(replace(line, text=asked), True)
                yield from entries
                understood = understood and asked == _yes(self._conversation.talk)
            if understood:
                break

    def _plain(self, text: str) -> str:
        return plain_words(text, self._conversation.talk.language)

    def _asked_back(self, line: ScenarioLine) -> str | None:
        """Return what a cook answers if she was just asked "did you say": yes to her own words, no to others."""
        talk = self._conversation.talk
        asked = talk.question.heard if talk.question is not None and len(self._answers) > self._said_at else ""
        if not asked or self._plain(line.text) in (_yes(talk), _no(talk)):
            return None
        words = self._plain(line.text).removeprefix(self._plain(self._profile.attention)).strip()
        return _yes(talk) if same_words(asked, words) else _no(talk)

    def _meant_for_us(self, line: ScenarioLine) -> bool:
        """Tell whether a cook who wasn't understood would say it again: not if it was never meant for us."""
        return self._conversation.grammar(self._t).is_sentence(self._plain(line.text))

    def _say(self, line: ScenarioLine, meant: bool) -> tuple[list[TranscriptEntry], bool]:
        utterance = self._ear.hear(line.text, self._conversation.grammar(self._t))
        turn = self._conversation.hear(utterance, self._t)
        heard = next((note for note in turn.notes if note.kind == "heard"), None)
        ignored = next((note for note in turn.notes if note.kind == "ignored"), None)
        text = heard.text if heard is not None else ""
        self.spoken_lines += 1
        if meant and not same_words(text, line.text):
            self.misheard.append((line.text, text))
        intent = heard.data.get("intent") if heard is not None else None
        entry = TranscriptEntry(
            clock_text(self._t - DAY_START_UTC),
            "cook",
            line.text,
            heard=text,
            intent=intent,
            reject_reason=ignored.data.get("reason") if ignored is not None else None,
        )
        return [entry, *self._take(turn)], intent is not None and ignored is None

    def _power_cut(self, off_s: float) -> Iterator[TranscriptEntry]:
        """Throw the conversation away, as a cut does, and start again from the log alone."""
        self._clock.reboot("after the cut", off_s)
        self._conversation = Conversation(
            self._book,
            self._profile,
            tuple(self._log.read()),
            last_seq=self._log.last_seq,
            last_load=self._log.last_load,
            pantry=self._pantry,
        )
        yield from self._take(begin_after(self._conversation, self._t, off_s))

    def _take(self, turn: Turn) -> Iterator[TranscriptEntry]:
        """Write first, speak after."""
        if turn.events:
            self._log.append(turn.events, self._clock.now())
        self._events.extend(turn.events)
        for control in turn.controls:
            if control.name == "altitude":
                self._profile = replace(self._profile, altitude_ft=control.data["feet"])
            elif control.name == "profile":
                self._profile = replace(self._profile, **control.data)
                if "canners" in control.data:
                    self._book = book_for(self._profile)
                    self._conversation.use(self._book)
            elif control.name == "level":
                self._profile = replace(self._profile, speech_level="brief" if control.data["brief"] else "full")
        for event in turn.events:
            yield TranscriptEntry(clock_text(event.t - DAY_START_UTC), "log", event=event.kind)
        for announcement in turn.announcements:
            self._answers.append(announcement.text)
            if self._mouth is not None:
                self._mouth.speak(announcement, self._t - DAY_START_UTC)
            yield TranscriptEntry(clock_text(self._t - DAY_START_UTC), "kitchenvoice", announcement.text)

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
    """Tell whether two texts are the same to the ear: "25" and "twenty five", "applesauce" and "apple sauce"."""
    return _letters(one or "") == _letters(other or "")


def _with_dial(canner: Canner, found: str) -> Canner:
    """Return the canner with what the test of its dial found; weighted ones have none."""
    if canner.gauge != "dial":
        return canner
    if found == "untested":
        return replace(canner, dial_error_psi=None, dial_tested=None)
    return replace(canner, dial_error_psi=float(found))


def _letters(text: str) -> str:
    return plain_words(text).replace(" ", "")


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
