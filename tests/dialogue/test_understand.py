from __future__ import annotations

import pytest

from kitchenvoice.dialogue import acceptance as thresholds
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar import GrammarBook, grade
from kitchenvoice.hearing import thresholds as ear_thresholds
from kitchenvoice.ports import Rescoring, Utterance


def heard(
    book,
    *alternatives,
    stages=("hold",),
    trouble=None,
    confidence=0.8,
    posteriors=(),
    above_noise_db=20.0,
    opinions=None,
    **live,
):
    utterance = Utterance(
        alternatives,
        confidence,
        trouble=trouble,
        posteriors=posteriors,
        above_noise_db=above_noise_db,
        opinions=opinions or {},
    )
    return understand(utterance, book.grammar(stages, **live))


def test_the_first_alternative_that_is_a_whole_sentence_counts(book):
    found = heard(
        book, "kitchen voice the weight is is rocking", "kitchen voice the weight is rocking", "kitchen voice yes"
    )
    assert (found.text, found.intent, found.reject_reason) == (
        "kitchen voice the weight is rocking",
        "weight_rocking",
        None,
    )
    assert found.attention
    assert found.confidence == 0.8


@pytest.mark.parametrize(
    "text",
    [
        "kitchen voice and the weight is rocking",
        "kitchen voice the weight is rocking [unk]",
        "[unk] kitchen voice the weight is rocking",
        "kitchen voice the weight is rocking the weight is rocking",
    ],
)
def test_a_sentence_inside_other_words_is_not_acted_on(book, text):
    assert heard(book, text).intent is None


@pytest.mark.parametrize(
    ("alternatives", "trouble", "reason"),
    [
        ((), None, "silence"),
        (("",), None, "silence"),
        ((), "too_soft", "too_soft"),
        (("kitchen voice the the",), "too_soft", "too_soft"),
        (("kitchen voice yes",), "too_long", "too_long"),
        (("pressure is eleven",), None, "no_attention"),
        (("the the", "lid yes", "yes"), None, "no_attention"),
        (("[unk]", "[unk] the [unk]"), None, "unknown_words"),
        (("[unk]", "kitchen voice the"), None, "no_match"),
        (("kitchen voice pressure is",), None, "no_match"),
        (("kitchen voice lid is off",), None, "no_match"),
    ],
)
def test_what_is_not_acted_on_has_a_reason(book, alternatives, trouble, reason):
    found = heard(book, *alternatives, trouble=trouble)
    assert (found.intent, found.reject_reason) == (None, reason)
    assert not found.slots


@pytest.mark.parametrize("trouble", ["too_soft", "too_loud"])
def test_a_whole_sentence_counts_although_it_was_soft_or_loud(book, trouble):
    assert heard(book, "kitchen voice pressure is eleven", trouble=trouble).slots == {"pressure": 11}


@pytest.mark.parametrize(
    ("text", "other", "rival"),
    [
        ("fifteen sealed", "fifty sealed", {"sealed": 50}),
        ("fifty sealed", "fifteen sealed", {"sealed": 15}),
        ("thirteen sealed one failed", "thirty sealed one failed", {"sealed": 30, "failed": 1}),
        ("five sealed", "nine sealed", {"sealed": 9}),
    ],
)
def test_a_number_that_sounds_like_another_one_in_the_list_has_a_rival(book, text, other, rival):
    found = heard(book, text, "all sealed", other, stages=["count"], attention="optional")
    assert found.rival is not None
    assert (found.rival.intent, found.rival.slots) == ("seal_count", rival)


@pytest.mark.parametrize(
    ("text", "rival"),
    [
        ("kitchen voice pressure is seven", {"pressure": 11}),
        ("kitchen voice the pressure dropped to seven", {"pressure": 11}),
        ("kitchen voice pressure is eleven", None),
        ("kitchen voice weight is rocking", None),
    ],
)
def test_what_this_cooks_number_is_heard_as_has_it_for_a_rival_though_it_was_not_heard(book, text, rival):
    own = GrammarBook.load(alike=[("eleven", "seven")])
    found = heard(own, text)
    assert (None if found.rival is None else found.rival.slots) == rival
    assert heard(book, text).rival is None
    assert heard(own, text, typed=True).rival is None
    other = text.replace("seven", "eleven")
    assert (other in own.grammar(["hold"], attention="required").heard_as(text)) is (rival is not None)


def test_a_rival_may_stand_before_the_alternative_that_counts(book):
    found = heard(book, "pressure is fifty", "pressure is fifteen", stages=["hold"], attention="optional")
    assert (found.slots, found.rival) == ({"pressure": 15}, None)
    found = heard(book, "heat is off", "heat is on", attention="optional")
    assert (found.intent, found.rival.intent) == ("heat_off", "heat_on")


@pytest.mark.parametrize(
    ("posteriors", "count"),
    [((0.96, 0.04), 60), ((0.94, 0.06), None), ((0.06, 0.94), None), ((0.04, 0.96), 16)],
)
def test_sixteen_and_sixty_are_told_apart_only_where_one_is_far_likelier(book, posteriors, count):
    texts = ("kitchen voice sixty jars are in", "kitchen voice sixteen jars are in")
    found = heard(book, *texts, stages=["canner"], posteriors=posteriors)
    assert found.slots.get("count") == count
    assert found.reject_reason == (None if count else "unsure")
    assert (found.rival is not None) is (count is None)


def test_a_fall_of_pressure_counts_although_its_number_is_in_doubt(book):
    texts = ("kitchen voice the pressure dropped to nine", "kitchen voice the pressure dropped to five")
    found = heard(book, *texts, posteriors=(0.85, 0.15))
    assert (found.slots, found.rival.slots) == ({"pressure": 9}, {"pressure": 5})


def test_muddled_sound_that_ends_in_the_name_of_a_food_chooses_no_load(book):
    texts = ("kitchen voice the broth", "kitchen voice broth", "the chard fifth", "the child's fifth")
    assert heard(book, *texts, posteriors=(0.4, 0.1, 0.3, 0.2)).intent == "load_select"
    assert heard(book, *texts, posteriors=(0.24, 0.14, 0.36, 0.26)).reject_reason == "unsure"


def test_what_was_said_by_name_may_have_any_posterior_of_the_talk_that_it_could_be(book):
    texts = ("kitchen voice where a thing", "kitchen voice where a hand", "kitchen voice where are we")
    found = heard(book, *texts, posteriors=(0.6, 0.39, 0.01), attention="optional")
    assert (found.intent, found.attention) == ("where_are_we", True)
    unnamed = [text.removeprefix("kitchen voice ") for text in texts]
    assert heard(book, *unnamed, posteriors=(0.6, 0.39, 0.01), attention="optional").reject_reason == "unsure"


@pytest.mark.parametrize(("posterior", "above_noise_db", "taken"), [(0.85, 7, True), (0.85, 5, False), (0.92, 5, True)])
def test_in_loud_noise_a_sentence_has_to_stand_out_further(book, posterior, above_noise_db, taken):
    texts = ("kitchen voice where are we", "kitchen voice is it done")
    found = heard(book, *texts, posteriors=(posterior, 1.0 - posterior), above_noise_db=above_noise_db)
    assert (found.intent == "where_are_we", found.reject_reason) == (taken, None if taken else "unsure")


def test_a_bare_number_is_no_answer_where_it_may_well_be_noise(book):
    question = {"attention": "optional", "question": "count"}
    assert heard(book, "two", "three", "[unk]", posteriors=(0.86, 0.04, 0.1), **question).intent == "number"
    rattle = ("a", "two", "half", "[unk]", "three")
    assert heard(book, *rattle, posteriors=(0.35, 0.21, 0.2, 0.2, 0.04), **question).reject_reason == "unsure"


def test_nor_is_a_grave_report_that_may_well_be_talk(book):
    texts = ("older nine", "holding at nine")
    named = [f"kitchen voice {text}" for text in texts]
    question = {"attention": "answers", "question": "gauge_reading"}
    assert heard(book, *texts, posteriors=(0.7, 0.3), **question).intent == "pressure_is"
    assert heard(book, *texts, posteriors=(0.86, 0.14), **question).reject_reason == "unsure"
    assert heard(book, *named, posteriors=(0.86, 0.14), **question).intent == "pressure_is"


def test_a_short_word_that_muddled_sound_may_end_in_needs_a_posterior_of_it(book):
    texts = ("kitchen voice the next thing", "kitchen voice the next hand", "kitchen voice next step")
    assert heard(book, *texts, posteriors=(0.6, 0.37, 0.03)).reject_reason == "unsure"
    assert heard(book, *texts, posteriors=(0.5, 0.3, 0.2)).intent == "next_step"


@pytest.mark.parametrize(
    ("stage", "report", "denial", "intent"),
    [
        ("cool", "the gauge is at zero", "the gauge is not at zero", "gauge_zero"),
        ("cool", "the lid is off", "the lid is not off", "lid_off"),
        ("count", "all sealed", "not all sealed", "all_sealed"),
        ("come_up", "the weight is rocking", "the weight is not rocking", "weight_rocking"),
        ("come_up", "the pressure is at eleven", "the pressure is not at eleven", "pressure_is"),
        ("hold", "the heat is off", "the heat is not off", "heat_off"),
    ],
)
def test_a_report_is_not_taken_where_it_may_have_been_a_denial(book, stage, report, denial, intent):
    report, denial = f"kitchen voice {report}", f"kitchen voice {denial}"
    assert heard(book, denial, report, posteriors=(0.96, 0.04), stages=(stage,)).intent == "not_yet"
    assert heard(book, report, denial, posteriors=(0.95, 0.05), stages=(stage,)).intent == intent
    assert heard(book, report, denial, posteriors=(0.85, 0.15), stages=(stage,)).reject_reason == "unsure"
    doubted = heard(book, denial, report, posteriors=(0.93, 0.07), stages=(stage,))
    assert (doubted.reject_reason, doubted.text) == ("unsure", report)  # the cook is asked about what would count


@pytest.mark.parametrize(
    ("text", "stage", "intent"),
    [
        ("the steam is not steady", "vent", "steam_stopped"),
        ("the steam is not steady", "canner", "not_yet"),
        ("the weight is not rocking", "hold", "weight_quiet"),
        ("it's not boiling", "hold", "boil_lost"),
        ("it's not boiling", "canner", "not_yet"),
    ],
)
def test_a_denial_that_is_a_report_of_its_stage_is_meant_as_one(book, text, stage, intent):
    assert heard(book, f"kitchen voice {text}", stages=(stage,)).intent == intent


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("different voice lid is off", "lid_off"),  # kitchen, in noise
        ("different voice", None),
        ("different voice the neighbour", None),
        ("the fifth voice lid is off", "lid_off"),
        ("that is the fifth voice lid is off", None),
        ("the fifth voice lid", None),
        ("voice lid is off", None),
        ("different choice lid is off", None),
    ],
)
def test_one_or_two_words_in_place_of_the_first_of_the_wake_phrase_are_mended_before_a_command(book, text, intent):
    found = heard(book, text, "fit a nice deal of", posteriors=(0.7, 0.3), stages=("cool",))
    assert (found.intent, found.attention) == (intent, intent is not None)


def test_an_wake_phrase_of_one_word_is_never_mended(book):
    phrase = {"wake_phrase": "marigold", "stages": ("cool",)}
    assert heard(book, "marigold lid is off", posteriors=(1.0,), **phrase).intent == "lid_off"
    assert heard(book, "sister marigold lid is off", posteriors=(1.0,), **phrase).intent is None


def test_what_is_typed_is_not_mended(book):
    assert heard(book, "different voice lid is off", stages=("cool",)).intent is None


LIKELY, UNLIKELY, NEVER = Rescoring(-8.0, -1.0), Rescoring(-40.0, -5.5), Rescoring(-80.0, -9.0)
DROPPING, ROCKING = "kitchen voice pressure is dropping", "kitchen voice the weight is rocking"


def test_of_two_likely_sentences_the_one_that_a_second_engine_heard_too_is_taken(book):
    posteriors = (0.4, 0.35)
    assert heard(book, DROPPING, ROCKING, posteriors=posteriors).reject_reason == "unsure"
    found = heard(book, DROPPING, ROCKING, posteriors=posteriors, opinions={DROPPING: UNLIKELY, ROCKING: LIKELY})
    assert (found.intent, found.reject_reason, found.text) == ("weight_rocking", None, ROCKING)
    same = heard(book, DROPPING, ROCKING, posteriors=posteriors, opinions={DROPPING: LIKELY, ROCKING: LIKELY})
    assert same.reject_reason == "unsure", "it is of no help"


def test_what_neither_engine_finds_likely_is_not_taken(book):
    opinions = {DROPPING: NEVER, ROCKING: UNLIKELY}
    assert heard(book, DROPPING, ROCKING, posteriors=(0.4, 0.35), opinions=opinions).reject_reason == "unsure"


@pytest.mark.parametrize(
    "opinions",
    [{DROPPING: NEVER}, {DROPPING: UNLIKELY, ROCKING: LIKELY}],
    ids=["it can't be that", "it is rather the other"],
)
def test_what_the_first_engine_is_sure_of_is_asked_about_where_the_second_heard_something_else(book, opinions):
    posteriors = (0.95, 0.05)
    assert heard(book, DROPPING, ROCKING, posteriors=posteriors).intent == "pressure_low"
    assert heard(book, DROPPING, ROCKING, posteriors=posteriors, opinions={DROPPING: LIKELY}).intent == "pressure_low"
    assert heard(book, DROPPING, ROCKING, posteriors=posteriors, opinions=opinions).reject_reason == "unsure"


def test_the_less_sure_the_first_engine_is_the_likelier_the_second_has_to_find_it(book):
    faint, talk = {DROPPING: Rescoring(-50.0, -6.5)}, "we were down by the river"
    assert heard(book, DROPPING, talk, posteriors=(0.6, 0.4), opinions=faint).intent == "pressure_low"
    assert heard(book, DROPPING, talk, posteriors=(0.4, 0.6)).intent == "pressure_low"
    assert heard(book, DROPPING, talk, posteriors=(0.4, 0.6), opinions=faint).reject_reason == "unsure"


def test_a_second_engine_makes_no_command_of_what_the_first_hardly_thought_of(book):
    texts, posteriors = ("we were down by the river", ROCKING), (0.995, 0.005)
    assert heard(book, *texts, posteriors=posteriors, opinions={ROCKING: LIKELY}).intent is None


@pytest.mark.parametrize(
    ("mine", "others", "intent"),
    [
        (LIKELY, NEVER, "cancel"),
        (LIKELY, LIKELY, None),
        (Rescoring(-20.0, -3.3), NEVER, None),
    ],
    ids=["it finds nothing else likely", "it finds the talk as likely", "it finds it hardly likely"],
)
def test_unless_it_finds_unlikely_what_the_first_thought_of_instead(book, mine, others, intent):
    texts = ("kitchen voice am remained", "kitchen voice never mind")
    opinions = {texts[0]: others, texts[1]: mine}
    assert heard(book, *texts, posteriors=(0.97, 0.03), opinions=opinions).intent == intent


def test_a_call_by_name_alone_that_it_takes_for_talk_is_still_a_call(book):
    texts = ("kitchen voice", "the kitchen voice")
    opinions = {texts[0]: NEVER, texts[1]: LIKELY}
    assert heard(book, *texts, posteriors=(0.9, 0.1), opinions=opinions).intent == "attention"


def test_nor_does_it_make_a_number_of_noise_where_the_first_engine_thought_of_its_twin(book):
    asked = {"stages": ("count",), "attention": "optional", "question": "count", "above_noise_db": 9.0}
    sea, shares = "this sea", (0.8, 0.15, 0.05)
    opinions = {sea: NEVER, "fifteen": LIKELY, "fifty": UNLIKELY}
    assert heard(book, sea, "fifteen", "fifty", posteriors=shares, opinions=opinions, **asked).intent is None
    assert heard(book, sea, "fifteen", "this tea", posteriors=shares, opinions=opinions, **asked).slots == {"value": 15}


def test_nor_a_choice_of_load_of_muddled_talk(book):
    """Said was "kitchen voice is ..."; heard once in six hours of talk, and acted on."""
    texts, posteriors = ("in the kitchen voice is carrot", "kitchen voice the carrots"), (0.8, 0.2)
    opinions = {"kitchen voice the carrots": LIKELY}
    assert heard(book, "kitchen voice the carrots", posteriors=(1.0,)).intent == "load_select"
    assert heard(book, *texts, posteriors=posteriors, opinions=opinions).intent is None


def test_nor_an_answer_of_noise(book):
    texts, posteriors = ("[unk]", "seven"), (0.9, 0.1)
    found = heard(
        book,
        *texts,
        posteriors=posteriors,
        opinions={"seven": LIKELY},
        stages=("count",),
        attention="optional",
        question="count",
    )
    assert found.intent is None


@pytest.mark.parametrize("other", ["kitchen voice sixty sealed", "kitchen voice twelve sealed"])
def test_nor_does_it_choose_between_numbers_in_clear_sound(book, other):
    texts = ("kitchen voice sixteen sealed", other)
    far = {texts[0]: Rescoring(-10.0, -1.2), texts[1]: Rescoring(-40.0, -5.0)}
    assert heard(book, *texts, posteriors=(0.45, 0.55), stages=("count",), opinions=far).reject_reason == "unsure"
    agreed = heard(book, *texts, posteriors=(0.55, 0.45), stages=("count",), opinions=far)
    assert agreed.slots == {"sealed": 16}, "it only bears the first engine out"
    near = {text: Rescoring(-10.0, -1.2) for text in texts}
    assert heard(book, *texts, posteriors=(0.8, 0.2), stages=("count",), opinions=near).reject_reason == "unsure"


def test_in_clear_sound_what_the_second_engine_takes_for_something_else_is_asked_about_however_sure_the_first_is(book):
    off, on = "kitchen voice the burner is off", "kitchen voice the burner is on"
    for more, intent in ((-1.0, "heat_off"), (1.0, None)):
        opinions = {off: Rescoring(-21.0, -2.6), on: Rescoring(-21.0 + more, -2.5)}
        assert heard(book, off, on, posteriors=(0.96, 0.04), opinions=opinions).intent == intent
    assert heard(book, off, on, posteriors=(0.96, 0.04), opinions=opinions, above_noise_db=9.0).intent == "heat_off"


@pytest.mark.parametrize(
    ("stage", "said", "other"),
    [
        ("canner", "kitchen voice eighty three jars are in", "kitchen voice fifty three jars are in"),
        (
            "hold",
            "kitchen voice how long is left on the second canner",
            "kitchen voice how long is left on the fifth canner",
        ),
        ("cool", "kitchen voice five jars are out", "kitchen voice five dozen jars are out"),
        (
            "hold",
            "kitchen voice set a timer for thirty four minutes",
            "kitchen voice set a timer for thirty one minutes",
        ),
    ],
)
def test_a_number_is_asked_about_where_another_is_nearly_as_likely(book, stage, said, other):
    assert heard(book, said, other, posteriors=(0.8, 0.17), stages=(stage,)).reject_reason == "unsure"
    assert heard(book, said, other, posteriors=(0.9, 0.1), stages=(stage,)).intent is not None


def test_but_a_fall_in_pressure_counts_whatever_its_number(book):
    texts = ("kitchen voice pressure is down to nine pounds", "kitchen voice pressure is down to eight pounds")
    assert heard(book, *texts, posteriors=(0.8, 0.2)).intent == "pressure_low"


def test_ear_and_dialogue_call_the_same_sound_clear():
    assert ear_thresholds.CLEAR_SOUND_DB == thresholds.CLEAR_SOUND_DB
    assert ear_thresholds.WEIGHT_OF_OPINION == thresholds.WEIGHT_OF_OPINION


def test_nor_between_a_report_and_its_denial_but_in_noise(book):
    texts = ("kitchen voice no steady steam", "kitchen voice there's steady steam")
    far = {texts[0]: Rescoring(-10.0, -1.2), texts[1]: Rescoring(-40.0, -5.0)}
    found = heard(book, *texts, posteriors=(0.32, 0.68), stages=("vent",), opinions=far)
    assert (found.intent, found.reject_reason) == (None, "unsure")
    noisy = heard(book, *texts, posteriors=(0.32, 0.68), stages=("vent",), opinions=far, above_noise_db=9.0)
    assert noisy.intent == "not_yet", "it would have to be said very often"
    assert heard(book, *texts, posteriors=(0.68, 0.32), stages=("vent",), opinions=far).intent == "not_yet", (
        "they agree"
    )


@pytest.mark.parametrize(
    ("stage", "understood", "said"),
    [
        ("hold", "kitchen voice pressure is not nine", "kitchen voice pressure is at nine"),
        ("canner", "kitchen voice the lid isn't on", "kitchen voice the lid is on"),
        ("rest", "kitchen voice nine are out", "kitchen voice jars are out"),
        ("pack", "kitchen voice not done", "kitchen voice that's done"),
        ("count", "kitchen voice six didn't seal", "kitchen voice six jars sealed"),
        ("canner", "kitchen voice how much longer", "kitchen voice how much water"),
    ],
)
def test_what_the_second_engine_takes_for_a_sentence_often_heard_as_it_is_asked_about(book, stage, understood, said):
    """The first one doesn't think of it at all."""
    grammar = book.grammar((stage,))
    assert said in grammar.heard_as(understood)
    assert grammar.heard_as(said) == ()
    for more, reason in ((-2.0, None), (2.0, "unsure")):
        opinions = {understood: Rescoring(-14.0, -1.8), said: Rescoring(-14.0 + more, -1.6)}
        assert heard(book, understood, posteriors=(1.0,), opinions=opinions, stages=(stage,)).reject_reason == reason


@pytest.mark.parametrize(
    ("stage", "report", "denial", "intent"),
    [
        ("canner", "kitchen voice the jars are in", "kitchen voice the jars aren't in", "jars_in"),
        ("canner", "kitchen voice the lid is locked", "kitchen voice the lid isn't locked", "lid_locked"),
        ("come_up", "kitchen voice the weight is on", "kitchen voice the weight isn't on", "weight_on"),
    ],
)
def test_a_report_is_not_taken_while_its_denial_is_nearly_as_likely_though_both_engines_prefer_it(
    book, stage, report, denial, intent
):
    opinions = {report: Rescoring(-10.0, -1.2), denial: Rescoring(-20.0, -2.4)}
    for share, taken in ((0.1, intent), (0.2, None)):
        shares = (1.0 - share, share)
        assert heard(book, report, denial, posteriors=shares, opinions=opinions, stages=(stage,)).intent == taken


@pytest.mark.parametrize(("text", "moves"), [("seventy six quarts of okra", True), ("how much salt", False)])
@pytest.mark.parametrize(("behind", "above_noise_db"), [(9.0, 20.0), (11.0, 20.0), (11.0, 10.0)])
def test_in_clear_sound_what_is_far_behind_what_is_no_sentence_moves_nothing(book, text, moves, behind, above_noise_db):
    said, talk = f"kitchen voice {text}", "kitchen voice tight when do six quarts of a front"
    opinions = {said: Rescoring(-14.0 - behind, -3.0), talk: Rescoring(-14.0, -3.0)}
    stage, clear = ("start",), above_noise_db >= thresholds.CLEAR_SOUND_DB
    found = heard(
        book, said, talk, posteriors=(0.7, 0.3), opinions=opinions, stages=stage, above_noise_db=above_noise_db
    )
    assert (found.reject_reason == "unsure") is (moves and clear and behind > thresholds.MOST_BEHIND_TALK)


def test_an_opinion_of_a_mended_sentence_counts(book):
    texts, posteriors = ("the chin voice the weight is rocking", DROPPING), (0.5, 0.4)
    opinions = {ROCKING: LIKELY, DROPPING: UNLIKELY}
    assert heard(book, *texts, posteriors=posteriors, opinions=opinions).intent == "weight_rocking"
    assert book.grammar(("hold",)).sentence(texts[0]) == ROCKING


@pytest.mark.parametrize(
    ("sentence", "printed"),
    [
        (ROCKING, "Kitchen voice, the weight is rocking."),
        ("kitchen voice", "Kitchen voice."),
        ("seven", "Seven."),
        ("kitchen voices", "Kitchen voices."),
    ],
)
def test_a_sentence_in_print_has_a_capital_letter_a_comma_after_our_name_and_a_full_stop(book, sentence, printed):
    assert book.grammar(("hold",)).punctuated(sentence) == printed


def test_start_is_not_taken_for_stop_where_it_could_be_either(book):
    texts = ("kitchen voice start listening", "kitchen voice stop listening")
    assert heard(book, *texts, posteriors=(0.77, 0.23)).reject_reason == "unsure"
    assert heard(book, *texts, posteriors=(0.9, 0.1)).reject_reason == "unsure"
    assert heard(book, *texts, posteriors=(0.96, 0.04)).intent == "wake"


def test_a_bare_number_in_noise_is_asked_about_where_the_second_engine_takes_another(book):
    texts, live = ("fifty two", "sixty two"), {"attention": "answers", "question": "count", "stages": ("count",)}
    shares, noisy = {"posteriors": (0.95, 0.01)}, {"above_noise_db": 9.0}
    doubted = {"fifty two": Rescoring(-11.8, -3.9), "sixty two": Rescoring(-9.8, -3.3)}
    agreed = {"fifty two": Rescoring(-9.8, -3.3), "sixty two": Rescoring(-11.8, -3.9)}
    assert heard(book, *texts, **shares, **noisy, **live, opinions=doubted).reject_reason == "unsure"
    assert heard(book, *texts, **shares, **noisy, **live, opinions=agreed).slots == {"value": 52}


@pytest.mark.parametrize("other", ["eleven sealed", "fifteen sealed one failed", "fifteen failed", "fifteen sealed"])
def test_other_differences_make_no_rival(book, other):
    assert heard(book, "fifteen sealed", other, stages=["count"], attention="optional").rival is None


def test_a_zero_on_the_gauge_is_meant_as_such(book):
    assert heard(book, "pressure is at zero", stages=["hold", "cool"], attention="optional").intent == "gauge_zero"
    assert heard(book, "pressure is zero", stages=["hold"], attention="optional").slots == {"pressure": 0}


def test_an_answer_to_the_open_question_comes_before_a_command(book):
    live = {"stages": ["count"], "attention": "optional"}
    assert heard(book, "freeze it", **live).intent == "jar_outcome"
    assert heard(book, "freeze it", question="outcome", **live).intent == "choice"
    assert heard(book, "load two", question="load", **live).intent == "choice"
    assert heard(book, "load two", question="count", **live).intent == "load_select"


def test_two_meanings_of_equal_right_are_ambiguous(book):
    twice = GrammarBook.load(foods={"green beans": "snap_beans"}, canners={"green beans": 1})
    found = understand(Utterance(("green beans",)), twice.grammar(["idle"], attention="optional", question="any"))
    assert (found.intent, found.reject_reason, found.text) == (None, "ambiguous", "green beans")


def test_the_words_of_each_slot_are_kept(book):
    (reading,) = book.grammar(["start"], attention="optional").parse("start a load of blackberries in pints")
    assert reading.said == {"food": "blackberries", "jar": "pints"}


@pytest.mark.parametrize(
    ("intent", "expected"),
    [("ask_time", "information"), ("packed", "reversible"), ("pressure_is", "safety"), ("yes", "safety")],
)
def test_intents_are_graded_by_what_a_mistake_costs(intent, expected):
    assert grade(intent) == expected
