"""A note is kept as it was typed, beside its load, read back, and nothing in it is acted on."""

from __future__ import annotations

import pytest

SALTY = "note: a bit too much salt, 2 tsp?"


def notes(cook):
    gone = {event.data["seq"] for event in cook.events if event.kind == "scratched"}
    return [(x.load, x.data["text"]) for x in cook.events if x.kind == "note" and x.seq not in gone]


def test_a_typed_note_is_kept_as_it_stands_and_read_back(cook):
    cook.run(*cook.BEANS)
    assert cook.bare(SALTY, typed=True) == "Noted for green beans: a bit too much salt, 2 tsp?"
    assert notes(cook) == [(1, "a bit too much salt, 2 tsp?")]
    assert cook.replayed().loads == cook.kitchen.loads


@pytest.mark.parametrize("said", ["Note : pressure dropped to nine", "REMARK: heat is off", "note: scratch that"])
def test_nothing_in_a_note_is_acted_on(holding, said):
    before = holding.kitchen.loads
    assert holding.bare(said, typed=True).startswith("Noted")
    assert holding.kitchen.loads == before
    assert len(notes(holding)) == 1


def test_it_is_taken_back_like_anything_else(cook):
    cook.run(*cook.BEANS)
    cook.bare(SALTY, typed=True)
    assert cook.say("scratch that").startswith("Taken back: the note.")
    assert notes(cook) == []


def test_of_two_loads_it_is_asked_which(two):
    assert two.bare(SALTY, typed=True).startswith("Which load")
    assert two.bare("the carrots", typed=True) == "Noted for carrots: a bit too much salt, 2 tsp?"
    assert notes(two) == [(2, "a bit too much salt, 2 tsp?")]


def test_an_open_question_stays_open(cook):
    cook.run(*cook.BEANS, "start nine pints of carrots in canner two")
    cook.bare("note: the big pot", typed=True)
    assert cook.talk.question is not None


def test_without_a_load_it_is_noted_for_none(cook):
    assert cook.bare(SALTY, typed=True).startswith("Noted in the record, for no load: ")
    assert notes(cook) == [(None, "a bit too much salt, 2 tsp?")]
    assert cook.replayed().loads == ()


@pytest.mark.parametrize("said", ["note:", "noted: salt", "a note: salt", "note", "note the heat was off"])
def test_what_is_no_note_is_none(cook, said):
    cook.run(*cook.BEANS)
    cook.bare(said, typed=True)
    assert notes(cook) == []


def test_no_sentence_that_was_heard_is_a_note(cook):
    cook.run(*cook.BEANS)
    cook.bare(f"kitchen voice {SALTY}")
    assert notes(cook) == []
    assert "a colon" in cook.bare("take a note", typed=True)


@pytest.mark.parametrize(
    ("answer", "kept"), [("yes", [(1, "next time quite a bit less of the old vinegar")]), ("no", [])]
)
def test_a_spoken_note_is_kept_as_text_after_it_was_read_back_with_a_yes(cook, answer, kept):
    cook.run(*cook.BEANS)
    assert cook.say("take a note") == "What shall I note for green beans?"
    said = cook.bare("next time quite a bit less of the old vinegar")
    assert said == "I heard: next time quite a bit less of the old vinegar. Shall I note that?"
    assert notes(cook) == []
    assert cook.bare(answer).startswith("Noted for green beans" if kept else "Not noted")
    assert notes(cook) == kept


def test_without_a_load_a_spoken_note_is_asked_for_as_well(cook):
    assert cook.say("take a note") == "What shall I note?"
    cook.run("> buy two boxes of lids", "> yes")
    assert notes(cook) == [(None, "buy two boxes of lids")]


def test_what_was_written_down_is_the_note_that_was_asked_for(cook):
    cook.run(*cook.BEANS, "take a note")
    grammar = cook.conversation.grammar(cook.t)
    assert [grammar.takes_words(text) for text in ("have in two much salt", "yes", "kitchen voice help")] == [
        True,
        False,
        False,
    ]
    assert "I heard: a bit too much salt." in cook.bare("have in two much salt", dictation="A bit too much salt.")
    assert not cook.conversation.grammar(cook.t).takes_words("have in two much salt")


def in_one_breath(cook, dictation, heard="kitchen voice no a bit to much"):
    return cook.bare(heard, dictation=dictation)


def test_a_note_in_one_breath_is_read_back_and_kept_at_its_load(two):
    written = "Kitchen foins, maker note, 2 lids were hard to close. Kitchen voice, note, 2 lids were hard to close."
    assert in_one_breath(two, written).startswith("Which load")
    said = two.bare("the carrots")
    assert said == "I heard: two lids were hard to close. Shall I note that?"
    assert notes(two) == []
    assert two.bare("yes") == "Noted for carrots: two lids were hard to close"
    assert notes(two) == [(2, "two lids were hard to close")]


@pytest.mark.parametrize(
    "dictation", ["", "Kitchen voice, not a bit too much.", "Kitchen voice, note.", "Kitchen voice, who left a note?"]
)
def test_what_may_be_no_note_is_asked_for_again(cook, dictation):
    cook.run(*cook.BEANS)
    assert in_one_breath(cook, dictation) == "Say that again?"


def test_a_sentence_of_the_kitchen_is_no_note_whatever_was_written_down(holding):
    said = in_one_breath(holding, "Kitchen voice, note pressure is nine.", "kitchen voice pressure is eleven")
    assert said.startswith("Eleven.")
    assert notes(holding) == []


def test_a_loss_in_a_note_is_asked_about(holding):
    assert "?" in in_one_breath(holding, "Kitchen voice, note that the pressure dropped to nine for a while.")
    assert [event.kind for event in holding.events][-1] == "doubt"


def test_a_report_in_place_of_a_note_is_a_report_and_an_unknown_word_no_note(holding):
    holding.say("take a note")
    assert holding.bare("the [unk] was old").endswith("What shall I note for green beans?")
    holding.say("pressure is twelve")
    holding.say("take a note")
    assert "below eleven, or the heat off, at any time" in holding.bare("the pressure was a bit low for a while")
    assert notes(holding) == []
    assert [event.kind for event in holding.events if event.kind in ("pressure_is", "doubt")][-2:] == [
        "pressure_is",
        "doubt",
    ]


@pytest.mark.parametrize(
    ("said", "note"),
    [
        ("jot down the beans came from the garden", "the beans came from the garden"),
        ("could you write this down: the big pot is at my sister's", "the big pot is at my sister's"),
        ("take this down for me, less salt next time", "less salt next time"),
        ("remember that these are for the fair", "these are for the fair"),
    ],
)
def test_a_note_may_begin_in_other_words(make, said, note):
    assert make().bare(said, typed=True) == f"Noted in the record, for no load: {note}"


def test_what_was_bought_is_offered_as_a_note_of_no_load(make):
    cook = make()
    assert (
        cook.bare("i put a new gasket on the canner", typed=True)
        == "Shall I note that: i put a new gasket on the canner?"
    )
    assert cook.bare("yes", typed=True) == "Noted in the record, for no load: i put a new gasket on the canner"
    assert notes(cook) == [(None, "i put a new gasket on the canner")]
    assert "change my canner" in cook.bare("got my gauge tested last week", typed=True)


@pytest.mark.parametrize("said", ["jot down eleven pounds", "jot down the lid blew off", "i put a new gasket on"])
def test_what_may_tell_of_a_hold_is_no_note(holding, said):
    holding.bare(said, typed=True)
    assert notes(holding) == []
    assert holding.talk.question is not None


def test_a_typed_note_needs_no_colon_where_nothing_of_the_stove_is_told(cook):
    cook.run(*cook.BEANS)
    assert cook.bare("note the beans were woody", typed=True) == "Noted for green beans: the beans were woody"
    assert notes(cook) == [(1, "the beans were woody")]
