"""A failure told after the count voids it; at night no count is called for."""

from __future__ import annotations

import pytest

from kitchenvoice.dialogue.now import is_night
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.logbook.report.lines import list_line
from kitchenvoice.logbook.report.records import open_logbook
from kitchenvoice.ports import Moment

FAILED = (
    "actually one failed", "one failed", "six sealed one failed", "one jar just popped up", "one lid is loose",
    "one leaks", "one bulges", "one springs back", "one came unsealed", "a jar is leaking",
)  # fmt: skip


@pytest.fixture
def counted(counting):
    counting.run("seven sealed none failed", "> yes")
    assert counting.load.stage == "keep"
    return counting


def _typed(cook, text):
    return cook.bare(f"kitchen voice {text}", typed=True)


@pytest.mark.parametrize("told", FAILED)
def test_a_failure_told_after_the_count_voids_it(counted, told):
    assert _typed(counted, told) == "Then that count doesn't stand. Six sealed, one failed. Is that right?"
    assert counted.say("close the load").startswith("The seals are not counted yet.")
    counted.bare("yes")
    assert (counted.load.sealed, counted.load.failed) == (6, 1)
    assert "Six on the shelf." in counted.run("put it in the refrigerator", "close the load")


@pytest.mark.parametrize("told", ["i threw one out", "i put one in the fridge", "i froze one", "throw one out"])
def test_a_sealed_jar_that_is_gone_is_not_on_the_shelf(counted, told):
    _typed(counted, told)
    assert "Six on the shelf." in counted.say("close the load")


@pytest.mark.parametrize(
    "told",
    [
        "one lost more than half its liquid", "one is half empty", "one's half empty", "one jar is only half full",
        "two of them lost most of their liquid", "half the liquid is gone in one", "one is nearly empty",
    ],
)  # fmt: skip
def test_a_jar_that_lost_half_of_its_liquid_is_asked_about_before_it_is_closed(counted, told):
    _typed(counted, told)
    assert "still in question" in counted.say("close the load")
    assert counted.load.stage == "keep"


@pytest.mark.parametrize("told", ["they all pinged", "all popped", "all pinged"])
def test_a_sound_is_no_test_of_a_seal(counting, told):
    assert "Is that right?" not in _typed(counting, told)


def test_a_no_after_the_count_takes_it_back(counted):
    assert "Taken back: the seal count" in counted.say("no")
    assert counted.say("close the load").startswith("The seals are not counted yet.")


def test_another_one_that_fails_is_added(counting):
    counting.run("six sealed one failed", "> yes")
    assert "Five sealed, two failed. Is that right?" in _typed(counting, "another one failed")


def test_the_same_count_again_changes_nothing(counted):
    assert "That count is logged" in counted.say("all sealed")
    assert counted.load.stage == "keep"


def test_jars_that_failed_one_by_one_are_not_forgotten_by_all_sealed(counting):
    counting.say("one failed")
    assert counting.say("all sealed") == "Six sealed, one failed. Is that right?"


@pytest.mark.parametrize("told", ["one lost some liquid", "one jar has low liquid", "one jar lost liquid"])
def test_liquid_lost_is_told_at_the_count_and_after_it(counted, told):
    assert "isn't one to keep" in _typed(counted, told)
    assert "isn't for the shelf" in counted.say("close the load")


def test_at_night_no_count_is_called_for_and_the_first_word_of_the_day_tells(counting):
    assert is_night(counting.t + 3600)
    assert counting.wait(8 * 3600) == ""
    counting.wait(90 * 60)
    assert not is_night(counting.t)
    assert "Count the seals." in counting.say("louder")
    assert "Count the seals." not in counting.say("louder")
    assert "Count the seals." in counting.wait(3600)


def test_no_jars_are_to_be_thrown_out_where_none_is_known_to_have_failed(counting):
    counting.wait(40 * 3600)
    assert not any("Throw them out" in text for text in counting.said)


# ---------------------------------------------------------------- after it is closed


@pytest.fixture
def closed(counted):
    counted.say("close the load")
    assert counted.load.stage == "closed"
    return counted


@pytest.mark.parametrize("told", ["i forgot to vent", "i never vented that load", "there was butter in the beans",
                                  "i cooled it with water", "it was only twenty minutes"])  # fmt: skip
def test_a_fault_told_after_the_load_was_closed_takes_its_jars_off_the_shelf(closed, told):
    assert "none of its jars goes on the shelf" in _typed(closed, told)
    assert "Zero on the shelf." in closed.run("throw them out", "close the load")
    assert closed.replayed() == closed.kitchen


def test_a_no_closes_it_again(closed):
    closed.say("i forgot to vent")
    closed.bare("no")
    assert not closed.kitchen.open_loads
    assert closed.load.shelved == 7


def test_a_jar_that_comes_unsealed_after_the_load_was_closed_is_counted_again(closed):
    assert "Six sealed, one failed. Is that right?" in _typed(closed, "one jar came unsealed")
    closed.bare("yes")
    assert "Six on the shelf." in closed.run("throw it out", "close the load")


def test_a_load_opened_again_has_a_number_of_its_own(closed):
    closed.run(*closed.BEANS)
    closed.say("i never vented that load")
    numbers = [load.number for load in closed.kitchen.open_loads]
    assert len(numbers) == len(set(numbers)) == 2


@pytest.mark.parametrize("again", [False, True])
def test_what_is_told_after_the_closing_is_on_the_record(closed, tmp_path, again):
    with SqliteLog(tmp_path) as log:
        moments = (Moment(utc=event.t, elapsed=event.t, boot="a") for event in closed.events)
        for event, moment in zip(closed.events, moments, strict=True):
            log.append([event], moment)
        assert sum(row[2] for row in log.on_shelf()) == 7
        before = len(closed.events)
        _typed(closed, "i forgot to vent")
        closed.run("throw them out", "close the load")
        for event in closed.events[before:]:
            log.append([event], Moment(utc=event.t, elapsed=event.t, boot="a"))
        if again:
            log.rebuild()
        assert log.on_shelf() == []
    book = open_logbook(tmp_path)
    assert book is not None
    with book:
        (record,) = book.loads()
    assert (record.sealed, record.on_shelf, record.stage) == (7, 0, "closed")
    assert "not processed as tested" in list_line(record, closed.t, 12)


def test_what_was_kept_is_asked_before_anything_is_put_away(counting):
    _typed(counting, "i think i told you eleven before it got there")
    _typed(counting, "seven sealed none failed")
    assert "Does that change anything about the food" in _typed(counting, "yes")
    assert counting.load.doubts


def test_a_count_read_back_is_put_right_with_the_no_by_ear(counting):
    assert counting.say("four sealed three failed") == "Four sealed, three failed. Is that right?"
    assert counting.bare("no it's five and two") == "Five sealed, two failed. Is that right?"
    counting.bare("yes")
    assert (counting.load.sealed, counting.load.failed) == (5, 2)
