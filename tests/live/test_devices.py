"""The real program while devices come and go: each is noticed, told of on what still works, and taken again."""

from __future__ import annotations

import contextlib
import os
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from kitchenvoice.ports import Samples

from .kitchen import Kitchen, Program

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]

Cook = Callable[[str], Samples]
NOTICED_S = 3.0
BACK_S = 5.0
"""Far more than it takes (tests/bench/speaking.md) where nothing else runs: these tests are of what is said."""
TRIES = 3


@pytest.fixture
def named(kitchen: Kitchen) -> Kitchen:
    """A kitchen whose profile names its devices, as one does that has several."""
    kitchen.know_the_program()
    kitchen.set_pace(230, "brief")
    profile = kitchen.home / "profile.toml"
    profile.write_text('input_device = "room_mic"\noutput_device = "room_speaker"\n' + profile.read_text())
    return kitchen


def pactl(kitchen: Kitchen, *words: str) -> str:
    done = subprocess.run(
        ["pactl", *words], env=os.environ | kitchen.environment, capture_output=True, text=True, check=True
    )
    return done.stdout


def command(kitchen: Kitchen, line: str) -> None:
    """Tell the daemon something for which `pactl` has no word."""
    door = kitchen.folder / "door"
    if not door.exists():
        pactl(kitchen, "load-module", "module-cli-protocol-unix", f"socket={door}")
    with socket.socket(socket.AF_UNIX) as talking:
        talking.settimeout(0.2)
        talking.connect(str(door))
        talking.sendall(f"{line}\n".encode())
        with contextlib.suppress(TimeoutError):
            while talking.recv(1000):
                pass


def unplug(kitchen: Kitchen, name: str) -> tuple[float, str]:
    """Take a device away; return when, and what brings it back.

    The sound daemon moves the program's stream to a device that is left; a kitchen has none, so the stream is ended.
    """
    (line,) = [line for line in pactl(kitchen, "list", "short", "modules").splitlines() if f"_name={name} " in line]
    number, module, arguments = line.split("\t")[:3]
    pactl(kitchen, "unload-module", number)
    gone = time.perf_counter()
    kind = "source-output" if name == "mic" else "sink-input"
    for stream in pactl(kitchen, "list", f"{kind}s").split("\n\n"):
        if "ALSA plug-in" in stream:
            command(kitchen, f"kill-{kind} {stream.split('#')[1].split()[0]}")
    return gone, f"{module} {arguments}"


def plug_in(kitchen: Kitchen, module: str) -> float:
    pactl(kitchen, "load-module", *module.split())
    return time.perf_counter()


def told_after(program: Program, words: str, since_t: float) -> float:
    """Wait until it tells of this; return after how many seconds."""
    program.wait_said(words, since_t, 30.0)
    return next(t for t, line in program.pieces if t >= since_t and words in str(line.get("text"))) - since_t


def understands(kitchen: Kitchen, program: Program, cook: Cook) -> None:
    """It hears a sentence, said again as a cook would, and its answer is heard.

    Where the other end of sound came back as well, the system is started anew, which cuts what is being said.
    """
    for _ in range(TRIES):
        said = kitchen.say(cook("kitchen voice help"))
        if program.hears(said - 5.0, 10.0, text="kitchen voice help"):
            kitchen.speaker.wait_loud(said, 10.0)
            return
    pytest.fail(f"it heard nothing of it: {program.story()}")


def test_a_microphone_that_is_unplugged_is_told_of_aloud_and_taken_again(named: Kitchen, cook: Cook) -> None:
    program = named.start()
    named.speaker.wait_quiet(0.0)
    gone, module = unplug(named, "mic")
    assert told_after(program, "microphone gives no sound", gone) < NOTICED_S
    named.speaker.wait_loud(gone, 3.0)
    program.type("set a timer for one minute")
    program.wait_line(gone, event="timer_start", who="heard")
    named.speaker.wait_quiet(gone)
    named.speaker.close()
    back = plug_in(named, module)
    named.hear_again()  # the sound daemon moves our own recorder to the new microphone
    assert told_after(program, "microphone is back", back) < BACK_S
    named.speaker.wait_quiet(back)
    understands(named, program, cook)
    assert not program.lines(who="trouble", text="The speaker has stopped working."), "nothing happened to it"


def test_a_speaker_that_is_unplugged_is_told_of_on_the_screen_and_taken_again(named: Kitchen, cook: Cook) -> None:
    program = named.start()
    named.speaker.wait_quiet(0.0)
    named.speaker.close()
    gone, module = unplug(named, "speaker")
    assert told_after(program, "speaker has stopped working", gone) < NOTICED_S
    program.type("set a timer for one minute")
    program.wait_line(gone, event="timer_start", who="heard")
    back = plug_in(named, module)
    named.hear_again()
    named.speaker.wait_loud(back, 1.0 + BACK_S)  # what waited to be said
    told_after(program, "speaker works again", back)
    named.speaker.wait_quiet(back)
    understands(named, program, cook)
    assert not [line for line in program.lines(who="trouble") if "microphone" in line["text"]]


def test_a_day_that_begins_without_any_sound_keeps_time_and_takes_the_sound_when_it_comes(
    named: Kitchen, cook: Cook
) -> None:
    named.kill_daemon()
    program = named.launch()
    program.wait_line(event="waiting", limit_s=60.0)
    for missing in ("no microphone", "no speaker"):
        program.wait_said(f"There is {missing} that", limit_s=5.0)
    asked = time.perf_counter()
    program.type("set a timer for one minute")
    program.wait_line(asked, event="timer_start", who="heard")
    back = named.revive_daemon()
    assert told_after(program, "microphone is there", back) < BACK_S
    assert told_after(program, "speaker works", back) < BACK_S
    named.speaker.wait_quiet(back)
    understands(named, program, cook)


@pytest.fixture
def frozen(named: Kitchen) -> Iterator[Callable[[bool], float]]:
    """Freeze the sound daemon, as a driver that hangs: every call into it waits, PortAudio's open too."""
    daemon = int((named.folder / "room" / "pid").read_text())

    def set_to(frozen: bool) -> float:
        os.kill(daemon, signal.SIGSTOP if frozen else signal.SIGCONT)
        return time.perf_counter()

    yield set_to
    set_to(False)


def test_a_driver_that_hangs_holds_up_no_timer_and_is_left_behind(
    named: Kitchen, cook: Cook, frozen: Callable[[bool], float]
) -> None:
    program = named.start()
    named.speaker.wait_quiet(0.0)
    stopped = frozen(True)
    assert told_after(program, "microphone gives no sound", stopped) < NOTICED_S
    asked = time.perf_counter()
    program.type("set a timer for one minute")
    program.wait_line(asked, event="timer_start", who="heard", limit_s=1.0)
    time.sleep(7.0)  # the thread in the driver is given up meanwhile
    going_on = frozen(False)
    assert told_after(program, "microphone is back", going_on) < 2 * BACK_S
    named.speaker.wait_quiet(going_on)
    understands(named, program, cook)


def test_sound_that_another_program_holds_is_a_lost_device_until_it_lets_go(named: Kitchen, cook: Cook) -> None:
    """A suspended card is what a program is left with while another one has it."""
    program = named.start()
    named.speaker.wait_quiet(0.0)
    pactl(named, "suspend-source", "mic", "1")
    taken = time.perf_counter()
    assert told_after(program, "microphone gives no sound", taken) < NOTICED_S
    named.speaker.wait_quiet(taken)
    pactl(named, "suspend-source", "mic", "0")
    back = time.perf_counter()
    assert told_after(program, "microphone is back", back) < BACK_S
    named.speaker.wait_quiet(back)
    understands(named, program, cook)


def test_a_card_of_another_rate_is_understood_and_heard(
    tmp_path: Path, cook: Cook, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROOM_RATE", "44100")
    kitchen = Kitchen(tmp_path)
    try:
        kitchen.know_the_program()
        kitchen.set_pace(230, "brief")
        program = kitchen.start()
        kitchen.speaker.wait_quiet(0.0)
        understands(kitchen, program, cook)
    finally:
        kitchen.close()
