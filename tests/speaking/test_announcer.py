"""The announcer: the rules one by one, then as properties over random days."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.speaking import Announcer
from kitchenvoice.speaking.announcer import STOPPED_S


def chat(text: str = "chat") -> Announcement:
    return Announcement(text, Urgency.CHAT)


def guide(text: str, true_s: float | None = None) -> Announcement:
    return Announcement(text, Urgency.GUIDANCE, true_s=true_s)


def call(text: str, key: str, **more: Any) -> Announcement:
    return Announcement(text, Urgency.ALARM, key=key, tone="timer", **more)


def say_next(announcer: Announcer, t: float) -> str | None:
    """Say the next announcement to its end at once."""
    turn = announcer.next(t)
    if turn is None:
        return None
    announcer.finished()
    return turn.announcement.text


def all_said(announcer: Announcer, t: float) -> list[str]:
    said = []
    while (text := say_next(announcer, t)) is not None:
        said.append(text)
    return said


def test_the_more_urgent_goes_first_and_equal_ones_keep_their_order() -> None:
    announcer = Announcer()
    for announcement in (chat(), guide("g1"), guide("g2"), call("c", "k"), Announcement("r", Urgency.READBACK)):
        announcer.submit(announcement, 0.0)
    assert all_said(announcer, 0.0) == ["c", "r", "g1", "g2", "chat"]


def test_nothing_more_is_begun_while_an_equal_one_is_said() -> None:
    announcer = Announcer()
    announcer.submit(guide("one"), 0.0)
    assert announcer.next(0.0) is not None
    announcer.submit(guide("two"), 0.1)
    assert announcer.next(0.1) is None
    announcer.finished()
    assert say_next(announcer, 1.0) == "two"


@pytest.mark.parametrize(
    ("urgency", "then"),
    [
        (Urgency.CHAT, ["alarm"]),
        (Urgency.GUIDANCE, ["alarm", "low"]),
        (Urgency.READBACK, ["alarm", "low"]),
        (Urgency.CAUTION, ["alarm", "low"]),
    ],
)
def test_an_alarm_cuts_the_rest_short_and_all_but_chat_is_said_again(urgency: Urgency, then: list[str]) -> None:
    announcer = Announcer()
    announcer.submit(Announcement("low", urgency), 0.0)
    announcer.next(0.0)
    announcer.submit(call("alarm", "k"), 1.0)
    turn = announcer.next(1.0)
    assert turn is not None
    assert announcer.current == turn.announcement
    announcer.finished()
    assert [turn.announcement.text, *all_said(announcer, 2.0)] == then
    assert [dropped.reason for dropped in announcer.take_dropped()] == (["interrupted"] if len(then) == 1 else [])


def test_what_was_cut_short_keeps_its_place_before_what_came_after_it() -> None:
    announcer = Announcer()
    announcer.submit(guide("one"), 0.0)
    announcer.submit(guide("two"), 0.0)
    announcer.next(0.0)
    announcer.submit(call("alarm", "k"), 0.0)
    assert all_said(announcer, 0.0) == ["alarm", "one", "two"]


def test_what_has_expired_is_never_begun_and_is_named() -> None:
    announcer = Announcer()
    announcer.submit(guide("old", true_s=5.0), 0.0)
    announcer.submit(guide("new", true_s=5.1), 0.0)
    assert all_said(announcer, 5.0) == ["new"]
    assert [(d.announcement.text, d.reason) for d in announcer.take_dropped()] == [("old", "expired")]


def test_what_was_said_is_not_said_again_by_itself() -> None:
    announcer = Announcer()
    announcer.submit(call("time is up", "k"), 0.0)
    assert all_said(announcer, 0.0) == ["time is up"]
    assert announcer.pending == ()
    assert all_said(announcer, 10_000.0) == []


def test_of_what_is_not_true_any_more_the_words_that_last_are_said() -> None:
    announcer = Announcer()
    announcer.submit(Announcement("lid on, two minutes left", Urgency.CAUTION, true_s=5.0, lasting="lid on"), 0.0)
    assert all_said(announcer, 5.0) == ["lid on"]
    assert announcer.take_dropped() == ()


def test_what_stops_being_true_before_its_words_begin_is_taken_away() -> None:
    announcer = Announcer()
    announcer.submit(call("ended just now", "k", true_s=5.0), 0.0)
    assert announcer.next(4.0) is not None
    assert announcer.still_true(4.9)
    assert not announcer.still_true(5.0)
    assert announcer.current is None
    assert [dropped.reason for dropped in announcer.take_dropped()] == ["expired"]


def test_a_call_is_not_repeated_while_it_is_being_said() -> None:
    announcer = Announcer()
    announcer.submit(call("time is up", "k"), 0.0)
    announcer.next(0.0)
    announcer.submit(call("time was up twenty seconds ago", "k", repeats=1), 20.0)
    assert announcer.next(20.0) is None
    announcer.finished()
    assert all_said(announcer, 21.0) == []
    assert [dropped.reason for dropped in announcer.take_dropped()] == ["repeated"]


def test_a_newer_announcement_with_the_same_key_replaces_the_older() -> None:
    announcer = Announcer()
    announcer.submit(call("ten minutes", "k"), 0.0)
    announcer.submit(call("nine minutes", "k"), 1.0)
    assert [a.text for a in announcer.pending] == ["nine minutes"]
    assert all_said(announcer, 1.0) == ["nine minutes"]


def test_a_newer_one_cuts_short_the_older_of_its_key_because_that_is_no_longer_true() -> None:
    announcer = Announcer()
    announcer.submit(call("pressure is low", "k"), 0.0)
    announcer.next(0.0)
    announcer.submit(call("pressure is back", "k"), 1.0)
    turn = announcer.next(1.0)
    assert turn is not None
    assert turn.announcement.text == "pressure is back"
    announcer.finished()
    assert announcer.pending == ()


def test_silence_drops_talk_but_calls_come_back() -> None:
    announcer = Announcer()
    announcer.submit(call("time is up", "k"), 0.0)
    announcer.next(0.0)
    announcer.submit(chat(), 0.0)
    announcer.submit(guide("next step"), 0.0)
    assert {a.text for a in announcer.stop(1.0)} == {"chat", "next step"}
    assert announcer.current is None
    assert announcer.next(8.9) is None
    assert say_next(announcer, 9.0) == "time is up"


def test_a_caution_that_was_silenced_is_said_once_more_after_a_pause() -> None:
    announcer = Announcer()
    announcer.submit(Announcement("too hot", Urgency.CAUTION), 0.0)
    announcer.next(0.0)
    assert announcer.stop(1.0) == ()
    assert [a.text for a in announcer.pending] == ["too hot"]
    assert say_next(announcer, 9.0) == "too hot"
    assert announcer.pending == ()


def test_a_withdrawn_call_is_gone() -> None:
    announcer = Announcer()
    announcer.submit(call("a", "a"), 0.0)
    announcer.submit(call("b", "b"), 0.0)
    assert say_next(announcer, 0.0) == "a"
    assert not announcer.withdraw("a"), "it was said already"
    assert announcer.withdraw("b")
    assert announcer.next(1000.0) is None


def test_a_withdrawn_call_that_is_being_said_is_not_said_again_after_a_cut() -> None:
    announcer = Announcer()
    announcer.submit(call("a", "a"), 0.0)
    announcer.next(0.0)
    announcer.withdraw("a")
    announcer.interrupted()
    assert announcer.next(1000.0) is None
    assert announcer.take_dropped()[0].reason == "withdrawn"


def test_due_in_names_the_time_until_what_was_stopped_comes_back() -> None:
    announcer = Announcer()
    assert announcer.due_in_s(0.0) is None
    announcer.submit(call("a", "a"), 0.0)
    assert announcer.due_in_s(0.0) == 0.0
    announcer.next(0.0)
    announcer.stop(1.0)
    assert announcer.due_in_s(2.0) == STOPPED_S - 1.0


# ---------------------------------------------------------------- properties

ANNOUNCEMENTS = st.tuples(
    st.sampled_from(Urgency), st.sampled_from([None, "a", "b", "c"]), st.sampled_from([None, 1.0, 5.0, 40.0])
)
ACTIONS = st.lists(
    st.one_of(
        st.tuples(st.just("submit"), ANNOUNCEMENTS),
        st.tuples(st.sampled_from(["next", "finished", "interrupted", "withdraw", "stop"]), st.none()),
        st.tuples(st.just("wait"), st.sampled_from([0.5, 3.0, 9.0, 70.0])),
    ),
    max_size=60,
)


class Kitchen:
    """Run a list of actions and keep a record to check the rules against."""

    def __init__(self) -> None:
        self.announcer = Announcer()
        self.t = 0.0
        self.submitted: list[Announcement] = []
        self.begun: list[tuple[float, Announcement]] = []
        self.said: list[Announcement] = []
        self.dropped: list[tuple[Announcement, str]] = []
        self.came_t: dict[str, float] = {}
        self.cut_by: list[tuple[Announcement, Announcement]] = []

    def do(self, action: str, detail: object) -> None:
        getattr(self, f"do_{action}")(detail)
        self.dropped += [(dropped.announcement, dropped.reason) for dropped in self.announcer.take_dropped()]

    def do_wait(self, seconds: float) -> None:
        self.t += seconds

    def do_submit(self, detail: tuple[Urgency, str | None, float | None]) -> None:
        urgency, key, life_s = detail
        text = f"text {len(self.submitted)}"
        lasting = f"lasting {text}" if life_s == 5.0 else ""
        announcement = Announcement(text, urgency, key=key, true_s=life_s, lasting=lasting)
        self.came_t[text] = self.t
        self.submitted.append(announcement)
        self.announcer.submit(announcement, self.t)

    def do_next(self, _: None) -> None:
        before = self.announcer.current
        turn = self.announcer.next(self.t)
        if turn is not None:
            self.begun.append((self.t, turn.announcement))
            if before is not None:
                self.cut_by.append((before, turn.announcement))

    def do_finished(self, _: None) -> None:
        if self.announcer.current is not None:
            self.said.append(self.announcer.current)
        self.announcer.finished()

    def do_interrupted(self, _: None) -> None:
        self.announcer.interrupted()

    def do_withdraw(self, _: None) -> None:
        self.announcer.withdraw("a")

    def do_stop(self, _: None) -> None:
        self.announcer.stop(self.t)

    def say_all(self) -> None:
        """Let the mouth speak undisturbed for a while, without answers."""
        self.do("finished", None)
        for _ in range(60):
            self.do("next", None)
            self.do("finished", None)
            self.do("wait", 4.0)


def played(actions: list[tuple[str, object]]) -> Kitchen:
    kitchen = Kitchen()
    for action, detail in actions:
        kitchen.do(action, detail)
    return kitchen


def lasting_of(announcement: Announcement) -> Announcement:
    return replace(announcement, text=announcement.lasting, true_s=None)


@given(ACTIONS)
def test_nothing_urgent_is_ever_lost(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    present = kitchen.announcer.current
    for announcement in kitchen.submitted:
        if announcement.urgency < Urgency.CAUTION and announcement.key is None:
            continue
        either = (announcement, lasting_of(announcement))
        reasons = {reason for dropped, reason in kitchen.dropped if dropped in either}
        assert (
            any(each in kitchen.said or each in kitchen.announcer.pending or each == present for each in either)
            or reasons & {"replaced", "withdrawn"}
            or ("expired" in reasons and not announcement.lasting)
        )
        assert not reasons & {"stopped", "interrupted"}


@given(ACTIONS)
def test_left_alone_every_urgent_announcement_is_said_once(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    kitchen.say_all()
    gone = {dropped for dropped, _ in kitchen.dropped}
    for announcement in kitchen.submitted:
        either = (announcement, lasting_of(announcement))
        if (announcement.urgency >= Urgency.CAUTION or announcement.key is not None) and not gone & set(either):
            assert sum(kitchen.said.count(each) for each in either) == 1
    assert kitchen.announcer.pending == ()


@given(ACTIONS)
def test_what_is_not_true_any_more_is_never_begun(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    kitchen.say_all()
    assert all(a.true_s is None or t < kitchen.came_t[a.text] + a.true_s for t, a in kitchen.begun)


@given(ACTIONS)
def test_only_the_more_urgent_or_the_newer_of_a_key_cuts_in(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    replaced = {dropped for dropped, reason in kitchen.dropped if reason == "replaced"}
    for cut, by in kitchen.cut_by:
        assert by.urgency > cut.urgency or cut in replaced


@given(st.lists(st.sampled_from([Urgency.GUIDANCE, Urgency.CAUTION, Urgency.CHAT]), max_size=30))
def test_equal_ones_are_said_in_the_order_they_came(urgencies: list[Urgency]) -> None:
    announcer = Announcer()
    for number, urgency in enumerate(urgencies):
        announcer.submit(Announcement(f"{number}", urgency), 0.0)
    said = [int(text) for text in all_said(announcer, 0.0)]
    assert said == sorted(said, key=lambda number: (-urgencies[number], number))
