"""A scripted day: what it plays, what it expects, and what it says of an expectation that isn't met."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Announcement, ListeningGrammar, Utterance
from kitchenvoice.rehearsal.scenario import read_scenario
from kitchenvoice.rehearsal.stage import Rehearsal, TranscriptEntry, same_words
from kitchenvoice.testing.fake_log import MemoryLog

INTO_THE_HOLD = """\
> kitchen voice start seven quarts of green beans raw pack
< twenty five minutes at eleven pounds pressure
> yes
! load_start food=snap_beans psi=11
> kitchen voice seven jars are in
> kitchen voice lid is locked
> kitchen voice steam is steady
@ 00:11
! vent_done
> kitchen voice weight is on
> kitchen voice pressure is eleven
< the hold starts now
! hold_started
"""


class Stage:
    """Plays scripts on a log in memory."""

    def __init__(self, book: GrammarBook, folder: Path) -> None:
        self.book, self.folder, self.log = book, folder, MemoryLog()

    def play(self, text: str, **parts: object) -> tuple[Rehearsal, list[TranscriptEntry]]:
        (self.folder / "day.txt").write_text(text)
        scenario = read_scenario(self.folder / "day.txt")
        rehearsal = Rehearsal(scenario, self.book, PRACTICE_KITCHEN, self.log, **parts)  # type: ignore[arg-type]
        return rehearsal, list(rehearsal.run())


@pytest.fixture
def stage(book: GrammarBook, tmp_path: Path) -> Stage:
    return Stage(book, tmp_path)


def test_a_script_whose_expectations_are_met_has_no_failures(stage: Stage) -> None:
    rehearsal, entries = stage.play(INTO_THE_HOLD)
    assert rehearsal.failures == []
    assert rehearsal.misheard == []
    assert {entry.who for entry in entries} == {"cook", "kitchenvoice", "log"}
    assert [entry.event for entry in entries if entry.who == "log"] == [event.kind for event in stage.log.read()]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("< nine hundred minutes", "not answered: nine hundred minutes"),
        ("<- the hold starts now", "was answered: the hold starts now"),
        ("! hold_done", "not logged: hold_done"),
        ("! hold_starte", "not logged: hold_starte (logged: hold_started)"),
        ("! load_start psi=12", "not logged: load_start psi=12"),
        ("!- vent_done", "logged: - vent_done"),
    ],
)
def test_what_is_not_as_expected_is_named_with_its_line(stage: Stage, line: str, said: str) -> None:
    rehearsal, _ = stage.play(f"{INTO_THE_HOLD}{line}\n")
    (failure,) = rehearsal.failures
    assert failure.line == INTO_THE_HOLD.count("\n") + 1
    assert failure.text.startswith(said)


def test_after_a_power_cut_the_day_goes_on_from_the_log_alone(stage: Stage) -> None:
    rehearsal, entries = stage.play(
        INTO_THE_HOLD
        + "@ 00:15\n% off 00:04:00\n< off for four minutes\n< all the time\n> no\n< starts over in full\n! hold_lost\n"
        + "> kitchen voice pressure is eleven\n! hold_restarted\n"
    )
    assert rehearsal.failures == []
    assert [event.seq for event in stage.log.read()] == list(range(1, stage.log.last_seq + 1))
    assert next(entry.t for entry in entries if "off for four minutes" in (entry.text or "")) == "00:19:00"


def test_a_cut_of_seconds_asks_nothing(stage: Stage) -> None:
    rehearsal, _ = stage.play(INTO_THE_HOLD + "@ 00:15\n% off 00:00:05\n<- all the time\n@ 00:40\n! hold_done\n")
    assert rehearsal.failures == []


def test_the_kitchen_of_a_script_is_its_own(stage: Stage) -> None:
    rehearsal, _ = stage.play(
        "% altitude 5280\n> kitchen voice start seven quarts of green beans raw pack\n< at thirteen pounds\n"
    )
    assert rehearsal.failures == []


class DeafEar:
    """An ear that hears nothing the first two times."""

    patience = 3

    def __init__(self) -> None:
        self.asked = 0

    def hear(self, words: str, grammar: ListeningGrammar) -> Utterance:
        self.asked += 1
        return Utterance(()) if self.asked < 3 else Utterance((words,))


def test_a_cook_who_is_not_understood_says_it_again_and_it_is_counted(stage: Stage) -> None:
    ear = DeafEar()
    rehearsal, _ = stage.play("> kitchen voice help\n", ear=ear)
    assert ear.asked == 3
    assert rehearsal.spoken_lines == 3
    assert rehearsal.misheard == [("kitchen voice help", "")] * 2


def test_what_was_never_meant_for_us_is_said_once_and_is_no_mishearing(stage: Stage) -> None:
    ear = DeafEar()
    rehearsal, entries = stage.play("> did the pressure drop in that old truck\n", ear=ear)
    assert (ear.asked, rehearsal.misheard) == (1, [])
    assert entries[0].reject_reason is not None


def test_every_answer_goes_to_the_mouth(stage: Stage) -> None:
    spoken: list[tuple[str, float]] = []

    class Mouth:
        def speak(self, announcement: Announcement, t: float) -> None:
            spoken.append((announcement.text, t))

    _, entries = stage.play("@ 00:01\n> kitchen voice help\n", mouth=Mouth())
    assert [text for text, _ in spoken] == [entry.text for entry in entries if entry.who == "kitchenvoice"]
    assert spoken[0][1] == 60.0


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [("25 minutes", "twenty five minutes", True), ("apple sauce", "applesauce", True), ("fifteen", "fifty", False)],
)
def test_the_same_words_are_those_that_sound_the_same(one: str, other: str, same: bool) -> None:
    assert same_words(one, other) is same
