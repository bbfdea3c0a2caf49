"""Answers to cooks' questions: what is said, when, how long, with what source, and that each question is asked once."""

import re
import tomllib
from functools import cache
from math import prod
from pathlib import Path

import pytest
import yaml

from kitchenvoice.hearing import VoskRecogniser
from kitchenvoice.process import Stage
from kitchenvoice.reference import Situation, asked, families, reply, source_title
from kitchenvoice.reference import answer_models as models
from kitchenvoice.reference.answer_models import MOST_WORDS, NO_SOURCE, SLOTS, Family, Variant, spoken_length
from kitchenvoice.reference.knowledge import alarm, family, patterns, phrases
from kitchenvoice.reference.library import citation_id, sources

ROOT = Path(__file__).parents[2]
QUESTIONS = tomllib.loads((Path(__file__).parent / "data" / "questions.toml").read_text())
ASKED = [(stage, text, wanted) for stage, some in QUESTIONS.items() for text, wanted in some.items()]
ANSWERS = [(each, said) for each in families().values() for said in (each, *each.variants)]
FILLED = {"acid": "2 tablespoons", "headspace": "1-1/4 inches", "hold_minutes": "25", "psi": "11", "salt": "1 teaspoon"}
FILLED |= {"rest_left": "9 hours", "save_left": "6 hours"}


MOST_SPELT_OUT = 200_000
"""Sentences of a pattern that is spelt out; one with more is matched with all the others."""


@cache
def count(pattern):
    """Count the sentences of a pattern; the same one may come twice."""
    return sum(prod(1 if isinstance(item, str) else count(item) for item in row) for row in pattern.rows)


@pytest.fixture(scope="module")
def sentences():
    """Return every sentence that is spelt out, and all that it asks."""
    found = {}
    for meant, pattern in patterns():
        if count(pattern) <= MOST_SPELT_OUT:
            alone = {meant}
            for text in pattern.sentences():
                found[text] = alone | found[text] if text in found else alone
    return found


def test_there_are_families_enough_and_each_is_asked_in_many_ways(sentences):
    assert len(families()) >= 150
    counted = dict.fromkeys(families(), 0)
    for meant in sentences.values():
        for each in meant:
            counted[each.family] += 1
    compared = {each.id for each in families().values() if each.like or each.tells}
    assert {name: number for name, number in counted.items() if number < 5 and name not in compared} == {}


def test_no_sentence_asks_two_things(sentences):
    assert {text: meant for text, meant in sentences.items() if len(meant) > 1} == {}
    large = [(meant, pattern) for meant, pattern in patterns() if count(pattern) > MOST_SPELT_OUT]
    assert len({meant for meant, _ in large}) <= 1
    for one, pattern in large:
        assert [text for text, meant in sentences.items() if one not in meant and pattern.fits(text.split())] == []


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
        assert said.answer.endswith((".", "?")) or said.answer.endswith(
            ("{water}", "{own_vent}", "{no_vinegar}")
        )  # sentences of the food
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
    assert {*known, "crock"} == set(models.AnswerStage.__args__)


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


UNDER_PRESSURE = [("come_up", "shut"), ("hold", "shut"), ("cool", "cool")]
OPENS = (
    r"unfasten|(weight|lid) (is |comes )?off|(lift|take|open) (it|the lid|the weight|the canner)|open carefully"
    r"|vent (is )?open|vent (ten|first)"
)
HEATS = r"high(est)? heat|more heat|heat (up|on|high|again)|up to the target|hard boil|on high"
SAFE_FIRST = r"(Leave|Don't|Never|Stand clear|Heat off|Everybody away|In a closed canner leave)\b"


def _said_under_pressure(stage, canner):
    for name in families():
        for gauge in ("dial", "weighted"):
            here = Situation(stage=stage, method="pressure", gauge=gauge, acidity="low", slots=FILLED, canner=canner)
            yield name, reply(name, here).text


@pytest.mark.parametrize(("stage", "canner"), UNDER_PRESSURE)
def test_nothing_opens_lifts_or_heats_a_canner_under_pressure_before_it_says_what_to_leave(stage, canner):
    told = {name: text for name, text in _said_under_pressure(stage, canner) if re.search(f"{OPENS}|{HEATS}", text)}
    jars = {"add_garlic", "add_onions", "thicken", "forgot_acid", "shelf_life", "after_opening"}  # open a jar, later
    assert {name: text for name, text in told.items() if not re.match(SAFE_FIRST, text)}.keys() <= jars
    assert len(told) > 12


def test_nothing_tells_to_heat_what_cools():
    for method in ("pressure", "boiling-water"):
        for name in families():
            text = reply(name, Situation(stage="cool", method=method, slots=FILLED, canner="cool")).text
            assert not re.search(f"(?i){HEATS}", text), (name, text)


def test_another_load_under_pressure_is_thought_of_too():
    assert reply("open_how", Situation(stage="pack", canner="shut")).text.startswith("Leave the lid and the weight on.")
    assert reply("wait_ten_why", Situation(stage="pack", canner="shut")).text.startswith("Leave the lid")


@pytest.mark.parametrize("unfit", ["all", "some"])
def test_nothing_tells_how_to_eat_or_keep_what_was_not_processed_as_tested(unfit):
    for each in families().values():
        said = reply(each.id, Situation(stage="keep", unfit=unfit)).text
        assert ("processed as tested" in said and "taste" in said) or not each.keeps
    assert {"taste_it", "shelf_life", "how_to_store", "may_i_shelve"} <= {
        each.id for each in families().values() if each.keeps
    }


def test_at_zero_the_weight_comes_off():
    cooling = Situation(stage="cool", method="pressure", canner="wait", at_zero=True)
    assert reply("weight_off", cooling).text.startswith("At zero it comes off")
    assert "ten full minutes" in reply("vent_how_long", cooling).text


def test_a_sentence_begins_with_a_capital():
    assert reply("pressure_how_much", Situation(method="pressure", slots={"psi": "eleven"})).text.startswith("Eleven")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("i scalded my arm", "burn"),
        ("the steam burned my face", "burn"),
        ("my kid got burned", "burn"),
        ("i spilled boiling water on my foot", "burn"),
        ("i'm bleeding", "cut"),
        ("there is glass in my hand", "cut"),
        ("grandpa fainted", "hurt_badly"),
        ("i can't breathe", "hurt_badly"),
        ("call nine one one", "hurt_badly"),
        ("the baby swallowed a lid ring", "hurt_badly"),
        ("grease fire", "fire"),
        ("the towel caught fire", "fire"),
        ("the kitchen is full of smoke", "smoke"),
        ("the smoke alarm went off", "smoke"),
        ("i smell something burning", "burning_smell"),
        ("i smell propane", "gas"),
        ("the gas is on but not lit", "gas"),
        ("the carbon monoxide alarm is going", "gas"),
        ("it's going to blow", "canner_blows"),
        ("the canner is screaming", "canner_blows"),
        ("the gauge is at thirty", "canner_blows"),
        ("the needle's at the end", "canner_blows"),
        ("the lid is lifting", "canner_blows"),
        ("the handle's melting", "canner_broken"),
        ("it's tipping", "canner_tipped"),
        ("it fell off the stove", "canner_tipped"),
        ("the dog knocked it over", "canner_tipped"),
        ("the handle broke", "canner_broken"),
        ("the gauge is pegged", "gauge_in_red"),
        ("my vision is blurry", "ate_bad_food"),
        ("the jar hissed when i opened it", "spurts"),
        ("i found mold on the beans", "mold"),
        ("there's no fire", ""),
        ("i burned the jam", ""),
        ("nobody is hurt", ""),
        ("pressure is eleven", ""),
        ("turn the gas down", ""),
        ("the flame is on", ""),
        ("smoked fish in pints", ""),
        ("i cut the beans", ""),
        ("the burner is on", ""),
    ],
)
def test_an_emergency_is_found_in_ordinary_words_and_in_no_other(text, wanted):
    assert alarm(text) == wanted


def test_what_happened_is_asked_by_its_own_families_and_opens_no_doubt():
    of_record = [each for each in families().values() if each.record]
    assert {each.record for each in of_record} == {
        "hold", "load", "vent", "heat", "pressure", "zero", "lid", "seals", "acid", "water", "out"
    }  # fmt: skip
    assert not any(each.doubts or each.fault or each.ends_hold for each in of_record)
