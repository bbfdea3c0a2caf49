"""The real program with real sound: spoken to, cut off, and robbed of its sound daemon."""

from __future__ import annotations

import time
from collections.abc import Callable
from difflib import SequenceMatcher
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.clock import SystemClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.turn import Turn
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.hearing import FreeRecogniser, verified_model
from kitchenvoice.kitchen.profile import load_profile
from kitchenvoice.logbook import SqliteLog
from kitchenvoice.ports import EAR_RATE_HZ, Moment, Samples, Utterance
from kitchenvoice.rehearsal.scenario import plain_words

from .kitchen import Kitchen

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]

Cook = Callable[[str], Samples]
QUICK = (230, "brief")


def dictated(sound: Samples) -> list[str]:
    """Return the words that the engine makes of a recording without any grammar."""
    free = FreeRecogniser(verified_model())
    free.accept(np.concatenate([sound, np.zeros(EAR_RATE_HZ, dtype=np.int16)]))
    texts, _ = free.finish()
    return texts[0].split() if texts else []


def test_a_spoken_load_is_read_back_aloud_and_recorded(kitchen: Kitchen, cook: Cook) -> None:
    kitchen.know_the_program()
    kitchen.set_pace(165, "brief")
    program = kitchen.start()
    kitchen.speaker.wait_quiet(0.0)
    asked = kitchen.say(cook("kitchen voice start seven quarts of green beans raw pack"))
    read_back = program.wait_said("Is that right?", asked - 5.0)
    assert "Twenty five minutes at eleven pounds pressure" in read_back
    kitchen.speaker.wait_quiet(asked)
    spoken = dictated(kitchen.speaker.samples(asked))
    for words in ("nine hundred feet", "twenty five minutes", "eleven pounds"):
        assert words in " ".join(spoken), spoken
    likeness = SequenceMatcher(None, plain_words(read_back).split(), spoken).ratio()
    assert likeness > 0.4, (read_back, spoken)
    assert program.events("load_start") == []

    agreed = kitchen.say(cook("yes"))
    program.wait_line(agreed - 5.0, event="load_start", who="log")
    (load,) = program.events("load_start")
    expected = {"food": "snap_beans", "jar": "quart", "count": 7, "pack": "raw", "minutes": 25, "psi": 11}
    assert {name: load.get(name) for name in expected} == expected
    kitchen.speaker.wait_loud(agreed, 10.0)
    heard = [(line["text"], line["event"]) for line in program.lines(who="heard")]
    assert heard == [("kitchen voice start seven quarts of green beans raw pack", "load_start"), ("yes", "yes")]


def hold_for(kitchen: Kitchen, held_s: float) -> None:
    """Record a load of green beans that has held its pressure for so long, as a session would have."""
    now = SystemClock().now()
    story = [
        (3000, "start nine pints of green beans raw pack"),
        (2990, "yes"),
        (1600, "nine jars are in"),
        (1500, "lid is locked"),
        (700, "steam is steady"),
        (60, "weight is on"),
        (0, "pressure is eleven"),
    ]
    with SqliteLog(kitchen.home) as log:
        conversation = Conversation(GrammarBook.load(), load_profile(kitchen.home))

        def record(turn: Turn, ago_s: float) -> None:
            log.append(turn.events, Moment(now.utc - ago_s, now.elapsed - ago_s, now.boot))

        record(conversation.begin(now.utc - held_s - 3600), held_s + 3600)
        for before_s, words in story:
            t = now.utc - held_s - before_s
            record(conversation.hear(Utterance((words,)), t, typed=True), held_s + before_s)
        assert [event.kind for event in conversation.talk.history].count("hold_started") == 1


def test_killed_in_mid_hold_it_says_how_long_it_was_off_and_asks_for_the_pressure(kitchen: Kitchen, cook: Cook) -> None:
    kitchen.set_pace(*QUICK)
    hold_for(kitchen, 120.0)
    program = kitchen.start()
    question = program.wait_said("all the time?")
    assert "I was off for two minutes." in question
    assert "Was the pressure at eleven" in question
    kitchen.speaker.wait_quiet(0.0)
    answered = kitchen.say(cook("yes"))
    program.wait_line(answered - 5.0, event="doubt_settled", who="log")
    assert [event["by"] for event in program.events("doubt_settled")] == ["yes"]
    program.kill()

    again = kitchen.start()
    again.wait_line(event="session_start", who="log")
    _, first, second = again.events("session_start")
    assert first["off_s"] == pytest.approx(120.0, abs=20.0)
    assert 0.0 < second["off_s"] + second["short_gap_s"] < 60.0
    assert again.wait_said("Green beans: holding") is not None


def test_without_the_sound_daemon_timers_run_on_and_with_it_the_ear_is_back(kitchen: Kitchen, cook: Cook) -> None:
    kitchen.know_the_program()
    kitchen.set_pace(*QUICK)
    program = kitchen.start()
    kitchen.speaker.wait_quiet(0.0)
    program.type("set a timer for one minute")
    program.wait_line(event="timer_start", who="heard")
    killed = kitchen.kill_daemon()
    program.wait_said("microphone gives no sound", killed, 5.0)
    assert time.perf_counter() - killed < 3.0
    program.type("how much time is left")
    assert "seconds" in program.wait_said("left", killed, 3.0)
    back = kitchen.revive_daemon()
    program.wait_said("microphone is back", back, 4.0)
    kitchen.speaker.wait_quiet(back)
    said = kitchen.say(cook("kitchen voice help"))
    program.wait_line(said - 5.0, text="kitchen voice help", who="heard")
    kitchen.speaker.wait_loud(said, 10.0)
    assert program.errors.read_text() == ""


def test_without_a_microphone_it_says_so_aloud_and_listens_as_soon_as_there_is_one(kitchen: Kitchen) -> None:
    kitchen.know_the_program()
    kitchen.set_pace(*QUICK)
    alsa = Path(kitchen.environment["ALSA_CONFIG_PATH"])
    whole = alsa.read_text()
    alsa.write_text(
        'pcm.!default { type asym playback.pcm "out" capture.pcm "none" }\npcm.out { type pulse device "speaker" }\n'
    )
    program = kitchen.launch()
    program.wait_line(event="waiting", limit_s=60.0)
    program.wait_said("There is no microphone")
    kitchen.speaker.wait_quiet(time.perf_counter())
    talking = time.perf_counter()
    program.type("help")
    kitchen.speaker.wait_loud(talking, 10.0)
    plugged = alsa.with_suffix(".plugged")
    plugged.write_text(whole)
    plugged.replace(alsa)  # in one step: PortAudio ends a program that finds no device at all in it
    back = time.perf_counter()
    program.wait_said("microphone is there", back, 5.0)
    kitchen.speaker.wait_loud(back, 4.0)


def test_check_passes_in_a_kitchen_with_sound(kitchen: Kitchen, cook: Cook) -> None:
    checking = kitchen.launch("check")
    while checking.process.poll() is None:
        kitchen.say(cook("kitchen voice"))
    lines = [line for _, line in checking.pieces]
    assert [line["check"] for line in lines if not line["pass"]] == [], checking.story()
    assert checking.process.returncode == 0
    assert kitchen.speaker.loud_times(0.0), "the speaker's check makes a sound"
