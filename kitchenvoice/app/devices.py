"""Microphones and speakers by name, for a cook's choice: the list, the level of one, the next to try."""

from __future__ import annotations

import logging
import math
import re
from collections.abc import Callable, Sequence
from itertools import islice

import numpy as np

from kitchenvoice.audio.portaudio import SoundDevice, describe_devices
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.hearing import Microphone
from kitchenvoice.ports import AudioSource, Samples

__all__ = [
    "Microphones",
    "choose",
    "described_devices",
    "in_use",
    "level_dbfs",
    "levels",
    "microphones",
    "plain_name",
    "speakers",
]

_log = logging.getLogger(__name__)

_PLACE = re.compile(r"\s*\((?:plug)?hw:\d+(?:,\d+)?\)$|:\s*-\s*\((?:plug)?hw:.*\)$")
"""ALSA's number of a device in its name: it changes with the order of plugging in."""
_ROUTES = frozenset({"sysdefault", "dmix", "dsnoop", "front", "iec958", "spdif", "surround51", "surround71", "upmix"})
"""Names of ALSA's that are ways to another device, and no device."""
_BLOCK_S = 0.02
_FLOOR_DBFS = -96.0


def plain_name(name: str) -> str:
    """Return a device's name without its number on this day."""
    return _PLACE.sub("", name).strip() or name


def microphones() -> list[SoundDevice]:
    """List the input devices. Raises: DeviceMissing if the library isn't installed."""
    return [each for each in describe_devices() if each.inputs and not _is_route(each.name)]


def speakers() -> list[SoundDevice]:
    """List the output devices. Raises: DeviceMissing if the library isn't installed."""
    return [each for each in describe_devices() if each.outputs and not _is_route(each.name)]


def in_use(devices: Sequence[SoundDevice], chosen: str | None, *, ear: bool) -> SoundDevice | None:
    """Return the device that a profile's name stands for; the system's default without one."""
    if chosen is None:
        return next((each for each in devices if (each.default_input if ear else each.default_output)), None)
    return next((each for each in devices if chosen.lower() in each.name.lower()), None)


def described_devices(ear: str | None, mouth: str | None) -> str:
    """Name the microphone and the speaker in use by a profile's names for them, in one line."""
    listed = describe_devices()
    ears, mouths = [each for each in listed if each.inputs], [each for each in listed if each.outputs]
    used = {"microphone": in_use(ears, ear, ear=True), "speaker": in_use(mouths, mouth, ear=False)}
    return "; ".join(f"{kind}: {plain_name(each.name) if each else f'no {kind}'}" for kind, each in used.items())


def choose(devices: Sequence[SoundDevice], said: str) -> SoundDevice | None:
    """Return the device of a list that a number in it (from 1) or a part of a name stands for; `None` if none."""
    if said.isdigit():
        return devices[int(said) - 1] if 0 < int(said) <= len(devices) else None
    return next((each for each in devices if said and said.lower() in each.name.lower()), None)


def levels(source: AudioSource, blocks_each: int = 10) -> list[float]:
    """Return the level of a microphone in dBFS (root mean square), one for each tenth of a second of the first second.

    Raises: DeviceMissing, DeviceLost.
    """
    sound = islice(source.blocks(), 0, round(1.0 / _BLOCK_S))
    taken = list(sound)
    source.close()
    parts = [taken[at : at + blocks_each] for at in range(0, len(taken), blocks_each)]
    return [_dbfs(np.concatenate(part)) for part in parts]


def level_dbfs(device: SoundDevice | str | None) -> float:
    """Return the loudest tenth or so of one second from a microphone. Raises: DeviceMissing, DeviceLost."""
    name = plain_name(device.name) if isinstance(device, SoundDevice) else device
    return max(levels(Microphone(name)), default=_FLOOR_DBFS)


class Microphones:
    """The microphone in use, and the way to the next one."""

    def __init__(
        self,
        chosen: str | None,
        gain_db: float = 0.0,
        *,
        listed: Callable[[], Sequence[SoundDevice]] = microphones,
        opened: Callable[[str | None, float], AudioSource] = Microphone,
    ) -> None:
        """Begin with the `chosen` one, made louder by `gain_db`; each other one is taken as it is."""
        self._chosen = chosen
        self._gain_db = gain_db
        self._listed = listed
        self._opened = opened

    def open(self) -> AudioSource:
        """Return the microphone in use, not opened yet."""
        return self._opened(self._chosen, self._gain_db)

    def change(self) -> str | None:
        """Change to the next microphone that gives sound and return its name; `None` if there is no other."""
        devices = list(self._listed())
        now = in_use(devices, self._chosen, ear=True)
        at = devices.index(now) + 1 if now is not None else 0
        for each in [*devices[at:], *devices[:at]]:
            name = plain_name(each.name)
            if each is not now and self._sounds(name):
                self._chosen, self._gain_db = name, 0.0
                return name
        return None

    def _sounds(self, name: str) -> bool:
        try:
            return bool(levels(self._opened(name, 0.0)))
        except (DeviceLost, DeviceMissing) as exc:
            _log.info("%s is passed over: %s", name, exc)
            return False


def _is_route(name: str) -> bool:
    return name.lower().split(":")[0].strip() in _ROUTES


def _dbfs(sound: Samples) -> float:
    power = float(np.mean(np.square(sound.astype(np.float64)))) if len(sound) else 0.0
    return max(_FLOOR_DBFS, 10 * math.log10(power / 32768.0**2)) if power else _FLOOR_DBFS
