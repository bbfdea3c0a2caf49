"""A recording of the cook, made through the sound card."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kitchenvoice.hearing import read_wav
from kitchenvoice.ports import EAR_RATE_HZ, Samples

from .kitchen import Kitchen, Program

pytestmark = pytest.mark.audio


def test_the_cook_says_what_is_asked_for_and_sees_how_it_was_heard(
    kitchen: Kitchen, cook: Callable[[str], Samples]
) -> None:
    program = Program(kitchen.home, kitchen.environment, "tune", "--sentences", "2")
    kitchen.programs.append(program)
    for sentence in ("kitchen voice steam is steady", "kitchen voice weight is on"):
        program.wait_line(say=sentence)
        kitchen.say(cook(sentence))
    program.wait(lambda: program.process.poll() is not None, program.story, 20.0)
    assert program.process.returncode == 0, program.story()
    told = [line for _, line in program.pieces]
    assert [line["right"] for line in told if "heard" in line] == [True, True]
    assert told[-1] == {
        "said": 2,
        "right": 2,
        "change": "",
        "advice": "Stay where you are.",
        "gain_db": 0.0,
        "alike": [],
    }
    kept = sorted((kitchen.home / "recordings").glob("*.wav"))
    assert [file.stem.partition(" ")[2] for file in kept] == [
        "kitchen voice steam is steady",
        "kitchen voice weight is on",
    ]
    assert all(1.0 < len(read_wav(file)) / EAR_RATE_HZ < 12.0 for file in kept)
