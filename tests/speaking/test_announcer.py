"""The announcer: the rules one by one, then as properties over random days."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.speaking import Announcer


def chat(text: str = "chat") -> Announcement:
    return Announcement(text, Urgency.CHAT)


def guide(text: str, expires_t: float | None = None) -> Announcement:
    return Announcement(text, Urgency.GUIDANCE, expires_t=expires_t)


def call(text: str, key: str, load: int | None = None, urgency: Urgency = Urgency.ALARM) -> Announcement:
    return Announcement(text, urgency, key=key, tone="timer", load=load)


def say_next(announcer: Announcer, t: float) -> str | None:
    """Say the next announcement to its end at once."""
    turn = announcer.next(t)
    if turn is None:
        return None
    announcer.finished(t)
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
    announcer.finished(1.0)
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
    announcer.finished(2.0)
    assert [turn.announcement.text, *all_said(announcer, 2.0)] == then
    assert [dropped.reason for dropped in announcer.take_dropped()] == (["interrupted"] if len(then) == 1 else [])


def test_what_has_expired_is_never_begun_and_is_named() -> None:
    announcer = Announcer()
    announcer.submit(guide("old", expires_t=5.0), 0.0)
    announcer.submit(guide("new", expires_t=5.1), 0.0)
    assert all_said(announcer, 5.0) == ["new"]
    assert [(d.announcement.text, d.reason) for d in announcer.take_dropped()] == [("old", "expired")]


def test_a_call_comes_back_after_8_15_30_60_and_then_every_60_seconds_and_louder() -> None:
    announcer = Announcer()
    announcer.submit(call("time is up", "k"), 0.0)
    t, times, repeats = 0.0, [], []
    for tenth in range(3000):
        t = tenth / 10
        turn = announcer.next(t)
        if turn is not None:
            times.append(t)
            repeats.append(turn.repeats)
            announcer.finished(t)
    assert times == [0, 8, 23, 53, 113, 173, 233, 293]
    assert repeats == list(range(8))


def test_one_answer_answers_every_call_that_was_heard_and_no_other() -> None:
    announcer = Announcer()
    for load in (1, 2):
        announcer.submit(call(f"load {load}", f"hold:{load}", load), 0.0)
    assert all_said(announcer, 0.0) == ["load 1", "load 2"]
    announcer.submit(call("load 3", "hold:3", 3), 1.0)
    assert {a.load for a in announcer.answer()} == {1, 2}
    assert [a.load for a in announcer.pending] == [3]
    assert all_said(announcer, 500.0) == ["load 3"]


def test_an_answer_can_name_a_load_or_a_key() -> None:
    announcer = Announcer()
    for load in (1, 2, 3):
        announcer.submit(call(f"load {load}", f"hold:{load}", load), 0.0)
    all_said(announcer, 0.0)
    assert [a.load for a in announcer.answer(load=2)] == [2]
    assert [a.load for a in announcer.answer(key="hold:3")] == [3]
    assert all_said(announcer, 20.0) == ["load 1"]


def test_an_answer_in_the_middle_lets_the_words_be_heard_and_ends_the_call() -> None:
    announcer = Announcer()
    announcer.submit(call("time is up", "k"), 0.0)
    announcer.next(0.0)
    assert len(announcer.answer()) == 1
    assert announcer.current is not None
    announcer.finished(2.0)
    assert announcer.next(1000.0) is None


def test_an_answered_call_that_is_cut_short_before_its_end_is_said_once_more() -> None:
    announcer = Announcer()
    announcer.submit(call("load one", "k", urgency=Urgency.CAUTION), 0.0)
    announcer.next(0.0)
    announcer.answer()
    announcer.submit(call("alarm", "a"), 0.5)
    assert say_next(announcer, 0.5) == "alarm"
    assert say_next(announcer, 0.6) == "load one"
    assert [a.text for a in announcer.pending] == ["alarm"]


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
    announcer.finished(2.0)
    assert [a.text for a in announcer.pending] == ["pressure is back"]


def test_an_answer_to_the_older_words_does_not_answer_the_newer() -> None:
    announcer = Announcer()
    announcer.submit(call("one", "k"), 0.0)
    assert all_said(announcer, 0.0) == ["one"]
    announcer.submit(call("two", "k"), 1.0)
    assert announcer.answer() == ()
    assert all_said(announcer, 1.0) == ["two"]


def test_the_same_words_again_change_neither_times_nor_the_sentence_in_the_air() -> None:
    announcer = Announcer()
    announcer.submit(call("same", "k"), 0.0)
    announcer.next(0.0)
    announcer.submit(call("same", "k"), 0.5)
    assert announcer.next(0.5) is None
    announcer.finished(1.0)
    announcer.submit(call("same", "k"), 1.5)
    assert announcer.next(8.9) is None
    assert say_next(announcer, 9.0) == "same"


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


def test_a_withdrawn_call_is_gone_heard_or_not() -> None:
    announcer = Announcer()
    announcer.submit(call("a", "a"), 0.0)
    announcer.submit(call("b", "b"), 0.0)
    assert say_next(announcer, 0.0) == "a"
    assert announcer.withdraw("a")
    assert announcer.withdraw("b")
    assert not announcer.withdraw("c")
    assert announcer.next(1000.0) is None


def test_a_withdrawn_call_that_is_being_said_is_not_said_again_after_a_cut() -> None:
    announcer = Announcer()
    announcer.submit(call("a", "a"), 0.0)
    announcer.next(0.0)
    announcer.withdraw("a")
    announcer.interrupted()
    assert announcer.next(1000.0) is None
    assert announcer.take_dropped()[0].reason == "withdrawn"


def test_due_in_names_the_time_until_the_next_repeat() -> None:
    announcer = Announcer()
    assert announcer.due_in_s(0.0) is None
    announcer.submit(call("a", "a"), 0.0)
    assert announcer.due_in_s(0.0) == 0.0
    say_next(announcer, 1.0)
    assert announcer.due_in_s(2.0) == 7.0


# ---------------------------------------------------------------- properties

ANNOUNCEMENTS = st.tuples(
    st.sampled_from(Urgency), st.sampled_from([None, "a", "b", "c"]), st.sampled_from([None, 1.0, 5.0, 40.0])
)
ACTIONS = st.lists(
    st.one_of(
        st.tuples(st.just("submit"), ANNOUNCEMENTS),
        st.tuples(st.sampled_from(["next", "finished", "interrupted", "answer", "stop"]), st.none()),
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
        self.answered: list[Announcement] = []
        self.cut_by: list[tuple[Announcement, Announcement]] = []

    def do(self, action: str, detail: object) -> None:
        getattr(self, f"do_{action}")(detail)
        self.dropped += [(dropped.announcement, dropped.reason) for dropped in self.announcer.take_dropped()]

    def do_wait(self, seconds: float) -> None:
        self.t += seconds

    def do_submit(self, detail: tuple[Urgency, str | None, float | None]) -> None:
        urgency, key, life_s = detail
        expires_t = None if life_s is None else self.t + life_s
        announcement = Announcement(f"text {len(self.submitted)}", urgency, key=key, expires_t=expires_t)
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
        self.announcer.finished(self.t)

    def do_interrupted(self, _: None) -> None:
        self.announcer.interrupted()

    def do_answer(self, _: None) -> None:
        self.answered += self.announcer.answer()

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


@given(ACTIONS)
def test_nothing_urgent_is_ever_lost(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    present = kitchen.announcer.current
    for announcement in kitchen.submitted:
        if announcement.urgency < Urgency.CAUTION and announcement.key is None:
            continue
        reasons = {reason for dropped, reason in kitchen.dropped if dropped == announcement}
        assert (
            announcement in kitchen.said
            or announcement in kitchen.announcer.pending
            or announcement == present
            or announcement in kitchen.answered
            or reasons & {"expired", "replaced"}
        )
        assert not reasons & {"stopped", "interrupted"}


@given(ACTIONS)
def test_left_alone_every_urgent_announcement_is_said_and_calls_go_on(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    answered_before = list(kitchen.answered)
    kitchen.say_all()
    gone = {dropped for dropped, _ in kitchen.dropped}
    for announcement in kitchen.submitted:
        lasting = announcement.urgency >= Urgency.CAUTION or announcement.key is not None
        if not lasting or announcement in gone:
            continue
        assert announcement in kitchen.said or announcement in answered_before
        newest = [a for a in kitchen.submitted if a.key == announcement.key][-1]
        if announcement.key is not None and announcement is newest and announcement not in answered_before:
            assert announcement in kitchen.announcer.pending
            assert any(t > kitchen.t - 120 for t, begun in kitchen.begun if begun == announcement)


@given(ACTIONS)
def test_stale_is_never_begun(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    kitchen.say_all()
    assert all(a.expires_t is None or t < a.expires_t for t, a in kitchen.begun)


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


@given(ACTIONS)
def test_what_was_answered_is_not_begun_again_once_it_was_said_whole(actions: list[tuple[str, object]]) -> None:
    kitchen = played(actions)
    kitchen.say_all()
    done = [a for a in kitchen.answered if a in kitchen.said]
    begun_before = len(kitchen.begun)
    kitchen.say_all()
    assert not [a for _, a in kitchen.begun[begun_before:] if a in done]
