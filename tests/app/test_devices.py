"""Microphones and speakers by name: which is used, how loud it hears, and the way to the next that gives sound."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from kitchenvoice.app import devices
from kitchenvoice.app.devices import Microphones, choose, described_devices, in_use, levels, plain_name
from kitchenvoice.audio.portaudio import SoundDevice
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.ports import Samples

BUILT_IN = SoundDevice(0, "Built-in Audio: Analog (hw:0,0)", 2, 2, 48_000, True, True)
COLLAR = SoundDevice(3, "Collar Microphone: USB Audio (hw:1,0)", 1, 0, 16_000, False, False)
HEADSET = SoundDevice(5, "Headset: USB Audio (hw:2,0)", 1, 2, 16_000, False, False)
ALL = (BUILT_IN, COLLAR, HEADSET)


class Sound:
    """A microphone with a steady sound; without any it is gone."""

    def __init__(self, loudness: int | None) -> None:
        self.loudness, self.closed = loudness, False

    def blocks(self) -> Iterator[Samples]:
        if self.loudness is None:
            raise DeviceMissing("gone")
        while not self.closed:
            yield np.full(320, self.loudness, dtype=np.int16)

    def close(self) -> None:
        self.closed = True


@pytest.mark.parametrize(
    ("name", "plain"),
    [
        ("Collar Microphone: USB Audio (hw:1,0)", "Collar Microphone: USB Audio"),
        ("pulse", "pulse"),
        ("(hw:1,0)", "(hw:1,0)"),
    ],
)
def test_a_name_is_kept_without_the_number_of_the_day(name: str, plain: str) -> None:
    assert plain_name(name) == plain


@pytest.mark.parametrize(
    ("chosen", "used"),
    [(None, BUILT_IN), ("headset", HEADSET), ("Collar Microphone: USB Audio", COLLAR), ("oven", None)],
)
def test_the_profile_names_the_one_in_use(chosen: str | None, used: SoundDevice | None) -> None:
    assert in_use(ALL, chosen, ear=True) == used


@pytest.mark.parametrize(
    ("ear", "mouth", "told"),
    [
        (None, None, "microphone: Built-in Audio: Analog; speaker: Built-in Audio: Analog"),
        ("collar", "headset", "microphone: Collar Microphone: USB Audio; speaker: Headset: USB Audio"),
        ("oven", "collar", "microphone: no microphone; speaker: no speaker"),
    ],
)
def test_a_start_tells_of_the_devices_that_were_chosen(
    ear: str | None, mouth: str | None, told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(devices, "describe_devices", lambda: list(ALL))
    assert described_devices(ear, mouth) == told


@pytest.mark.parametrize(
    ("said", "found"), [("2", COLLAR), ("head", HEADSET), ("0", None), ("4", None), ("", None), ("oven", None)]
)
def test_one_is_chosen_by_its_number_or_a_part_of_its_name(said: str, found: SoundDevice | None) -> None:
    assert choose(ALL, said) == found


@pytest.mark.parametrize(("loudness", "dbfs"), [(32_767, 0.0), (3_277, -20.0), (0, -96.0)])
def test_the_level_is_in_decibels_below_full(loudness: int, dbfs: float) -> None:
    source = Sound(loudness)
    assert levels(source) == pytest.approx([dbfs] * 5, abs=0.01)
    assert source.closed


@pytest.mark.parametrize(
    ("silent", "chosen", "then"),
    [
        ((), None, "Collar Microphone: USB Audio"),
        ((), "Headset", "Built-in Audio: Analog"),
        (("Collar Microphone: USB Audio",), None, "Headset: USB Audio"),
        (("Collar Microphone: USB Audio", "Headset: USB Audio"), None, None),
        ((), "one that is gone", "Built-in Audio: Analog"),
    ],
)
def test_the_other_microphone_is_the_next_that_gives_sound(
    silent: tuple[str, ...], chosen: str | None, then: str | None
) -> None:
    opened: list[tuple[str | None, float]] = []

    def open_it(name: str | None, gain_db: float) -> Sound:
        opened.append((name, gain_db))
        return Sound(None if name in silent else 500)

    microphones = Microphones(chosen, 12.0, listed=lambda: ALL, opened=open_it)
    assert microphones.change() == then
    microphones.open()
    assert opened[-1] == ((chosen, 12.0) if then is None else (then, 0.0))


def test_a_loss_on_the_way_is_passed_over() -> None:
    class Lost(Sound):
        def blocks(self) -> Iterator[Samples]:
            raise DeviceLost("gone")

    assert Microphones(None, listed=lambda: ALL, opened=lambda *_: Lost(1)).change() is None
