"""Answers to cooks' questions: what is said, when, how long, with what source, and that each question is asked once."""

import re
import tomllib
from pathlib import Path

import pytest
import yaml

from kitchenvoice.hearing import VoskRecogniser
from kitchenvoice.process import Stage
from kitchenvoice.reference import Situation, asked, families, reply, source_title
from kitchenvoice.reference import answer_models as models
from kitchenvoice.reference.answer_models import MOST_WORDS, NO_SOURCE, SLOTS, Family, Variant, spoken_length
from kitchenvoice.reference.knowledge import family, patterns, phrases
from kitchenvoice.reference.library import citation_id, sources

ROOT = Path(__file__).parents[2]
QUESTIONS = tomllib.loads((Path(__file__).parent / "data" / "questions.toml").read_text())
ASKED = [(stage, text, wanted) for stage, some in QUESTIONS.items() for text, wanted in some.items()]
ANSWERS = [(each, said) for each in families().values() for said in (each, *each.variants)]
FILLED = {"acid": "2 tablespoons", "headspace": "1-1/4 inches", "hold_minutes": "25", "psi": "11", "salt": "1 teaspoon"}


@pytest.fixture(scope="module")
def sentences():
    """Return every sentence that asks something, and all that it asks."""
    found = {}
    for meant, pattern in patterns():
        for text in pattern.sentences():
            found.setdefault(text, set()).add(meant)
    return found


def test_there_are_families_enough_and_each_is_asked_in_many_ways(sentences):
    assert len(families()) >= 150
    counted = dict.fromkeys(families(), 0)
    for meant in sentences.values():
        for each in meant:
            counted[each.family] += 1
    assert {name: number for name, number in counted.items() if number < 5} == {}


def test_no_sentence_asks_two_things(sentences):
    assert {text: meant for text, meant in sentences.items() if len(meant) > 1} == {}


@pytest.mark.audio
def test_the_speech_model_has_every_word_of_every_question():
    models = sorted(final.parents[1] for final in ROOT.glob("models/**/am/final.mdl"))
    ear = VoskRecogniser(models[0])
    words = (
        {word for _, pattern in patterns() for word in pattern.words}
        | phrases()["after"].words
        | phrases()["before"].words
    )
    assert sorted(word for word in words if not ear.knows(word)) == []


def test_what_cooks_ask_finds_its_family(every):
    def check(stage, text, wanted):
        found = asked(text)
        assert (found.family if found else "") == wanted
        if found:
            assert reply(found.family, Situation(stage=stage)).text

    every(check, ASKED)


def test_no_report_is_taken_for_a_question():
    """Where both know a sentence, it is a question that a command answers with the load's own figures.

    Forgotten acid is both: a report to the load, which takes it first, and a question where there is none.
    """
    commands = yaml.safe_load((ROOT / "grammars" / "register.yaml").read_text())["commands"]
    both = {name for name, command in commands.items() for text in command["say"] if asked(text)}
    assert {name for name in both if not name.startswith("ask_")} <= {"acid_forgotten"}


def test_nearly_all_questions_that_are_no_question_of_the_load_are_answered():
    answered = [text for _, text, wanted in ASKED if wanted]
    assert len(ASKED) > 500
    assert len(answered) / len(ASKED) > 0.9


@pytest.mark.parametrize(
    "text", ["so can i open it now", "okay how much salt please", "wait what if the pressure drops"]
)
def test_small_words_before_and_after_a_question_do_not_hide_it(text):
    assert asked(text)


@pytest.mark.parametrize(
    "text", ["", "can i", "can i open it with my uncle", "pressure is eleven", "lid is on", None, 7]
)
def test_what_is_no_whole_question_asks_nothing(text):
    assert asked(text) is None


def test_an_answer_is_short_and_cites_what_is_known(every):
    def check(each, said):
        assert 3 <= spoken_length(said.answer) <= MOST_WORDS
        assert said.answer[0].isupper() or said.answer[0] == "{"
        assert said.answer.endswith((".", "?"))
        for citation in said.source or each.source:
            assert citation == NO_SOURCE or citation_id(citation) in sources(), citation
            assert citation == NO_SOURCE or citation_id(citation) not in source_title(citation)

    every(check, ANSWERS)


def test_no_answer_says_yes_no_or_safe_or_writes_a_figure(every):
    """The same answer follows "can I" and "do I have to"; and of no jar and no hold does the program say it is safe."""

    def check(each, said):
        assert not re.match(r"(yes|no|sure|of course|okay)\b[,.:;!]", said.answer.lower())
        assert not re.search(r"\bsafe", said.answer.lower())
        assert not re.search(r"\d", said.answer)

    every(check, ANSWERS)


@pytest.mark.parametrize("each", [each for each in families().values() if each.doubts], ids=lambda each: each.id)
def test_what_says_that_it_happened_puts_a_hold_in_doubt_and_is_warned_of(each):
    assert {found.doubt for found, _ in patterns() if found.family == each.id} == (
        {True, False} if each.say else {True}
    )
    assert each.hazard or each.id in ("pressure_how_much", "pressure_not_coming_up")


def test_a_question_whether_it_dropped_is_told_from_a_report():
    assert not asked("what if the pressure drops").doubt
    assert asked("it only dropped for a second").doubt
    assert asked("what do i do if i forgot the lemon juice").doubt is False
    assert asked("i forgot the lemon juice").doubt


@pytest.mark.parametrize(
    ("name", "here", "words", "hazard"),
    [
        ("open_it", {}, "stays closed until", True),
        ("open_it", {"stage": "hold", "method": "pressure"}, "Leave it closed", True),
        ("open_it", {"stage": "hold", "method": "boiling-water"}, "keeps boiling", False),
        ("open_it", {"stage": "cool", "method": "pressure"}, "at zero", True),
        ("open_it", {"stage": "cool", "method": "boiling-water"}, "five minutes", False),
        ("open_it", {"stage": "rest"}, "sealed jar stays closed", False),
        ("turn_down", {"stage": "vent", "method": "pressure"}, "Keep the heat high", False),
        ("turn_down", {"stage": "hold", "method": "pressure", "slots": {"psi": "11"}}, "at 11 pounds", True),
        ("turn_down", {"stage": "hold", "method": "pressure"}, "as long as the pressure", False),
        ("put_in_fridge", {"stage": "cool"}, "Nothing hot", True),
        ("put_in_fridge", {"stage": "count"}, "several days", False),
        ("wait_ten_why", {"stage": "vent"}, "drive the air out", True),
        ("which_weight", {"gauge": "weighted", "slots": {"psi": "15"}}, "The 15 pound weight.", False),
        ("which_weight", {"gauge": "dial", "slots": {"psi": "12"}}, "12 pounds", False),
        ("headspace_how_much", {"slots": {"headspace": "1 inch"}}, "1 inch, between", False),
        ("salt_how_much", {"acidity": "acid", "slots": {"salt": "1 teaspoon"}}, "The recipe says", False),
        ("sterilize_jars", {"method": "pressure"}, "doesn't need that", False),
        ("forgot_vent", {"stage": "count"}, "wasn't processed as tested", True),
    ],
)
def test_the_answer_fits_the_situation(name, here, words, hazard):
    found = reply(name, Situation(**here))
    assert words in found.text
    assert "{" not in found.text
    assert (found.hazard, found.family) == (hazard, name)
    assert found.source


def test_no_answer_is_ever_spoken_with_a_slot_open():
    for stage in Stage:
        for name in families():
            assert "{" not in reply(name, Situation(stage=stage, method="pressure", gauge="dial", acidity="low")).text
            assert "{" not in reply(name, Situation(stage=stage, slots=FILLED)).text


@pytest.mark.parametrize("stage", ["vent", "come_up", "hold", "cool"])
@pytest.mark.parametrize("name", ["open_it", "weight_off", "cold_water", "lid_stuck", "cool_faster", "pressure_gone"])
def test_whatever_opens_or_chills_a_canner_under_pressure_is_answered_with_a_warning(name, stage):
    assert reply(name, Situation(stage=stage, method="pressure")).hazard


@pytest.mark.parametrize("stage", ["vent", "come_up", "hold", "cool"])
def test_a_warning_of_the_stage_is_given_when_the_method_is_not_known(stage):
    assert reply("open_it", Situation(stage=stage)).hazard


def test_a_stage_is_spelled_like_a_stage_of_the_process():
    known = {stage.value for stage in Stage} - {"closed"}
    assert known == set(models.Stage.__args__)


def test_a_family_that_is_not_there_is_a_key_error():
    with pytest.raises(KeyError):
        family("gravel")
    with pytest.raises(KeyError):
        reply("gravel")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"answer": " ".join(["word"] * 31)}, "30 words at most"),
        ({"answer": ""}, "30 words at most"),
        ({"answer": "At {mood} pounds."}, "no load fills"),
        ({"answer": "At {psi} pounds."}, "without a load"),
        ({"answer": "Ask.", "say": ()}, "nobody can ask"),
        ({"answer": "Ask.", "source": ()}, "needs its source"),
    ],
)
def test_a_family_that_could_not_be_said_is_refused(given, said):
    with pytest.raises(ValueError, match=said):
        Family(**{"id": "x", "say": ("why",), "source": (NO_SOURCE,), **given})


def test_a_variant_that_nothing_calls_for_is_refused():
    with pytest.raises(ValueError, match="nothing tells when"):
        Variant(answer="Ask.")
    assert Variant(answer="At {psi} pounds.").answer
    assert spoken_length("At {psi} pounds, {headspace}.") == 2 + SLOTS["psi"] + SLOTS["headspace"]
