"""What holds on every day that chance can bring: replay, undo, determinism, and no number out of thin air."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar import normalise
from kitchenvoice.grammar.numbers import NotANumber, mixed
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.language import CONFUSABLE, load_language
from kitchenvoice.ports import Utterance
from kitchenvoice.process import fold
from kitchenvoice.process.steps import all_steps
from kitchenvoice.process.timing import DOUBT_S
from kitchenvoice.reference.knowledge import family

words = load_language("en")
STARTS = [
    "start seven quarts of green beans raw pack",
    "start nine pints of carrots hot pack in canner two",
    "start seven pints of peaches hot pack",
    "start sixteen pints of carrots raw pack",
]
REPORTS = [
    "three more",
    "minus one",
    "seven jars packed",
    "jars are in",
    "six jars are in",
    "lid is locked",
    "heat is on",
    "steam is steady",
    "steam stopped",
    "weight is on",
    "weight is rocking",
    "weight stopped rocking",
    "pressure is eleven",
    "pressure is fifteen",
    "pressure is nine and a half",
    "pressure dropped",
    "the pressure dropped to eight",
    "the pressure is down",
    "no steady steam",
    "full boil",
    "we lost the boil",
    "heat is off",
    "gauge is at zero",
    "lid is off",
    "jars are out",
    "a jar broke",
    "six sealed one failed",
    "three sealed",
    "all sealed",
    "freeze it",
    "reprocess it",
    "close the load",
]
TALK = [
    "clear",
    "done",
    "next",
    "go back",
    "why",
    "where are we",
    "time left",
    "what did i miss",
    "help",
    "repeat that",
    "scratch that",
    "cancel",
    "i hear you",
    "set a timer for fifteen minutes",
    "stop the timer",
    "stop listening",
    "start listening",
    "keep it short",
    "tell me everything",
    "load one",
    "load two",
    "the carrots",
    "what's the count",
    "how many jars",
    "how much salt",
    "what pressure do i need",
    "how long do i process",
    "blah blah",
]
BARE = ["yes", "no", "seven", "eleven", "raw pack", "quarts", "boiling water", "load one", "clear", "cancel", "help"]

called = st.sampled_from([*STARTS, *REPORTS, *TALK]).map(lambda text: f"kitchen voice {text}")
line = st.one_of(called, called, st.sampled_from(BARE), st.sampled_from(BARE))
pause = st.sampled_from([0, 0, 1, 5, 25, 61, 130, 300, 601, 1501])
BEANS = [(f"kitchen voice {STARTS[0]}", 0), ("yes", 0)]
LOADED = [("kitchen voice seven jars packed", 0), ("kitchen voice jars are in", 0), ("kitchen voice lid is locked", 0)]
HOLDING = [
    ("kitchen voice steam is steady", 601),
    ("kitchen voice weight is on", 0),
    ("kitchen voice pressure is eleven", 0),
]
DONE = [("eleven", 1501), ("kitchen voice heat is off", 0), ("kitchen voice gauge is at zero", 601)]
OUT = [("kitchen voice lid is off", 0), ("kitchen voice jars are out", 43_300)]
CARROTS = [(f"kitchen voice {STARTS[1]}", 0), ("yes", 0)]
BEGINNINGS = [
    [],
    BEANS,
    [*BEANS, *LOADED],
    [*BEANS, *LOADED, *HOLDING],
    [*BEANS, *LOADED, *HOLDING, *CARROTS],
    [*BEANS, *CARROTS],
    [*BEANS, *LOADED, *HOLDING, *DONE],
    [*BEANS, *LOADED, *HOLDING, *DONE, *OUT],
]
rest_of_day = st.lists(st.tuples(line, pause), min_size=1, max_size=30)
day = st.tuples(st.sampled_from(BEGINNINGS), rest_of_day).map(lambda both: [*both[0], *both[1]])
T0 = 1_786_521_600.0
quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def play(book, lines, profile=PRACTICE_KITCHEN):
    """Return the conversation and all its turns."""
    conversation, turns, t = Conversation(book, profile), [], T0
    for text, seconds in lines:
        turns.append(conversation.hear(Utterance((text,)), t))
        end = t + seconds
        while (coming := conversation.next_t()) is not None and coming < end:
            t = max(t, coming + 0.001)
            turns.append(conversation.tick(t))
        t = end
        turns.append(conversation.tick(t))
    return conversation, turns


TWO_HOLD = [
    *BEANS,
    *LOADED,
    *HOLDING,
    *CARROTS,
    ("kitchen voice carrots nine jars packed", 0),
    ("kitchen voice carrots jars are in", 0),
    ("kitchen voice carrots lid is locked", 0),
    ("kitchen voice carrots steam is steady", 601),
    ("kitchen voice carrots weight is on", 0),
    ("kitchen voice carrots weight is rocking", 0),
]
LOSSES = ["heat is off", "pressure dropped", "the pressure is down", "no steady steam", "weight stopped rocking"]
stove = st.sampled_from([*LOSSES, *LOSSES, *REPORTS, *TALK, *STARTS]).map(lambda text: f"kitchen voice {text}")
at_the_stove = st.lists(st.tuples(st.one_of(stove, st.sampled_from(BARE)), pause), min_size=1, max_size=12)
two_hold = st.tuples(st.sampled_from([TWO_HOLD, *BEGINNINGS[3:5]]), at_the_stove).map(lambda both: [*both[0], *both[1]])


@quick
@given(two_hold)
def test_what_may_end_a_hold_is_settled_soon_and_nothing_is_called_done_before(book, lines):
    conversation, _ = play(book, lines)
    talk, t, ticks = conversation.talk, conversation.talk.t, 0
    end = t + 400
    while (coming := conversation.next_t()) is not None and coming < end:
        at_stake = {load.id for load in talk.kitchen.open_loads if load.doubt}
        t = max(t, coming + 0.001)
        turn = conversation.tick(t)
        assert not {event.load for event in turn.events if event.kind == "hold_done"} & at_stake
        ticks += 1
        assert ticks < 100, "the clock goes on"
    conversation.tick(end)
    assert all(each.since_t > end - DOUBT_S for each in talk.kitchen.doubts)  # what was kept is asked about just now


@settings(quick, max_examples=120)
@given(day)
def test_a_day_is_told_by_its_events_calls_aloud_begins_no_hold_unheard_and_says_words_and_no_promise(book, lines):
    conversation, turns = play(book, lines)
    events = [event for turn in turns for event in turn.events]
    assert fold(events) == conversation.talk.kitchen
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    said = [each for turn in turns for each in turn.announcements]
    assert {call.key for call in conversation.talk.kitchen.calls} <= {each.key for each in said}
    for turn in turns:
        told = {event.seq: event.heard for event in turn.events}
        begun = (each for each in turn.events if each.kind in ("hold_started", "hold_restarted", "vent_started"))
        assert all(told[event.data["of"]] for event in begun)
    for text in (each.text for each in said):
        assert text.strip()
        assert not re.search(r"[\d{}_]", text)
        assert "safe" not in text.lower()
        assert "None" not in re.sub(r"(?:^|\. )None ", " ", text).split()


@quick
@given(day)
def test_the_same_words_at_the_same_times_give_the_same_turns(book, lines):
    assert play(book, lines)[1] == play(book, lines)[1]


@quick
@given(day, st.sampled_from([*REPORTS, "clear", "set a timer for fifteen minutes"]))
@example([("kitchen voice start seven quarts of green beans raw pack", 0), ("yes", 0), ("no", 0)], "clear")
def test_taking_back_leads_to_the_state_before(book, lines, report):
    conversation, _ = play(book, lines)
    talk = conversation.talk
    t = talk.t
    conversation.hear(Utterance(("kitchen voice start listening",)), t)
    conversation.tick(t)  # what is due by now isn't the report's doing
    talk.question, talk.parked = None, ()
    before, seq = talk.kitchen, talk.last_seq
    turn = conversation.hear(Utterance((f"kitchen voice {report}",)), t)
    if not any(event.heard and event.kind not in ("load_select", "doubt") for event in turn.events):
        return  # it was asked about, or didn't fit: nothing to take back
    if talk.kitchen.doubts or any(event.kind == "fault" for event in turn.events):
        return  # that is asked about, and settled or taken back only by an answer (test_faults, test_contradicting)
    conversation.hear(Utterance(("kitchen voice scratch that",)), t)
    assert _unremarked(replace(talk.kitchen, seq=seq, t=before.t, focus=before.focus)) == _unremarked(before)


def _unremarked(kitchen):
    """The kitchen without remarks and doubts: what is taken back stays on the record, and is asked about."""
    return replace(kitchen, loads=tuple(replace(load, remarks=(), doubts=()) for load in kitchen.loads))


# ---------------------------------------------------------------- numbers

ABOUT_LOAD = ["time left", "where are we", "what pressure do i need", "how long do i process", "how much salt"]
ABOUT_LOAD += ["what's the head space", "how many jars", "what's the count", "repeat that", "what did i miss"]
NUMBER_WORDS = frozenset(" ".join(words.number(n) for n in range(100)).split()) | {"hundred", "half", "quarter"}
ANY_NUMBER = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))
PHRASE = re.compile(rf"(?:(?:\b(?:{ANY_NUMBER})\b)(?: and a (?=half|quarter))?\s?)+")
LITERAL_STEPS = " ".join(text for step in all_steps() for text in (step.say, step.brief, step.why, step.caution))


def numbers_in(text):
    """Every number that is said; none goes on over the end of a sentence ("load one. Twenty five minutes")."""
    found = set()
    for match in (match for sentence in text.split(". ") for match in PHRASE.finditer(normalise(sentence))):
        try:
            found.add(mixed(tuple(match[0].split())))
        except NotANumber:
            found.update(mixed((word,)) for word in match[0].split() if word not in ("and", "a"))
    return found


def known_numbers(talk):
    """Every number that the look-up, a report, a count or a running timer gives."""
    found = numbers_in(LITERAL_STEPS) | numbers_in(family("headspace_how_much").answer) | {0.0, 5.0, 10.0, 12.0, 24.0}
    found |= {20.0, 60.0}  # guide 1: "another 20 to 60 minutes to cool the canner"
    for load in talk.kitchen.loads:
        process = load.process
        facts = (process.minutes, process.psi, process.target_psi, process.salt_tsp, load.number, load.planned)
        counts = (
            load.packed,
            load.standing,
            load.jars,
            load.broken,
            load.sealed,
            load.failed,
            load.undecided,
            *load.tally,
        )
        for value in (*facts, *counts, load.last_psi):
            if value is not None:
                found.add(float(value))
        if load.last_psi_t is not None:
            found |= numbers_in(words.duration(talk.t - load.last_psi_t))
        if load.cooling_t is not None:
            found |= numbers_in(words.duration(talk.t - load.cooling_t))
        found |= numbers_in(process.headspace) | numbers_in(words.jars(load.jar, load.standing))
    timers = [timer for load in talk.kitchen.loads for timer in load.timers] + list(talk.kitchen.timers)
    for timer in timers:
        found |= numbers_in(words.duration(max(0.0, timer.left_s(talk.t)))) | numbers_in(words.duration(timer.seconds))
    for call in talk.kitchen.calls:
        found |= numbers_in(words.duration(talk.t - call.since_t))
    digits = {float(digit) for value in found if value in CONFUSABLE for digit in str(int(value))}
    return found | digits


@quick
@given(day, st.sampled_from([text for text in ABOUT_LOAD if text != "repeat that"]))
def test_no_number_is_said_of_a_load_that_nobody_reported_and_no_table_holds(book, lines, question):
    conversation, _ = play(book, lines)
    talk = conversation.talk
    conversation.hear(Utterance(("kitchen voice start listening",)), talk.t)
    talk.question, talk.parked = None, ()
    turn = conversation.hear(Utterance((f"kitchen voice {question}",)), talk.t)
    for text in (each.text for each in turn.announcements):
        assert numbers_in(text) <= known_numbers(talk), text


def test_the_check_itself_would_see_a_number_out_of_thin_air(holding):
    said = holding.say("time left")
    assert numbers_in(said) == {25.0}
    assert numbers_in("Thirty seven and a half minutes left.") == {37.5}
    assert not numbers_in("Thirty seven and a half minutes left.") <= known_numbers(holding.talk)
