"""The real program is talked over, with its own voice in its microphone."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kitchenvoice.ports import Samples

from .kitchen import Kitchen

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]

Cook = Callable[[str], Samples]


@pytest.fixture
def echoing(tmp_path: Path) -> Iterator[Kitchen]:
    """A kitchen in which the microphone hears the loudspeaker, 6 dB below what it plays."""
    made = Kitchen(tmp_path, echo_db=-6)
    yield made
    made.close()


def test_it_falls_silent_when_told_to_over_its_own_voice_and_never_by_itself(echoing: Kitchen, cook: Cook) -> None:
    """She says it again where the first is missed: how its own voice comes back is learnt for some four seconds."""
    program = echoing.start()
    echoing.speaker.wait_quiet(0.0)
    assert program.lines(who="heard") == [], "it heard itself introduce itself"
    asked = echoing.say(cook("kitchen voice help"))
    talking = echoing.speaker.wait_loud(asked, 10.0)
    time.sleep(1.5)  # let it get into its sentence
    echoing.say(cook("stop talking"))
    if not program.hears(talking, 2.0, event="quiet"):
        echoing.say(cook("stop talking"))
    program.wait_line(talking, who="heard", event="quiet", limit_s=10.0)
    (heard_t,) = [t for t, line in program.pieces if t > talking and line.get("event") == "quiet"]
    echoing.speaker.wait_quiet(talking)
    assert echoing.speaker.loud_times(talking)[-1] - heard_t < 0.2
