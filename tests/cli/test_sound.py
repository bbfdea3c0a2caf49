"""`kitchenvoice sound` with made-up devices: listed by name, tried, kept at once; what can't be had is named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.app import devices
from kitchenvoice.audio.portaudio import SoundDevice
from kitchenvoice.cli import sound
from kitchenvoice.errors import BadInput, DeviceMissing
from kitchenvoice.kitchen import load_profile

EAR = SoundDevice(1, "Collar Microphone: USB Audio (hw:1,0)", 1, 0, 16_000, True, False)
MOUTH = SoundDevice(2, "Kitchen Radio: Bluetooth (hw:2,0)", 0, 2, 48_000, False, True)
GONE = SoundDevice(3, "Old Headset: USB Audio (hw:3,0)", 1, 0, 16_000, False, False)
LEVELS = {"Collar Microphone: USB Audio": -32.4, "Old Headset: USB Audio": -96.0}


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A kitchen with a microphone, a silent one, and a speaker."""
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path))
    monkeypatch.setattr(devices, "microphones", lambda: [EAR, GONE])
    monkeypatch.setattr(devices, "speakers", lambda: [MOUTH])
    monkeypatch.setattr(
        devices, "level_dbfs", lambda each: LEVELS[devices.plain_name(each if isinstance(each, str) else each.name)]
    )
    return tmp_path


def run(*words: str) -> list[dict[str, object]]:
    """Run the command; return what it printed."""
    ended = CliRunner().invoke(sound.sound_command, [*words, "--json"], standalone_mode=False)
    if ended.exception is not None:
        raise ended.exception
    return [json.loads(line) for line in ended.stdout.splitlines()]


def test_every_device_is_listed_with_its_level_and_which_is_used(home: Path) -> None:
    assert run() == [
        {"microphone": 1, "name": "Collar Microphone: USB Audio", "level_dbfs": -32.4, "used": True},
        {"microphone": 2, "name": "Old Headset: USB Audio", "level_dbfs": -96.0, "used": False},
        {"speaker": 1, "name": "Kitchen Radio: Bluetooth", "used": True},
    ]


@pytest.mark.parametrize("said", ["1", "collar"])
def test_a_microphone_that_sounds_is_kept(home: Path, said: str) -> None:
    assert run("--microphone", said) == [{"kept": "microphone", "name": "Collar Microphone: USB Audio"}]
    assert load_profile(home).input_device == "Collar Microphone: USB Audio"


def test_a_silent_one_is_not(home: Path) -> None:
    with pytest.raises(DeviceMissing, match="gives only silence, and isn't kept"):
        run("--microphone", "2")
    assert load_profile(home).input_device is None


def test_one_that_cannot_be_opened_is_named(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(_: str) -> float:
        raise DeviceMissing("There is no microphone that can be opened.")

    monkeypatch.setattr(devices, "level_dbfs", gone)
    with pytest.raises(DeviceMissing, match="Old Headset: USB Audio can't be opened, and isn't kept"):
        run("--microphone", "old")


@pytest.mark.parametrize("words", [("--microphone", "oven"), ("--microphone", "3"), ("--speaker", "0")])
def test_what_is_not_in_the_list_is_refused(home: Path, words: tuple[str, str]) -> None:
    with pytest.raises(BadInput, match="Take one of the numbers or names that kitchenvoice sound lists"):
        run(*words)


def test_a_kitchen_without_a_speaker_is_told(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(devices, "speakers", list)
    with pytest.raises(DeviceMissing, match="There is no speaker"):
        run()


@pytest.mark.parametrize(("dbfs", "full"), [(-96.0, 0), (-60.0, 0), (-30.0, 10), (0.0, 20)])
def test_a_level_is_drawn(dbfs: float, full: int) -> None:
    assert sound.bar(dbfs).count("#") == full
