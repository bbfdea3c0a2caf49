"""PortAudio, shared by microphone and speaker: one library per process, and the only place that restarts it.

Limitations: a restart closes every stream of the process, so both microphone and speaker have to reopen. It uses
`_terminate` and `_initialize`, private names of the pinned sounddevice (a test checks that they exist); without them an
unplugged device never comes back into PortAudio's list. A frozen driver hangs every call into it, so anything that may
hang runs in a thread that can be abandoned; while one hangs there, PortAudio isn't restarted, because that would free
the memory under it.
"""

from __future__ import annotations

import contextlib
import importlib
import logging
import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kitchenvoice.errors import DeviceLost, DeviceMissing

__all__ = [
    "SoundDevice",
    "close_stream",
    "describe_devices",
    "generation",
    "one_at_a_time",
    "reinitialise",
    "sounddevice",
    "surroundings",
]

_log = logging.getLogger(__name__)

PATIENCE_S = 2.0
"""Time-out of a driver call, after which its thread is abandoned (closing took 0 ms except in a frozen driver)."""

NO_ANSWER = "The sound driver doesn't answer. Unplug the sound device and plug it in again."

_lock = threading.Lock()
_generation = 0
_intruders: set[int] = set()
"""Threads that entered the driver although another one was in it, and haven't come out."""


@dataclass(frozen=True, slots=True)
class SoundDevice:
    """One entry of PortAudio's list."""

    index: int
    name: str
    inputs: int
    outputs: int
    rate_hz: int
    default_input: bool
    default_output: bool


def sounddevice() -> Any:
    """Return the sounddevice module; imported late because the import starts PortAudio.

    Raises: DeviceMissing if the PortAudio library isn't installed.
    """
    try:
        return importlib.import_module("sounddevice")
    except (OSError, ImportError) as exc:
        raise DeviceMissing("The sound library PortAudio is missing. Install the package libportaudio2.") from exc


def generation() -> int:
    """Return the number of restarts of PortAudio; a stream opened in an earlier generation is dead."""
    return _generation


def describe_devices() -> tuple[SoundDevice, ...]:
    """List the devices; empty if there are none. Raises: DeviceMissing if PortAudio isn't installed."""
    sd = sounddevice()
    with one_at_a_time():
        try:
            listed = list(sd.query_devices())
        except sd.PortAudioError:
            return ()
        default_in, default_out = (_default_index(sd, kind) for kind in ("input", "output"))
    return tuple(
        SoundDevice(
            index=int(entry["index"]),
            name=str(entry["name"]),
            inputs=int(entry["max_input_channels"]),
            outputs=int(entry["max_output_channels"]),
            rate_hz=round(entry["default_samplerate"]),
            default_input=entry["index"] == default_in,
            default_output=entry["index"] == default_out,
        )
        for entry in listed
    )


def surroundings() -> frozenset[str]:
    """Return a fingerprint of sound devices and sound servers; if it changed, a restart may find more devices.

    Only a hint, and cheap: names of device files, and change times of the sound servers' sockets and of ALSA's
    configuration files.
    """
    environment, seen = os.environ, set[str]()
    runtime = environment.get("XDG_RUNTIME_DIR", f"/run/user/{os.getuid()}")
    doors = [environment.get("PULSE_SERVER", "").removeprefix("unix:"), f"{runtime}/pulse/native"]
    named = [environment.get("ALSA_CONFIG_PATH", ""), f"{environment.get('HOME', '')}/.asoundrc", "/etc/asound.conf"]
    for path in [*doors, f"{runtime}/pipewire-0", *named]:
        with contextlib.suppress(OSError):
            seen.add(f"{path} {Path(path).stat().st_ctime_ns}")
    with contextlib.suppress(OSError):
        seen.update(file.name for file in Path("/dev/snd").iterdir())
    return frozenset(seen)


def reinitialise(patience_s: float = PATIENCE_S) -> None:
    """Restart PortAudio, to find a device again (20 to 40 ms). Ends every stream of the process.

    Raises: DeviceLost if the driver doesn't answer, DeviceMissing if PortAudio isn't installed.
    """
    sd = sounddevice()
    if not _in_time(lambda: _start_anew(sd), patience_s):
        raise DeviceLost(NO_ANSWER)


def close_stream(stream: Any, opened_in: int, patience_s: float = PATIENCE_S) -> bool:
    """Abort and close a stream opened in generation `opened_in`; False if the driver hung and it was abandoned.

    A stream of an earlier generation went with its PortAudio and is never touched again: its memory is freed.
    """

    def close() -> None:
        with one_at_a_time():
            if opened_in == _generation:
                stream.abort(ignore_errors=True)
                stream.close(ignore_errors=True)

    return _in_time(close, patience_s)


@contextmanager
def one_at_a_time() -> Iterator[bool]:
    """Hold the lock for opening, closing and restarting: PortAudio isn't thread-safe.

    The wait for a thread that hangs in the driver is limited: the other device may still work. Yields False then.
    """
    alone = _lock.acquire(timeout=PATIENCE_S / 2)
    me = threading.get_ident()
    if not alone:
        _intruders.add(me)
    try:
        yield alone
    finally:
        _intruders.discard(me)
        if alone:
            _lock.release()


def _start_anew(sd: Any) -> None:
    global _generation
    with one_at_a_time() as alone:
        if not alone or _intruders:
            raise DeviceLost(NO_ANSWER)
        _generation += 1
        sd._terminate()
        sd._initialize()


def _default_index(sd: Any, kind: str) -> int:
    try:
        return int(sd.query_devices(kind=kind)["index"])
    except (sd.PortAudioError, ValueError):
        return -1


def _in_time(work: Callable[[], None], patience_s: float) -> bool:
    """Run `work` in a thread fit to be abandoned; pass on its error; False after a time-out."""
    failures: list[Exception] = []

    def run() -> None:
        try:
            work()
        except Exception as exc:  # handed to the caller below, if it still waits
            _log.info("a call into the sound driver failed", exc_info=True)
            failures.append(exc)

    thread = threading.Thread(target=run, name="portaudio-call", daemon=True)
    thread.start()
    thread.join(patience_s)
    if failures and isinstance(failures[0], DeviceLost):
        raise failures[0]
    if failures:
        raise DeviceLost("The sound driver reported an error. Unplug the sound device and plug it in again.") from (
            failures[0]
        )
    return not thread.is_alive()
