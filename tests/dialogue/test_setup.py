"""The first evening: asked is what the profile lacks; nothing is assumed; what is dangerous is read back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import partial

import pytest

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.setup import due, wanted
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.language import load_language
from kitchenvoice.ports import Utterance

ATTENTION_PHRASES = tuple(load_language("en").table("attention").values())
MORNING = 1_786_521_600.0  # 12 August 2026
_AT_QUARTS = ("skip", "one", "weighted")


def _first(profile):
    return profile.canners[0].dial_error_psi


def _held(profile):
    return profile.canners[0].capacity


class Evening:
    """A first evening that can be broken off; what was kept is all that is known after it."""

    def __init__(self, book, profile=None, *, typed=False):
        self.book, self.profile, self.t, self.typed = book, profile or Profile(), MORNING, typed
        self.said, self.kept, self.voices = "", [], []
        self.start()

    def start(self):
        self.conversation = Conversation(self.book, self.profile)
        self._take(self.conversation.begin(self.t, typed=self.typed))

    def _take(self, turn):
        self.said = " ".join(each.text for each in turn.announcements)
        for control in turn.controls:
            if control.name == "profile":
                self.kept.append(dict(control.data))
                self.profile = replace(self.profile, **control.data)
            elif control.name == "voice":
                self.voices.append(control.data["voice"])
            elif control.name == "altitude":
                self.profile = replace(self.profile, altitude_ft=control.data["feet"])

    def say(self, *lines, **utterance):
        for line in lines:
            self._take(self.conversation.hear(Utterance((line,), **utterance), self.t, typed=not utterance))
        return self.said


@pytest.fixture
def evening(book):
    return Evening(book)


def test_it_begins_by_itself_only_where_something_vital_is_missing():
    assert wanted(Profile())
    assert wanted(replace(PRACTICE_KITCHEN, altitude_ft=None))
    assert wanted(replace(PRACTICE_KITCHEN, canners=(Canner(number=1, capacity={"quart": 7}),)))
    assert not wanted(PRACTICE_KITCHEN)
    asked = replace(PRACTICE_KITCHEN, asked=due(PRACTICE_KITCHEN))
    assert [wanted(asked, second_voice=there) for there in (False, True)] == [False, True]


def test_a_kitchen_written_by_hand_is_not_asked_about_after_a_change_by_voice(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("change the speech level", "everything", "change canner one", "skip", "dial gauge", "cancel")
    assert not wanted(evening.profile)


def test_what_was_answered_or_skipped_is_not_asked_again(evening):
    evening.say("feet", "skip")
    assert due(evening.profile)[0] == "canners"
    evening.say("none", "quarts", "kitchen voice", "yes", "everything", "skip")
    assert due(evening.profile) == ()
    assert (evening.profile.altitude_ft, evening.profile.canners) == (None, ())


def test_every_answer_is_kept_before_the_next_question(evening):
    answers = (
        "meters",
        "sixteen hundred",
        "yes",
        "one",
        "weighted gauge",
        "seven",
        "pints",
        "nine",
        "one layer",
    )
    for answer in answers:
        evening.say(answer)
        again = Evening(evening.book, evening.profile)
        if not evening.said.endswith("Is that right?"):  # what waits for a yes isn't kept yet
            assert again.said.endswith(evening.said.split(". ")[-1]), answer
    assert evening.profile.canners == (
        Canner(number=1, gauge="weighted", capacity={"quart": 7, "pint": 9}, layers={"pint": 1}),
    )


def test_an_altitude_counts_only_after_a_yes(evening):
    assert "Five two zero zero" in evening.say("feet", "fifty two hundred")
    assert evening.profile.altitude_ft is None
    evening.say("no", "fifteen hundred", "yes")
    assert evening.profile.altitude_ft == 1500


@pytest.mark.parametrize(
    ("units", "said", "feet"),
    [
        ("meters", "sixteen hundred", 5250),
        ("meters", "sixteen hundred feet", 1600),
        ("feet", "sixteen hundred", 1600),
        ("feet", "sixteen hundred meters", 5250),
        ("meters", "sea level", 0),
        ("meters", "zero", 0),
    ],
)
def test_a_bare_number_is_in_her_own_unit(evening, units, said, feet):
    heard = evening.say(units, said)
    assert ("meters" in heard) is (feet == 5250)
    evening.say("yes")
    assert evening.profile.altitude_ft == feet


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("june", date(2026, 6, 1)),
        ("august", date(2026, 8, 1)),
        ("september", date(2025, 9, 1)),
        ("june last year", date(2025, 6, 1)),
        ("in may twenty twenty four", date(2024, 5, 1)),
        ("never", None),
    ],
)
def test_the_dial_was_tested_in_the_month_she_says(evening, said, day):
    told = evening.say("feet", "skip", "one", "dial", said)
    assert evening.profile.canners[0].dial_tested == day
    assert ("Have it tested" in told) is (day is None or day < date(2025, 8, 12))
    assert ("What did the test find" in told) is (day is not None)


def test_a_test_that_is_still_to_come_is_no_answer(evening):
    evening.say("feet", "skip", "one", "dial")
    assert "When was the dial" in evening.say("december this year")
    assert evening.profile.canners[0].dial_tested is None


@pytest.mark.parametrize(
    ("said", "error", "read_back"),
    [
        ("exact", 0.0, "reads true"),
        ("half a pound high", 0.5, "half a pound high"),
        ("one pound too low", -1.0, "one pound low"),
        ("three pounds high", 3.0, "three pounds high"),
    ],
)
def test_what_the_dial_is_off_by_is_read_back_and_counts_only_after_a_yes(evening, said, error, read_back):
    asked = evening.say("feet", "skip", "one", "dial", "june", said)
    assert read_back in asked
    assert evening.profile.canners[0].dial_error_psi is None
    told = evening.say("yes")
    assert evening.profile.canners[0].dial_error_psi == error
    assert ("Replace the gauge" in told) is (abs(error) > 2)


def test_a_new_test_of_the_dial_forgets_what_the_old_one_found(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    assert PRACTICE_KITCHEN.canners[0].dial_error_psi == 0.0
    evening.say("change canner one", "skip", "skip", "june", "cancel")
    assert evening.profile.canners[0].dial_tested == date(2026, 6, 1)
    assert evening.profile.canners[0].dial_error_psi is None


@pytest.mark.parametrize("phrase", ATTENTION_PHRASES)
def test_every_wake_phrase_can_be_chosen_and_works_at_once(book, phrase):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("change the attention words", phrase, "yes")
    assert evening.profile.attention == phrase
    assert "Which food" in evening.say(f"{phrase} start a load", level_dbfs=-30.0)
    evening.say("cancel")
    if phrase != "kitchen voice":
        assert evening.say("kitchen voice start a load", level_dbfs=-30.0) == ""


@pytest.mark.parametrize(
    ("sound", "told"),
    [
        ({"level_dbfs": -27.0}, "I hear you well"),
        ({"level_dbfs": -45.0}, "softly"),
        ({"level_dbfs": -50.0, "trouble": "too_soft"}, "softly"),
        ({"level_dbfs": -3.0, "trouble": "too_loud"}, "too loud"),
        ({}, "Typed words"),
    ],
)
def test_the_sound_check_tells_how_she_is_heard(book, sound, told):
    evening = Evening(book, PRACTICE_KITCHEN)
    assert "start a load" in evening.say("sound check")
    assert told in evening.say("start a load", **sound)
    assert not evening.conversation.talk.kitchen.loads


def test_a_canner_with_a_load_in_it_is_not_forgotten(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("start seven quarts of green beans raw pack", "yes")
    assert "has a load in it" in evening.say("forget canner one")
    assert len(evening.profile.canners) == 2


def test_the_questions_wait_while_a_load_is_open(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("start seven quarts of green beans raw pack", "yes")
    talk = evening.conversation.talk
    later = Conversation(book, Profile(), tuple(talk.history), last_seq=talk.last_seq, last_load=talk.last_load)
    said = " ".join(each.text for each in later.begin(MORNING + 60, off_s=30).announcements)
    assert "Do you measure" not in said


@pytest.mark.parametrize("said", ["no", "go back", "scratch that", "wait, no"])
def test_what_was_heard_wrong_is_asked_again_when_she_says_no_to_the_next_question(evening, said):
    evening.say("feet", "fifteen hundred feet", "yes", "one", "weighted", "seven quarts", "pints", "sixty")
    assert "How many pints" in evening.say(said)
    assert "In how many layers" in evening.say("sixteen")
    assert evening.profile.canners[0].capacity == {"quart": 7, "pint": 16}
    assert "Which jars do you use" in evening.say("no", "no"), "one more step back each time"
    assert "How many quart jars" in evening.say("no")
    assert "Which jars do you use" in evening.say("six")
    assert "In how many layers" in evening.say("pints"), "the jars stay as told"
    assert "How many pints" in evening.say("no")
    assert "Which words" in evening.say("one"), "one jar has no layers"
    assert "How many pints" in evening.say("go back")
    assert evening.profile.canners[0].capacity == {"quart": 6, "pint": 1}


def test_there_is_no_way_back_from_the_first_question_and_none_that_skips_a_read_back(evening):
    assert "feet and pounds" in evening.say("go back")
    evening.say("feet", "fifteen hundred feet")
    assert "altitude in feet" in evening.say("no")
    assert evening.profile.altitude_ft is None
    evening.say("five hundred feet", "yes", "one", "dial", "june", "one pound high")
    assert "What did the test find" in evening.say("scratch that")
    assert evening.profile.canners[0].dial_error_psi is None


def test_a_canner_that_is_asked_about_anew_lets_her_go_back_too(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    assert "How many pints" in evening.say("change canner one", "skip", "weighted gauge", "nine")
    assert "How many quart jars" in evening.say("no")
    evening.say("seven", "cancel")
    assert evening.profile.canners[0].capacity["quart"] == 7


@pytest.mark.parametrize(
    ("sound", "told"),
    [
        ({"level_dbfs": -27.0}, "but not the words. Come nearer, wear a headset"),
        ({"level_dbfs": -50.0, "trouble": "too_soft"}, "turn the microphone up"),
        ({"level_dbfs": -3.0, "trouble": "too_loud"}, "too loud"),
    ],
)
def test_a_sound_check_is_not_passed_by_loudness_alone(book, sound, told):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("kitchen voice sound check", level_dbfs=-27.0)
    assert told in evening.say("[unk] alone", **sound)
    assert "not at the first try" in evening.say("start a load", level_dbfs=-27.0)


def test_a_sound_check_ends_after_three_tries_and_says_what_helps_most(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("kitchen voice sound check", level_dbfs=-27.0)
    assert "A headset helps most" in evening.say(*["[unk] a load"] * 3, level_dbfs=-27.0)
    assert evening.conversation.talk.question is None


def test_a_sound_check_that_hears_nothing_says_so(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("kitchen voice sound check", level_dbfs=-27.0)
    for _ in range(2):
        evening.t += 40.0
        evening._take(evening.conversation.tick(evening.t))
    assert "I heard nothing" in evening.said


def test_an_altitude_that_was_not_heard_for_sure_is_read_back_and_counts_only_after_a_yes(evening):
    evening.say("feet")
    twins = ("fifteen hundred feet", "fifty hundred feet")
    evening._take(evening.conversation.hear(Utterance(twins, posteriors=(0.6, 0.4)), evening.t))
    assert "One five zero zero. Is that right" in evening.said
    assert evening.profile.altitude_ft is None
    assert "altitude in feet" in evening.say("no")


def test_a_newcomer_who_did_not_answer_is_told_once_how_to_go_on(evening):
    told = []
    for _ in range(4):
        evening.t += 60.0
        evening._take(evening.conversation.tick(evening.t))
        told.append(evening.said)
    assert told[1] == "I wait. When you are ready, say kitchen voice, and then your answer."
    assert told[2:] == ["", ""]
    assert "altitude in feet" in evening.say("kitchen voice feet and pounds", level_dbfs=-27.0)


# ---------------------------------------------------------------- said otherwise than asked


@pytest.fixture
def asked_of_a_dial(evening):
    """An evening at the question for the test of a dial."""
    evening.say("feet", "skip", "one", "dial")
    assert "last tested" in evening.said
    return evening


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("April 2026", date(2026, 4, 1)),
        ("in april of two thousand and twenty six", date(2026, 4, 1)),
        ("four twenty twenty six", date(2026, 4, 1)),
        ("4/2026", date(2026, 4, 1)),
        ("april last year", date(2025, 4, 1)),
        ("november", date(2025, 11, 1)),
        ("the 14th of April", date(2026, 4, 1)),
        ("april 21 2025", date(2025, 4, 1)),
        ("on april twenty first", date(2026, 4, 1)),
        ("2026-04-14", date(2026, 4, 1)),
        ("4/14/2026", date(2026, 4, 1)),
        ("4/14/26", date(2026, 4, 1)),
        ("14.4.2026", date(2026, 4, 1)),
        ("Apr. 2026", date(2026, 4, 1)),
        ("last april", date(2026, 4, 1)),
        ("last month", date(2026, 7, 1)),
        ("9 months ago", date(2025, 11, 1)),
        ("2024-04", date(2024, 4, 1)),
        ("i had it checked two years ago", date(2024, 8, 1)),
    ],
)
def test_a_date_may_be_typed_in_figures(asked_of_a_dial, said, day):
    asked_of_a_dial.say(said)
    assert asked_of_a_dial.profile.canners[0].dial_tested == day


@pytest.mark.parametrize("said", ["four", "december 2026", "13/2026", "13/4/2026", "4.14.2026", "2024", "last spring"])
def test_what_is_no_month_of_the_past_is_asked_again(asked_of_a_dial, said):
    asked_of_a_dial.say(said)
    assert "last tested" in asked_of_a_dial.said
    assert asked_of_a_dial.profile.canners[0].dial_tested is None


def test_an_answer_that_was_wrong_is_put_right_at_the_next_question(asked_of_a_dial):
    asked_of_a_dial.say("skip", "nine")
    assert "Which jars do you use" in asked_of_a_dial.say("no, 7 quarts")
    asked_of_a_dial.say("pints", "it holds 16", "no it's 18 pints")
    assert "how many layers do pints stand in canner one" in asked_of_a_dial.said
    asked_of_a_dial.say("two")
    assert asked_of_a_dial.profile.canners[0].capacity == {"quart": 7, "pint": 18}
    assert asked_of_a_dial.profile.canners[0].layers == {"pint": 2}


@pytest.mark.parametrize(
    ("said", "name"),
    [("big", "big"), ("it's the big one", "big"), ("call it big", "big"), ("the small canner", "small"),
     ("the big blue one", "blue"), ("old silver pot", "silver")],
)  # fmt: skip
def test_a_canners_name_may_be_typed_short_or_long(evening, said, name):
    assert evening.say("feet", "skip", "two", said).startswith(f"The {name} one. Does the {name} one have a dial gauge")


def test_a_no_at_the_number_of_canners_goes_back_and_keeps_nothing(evening):
    assert "your altitude" in evening.say("feet", "900", "yes", "no")
    assert "canners" not in evening.profile.asked


@pytest.mark.parametrize(
    ("units", "said", "heard"),
    [
        ("kilos", "300 m", "Altitude three hundred meters, nine hundred eighty five feet."),
        ("us units", "no 300 m", "Altitude nine hundred eighty five feet."),
        ("feet", "change my altitude to 1200 feet", "Altitude one thousand two hundred feet."),
        ("feet", "9000", "Altitude nine thousand feet. No tested table reaches above eight thousand feet"),
    ],
)
def test_an_altitude_is_told_in_the_kitchens_units_and_when_no_table_has_it(evening, units, said, heard):
    assert evening.say(units, said, "yes").startswith(heard)


def test_the_altitude_is_put_right_at_any_question_and_that_one_asked_again(evening):
    evening.say("feet", "5200", "yes", "one")
    assert evening.say("actually my altitude is 900 feet").startswith("Nine hundred feet.")
    assert evening.profile.altitude_ft == 5200
    told = evening.say("yes")
    assert told.startswith("Altitude nine hundred feet.")
    assert "a dial gauge, or a weighted gauge?" in told
    assert evening.profile.altitude_ft == 900


@pytest.mark.parametrize(
    ("change", "answers", "told"),
    [
        ("change the altitude", ("900", "yes"), "Altitude nine hundred feet. How many pressure canners"),
        ("change the altitude", ("skip",), "Left as it was. How many pressure canners"),
        ("change the speech level", ("short",), "Short from now on. Cautions stay. How many pressure canners"),
        ("change the altitude", ("change the speech level", "short", "skip"), "How many pressure canners"),
    ],
)
def test_the_first_evening_goes_on_after_a_change_out_of_turn(evening, change, answers, told):
    evening.say("feet", "5200", "yes", change, *answers[:-1])
    assert told in evening.say(answers[-1])


def test_jars_of_another_size_are_no_answer(asked_of_a_dial):
    asked_of_a_dial.say("skip", "seven", "half pints")
    assert asked_of_a_dial.say("four quarts").startswith("I asked for half pints. How many half pints")
    assert "half-pint" not in asked_of_a_dial.profile.canners[0].capacity
    asked_of_a_dial.say("eight half pints")
    assert asked_of_a_dial.profile.canners[0].capacity == {"quart": 7, "half-pint": 8}


@pytest.mark.parametrize(
    ("lines", "kept"),
    [
        (("feet", "fifty two hundred feet", "5300 feet", "yes"), {"altitude_ft": 5300}),
        (("feet", "fifty two hundred feet", "no, 5300 feet", "yes"), {"altitude_ft": 5300}),
        (("feet", "skip", "none", "pints", "hey marigold", "cellar door", "yes"), {"attention": "cellar door"}),
    ],
)
def test_a_new_value_over_a_read_back_is_read_back_in_its_turn(evening, lines, kept):
    evening.say(*lines)
    assert {name: getattr(evening.profile, name) for name in kept} == kept


def test_another_finding_of_the_test_is_read_back_too(asked_of_a_dial):
    asked_of_a_dial.say("april", "exact")
    assert asked_of_a_dial.say("one pound high") == "The dial reads one pound high. Is that right?"
    asked_of_a_dial.say("yes")
    assert asked_of_a_dial.profile.canners[0].dial_error_psi == 1.0


def test_a_new_altitude_over_the_read_back_of_a_load(make):
    cook = make(altitude_ft=None)
    cook.run("start seven quarts of green beans raw pack in canner one", "> fifteen hundred feet")
    assert "two five zero zero" in cook.bare("twenty five hundred feet").lower()
    assert "two thousand five hundred feet" in cook.bare("yes")


@pytest.mark.parametrize("units", ["feet", "meters"])
def test_who_does_not_know_the_altitude_is_told_where_to_find_it(evening, units):
    said = evening.say(units, "I don't know")
    assert "Extension agent knows it" in said
    assert "How many pressure canners" in said


@pytest.mark.parametrize("lines", [(), ("one",), ("one", "dial"), ("one", "weighted"), ("one", "weighted", "7")])
@pytest.mark.parametrize("said", ["5200 feet", "about 5200 ft", "it's 5200 feet above sea level"])
def test_an_altitude_found_meanwhile_is_taken_at_any_later_question_with_its_unit(evening, lines, said):
    asked = evening.say("feet", "I don't know", *lines)
    assert evening.say(said) == "Five thousand two hundred feet. Five two zero zero. Is that right?"
    told = evening.say("yes")
    assert told.startswith("Altitude") and asked.rpartition(". ")[2] in told
    assert evening.profile.altitude_ft == 5200


def test_the_evening_ends_with_the_altitude_in_the_kitchens_units(evening):
    evening.say("meters", "600", "yes", "none")
    assert "Your altitude is six hundred meters, one thousand nine hundred sixty nine feet." in evening.say("skip all")


@pytest.mark.parametrize("said", ["y", "ok", "okay", "yup"])
def test_a_short_yes_typed_over_a_read_back_is_one(evening, said):
    assert evening.say("feet", "5200", said).startswith("Altitude five thousand two hundred feet.")


@pytest.mark.parametrize("said", ["n", "nah"])
def test_a_short_no_typed_over_a_read_back_is_one(evening, said):
    assert evening.say("feet", "5200", said).startswith("Say the altitude again.")
    assert evening.profile.altitude_ft is None


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("I think it's a dial", "Dial gauge."),
        ("a dial I think", "Dial gauge."),
        ("probably weighted", "Weighted gauge."),
    ],
)
def test_a_gauge_may_be_named_by_who_is_not_quite_sure(evening, said, told):
    assert evening.say("feet", "skip", "one", said).startswith(told)


def test_at_a_load_it_stays_asked(make):
    cook = make(altitude_ft=None)
    cook.run("start seven quarts of green beans raw pack in canner one")
    said = cook.bare("I don't know")
    assert "Extension agent knows it" in said
    assert "altitude" in said.split("map.")[1]


def test_typed_words_have_no_sound_to_check(book):
    evening = Evening(book, typed=True)
    said = evening.say("feet", "skip", "none", "quarts", "skip", "everything")
    assert "That is all" in said
    assert "hood" not in said
    assert due(evening.profile) == ("sound",)
    evening.start()
    assert "hood" not in evening.said
    assert evening.say("sound check") == "Typed words have no sound, so there is nothing to measure."


def test_a_second_voice_asks_for_itself_with_its_size_and_licences(book):
    evening = Evening(book)
    evening.conversation.talk.second_voice = True
    say = partial(evening.say, level_dbfs=-30.0)
    say("feet", "skip", "none", "quarts", "skip", "everything")
    said = say("skip")
    assert evening.voices == ["neural"]
    assert all(part in said for part in ("megabytes", "GPL", "MIT", "Shall I keep this voice?"))
    assert "As before" in say("no")
    assert (evening.voices, evening.profile.voice) == (["neural", None], None)
    say("kitchen voice change the voice", "yes")
    assert (evening.voices[-1], evening.profile.voice) == ("neural", "neural")
    assert "my first voice" in say("kitchen voice change the voice")
    say("yes")
    assert (evening.voices[-1], evening.profile.voice) == (None, None)
    say("kitchen voice change the voice", "never mind")
    assert evening.voices[-2:] == ["neural", None]
    assert "no second voice here" in Evening(book, PRACTICE_KITCHEN, typed=True).say("change the voice")


@pytest.mark.parametrize("line", ["dial", "dail", "51 hundred quarts", "what a kettle"])
def test_a_miss_repeats_the_question(evening, line):
    question = "How many pressure canners do you have?"
    evening.say("feet", "skip")
    for _ in range(4):
        said = evening.say(line)
        assert question in said
        assert "I know" not in said


def test_a_slip_that_makes_an_answer_is_named(evening):
    evening.say("feet", "skip", "one")
    assert evening.say("dail").startswith("I don't know dail. I know dial.")


def test_a_canner_for_fewer_than_four_quarts_is_left_out(evening):
    assert "at least four quart jars" in evening.say("feet", "skip", "two", "the old one", "weighted", "two quarts")
    assert "How many quart jars" in evening.say("no")
    assert "at least four quart jars" in evening.say("3")
    evening.say("yes")
    assert [canner.number for canner in evening.profile.canners] == [2]
    assert "canner two" in evening.said


def test_a_corrected_number_of_quarts_is_kept(evening):
    evening.say("feet", "skip", "one", "weighted", "two quarts", "seven quarts")
    assert evening.profile.canners[0].capacity == {"quart": 7}


def test_no_jars_of_a_size_is_a_number(asked_of_a_dial):
    asked_of_a_dial.say("skip", "seven", "half pints", "no half pints")
    assert "half-pint" not in asked_of_a_dial.profile.canners[0].capacity
    assert "Which words" in asked_of_a_dial.said


@pytest.mark.parametrize("said", ["one", "just the one", "a pressure canner", "one pressure canner", "I have one"])
def test_one_canner_in_other_words(evening, said):
    evening.say("feet", "skip", said)
    assert len(evening.profile.canners) == 1


def test_quarts_of_liquid_are_not_taken_for_jars(evening):
    """Most canners take seven quart jars (guide 1-17)."""
    assert "How many quart jars fit upright in canner one?" in evening.say("feet", "skip", "one", "weighted")
    assert "take seven" in evening.say("16")
    assert evening.profile.canners[0].capacity == {}
    assert "take seven" in evening.say("sixteen"), "only a yes is a yes"
    evening.say("seven quart jars")
    assert evening.profile.canners[0].capacity == {"quart": 7}


def test_a_canner_that_really_takes_more_is_kept_after_a_yes(evening):
    evening.say("feet", "skip", "one", "weighted", "ten", "yes")
    assert evening.profile.canners[0].capacity == {"quart": 10}
    assert "Which jars do you use" in evening.said


@pytest.mark.parametrize(
    ("said", "feet"),
    [
        ("about four hundred meters", 1313),
        ("900 feet above sea level", 900),
        ("it's around nine fifty", 950),
    ],
)
def test_an_altitude_is_taken_in_a_newcomer_s_words(evening, said, feet):
    assert "Is that right?" in evening.say("feet", said)
    evening.say("yes")
    assert evening.profile.altitude_ft == feet


@pytest.mark.parametrize("said", ["no wait I meant 950", "no it's nine fifty", "no, 950"])
def test_an_altitude_that_is_mended_over_its_read_back(evening, said):
    assert "Nine five zero. Is that right?" in evening.say("feet", "900", said)
    assert evening.profile.altitude_ft is None
    evening.say("yes")
    assert evening.profile.altitude_ft == 950


@pytest.mark.parametrize("said", ["i'm not sure", "no idea", "I have no idea"])
def test_who_is_not_sure_leaves_it_open(evening, said):
    told = evening.say("feet", said)
    assert "Extension agent knows it" in told
    assert evening.profile.altitude_ft is None


@pytest.mark.parametrize("said", ["why", "what for", "what do you mean"])
def test_every_question_of_the_evening_is_explained(evening, said):
    assert "So that I fit your kitchen" in evening.say(said)
    assert "Higher up water boils" in evening.say("feet", said)
    assert evening.said.endswith("Extension office can tell you.")


@pytest.mark.parametrize(
    ("before", "said", "kept"),
    [
        ((), "metric please", {"units": "metric"}),
        (("feet", "skip", "none"), "pints mostly", {"usual_jar": "pint"}),
    ],
)
def test_a_word_around_the_answer_does_no_harm(evening, before, said, kept):
    evening.say(*before, said)
    assert {name: getattr(evening.profile, name) for name in kept} == kept


IN_FEET = ("feet", "900", "yes")
AT_THE_JARS = ("feet", "skip", "none")
AT_THE_WORDS = (*AT_THE_JARS, "skip")


@pytest.mark.parametrize(
    ("before", "said", "told"),
    [
        ((), "US, and I'm at 5200 feet", "Feet and pounds. Five thousand two hundred feet."),
        ((), "metric, we live at 300 meters", "Meters and kilograms. Three hundred meters,"),
        ((), "5200 feet", "Feet and pounds. Five thousand two hundred feet."),
        (("feet",), "around 5200 feet I think", "Five thousand two hundred feet. Five two zero zero."),
        (("feet",), "I have to look it up", "Your county's Extension agent knows it"),
        (("feet", "900"), "exactly", "Altitude nine hundred feet."),
        (IN_FEET, "I've got two", "Two. Which"),
        (IN_FEET, "two dial ones", "Two. Which"),
        (IN_FEET, "one big pressure canner and a water bath", "One. Does"),
        (IN_FEET, "no pressure canner, only water bath", "None."),
        ((*IN_FEET, "one"), "a gauge with a needle", "Dial gauge."),
        ((*IN_FEET, "one"), "the kind with the weight that jiggles", "Weighted gauge."),
        ((*IN_FEET, "one"), "how can I tell", "A dial with a needle"),
        ((*IN_FEET, "one", "dial"), "it's brand new", "Have it tested before canning."),
        ((*IN_FEET, "one", "weighted"), "about nine", "Nine quarts."),
        ((*IN_FEET, "one", "weighted", "seven", "pints"), "16 or so", "Sixteen pints,"),
        (AT_THE_JARS, "jelly jars", "Half pints."),
        (AT_THE_JARS, "it depends", "Left open."),
        (AT_THE_WORDS, "the first one", "Kept."),
        (AT_THE_WORDS, "you choose", "Left open."),
        ((*AT_THE_WORDS, "skip"), "fewer words", "Short from now on."),
    ],
)
def test_who_answers_in_other_words_or_is_not_sure_is_understood(evening, before, said, told):
    assert evening.say(*before, said).startswith(told)


def test_units_told_with_an_altitude_are_kept_before_it_is_confirmed(evening):
    evening.say("metric, and I'm at 300 meters")
    assert (evening.profile.units, evening.profile.altitude_ft) == ("metric", None)
    assert "your altitude in meters" in evening.say("no")
    assert evening.say("250", "yes").startswith("Altitude two hundred fifty meters")


def test_canners_and_gauges_in_a_sentence(evening):
    evening.say("feet", "skip", "i have 2", "skip", "it's a dial gauge")
    assert [canner.gauge for canner in evening.profile.canners] == ["dial", None]


@pytest.mark.parametrize("said", ["quarts", "it's a dial gauge", "short", "seven jars packed"])
def test_what_answers_another_question_is_told_so_and_no_load_is_spoken_of(evening, said):
    told = evening.say("feet", "skip", said)
    assert "No load" not in told
    assert told.startswith("That doesn't answer my question: answer it, or say skip or help. How many pressure canners")


def test_a_yes_to_a_question_for_a_number_is_told_what_is_wanted(evening):
    assert evening.say("feet", "yes").startswith("I need a number. What is your altitude")
    assert evening.say("skip", "one", "yes").startswith("A yes doesn't tell me that. Does canner one")


@pytest.mark.parametrize(
    ("before", "said", "kept"),
    [
        ((), ("about a mile up", "yes"), lambda kept: kept.altitude_ft == 5280),
        (("skip",), ("two canners, a big one with a dial and a small one",), lambda kept: len(kept.canners) == 2),
        (("skip",), ("i have one big one",), lambda kept: len(kept.canners) == 1),
        (("skip", "one", "dial", "june"), ("it reads one pound high", "yes"), lambda kept: _first(kept) == 1.0),
        (("skip", "one", "dial", "june"), ("a pound under", "yes"), lambda kept: _first(kept) == -1.0),
        (_AT_QUARTS, ("7 quarts and 16 pints",), lambda kept: _held(kept) == {"quart": 7, "pint": 16}),
        (_AT_QUARTS, ("22 quarts or 34 pints", "yes"), lambda kept: _held(kept) == {"quart": 22, "pint": 34}),
        (_AT_QUARTS, ("22 quarts or 34 pints", "seven"), lambda kept: _held(kept) == {"quart": 7}),
    ],
)
def test_an_answer_in_other_words_or_with_the_next_one_is_kept(evening, before, said, kept):
    evening.say("feet", *before)
    assert not kept(evening.profile)
    evening.say(*said)
    assert kept(evening.profile)


def test_words_that_are_answered_to_already_want_no_yes(book):
    evening = Evening(book, PRACTICE_KITCHEN)
    evening.say("change the attention words")
    assert evening.say("kitchen voice") == "Kept."


@pytest.mark.parametrize(("usual", "asked"), [("quarts", 0), ("pints", 2), ("half pints", 2), ("skip", 0)])
def test_of_the_jars_of_a_canner_only_quarts_and_the_usual_ones_are_asked(asked_of_a_dial, usual, asked):
    evening = asked_of_a_dial
    evening.say("april", "exact", "yes", "seven", usual)
    for count in ("sixteen", "two")[:asked]:
        assert "canner one" in evening.said, "whose jars they are"
        evening.say(count)
    assert evening.said.endswith("hello kitchen?")
    assert len(evening.profile.canners[0].capacity) == 1 + bool(asked)


def test_jars_that_became_the_usual_ones_are_asked_about_at_the_next_start(evening):
    evening.say("feet", "900", "yes", "one", "weighted", "seven", "quarts", "skip", "skip")
    assert evening.said.endswith("start a load.")
    evening.say("skip", "change the usual jar", "pints")
    evening.start()
    assert evening.said.endswith("How many pints does canner one hold, all layers together?")


def test_a_canner_that_is_changed_is_asked_about_with_every_size_of_jar(asked_of_a_dial):
    asked_of_a_dial.say("never", "seven", "quarts", "skip", "skip", "skip")
    asked_of_a_dial.say("change canner one", "weighted", "seven", "eighteen", "two", "sixteen", "two")
    assert asked_of_a_dial.profile.canners[0].capacity == {"quart": 7, "pint": 18, "half-pint": 16}


def test_a_canner_that_is_added_is_asked_about_as_in_the_first_evening(book):
    evening = Evening(book, replace(PRACTICE_KITCHEN, usual_jar="quart"))
    evening.say("add a canner", "the big one", "weighted", "seven")
    assert evening.said == "Seven quarts."


@pytest.mark.parametrize("said", ["I burnt my hand", "ow I burned my arm on the canner"])
@pytest.mark.parametrize("before", [(), ("feet",), ("feet", "5200"), ("feet", "5200", "yes", "two")])
def test_a_burn_in_the_middle_of_it_is_answered_and_the_question_asked_again(evening, before, said):
    evening.say(*before)
    question = evening.said.rpartition("! ")[2][-60:]
    told = evening.say(said)
    assert told.startswith("Cool it under running water right away")
    assert told.endswith(question)
    assert evening.profile.altitude_ft is None or evening.profile.altitude_ft == 5200


def test_jars_are_not_put_right_where_there_is_no_canner(evening):
    evening.say("feet", "skip", "none", "no, 7 quarts")
    assert evening.said.endswith("Which jars do you use most: half pints, pints or quarts?")
    assert evening.profile.usual_jar is None


@pytest.mark.parametrize(
    ("said", "gauge"),
    [
        ("a pressure canner with a dial gauge", "dial"),
        ("i have one canner with a weighted gauge", "weighted"),
        ("one dial gauge canner", "dial"),
        ("a pressure canner", None),
    ],
)
def test_how_many_canners_may_be_told_with_the_gauge(evening, said, gauge):
    evening.say("feet", "skip", said)
    (canner,) = evening.profile.canners
    assert canner.gauge == gauge


@pytest.mark.parametrize("again", ["exact", "yes exact", "yes"])
def test_what_is_typed_again_over_its_read_back_is_a_yes(book, again):
    evening = Evening(book, typed=True)
    evening.say("feet", "skip", "a canner with a dial gauge", "april", "one high")
    assert "Is that right?" in evening.said
    evening.say("one high")
    assert evening.profile.canners[0].dial_error_psi == 1
    other = Evening(book, typed=True)
    other.say("feet", "skip", "a canner with a dial gauge", "april", again if again != "yes" else "exact")
    assert other.profile.canners[0].dial_error_psi == 0
