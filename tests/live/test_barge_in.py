"""The real program is talked over, with its own voice in its microphone."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kitchenvoice.ports import Samples

from .kitchen import Kitchen, Program

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]

Cook = Callable[[str], Samples]
ANSWERS = 6


@pytest.fixture
def echoing(tmp_path: Path) -> Iterator[Kitchen]:
    """A kitchen in which the microphone hears the loudspeaker, 6 dB below what it plays."""
    made = Kitchen(tmp_path, echo_db=-6)
    yield made
    made.close()


def test_it_falls_silent_when_told_to_over_its_own_voice_and_never_by_itself(echoing: Kitchen, cook: Cook) -> None:
    """Two of the cook's sentences go into each answer, up to six: a busy machine's sound has gaps, after which the echo
    is learnt anew."""
    program = echoing.start()
    echoing.speaker.wait_quiet(0.0)
    assert program.lines(who="heard") == [], "it heard itself introduce itself"
    for _ in range(ANSWERS):
        asked = echoing.say(cook("kitchen voice help"))
        talking = echoing.speaker.wait_loud(asked, 10.0)
        if told_to_stop(echoing, program, cook):
            break
        echoing.speaker.wait_quiet(talking)
    else:
        pytest.fail(f"it never stopped: {program.story()}")
    (heard_t,) = [t for t, line in program.pieces if t > talking and line.get("event") == "quiet"]
    echoing.speaker.wait_quiet(talking)
    assert echoing.speaker.loud_times(talking)[-1] - heard_t < 0.2


def told_to_stop(echoing: Kitchen, program: Program, cook: Cook) -> bool:
    """Tell it to stop, once more where the first is missed: its own voice is learnt for some four seconds."""
    time.sleep(1.5)  # let it get into its sentence
    for _ in range(2):
        said = time.perf_counter()
        echoing.say(cook("stop talking"))
        if program.hears(said, 2.0, event="quiet"):
            return True
    return False
