"""Crocks by voice: begun with a day, spoken of, asked after, ended into their load; over restarts of a real log."""

from datetime import datetime

import pytest

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.logbook import Logbook, SqliteLog
from kitchenvoice.logbook.report.lines import crock_line
from kitchenvoice.paper.text import date_of
from kitchenvoice.ports import Moment, Urgency
from kitchenvoice.reference.ferments import said_of_ferment

DAY = 1440


@pytest.fixture
def kraut(cook):
    cook.say("start a crock of sauerkraut")
    return cook


@pytest.mark.parametrize(
    ("said", "food", "days"),
    [
        ("start a crock of sauerkraut", "sauerkraut", 0),
        ("we started a crock of pickles yesterday", "dill_pickles_fermented", 1),
        ("i started a crock of kraut twelve days ago", "sauerkraut", 12),
        ("we started a crock of sauerkraut two weeks ago", "sauerkraut", 14),
        ("begin a crock of dill pickles", "dill_pickles_fermented", 0),
    ],
)
def test_a_crock_is_begun_with_its_day_and_its_salt(cook, said, food, days):
    answer = cook.say(said)
    assert "Three to four weeks at seventy to seventy five degrees" in answer
    assert "Never less salt" in answer
    crock = cook.kitchen.crock(food)
    assert crock.days(cook.t) == days
    assert cook.replayed().crocks == cook.kitchen.crocks


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("start a crock of carrots", "The guide has no such ferment, only fermented dill pickles and sauerkraut"),
        ("start a crock", "Say: start a crock of, and the food"),
        ("how is the crock", "No crock is going"),
        ("the crock is done", "No crock is going"),
    ],
)
def test_without_a_ferment_nothing_is_recorded(cook, said, told):
    assert told in cook.say(said)
    assert "crock_start" not in cook.kinds()
    assert "crock_end" not in cook.kinds()


def test_the_daily_words_are_soft_and_have_temperature_and_scum_as_printed(kraut):
    (said,) = kraut.conversation.tick(kraut.t + 60 * DAY).announcements
    assert "one day so far" in said.text
    assert "It wants seventy to seventy five degrees, or slower at sixty to sixty five" in said.text
    assert "two to three times a week, and take off scum" in said.text
    assert (said.urgency, said.tone, said.key) == (Urgency.CHAT, None, None)
    kraut.t += 60 * DAY
    assert kraut.kitchen.calls == ()
    assert kraut.wait(60 * (DAY - 1)) == ""


def test_to_an_old_hand_they_are_short(make):
    cook = make(speech_level="brief")
    cook.say("start a crock of sauerkraut")
    assert "may become soft" not in cook.wait(60 * DAY + 1)


def test_while_nobody_listens_it_waits_until_somebody_does(kraut):
    kraut.say("stop listening")
    assert kraut.wait(3 * 60 * DAY) == ""
    kraut.say("start listening")
    assert "three days so far" in kraut.wait(60)


@pytest.mark.parametrize("asked", ["how is the sauerkraut", "how long for the crock", "is the sauerkraut done"])
def test_how_it_is(kraut, asked):
    kraut.run(9 * DAY)
    answer = kraut.say(asked)
    assert "nine days so far" in answer
    assert "Three weeks are up in twelve days." in answer
    kraut.run(13 * DAY)
    assert "Three weeks are over." in kraut.say(asked)


@pytest.mark.parametrize(
    ("said", "care", "told"),
    [
        ("crock checked", "checked", "the crock of sauerkraut is checked, nine days so far."),
        ("i checked the sauerkraut", "checked", "is checked"),
        ("we skimmed the crock", "skimmed", "is skimmed"),
        ("i topped up the brine on the kraut", "topped_up", "Boiled and cooled brine: one and a half tablespoons"),
        ("brine topped up", "topped_up", "to a quart of water"),
    ],
)
def test_what_was_done_to_it_is_kept_and_its_day_is_quiet(kraut, said, care, told):
    kraut.run(9 * DAY)
    assert told in kraut.say(said)
    assert [(event.kind, event.data["care"]) for event in kraut.events[-1:]] == [("crock_care", care)]
    assert kraut.replayed().crocks == kraut.kitchen.crocks
    assert kraut.wait(60 * (DAY - 2)) == ""
    last = {"checked": "last checked", "skimmed": "last skimmed", "topped_up": "brine last added"}[care]
    assert f"{last[0].upper()}{last[1:]} yesterday." in kraut.say("how is the crock")
    kraut.run(2 * DAY)
    assert f"{last} three days ago" in kraut.say("how is the crock").lower()
    kraut.say("scratch that")
    assert kraut.kitchen.crock("sauerkraut").care == ""


def test_of_many_it_is_asked_which_was_cared_for_but_not_of_all(kraut):
    kraut.say("we started a crock of pickles yesterday")
    assert kraut.say("i skimmed the crock") == "Which one: sauerkraut or fermented dill pickles?"
    assert "fermented dill pickles is skimmed" in kraut.bare("the pickles")
    assert [crock.care for crock in kraut.kitchen.crocks] == ["", "skimmed"]
    kraut.bare("the crocks are checked", typed=True)
    assert [crock.care for crock in kraut.kitchen.crocks] == ["checked", "checked"]
    assert "half cup of salt and a quarter cup of vinegar" in kraut.say("i added brine to the pickles")


@pytest.mark.parametrize("said", ["crock checked", "i skimmed the sauerkraut", "brine topped up"])
def test_without_a_crock_no_care_is_recorded(cook, said):
    assert "No crock" in cook.say(said)
    assert "crock_care" not in cook.kinds()


def test_another_of_the_same_is_begun_on_asking_only(kraut):
    kraut.run(9 * DAY)
    assert kraut.say("start a crock of sauerkraut").endswith("nine days so far. Is this another one?")
    kraut.bare("no")
    assert kraut.kinds().count("crock_start") == 1
    kraut.say("start a crock of sauerkraut")
    both = "In crocks: crock one of sauerkraut, nine days so far and crock two of sauerkraut, begun today."
    assert both in kraut.bare("yes")
    assert "crock three of sauerkraut, begun today" in kraut.say("start another crock of sauerkraut")
    assert kraut.replayed().crocks == kraut.kitchen.crocks


@pytest.mark.parametrize(
    ("answer", "left"),
    [
        ("two", [1, 3]),
        ("the second one", [1, 3]),
        ("crock two", [1, 3]),
        ("the pickles", [1, 3]),
        ("crock one of sauerkraut", [2, 3]),
        ("crock nine", [1, 2, 3]),
        ("cancel", [1, 2, 3]),
    ],
)
def test_of_many_it_is_asked_which(kraut, answer, left):
    kraut.say("we started a crock of pickles three weeks ago")
    kraut.say("start another crock of sauerkraut")
    assert kraut.say("throw out the crock") == (
        "Which one: crock one of sauerkraut, fermented dill pickles or crock three of sauerkraut?"
    )
    kraut.bare(answer)
    assert [crock.number for crock in kraut.kitchen.crocks] == left


def test_a_number_names_one(kraut):
    kraut.say("start another crock of sauerkraut")
    kraut.run(22 * DAY)
    assert kraut.say("how is crock two").startswith("Crock two of sauerkraut: twenty two days so far.")
    assert "There is no crock three. In crocks: crock one of sauerkraut" in kraut.say("how is the third crock")
    assert kraut.say("the sauerkraut is done") == "Which one: crock one of sauerkraut or crock two of sauerkraut?"
    assert "Crock one of sauerkraut is ended: twenty two days so far." in kraut.bare("the first")
    kraut.bare("cancel")
    assert kraut.say("how is the crock").startswith("The crock of sauerkraut: twenty two days so far.")


def test_begun_in_the_evening_it_was_begun_yesterday_the_next_morning(cook):
    cook.t = datetime(2026, 9, 14, 21, 30).timestamp()
    cook.say("start a crock of sauerkraut")
    cook.run(120)
    assert "begun today" in cook.say("how is the crock")
    cook.run(600)
    assert "begun yesterday" in cook.say("how is the crock")


def test_two_are_told_apart(kraut):
    kraut.say("we started a crock of pickles three weeks ago")
    assert kraut.say("the crock is done") == "Which one: sauerkraut or fermented dill pickles?"
    assert "fermented dill pickles is ended" in kraut.say("the pickles are done")
    assert [crock.food for crock in kraut.kitchen.crocks] == ["sauerkraut"]


def test_before_its_weeks_only_a_yes_ends_it(kraut):
    kraut.run(20 * DAY)
    assert "Only twenty days so far; printed are three to four weeks" in kraut.say("the sauerkraut is done")
    assert kraut.bare("no") == "Left as it was."
    assert kraut.kitchen.crocks
    kraut.say("the sauerkraut is done")
    assert "is ended" in kraut.bare("yes")
    assert not kraut.kitchen.crocks


def test_after_them_it_leads_to_its_load(kraut):
    kraut.run(21 * DAY)
    assert "Which jars" in kraut.say("the crock is done")
    assert kraut.bare("pints") == "Raw pack or hot pack?"
    kraut.run("> raw pack", "> nine", "> yes")
    assert (kraut.load.food, kraut.load.pack, kraut.load.process.minutes) == ("sauerkraut", "raw", 20)
    assert "is it fully fermented?" in kraut.to("acid")


def test_thrown_out_it_leads_to_nothing_and_can_be_taken_back(kraut):
    assert "thrown out" in kraut.say("throw out the sauerkraut")
    assert not kraut.kitchen.crocks
    assert "the end of the crock" in kraut.say("scratch that")
    assert kraut.kitchen.crock("sauerkraut").days(kraut.t) == 0
    assert "the start of the crock" in kraut.say("scratch that")
    assert not kraut.kitchen.crocks


def test_the_pickles_are_done_with_a_load_of_pickles_is_of_that_load(cook):
    cook.run("start nine pints of bread and butter pickles hot pack", "> yes")
    assert "half full of hot water" in cook.say("the pickles are done")
    assert "crock_end" not in cook.kinds()


def test_the_shelf_list_names_it(cook):
    class Empty:
        def on_shelf(self, food=None, jar=None):
            return []

    cook.talk.pantry = Empty()
    cook.say("start a crock of sauerkraut")
    assert cook.say("what's on the shelf") == "In crocks: sauerkraut, begun today."


def test_it_outlives_the_program_in_a_real_log(kraut, tmp_path):
    """Four weeks: the log is closed and read again three times, and a whole load comes and goes meanwhile."""
    stored = 0
    for off_days in (0.0, 3.0, 10.0, 14.5):
        kraut.t += 86_400 * off_days
        moment = Moment(utc=kraut.t, elapsed=kraut.t, boot="a")
        with SqliteLog(tmp_path) as log:
            log.append(kraut.events[stored:], moment)
            stored = len(kraut.events)
        with SqliteLog(tmp_path) as log:
            history, last, load = list(log.read()), log.last_seq, log.last_load
        kraut.conversation = Conversation(kraut.book, PRACTICE_KITCHEN, history, last_seq=last, last_load=load)
        kraut.events = kraut.events[:stored]
        told = kraut._take(kraut.conversation.begin(kraut.t, off_s=86_400 * off_days))
        if off_days:
            assert "days so far" in told
        kraut.run("start seven pints of apple sauce hot pack", "> boiling water", "> yes", "give up the load", "> yes")
        assert kraut.kitchen.crock("sauerkraut").care == ("skimmed" if off_days else "")
        kraut.say("i skimmed the kraut")
    assert kraut.kitchen.crock("sauerkraut").days(kraut.t) == 27
    with SqliteLog(tmp_path) as log:
        log.append(kraut.events[stored:], Moment(utc=kraut.t, elapsed=kraut.t, boot="a"))
        with Logbook(tmp_path) as book:
            (crock,) = book.crocks()
    line, skimmed = crock_line(crock, kraut.t, 24), date_of(datetime.fromtimestamp(kraut.t), 24, short=True)
    assert f"sauerkraut: fermenting, 27 days, skimmed {skimmed}; 3 to 4 weeks" in line
    assert "Guide 6, page 8" in line
    stored = len(kraut.events)
    kraut.run("the crock is done", "> cancel")
    with SqliteLog(tmp_path) as log:
        log.append(kraut.events[stored:], Moment(utc=kraut.t, elapsed=kraut.t, boot="a"))
    with Logbook(tmp_path) as book:
        assert book.crocks() == ()


def test_its_days_are_no_pressure_of_a_hold(holding):
    holding.bare("we started a crock of sauerkraut five days ago", typed=True)
    assert holding.kitchen.crock("sauerkraut").days(holding.t) == 5
    assert not holding.load.doubts
    assert holding.load.holding


def test_two_of_one_food_have_their_daily_words_said_once_in_full(kraut):
    kraut.say("start another crock of sauerkraut")
    said = kraut.wait(60 * DAY + 60)
    assert "Crock two of sauerkraut too: one day so far." in said
    assert said.count("take off scum") == 1


@pytest.mark.parametrize("asked", ["how much salt for sauerkraut", "how much salt does the kraut need"])
def test_its_salt_is_told_on_asking(cook, asked):
    assert "canning salt, never less" in cook.bare(asked, typed=True)


@pytest.mark.parametrize(
    "asked", ["how long left on the sauerkraut", "how much longer on the kraut", "how long does the sauerkraut take"]
)
def test_how_long_it_takes_is_told_of_the_crock_that_goes(kraut, asked):
    kraut.run(9 * DAY)
    assert "nine days so far" in kraut.bare(asked, typed=True)


@pytest.mark.parametrize("asked", ["is it done", "how long", "where are we"])
def test_without_a_load_it_is_the_crock_that_is_asked_after(kraut, asked):
    kraut.run(9 * DAY)
    assert "nine days so far" in kraut.bare(asked, typed=True)


def test_what_is_done_to_it_needs_no_name(kraut):
    assert "is skimmed" in kraut.bare("i skimmed it", typed=True)
    assert kraut.kitchen.crock("sauerkraut").care == "skimmed"


def test_all_of_its_care_is_told_once_a_week(kraut):
    told = [kraut.wait(60 * DAY) for _ in range(15)]
    assert ["may become soft" in each for each in told] == [day % 7 == 0 for day in range(15)]
    assert all("take off scum" in each for each in told)


def test_who_wants_to_make_what_ferments_is_told_of_the_crock_first(cook):
    told = "To begin one, say: start a crock of sauerkraut."
    assert told in cook.bare("i want to make sauerkraut", typed=True)
    cook.bare("cancel", typed=True)
    assert told not in cook.bare("start seven quarts of sauerkraut", typed=True)
    cook.bare("cancel", typed=True)
    cook.say("we started a crock of sauerkraut four weeks ago")
    assert told not in cook.say("the crock is done")


def test_its_warmth_and_its_mold_are_not_those_of_jars(cook):
    assert "ninety five" in cook.bare("what temperature should it be", typed=True)
    cook.say("start a crock of sauerkraut")
    assert "seventy to seventy five" in cook.bare("what temperature should it be", typed=True)
    assert cook.bare("there's mold on the kraut", typed=True).startswith("Take scum and mold off a ferment")
    assert cook.bare("there's mold in the jar", typed=True).startswith("Throw it out")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("it's mushy", "Soft, slimy or bad-smelling: throw it out"),
        ("it has stopped bubbling", "It bubbles as long as it ferments"),
        ("is the scum normal", "Take scum and mold off a ferment promptly"),
        ("is it supposed to smell like that", "Soft, slimy or bad-smelling: throw it out"),
        ("it smells funny", "Sour is how a ferment smells"),
        ("the brine dropped below the plate", "Boiled and cooled brine: one and a half tablespoons"),
        ("it's not bubbling", "It bubbles as long as it ferments"),
        ("it's bubbling", "It bubbles as long as it ferments"),
        ("they're ready", "Of a crock that is through, say: the crock is done"),
        ("is that foam okay", "Take scum and mold off a ferment promptly"),
        ("how warm should it be", "seventy to seventy five"),
        ("why is it cloudy", "A ferment's brine may be cloudy"),
        ("how long does it take", "three days so far"),
        ("how much salt", "three tablespoons of canning salt to five pounds of cabbage, never less"),
    ],
)
def test_what_is_said_without_a_name_is_of_the_crock_that_goes(kraut, said, told):
    kraut.run(3 * DAY)
    assert told in kraut.bare(said, typed=True)


@pytest.mark.parametrize("said", ["it's mushy", "how long does it take", "why is it cloudy"])
def test_without_a_crock_it_is_of_none(cook, said):
    assert not {"ferment", "crock", "kraut"} & set(cook.bare(said, typed=True).lower().split())


@pytest.mark.parametrize(
    "said",
    [
        "can i open it",
        "is the pressure too high",
        "should i cover it with a towel",
        "that's good",
        "is the jam supposed to smell like that",
    ],
)
def test_what_names_something_else_is_not_of_the_crock(kraut, said):
    assert said_of_ferment("it's slimy") == "ferment_spoiled"
    assert "ferment" not in kraut.bare(said, typed=True)
    assert "brine" not in kraut.bare(said, typed=True)


@pytest.mark.parametrize("said", ["how much salt", "how long does it take"])
def test_with_a_load_these_are_of_the_load(kraut, said):
    kraut.say("start seven quarts of green beans raw pack in canner one")
    kraut.say("yes")
    assert "cabbage" not in kraut.bare(said, typed=True)
    assert "days so far" not in kraut.bare(said, typed=True)


def test_what_is_said_beside_jars_is_of_the_crock_by_its_name(kraut):
    kraut.run(3 * DAY, *kraut.BEANS)
    told = kraut.bare("it's mushy", typed=True)
    assert told.startswith("Of the crock of sauerkraut: Soft, slimy or bad-smelling: throw it out")


def test_beside_jars_on_the_stove_nothing_is_taken_for_the_crocks(kraut):
    kraut.run(3 * DAY, *kraut.BEANS, *kraut.LOADED, *kraut.VENTING)
    assert "crock" not in kraut.bare("it's mushy", typed=True)


def test_a_ferment_in_the_jars_is_spoken_of_as_one(cook):
    cook.run("start five quarts of sauerkraut raw pack", "> yes")
    assert cook.bare("it's mushy", typed=True).startswith("Soft, slimy or bad-smelling: throw it out")


def test_that_a_ferment_needs_its_salt_is_no_no_to_salt(kraut):
    assert kraut.bare("do i put salt in it", typed=True).startswith(
        "Sauerkraut and fermented pickles need all of their salt"
    )


def test_more_brine_is_that_of_what_ferments(cook):
    assert "For kraut, more brine" in cook.bare("there's not enough brine on the cabbage", typed=True)
    cook.say("start a crock of dill pickles")
    for said in ("the brine dropped below the plate", "how do i keep the pickles under the brine"):
        told = cook.bare(said, typed=True)
        assert "a half cup of salt" in told
        assert "tablespoons" not in told


@pytest.mark.parametrize(
    ("said", "judged"),
    [
        ("the sauerkraut is at seventy two degrees", "within what's printed: three to four weeks"),
        ("the crock is at sixty five degrees", "within what's printed: five to six weeks"),
        ("the crock is at eighty degrees", "too warm; printed are seventy to seventy five degrees"),
        ("the crock is at fifty degrees", "too cold; printed are seventy"),
        ("the crock is at sixty eight degrees", "between what's printed"),
    ],
)
def test_a_temperature_is_judged_by_the_bands_of_its_food_and_kept(kraut, said, judged):
    assert judged in kraut.say(said)
    event = kraut.turn.events[-1]
    assert (event.kind, event.data["degrees"]) == ("crock_care", int(event.data["degrees"]))
    assert kraut.turn.announcements[0].urgency is (Urgency.CAUTION if "too" in judged else Urgency.READBACK)


def test_a_band_is_that_of_the_food_that_ferments(cook):
    cook.say("start a crock of dill pickles")
    assert "five to six weeks" in cook.say("the pickles are at fifty five degrees")
    assert "Above eighty degrees they become too soft" in cook.say("the pickles are at eighty five degrees")


@pytest.mark.parametrize("asked", ["how warm may a crock get", "is eighty too warm for the crock"])
def test_how_warm_a_crock_may_get_is_asked_without_one(cook, asked):
    assert "Above seventy five kraut may soften, above eighty pickles" in cook.bare(asked, typed=True)


def test_any_food_of_a_crock_is_listened_for_only_where_foods_are_named(book):
    for stage, named in (("hold", False), ("idle", True), ("plan", True)):
        grammar = book.grammar([stage])
        assert grammar.parse("kitchen voice start a crock of sauerkraut")
        assert bool(grammar.parse("kitchen voice start a crock of green beans")) is named
