"""A kitchen with dialogue, session, announcer and mouth joined: what is in the air, and when."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Urgency
from kitchenvoice.testing.joined_kitchen import JoinedKitchen, Sounded

BEANS = ("start seven quarts of green beans raw pack in canner one", "yes", "seven jars packed", "jars are in")
CARROTS = ("start nine pints of carrots hot pack in canner two", "yes", "nine jars packed", "jars are in")


@pytest.fixture
def kitchen(book: GrammarBook, tmp_path: Path) -> JoinedKitchen:
    kitchen = JoinedKitchen(book, PRACTICE_KITCHEN, home=tmp_path)
    kitchen.begin()
    kitchen.wait(30.0)
    return kitchen


def said(kitchen: JoinedKitchen, words: str) -> list[Sounded]:
    """Everything with these words that was in the air."""
    return [each for each in kitchen.sounded if words in each.text]


def talk(kitchen: JoinedKitchen, *lines: str) -> None:
    """Say lines, and hear what is answered to each to its end."""
    for line in lines:
        kitchen.hear(f"kitchen voice {line}" if line not in ("yes", "no") else line)
        kitchen.wait(16.0)


def kinds(kitchen: JoinedKitchen) -> list[str]:
    return [event.kind for event in kitchen.log.read()]


def hold(kitchen: JoinedKitchen) -> None:
    talk(kitchen, *BEANS, "lid is locked", "steam is steady")
    kitchen.wait(600.0)
    talk(kitchen, "weight is on", "pressure is eleven")


def test_a_whole_load_is_led_to_its_end_and_everything_is_said_whole(kitchen: JoinedKitchen) -> None:
    hold(kitchen)
    while "hold_done" not in kinds(kitchen):
        kitchen.wait(30.0)
        kitchen.hear("pressure is eleven") if kitchen.conversation.open_question(kitchen.session.t) else None
    kitchen.wait(15.0)
    talk(kitchen, "heat is off")
    kitchen.wait(2800.0)
    talk(kitchen, "gauge is at zero")
    kitchen.wait(600.0)
    talk(kitchen, "lid is off", "seven jars are out")
    kitchen.wait(12 * 3600.0)
    talk(kitchen, "all sealed", "yes", "close the load")
    assert "load_close" in kinds(kitchen)
    calls = [each.announcement.key for each in kitchen.sounded if each.announcement.key is not None]
    assert list(dict.fromkeys(calls)) == ["vent_done:1", "hold_done:1", "settle_done:1", "rest_done:1"]
    assert not [each.text for each in kitchen.sounded if not each.played.finished]
    assert not said(kitchen, "went wrong inside me")


def test_a_call_that_nobody_answers_is_made_again_louder_and_tells_since_when(kitchen: JoinedKitchen) -> None:
    hold(kitchen)
    kitchen.wait(1500.0 + 650.0)
    calls = [each for each in kitchen.sounded if each.announcement.key == "hold_done:1"]
    assert "is done" in calls[0].text
    told = [each.text.split(" ended ")[1].split(" ago")[0] for each in calls[1:]]
    assert told == ["twenty seconds", "one minute", "two minutes", "five minutes", "ten minutes"]
    gains = [each.played.gain for each in calls]
    assert gains == sorted(gains)
    assert gains[0] < gains[2]
    before = len(kitchen.sounded)
    talk(kitchen, "i'm here")
    kitchen.wait(280.0)
    assert not [each for each in kitchen.sounded[before:] if each.announcement.key == "hold_done:1"]


def test_two_calls_at_once_are_both_said_one_after_the_other_with_their_load(kitchen: JoinedKitchen) -> None:
    kitchen.type("set a timer for ten minutes", "set a timer for ten minutes for the eggs")
    kitchen.wait(615.0)
    one, other = [each for each in kitchen.sounded if each.announcement.urgency is Urgency.ALARM]
    assert one.text == "Your timer of ten minutes is up."
    assert other.text == "The egg timer is up."
    assert one.t + one.played.sound.seconds <= other.t
    assert one.played.finished
    assert other.played.finished


def test_stop_silences_what_is_said_and_a_call_comes_back_in_words_that_are_true(kitchen: JoinedKitchen) -> None:
    kitchen.type("set a timer for ten minutes")
    kitchen.wait(601.5)
    (call,) = said(kitchen, "is up")
    assert kitchen.player.playing
    kitchen.hear("kitchen voice stop talking")
    assert not kitchen.player.playing
    assert call.played.finished is False
    kitchen.wait(6.0)
    assert not kitchen.player.playing
    kitchen.wait(8.0)
    assert [each.played.finished for each in said(kitchen, "is up")] == [False, True]


def test_stop_leaves_no_talk_behind(kitchen: JoinedKitchen) -> None:
    kitchen.type("how do i make")
    kitchen.type("help")
    kitchen.wait(1.0)
    before = len(kitchen.sounded)
    kitchen.hear("kitchen voice stop talking")
    kitchen.wait(60.0)
    assert len(kitchen.sounded) == before


def test_what_an_urgent_call_cuts_short_is_said_again_whole(kitchen: JoinedKitchen) -> None:
    hold(kitchen)
    kitchen.type("set a timer for nine minutes")
    kitchen.wait(1.0)
    kitchen.type("the pressure dropped to nine")
    kitchen.wait(40.0)
    (cut, *_, whole), (lost,) = said(kitchen, "Timer set"), said(kitchen, "is below eleven")
    assert (cut.played.finished, lost.played.finished, whole.played.finished) == (False, True, True)
    assert cut.t < lost.t < whole.t


def test_a_call_that_waits_too_long_is_said_in_other_words(kitchen: JoinedKitchen) -> None:
    kitchen.type("set a timer for ten minutes")
    kitchen.player.break_down()
    kitchen.wait(600.0 + 130.0)
    kitchen.player.repair()
    kitchen.wait(10.0)
    assert not said(kitchen, "is up")
    (call,) = said(kitchen, "ended two minutes ago")
    assert call.played.finished
    assert said(kitchen, "speaker works again") == []


def test_a_caution_that_waits_too_long_keeps_the_words_that_last(kitchen: JoinedKitchen) -> None:
    hold(kitchen)
    kitchen.wait(1500.0)
    talk(kitchen, "heat is off")
    kitchen.wait(2800.0)
    talk(kitchen, "gauge is at zero")
    kitchen.player.break_down()
    kitchen.type("lid is off")
    kitchen.wait(90.0)
    kitchen.player.repair()
    kitchen.wait(20.0)
    assert not said(kitchen, "still to wait")
    assert said(kitchen, "Leave the lid on. The ten minutes at zero have to be over first.")


def test_after_a_power_cut_the_voice_tells_it_and_asks_and_what_was_in_the_air_is_gone(kitchen: JoinedKitchen) -> None:
    hold(kitchen)
    kitchen.wait(200.0)
    kitchen.type("help")
    kitchen.wait(2.0)
    before = len(kitchen.sounded)
    kitchen.cut(240.0)
    kitchen.wait(20.0)
    assert kitchen.sounded[before - 1].played.finished is False
    told = " ".join(each.text for each in kitchen.sounded[before:])
    assert "off for four minutes" in told
    assert "all the time?" in told
    kitchen.hear("yes")
    kitchen.wait(1100.0)
    assert "hold_done" in kinds(kitchen)
    assert said(kitchen, "The hold is done")
