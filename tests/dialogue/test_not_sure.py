"""What the cook isn't sure of, or tells of a part only."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.rewording import reworded
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.ports import Utterance

SURE = "That has to be sure. Look again: is it so,"


def typed(cook, line):
    return cook.bare(line, typed=True)


@pytest.mark.parametrize("said", ["about eleven", "maybe eleven", "eleven i think"])
def test_a_reading_nobody_is_sure_of_is_no_reading(holding, said):
    assert typed(holding, said).startswith(SURE)
    holding.wait(120)
    assert holding.load.kept or not holding.load.holding


@pytest.mark.parametrize("answer", ["yes", "pressure is eleven", "eleven"])
def test_a_reading_that_was_looked_at_again_counts(holding, answer):
    typed(holding, "about eleven")
    assert "Eleven." in typed(holding, answer)
    holding.wait(120)
    assert holding.load.holding


def test_heat_that_may_be_off_is_asked_about_after_the_hold(holding):
    holding.wait(26 * 60)
    assert typed(holding, "heat is off i think").startswith(SURE)
    assert holding.load.stage == "hold"
    holding.bare("yes")
    assert holding.load.stage == "cool"


def test_heat_that_may_be_off_counts_in_a_hold(holding):
    assert "Is the heat off?" in typed(holding, "i think the heat is off")
    assert holding.load.doubt


def test_a_lid_that_may_be_locked_is_asked_about(cook):
    cook.run(*cook.BEANS, *cook.LOADED)
    step = cook.load.step
    assert typed(cook, "lid is locked i think").startswith(SURE)
    assert cook.load.step == step


@pytest.mark.parametrize("some", ["some jars are out", "some of the jars are out"])
def test_some_of_the_jars_are_not_all(holding, some):
    holding.run(26, "heat is off", 46, "gauge is at zero", 11, "lid is off")
    typed(holding, some)
    assert holding.load.stage == "cool"


# ---------------------------------------------------------------- answers in the words of what was asked

ANSWERS = (
    ("held", "yes", "it held | it stayed up | it never dropped"),
    ("held", "yes", "the whole time | sure | it was fine | yes it's fine"),
    ("held", "yes", "yes never below | it didn't drop"),
    ("held", "yes", "yeah, all along | it stayed above eleven | always at eleven or higher"),
    ("held", "no", "it dropped | it went under | it didn't hold | no"),
    ("held", "", "it held for a while | it was fine earlier"),
    ("held", "", "it held until a minute ago | it held but it dropped once | it mostly held"),
    ("held", "", "it never dropped much | not the whole time | most of the time"),
    ("held", "", "it held except once | no it held | it held at first"),
    ("fell", "no", "no it didn't drop | it never dropped | nah | never"),
    ("fell", "no", "it hasn't dropped yet | no it's fine | no still at eleven | it held"),
    ("fell", "yes", "yes it did | it did | it dropped | yes it fell"),
    ("fell", "", "it didn't really drop | it didn't drop until now"),
    ("fell", "", "it never dropped much | the whole time | i don't think it dropped"),
    ("changes", "no", "nothing changed | no it doesn't | not at all"),
    ("changes", "no", "that was just chat | no everything's as it should be | nope"),
    ("guess", "no", "not that | nope | no that's not what i asked"),
    ("guess", "no", "no that's not it | i was talking to someone else | no i said more lids"),
    ("guess", "", "no i said it dropped | no i said steam stopped"),
    ("zero", "yes", "sure is | yes really | yes i looked twice"),
    ("zero", "no", "no not yet | not quite | no it's at two"),
    ("zero", "", "it was at zero | i looked again"),
    ("was_zero", "yes", "yes it was at zero first | the gauge was at zero | it was"),
    ("loss_ok", "no", "no eleven | no it's eleven | no i said eleven"),
    ("loss_ok", "no", "i meant eleven | no i misread it"),
    ("count_ok", "yes", "exactly | you got it | that's what i said | sounds right | yep that's it"),
    ("count_ok", "seal_count", "no five | no all seven | no seven sealed | nope it's five and two"),
)  # fmt: skip


@pytest.mark.parametrize(("question", "intent", "texts"), ANSWERS)
def test_an_answer_counts_only_as_a_whole_and_by_what_was_asked(book, question, intent, texts):
    grammar = book.grammar(["hold"], attention="optional", question=question, loads={1: "snap_beans"}, typed=True)
    for text in texts.split(" | "):
        said = reworded(understand(Utterance((text,)), grammar), grammar, lambda _: False)
        answer = said.intent if said.intent in ("yes", "no", "seal_count") and said.unsure is None else ""
        assert (text, answer) == (text, intent)


@pytest.mark.parametrize("no", ["no eleven", "no it's eleven", "i meant eleven", "it's not ten it's eleven"])
def test_a_no_with_the_right_number_takes_a_loss_back_and_leaves_no_doubt(holding, no):
    holding.run(5, "pressure is ten")
    assert typed(holding, no) == "Taken back: pressure ten. Eleven. Twenty minutes to go."
    assert "The hold is done, twenty five minutes in full." in holding.wait(1201)
    assert holding.replayed() == holding.kitchen


@pytest.mark.parametrize("no", ["no nine", "no it's ten"])
def test_a_no_with_another_low_number_is_a_loss_all_the_same(holding, no):
    holding.run(5, "pressure is ten")
    typed(holding, no)
    assert not holding.load.hold or holding.load.hold.lost_t is not None


@pytest.mark.parametrize(("said", "held"), [("it stayed above eleven", True), ("it stayed above nine", False)])
def test_an_answer_with_a_number_is_held_against_the_target(holding, said, held):
    holding.run(5, "the lid is off")
    typed(holding, said)
    assert holding.load.holding is held


@pytest.mark.parametrize("no", ["no", "not that", "no that's not what i asked"])
def test_what_was_guessed_and_denied_is_not_asked_again(cook, no):
    assert typed(cook, "how did it go the last time i canned beans").startswith("Did you ask")
    assert typed(cook, no) == "All right, not that."
    assert cook.wait(120) == ""


READINGS = (
    ("right on eleven | a bit over eleven | just above eleven", 11),
    ("eleven and a bit | between eleven and twelve | a hair over eleven", 11),
    ("about twelve | twelve i think", 12),
    ("just under eleven | a bit below eleven | nearly eleven", None),
    ("not quite eleven | over ten | between ten and eleven", None),
)  # fmt: skip


@pytest.mark.parametrize(("said", "psi"), [(each, psi) for texts, psi in READINGS for each in texts.split(" | ")])
def test_a_number_and_what_is_said_beside_it(holding, said, psi):
    holding.wait(420)
    typed(holding, said)
    assert holding.load.holding is (psi is not None)
    assert psi is None or holding.load.last_psi == psi


@pytest.mark.parametrize("said", ["same", "still good", "it's fine", "hasn't moved", "almost twelve", "where it was"])
def test_no_number_is_asked_for_as_one(holding, said):
    holding.wait(240)
    assert typed(holding, said) == "I need the number: what does the gauge read?"
    typed(holding, "eleven")
    assert holding.load.holding


def test_after_look_again_a_yes_takes_the_reading(holding):
    holding.wait(240)
    assert "is it so, eleven?" in typed(holding, "about eleven")
    assert typed(holding, "yes") == "Eleven. Twenty one minutes to go."


@pytest.mark.parametrize("said", ["just above zero", "a bit over zero", "it's just over zero"])
def test_just_above_zero_is_no_zero(holding, said):
    holding.run(26, "heat is off", 50)
    typed(holding, said)
    assert not holding.load.at_zero


@pytest.mark.parametrize(
    ("said", "answer", "stage"),
    [("got them all out", "yes", "rest"), ("i opened it already", "yes it was at zero first", "cool"),
     ("got them all out", "no", "cool"), ("got them all out", "gauge is at zero", "cool")],
)  # fmt: skip
def test_a_lid_off_before_a_zero_was_told_is_warned_of_and_asked_about(holding, said, answer, stage):
    holding.run(26, "heat is off", 5)
    assert "throws boiling food and steam at you." in typed(holding, said)
    typed(holding, "yes it has stayed shut")
    holding.wait(3000)
    asked = typed(holding, said)
    assert asked.startswith("Leave the lid on.")
    assert asked.endswith("was all the pressure gone before?")
    typed(holding, answer)
    assert holding.load.stage == stage
    assert (holding.load.timer("settle") is not None) is (answer == "gauge is at zero")
    assert holding.replayed() == holding.kitchen


HELD = (10.1, "weight is on", "pressure is eleven", 26)
COLD = (*HELD, "heat is off", 46, "gauge is at zero", 11)
STAGES = (
    ((10.1,), "okay it's on", "come_up"),
    (HELD, "it's off", "cool"),
    (HELD, "off it goes", "cool"),
    (COLD, "opened it away from me", "cool"),
    ((*COLD, "lid is off"), "all seven out", "rest"),
)  # fmt: skip


@pytest.mark.parametrize(("way", "said", "stage"), STAGES)
def test_a_stage_is_reported_in_few_words(cook, way, said, stage):
    cook.run(*cook.BEANS, *cook.LOADED, *cook.VENTING, *way)
    typed(cook, said)
    assert cook.load.stage == stage
    assert cook.load.lid_off is ("away" in said or stage == "rest")


def test_off_in_a_hold_is_asked_about(holding):
    holding.wait(60)
    assert typed(holding, "it's off").endswith("Is the heat off?")


@pytest.mark.parametrize("said", ["not that one the carrots", "no that was the carrots", "i meant the carrots"])
def test_a_load_named_instead_changes_no_count(two, said):
    two.run("the carrots", "two jars packed")
    typed(two, said)
    assert two.kitchen.load(2).packed == 2


def test_another_jar_of_a_load_is_packed_and_none_is_opened(two):
    two.run("the carrots", "two jars packed")
    assert typed(two, "got another carrot jar done").endswith("Three packed.")


@pytest.mark.parametrize("said", [
    "I think it was rocking", "it should be rocking", "it was rocking", "yeah it was rocking",
    "it ought to be rocking", "last I looked it was rocking", "it's supposed to be rocking",
])  # fmt: skip
def test_what_was_or_should_be_is_no_report_of_a_weight_that_is_asked_about(weighted, said):
    weighted.run(7)
    assert weighted.talk.question.kind == "check"
    assert not typed(weighted, said).startswith("Rocking")
    assert "weight_rocking" not in weighted.kinds()[-2:]


@pytest.mark.parametrize("said", ["I think it was boiling", "it should be boiling", "it was at a full boil"])
def test_what_was_or_should_be_is_no_report_of_a_boil_that_is_asked_about(boiling, said):
    boiling.run(7)
    assert not typed(boiling, said).startswith("Boiling")


@pytest.mark.parametrize("said", ["I think it was at eleven", "it should be at eleven", "it was eleven"])
def test_what_was_or_should_be_is_no_reading_that_is_asked_for(holding, said):
    holding.run(7)
    assert not typed(holding, said).startswith("Eleven")


@pytest.mark.parametrize("said", ["no, it's still rocking", "it's rocking", "yes it is", "it's still rocking"])
def test_what_is_so_is_an_answer_to_what_is_asked(weighted, said):
    weighted.run(7)
    assert typed(weighted, said).startswith("Rocking")


def test_what_was_read_just_now_is_a_reading(holding):
    holding.run(7)
    assert typed(holding, "I just checked, it was at eleven").startswith("Eleven")
