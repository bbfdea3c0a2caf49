"""No time that is said is untrue when it sounds: over days left to chance, with a mouth that is kept busy."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Announcement, Urgency
from kitchenvoice.testing.joined_kitchen import JoinedKitchen

from .times import Witness

BEANS = ("start seven quarts of green beans raw pack in canner one", "yes", "seven jars packed", "jars are in")
VENTING = (*BEANS, "lid is locked", "steam is steady")
CARROTS = ("start nine pints of carrots hot pack in canner two", "yes", "nine jars packed", "jars are in")
LINES = (
    "weight is on", "pressure is eleven", "pressure is nine", "heat is off", "gauge is at zero", "lid is off",
    "jars are out", "steam is steady", "time left", "time left", "where are we", "what did i miss", "repeat that",
    "repeat that", "what pressure do i need", "i'm here", "stop talking", "set a timer for six minutes", "yes", "no",
    "carrots, lid is locked", "carrots, steam is steady", "scratch that", "stop listening", "start listening",
)  # fmt: skip
LONG = "the jars stand on the towel and nobody touches them until tomorrow " * 6
PAUSES = (0.0, 1.0, 4.0, 11.0, 25.0, 45.0, 70.0, 130.0, 299.0, 305.0, 601.0)

line = st.tuples(st.just("type"), st.sampled_from(LINES))
pause = st.tuples(st.just("wait"), st.sampled_from(PAUSES))
busy = st.tuples(st.just("say"), st.sampled_from([Urgency.ALARM, Urgency.CAUTION, Urgency.READBACK]))
trouble = st.one_of(
    st.tuples(st.just("unplug"), st.sampled_from([20.0, 90.0, 400.0])),
    st.tuples(st.just("slow"), st.sampled_from([0.0, 0.0, 2.0, 50.0])),
)
days = st.tuples(
    st.sampled_from([VENTING, (*VENTING, *CARROTS)]),
    st.lists(st.one_of(line, line, pause, pause, busy, trouble), min_size=4, max_size=30),
)


class Day(JoinedKitchen):
    """A kitchen with a witness, in which anything may be done."""

    def __init__(self, book: GrammarBook) -> None:
        self.witness = Witness()
        super().__init__(book, PRACTICE_KITCHEN)
        self._watch = self.witness.look
        self._show = lambda *_: self.witness.begins.add(self.session.t)
        self.begin()

    def do(self, action: str, what: object) -> None:
        getattr(self, f"do_{action}")(what)

    def do_type(self, text: str) -> None:
        self.type(text)

    def do_wait(self, seconds: float) -> None:
        self.wait(seconds)

    def do_say(self, urgency: Urgency) -> None:
        self.mouth.say(Announcement(LONG, urgency))

    def do_unplug(self, seconds: float) -> None:
        self.player.break_down()
        self.wait(seconds)
        self.player.repair()

    def do_slow(self, seconds: float) -> None:
        self.render_s = seconds

    @property
    def untrue(self) -> list[str]:
        return [f"{each.text!r}: {fault}" for each in self.sounded for fault in self.witness.untrue(each.text, each.t)]


def played(book: GrammarBook, begun: tuple[str, ...], actions: list[tuple[str, object]]) -> Day:
    day = Day(book)
    day.type(*begun)
    day.wait(605.0)
    day.type("weight is on", "pressure is eleven")
    for action, what in actions:
        day.do(action, what)
    day.wait(700.0)
    return day


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(days)
def test_every_time_is_true_to_the_minute_when_it_begins_to_sound(
    book: GrammarBook, day: tuple[tuple[str, ...], list[tuple[str, object]]]
) -> None:
    found = played(book, *day)
    assert not found.untrue
    assert not [each.text for each in found.sounded if "went wrong inside me" in each.text]


def test_the_witness_would_see_a_time_that_is_not_true(book: GrammarBook) -> None:
    day = played(book, VENTING, [])
    t = day.session.t
    hold_ends_t = min(end for end in day.witness.ends if end > t)
    assert 12.0 < (hold_ends_t - t) / 60 < 14.0
    assert day.witness.untrue("Thirteen minutes of hold left.", t) == []
    assert day.witness.untrue("Fifteen minutes of hold left.", t) != []
    assert day.witness.untrue("Green beans: holding, fifteen minutes left.", t) != []
    assert day.witness.untrue("The hold ended thirty minutes ago. Turn the heat off.", t) != []
    assert day.witness.untrue("Eleven. Twenty five minutes in all.", t) == []


def test_what_is_kept_from_sounding_is_said_in_other_words(book: GrammarBook) -> None:
    day = Day(book)
    day.type("set a timer for ten minutes")
    day.player.break_down()
    day.wait(900.0)
    day.player.repair()
    day.wait(30.0)
    assert day.witness.timed(day.sounded[-1].text) == 1
    assert not day.untrue
