"""The trace: what it holds, whom it lets read it, what ends it, and the same utterances judged again."""

from __future__ import annotations

import json
import os
import stat
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from kitchenvoice.app.session import Answered, Trouble
from kitchenvoice.app.trace import FORMAT, Trace, judged_again, open_trace
from kitchenvoice.clock import SimulatedClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.errors import BadInput
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Announcement, Rescoring, Urgency, Utterance
from kitchenvoice.testing.simulated_kitchen import DAY_START_UTC, SimulatedKitchen

START = "kitchen voice start seven quarts of green beans raw pack"


class Traced:
    """A session on a simulated clock whose trace is a real file."""

    def __init__(self, book: GrammarBook, trace: Trace, path: Path) -> None:
        self.path = path
        self.shown: list[tuple[str, str]] = []
        self.said: list[Announcement] = []
        self.kitchen = SimulatedKitchen(
            book, PRACTICE_KITCHEN, mouth=self, observer=trace, show=lambda who, text, _: self.shown.append((who, text))
        )
        trace.tell = lambda trouble: self.kitchen.inbox.put(trouble)
        self.kitchen.begin()
        trace.start(self.kitchen.session.t, PRACTICE_KITCHEN, engine="ear 1", model="small", devices="one")

    def say(self, announcement: Announcement) -> None:
        self.said.append(announcement)

    def obey(self, control: object) -> None:
        """Nothing sounds."""

    @property
    def troubles(self) -> list[str]:
        return [text for who, text in self.shown if who == "trouble"]


def lines(path: Path, kind: str | None = None) -> list[dict[str, Any]]:
    found = [json.loads(line, parse_constant=pytest.fail) for line in path.read_text().splitlines()]
    return [line for line in found if kind in (None, line["kind"])]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "day.jsonl"


@pytest.fixture
def clock() -> SimulatedClock:
    return SimulatedClock(DAY_START_UTC)


@pytest.fixture
def traced(book: GrammarBook, path: Path, clock: SimulatedClock) -> Traced:
    return Traced(book, open_trace(path, clock), path)


# ---------------------------------------------------------------- what it holds


def test_an_utterance_is_there_whole_with_what_was_listened_for_and_what_was_made_of_it(traced: Traced) -> None:
    heard = Utterance(
        (START, "kitchen voice start seven pints of green beans raw pack"), 0.8, 2.5, 0.3, -21.5, None, (0.93, 0.07),
        14.0, {START: Rescoring(-3.0, -0.25)},
    )  # fmt: skip
    traced.kitchen.put(heard)
    (told,) = lines(traced.path, "utterance")
    assert told["alternatives"] == list(heard.alternatives)
    assert told["posteriors"] == [0.93, 0.07]
    assert told["opinions"] == {START: {"total": -3.0, "per_token": -0.25}}
    assert (told["above_noise_db"], told["level_dbfs"], told["latency_s"]) == (14.0, -21.5, 0.3)
    assert told["scope"]["attention"] == "required"
    assert told["scope"]["wake_phrase"] == "kitchen voice"
    assert told["scope"]["loads"] == {}
    assert (told["intent"], told["slots"]["jar"], told["reject_reason"]) == ("load_start", "quart", None)
    assert told["t"] == pytest.approx(traced.kitchen.session.t)
    assert told["wall"] == DAY_START_UTC


def test_what_was_said_logged_asked_answered_and_wrong_is_there_too(traced: Traced) -> None:
    traced.kitchen.type("start seven quarts of green beans raw pack", "yes")
    traced.kitchen.put(Trouble("microphone_gone", spoken=True), Answered("hold_done:1"))
    assert [line["text"] for line in lines(traced.path, "queued")] == [each.text for each in traced.said]
    logged = [line["event"]["kind"] for line in lines(traced.path, "event")]
    assert logged == [event.kind for event in traced.kitchen.log.read()]
    assert all(line["recorded"] for line in lines(traced.path, "event"))
    (asked, answered) = lines(traced.path, "utterance")
    assert (asked["scope"]["question"], answered["scope"]["question"]) == (None, "load_ok")
    assert all(line["typed"] for line in (asked, answered))
    (trouble,) = lines(traced.path, "trouble")
    assert trouble["text"].startswith("The microphone gives no sound")
    assert trouble["spoken"]
    assert [line["key"] for line in lines(traced.path, "call_answered")] == ["hold_done:1"]


def test_why_nothing_was_done_is_told(traced: Traced) -> None:
    traced.kitchen.hear("where are we", "kitchen voice [unk] [unk]")
    first, second = lines(traced.path, "utterance")
    assert (first["intent"], first["reject_reason"]) == (None, "no_attention")
    assert (second["intent"], second["reject_reason"]) == (None, "unknown_words")
    assert lines(traced.path, "ignored")[0]["data"]["reason"] == "no_attention"


def test_an_utterance_that_a_fault_of_ours_came_of_is_there(traced: Traced, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Conversation, "listening_scope", lambda *_, **__: dict[str, Any]()["nothing"])
    traced.kitchen.put(Utterance((START,)))
    (told,) = lines(traced.path, "utterance")
    assert told["alternatives"] == [START]
    assert "intent" not in told
    assert list(judged_again(traced.path, lambda _: GrammarBook.load())) == []


def test_it_starts_with_what_the_session_runs_with_and_tells_no_names(traced: Traced, path: Path) -> None:
    (told,) = lines(path, "start")
    assert lines(path)[0] == {"kind": "trace", "format": FORMAT}
    assert (told["engine"], told["model"], told["devices"]) == ("ear 1", "small", "one")
    assert told["profile"]["altitude_ft"] == PRACTICE_KITCHEN.altitude_ft
    assert [each["number"] for each in told["profile"]["canners"]] == [each.number for each in PRACTICE_KITCHEN.canners]
    assert not {"attention", "voice", "input_device"} & set(told["profile"])
    assert all("name" not in each for each in told["profile"]["canners"])


def test_when_a_sentence_begins_to_sound_is_told(path: Path, clock: SimulatedClock) -> None:
    trace = open_trace(path, clock)
    said = Announcement("The hold is done.", Urgency.ALARM, key="hold_done:1", true_s=20.0)
    trace.queued(10.0, said)
    clock.advance(1.5)
    trace.began(11.5, said)
    queued, began = lines(path)[1:]
    assert (queued["urgency"], queued["t"], queued["true_s"]) == ("alarm", 10.0, 20.0)
    assert (began["kind"], began["key"], began["t"], began["wall"]) == (
        "began",
        "hold_done:1",
        11.5,
        DAY_START_UTC + 1.5,
    )


# ---------------------------------------------------------------- the file


def test_only_its_owner_can_read_it_and_a_later_session_goes_on_in_it(
    path: Path, clock: SimulatedClock, book: GrammarBook
) -> None:
    Traced(book, open_trace(path, clock), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o644)
    path.write_text(path.read_text() + '{"kind": "que')  # the power failed
    Traced(book, open_trace(path, clock), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    torn = '{"kind": "que\n'
    assert torn in path.read_text()
    path.write_text(path.read_text().replace(torn, ""))
    assert [line["kind"] for line in lines(path)].count("trace") == 1
    assert len(lines(path, "start")) == 2


def test_nothing_else_is_ever_written_into(path: Path, clock: SimulatedClock, tmp_path: Path) -> None:
    other = tmp_path / "profile.toml"
    other.write_text("altitude_ft = 900\n")
    link, fifo, twin = tmp_path / "link", tmp_path / "fifo", tmp_path / "twin"
    link.symlink_to(other)
    os.mkfifo(fifo)
    open_trace(path, clock).start(0.0, PRACTICE_KITCHEN)
    twin.hardlink_to(path)
    for file in (other, link, fifo, twin, tmp_path, tmp_path / "no" / "folder", Path("/dev/null")):
        with pytest.raises(BadInput):
            open_trace(file, clock)
    assert other.read_text() == "altitude_ft = 900\n"


def test_at_its_bound_it_says_so_once_and_stops_and_the_session_goes_on(
    book: GrammarBook, path: Path, clock: SimulatedClock
) -> None:
    traced = Traced(book, open_trace(path, clock, most_bytes=6000), path)
    for _ in range(9):
        traced.kitchen.hear("kitchen voice help")
    traced.kitchen.wait(1.0)
    assert [text for text in traced.troubles if "trace" in text] == [
        "The trace is as long as it may be, so it ends here. The session goes on."
    ]
    assert 4000 < path.stat().st_size <= 6000
    assert lines(path)
    assert traced.said[-1].text == traced.said[-2].text


def test_a_disk_that_refuses_ends_the_trace_with_one_sentence_and_not_the_session(
    book: GrammarBook, clock: SimulatedClock, path: Path
) -> None:
    traced = Traced(book, Trace(os.open("/dev/full", os.O_WRONLY), clock), path)
    traced.kitchen.type("start seven quarts of green beans raw pack", "yes")
    traced.kitchen.wait(1.0)
    assert traced.troubles == [
        "The trace ends here, because it can't be written: No space left on device. The session goes on."
    ]
    assert "load_start" in [event.kind for event in traced.kitchen.log.read()]


# ---------------------------------------------------------------- judged again


def test_the_same_rules_come_to_the_same_in_every_stage(traced: Traced, book: GrammarBook) -> None:
    kitchen = traced.kitchen
    kitchen.type("start seven quarts of green beans raw pack", "yes", "seven jars are in", "lid is locked")
    kitchen.hear("steam is steady", "kitchen voice steam is steady", "kitchen voice the carrots are done")
    kitchen.put(Utterance(("kitchen voice how long", "kitchen voice how many"), posteriors=(0.5, 0.5)))
    kitchen.wait(605)
    kitchen.hear("kitchen voice weight is on", "kitchen voice pressure is eleven", "")
    told = list(judged_again(traced.path, lambda _: book))
    assert len(told) == 11
    assert [each for each in told if not each["same"]] == []
    assert len({each["intent"] for each in told}) > 4
    assert set(told[0]) == {"t", "text", "intent", "slots", "reject_reason", "was", "same"}


def test_an_utterance_that_means_something_else_by_now_is_told_apart(
    traced: Traced, path: Path, book: GrammarBook
) -> None:
    traced.kitchen.hear("kitchen voice help")
    (told,) = lines(path, "utterance")
    then = {**told, "alternatives": ["kitchen voice where are we"]}
    path.write_text("".join(json.dumps(line) + "\n" for line in (*lines(path, "trace"), *lines(path, "start"), then)))
    (judged,) = judged_again(path, lambda _: book)
    assert (judged["intent"], judged["was"], judged["same"]) == ("where_are_we", "help", False)


@pytest.mark.parametrize(
    "text",
    ["", "no trace\n", "[]\n", '{"kind": "trace"}\n', "\xff\n", "[" * 100_000],
    ids=["empty", "words", "list", "no format", "no utf-8", "deep"],
)
def test_what_is_no_trace_is_refused(path: Path, book: GrammarBook, text: str) -> None:
    path.write_bytes(text.encode("latin-1"))
    with pytest.raises(BadInput, match="no trace"):
        list(judged_again(path, lambda _: book))


@pytest.mark.parametrize(
    "change",
    [{"scope": {}}, {"scope": {"stages": ["cellar"]}}, {"alternatives": 3}, {"opinions": []}, {"posteriors": ["x"]}],
    ids=str,
)
def test_a_line_that_no_trace_has_is_named(
    traced: Traced, path: Path, book: GrammarBook, change: dict[str, Any]
) -> None:
    traced.kitchen.hear("kitchen voice help")
    (told,) = lines(path, "utterance")
    if stages := change.get("scope", {}).get("stages"):
        change = {"scope": {**told["scope"], "stages": stages}}
    path.write_text(
        "".join(json.dumps(line) + "\n" for line in (*lines(path, "trace"), *lines(path, "start"), {**told, **change}))
    )
    with pytest.raises(BadInput, match="line 3"):
        list(judged_again(path, lambda _: book))


def test_the_canners_names_of_a_profile_stay_out(path: Path, clock: SimulatedClock) -> None:
    named = replace(PRACTICE_KITCHEN, canners=(replace(PRACTICE_KITCHEN.canners[0], name="the old giant"),))
    open_trace(path, clock).start(0.0, named)
    assert "giant" not in path.read_text()


def test_an_observer_that_fails_is_left_and_the_session_goes_on(
    traced: Traced, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    monkeypatch.setattr(Trace, "turned", lambda *_, **__: dict[str, Any]()["nothing"])
    traced.kitchen.type("start seven quarts of green beans raw pack", "yes")
    assert "load_start" in [event.kind for event in traced.kitchen.log.read()]
    assert traced.troubles == []
    assert [record.message for record in caplog.records] == ["the observer is left after an error of its own"]
