"""A key of a real pseudo-terminal in the place of the wake phrase, in the real program with real sound."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from collections.abc import Callable

import pytest

from kitchenvoice.ports import Samples

from .kitchen import Kitchen, Program

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]

Cook = Callable[[str], Samples]


def test_a_press_of_the_space_key_makes_the_next_sentence_count(kitchen: Kitchen, cook: Cook) -> None:
    kitchen.know_the_program()
    kitchen.set_pace(230, "brief")
    ours, theirs = pty.openpty()
    program = Program(kitchen.home, kitchen.environment, "start", "--push-to-talk", keyboard=theirs)
    kitchen.programs.append(program)
    program.wait_line(event="listening", limit_s=60.0)
    kitchen.speaker.wait_quiet(0.0)
    os.write(ours, b" ")
    program.wait_line(who="pressed")
    said = kitchen.say(cook("set a timer for five minutes"))
    program.wait_line(said - 5.0, who="heard", event="timer_start")
    kitchen.speaker.wait_loud(said, 10.0)
    program.kill()
    os.close(ours)
    os.close(theirs)


def test_a_key_that_is_none_is_refused_in_one_sentence(kitchen: Kitchen) -> None:
    command = [sys.executable, "-m", "kitchenvoice", "start", "--push-to-talk", "pedal"]
    there = os.environ | kitchen.environment | {"KITCHENVOICE_HOME": str(kitchen.home)}
    done = subprocess.run(command, env=there, capture_output=True, text=True, timeout=60.0, check=False)
    assert done.returncode == 2
    (told,) = done.stderr.splitlines()
    assert told.startswith("There is no key called pedal. Take space, enter")
