"""`kitchenvoice check`: the kitchen's self-test, one line for each part that a canning day needs."""

from __future__ import annotations

import logging
import math
import threading
from collections.abc import Callable

import click

from kitchenvoice.app import self_test
from kitchenvoice.errors import DeviceLost, DeviceMissing, KitchenVoiceError, Missing
from kitchenvoice.terminal import Printer

__all__ = ["CHECKS", "check_command"]

_PATIENCE_S = 6.0
_SILENCE = 4
_FULL = 32_700
_BLOCKS = 50

_log = logging.getLogger(__name__)


@click.command("check")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def check_command(as_json: bool) -> int:
    """See whether all is in order. Each line says pass, or what to do."""
    printer = Printer(True if as_json else None)
    told: dict[str, str] = {}
    for name, test in CHECKS.items():
        try:
            text, good = test(), True
        except KitchenVoiceError as exc:
            text, good = str(exc), False
            text = f"see {told[text]}" if text in told else text
            told.setdefault(text, name)
        printer.put({"check": name, "pass": good, "text": text}, f"{'pass' if good else 'DO  '}  {name}: {text}")
    return Missing.exit_code if told else 0


def _check_voice() -> str:
    from kitchenvoice.speaking import Pyttsx3Synthesiser

    voice = self_test.devices_profile().voice
    synthesiser = Pyttsx3Synthesiser(voice=voice) if voice else Pyttsx3Synthesiser()
    return f"{synthesiser.name} speaks ({synthesiser.render('Ready.').seconds:.1f} s of sound)"


def _check_microphone() -> str:
    from kitchenvoice.hearing import Microphone

    profile = self_test.devices_profile()
    microphone = Microphone(profile.input_device, profile.gain_db)
    loudest = 0

    def listen() -> None:
        nonlocal loudest
        for number, block in enumerate(microphone.blocks()):
            loudest = max(loudest, int(abs(block.astype("int32")).max()))
            if number >= _BLOCKS:
                microphone.close()

    _in_time(listen, "The microphone's driver doesn't answer. Unplug the microphone and plug it in again.")
    if loudest < _SILENCE:
        raise DeviceMissing("The microphone gives only silence. Switch it on, or choose another in the sound settings.")
    if loudest >= _FULL:
        raise DeviceMissing("The microphone is turned up too far. Turn its level down in the sound settings.")
    level = f"the loudest in a second was {-20 * math.log10(loudest / 32768):.0f} dB below full"
    return f"gives sound; {level}; say sound check in a session to hear how you are heard"


def _check_speaker() -> str:
    from kitchenvoice.speaking import TONES, SpeakerPlayer

    player = SpeakerPlayer(self_test.devices_profile().output_device)
    played = threading.Event()
    try:
        player.play(TONES["accepted"], on_end=lambda finished: played.set() if finished else None)
        if not played.wait(_PATIENCE_S):
            raise DeviceLost("The speaker took a tone and didn't play it. Check its plug, or choose another device.")
    finally:
        player.close()
    return "played a tone to its end; turn it up if you didn't hear it"


def _in_time(work: Callable[[], None], otherwise: str) -> None:
    """Run a call that may hang in a driver. Raises: its own error; DeviceLost with `otherwise` after a time-out."""
    failures: list[KitchenVoiceError] = []

    def run() -> None:
        try:
            work()
        except KitchenVoiceError as exc:
            failures.append(exc)
        except Exception:  # whatever it is, the part doesn't pass
            _log.exception("a check failed in a way of its own")
            failures.append(DeviceLost(otherwise))

    thread = threading.Thread(target=run, name="check", daemon=True)
    thread.start()
    thread.join(_PATIENCE_S)
    if failures:
        raise failures[0]
    if thread.is_alive():
        raise DeviceLost(otherwise)


CHECKS: dict[str, Callable[[], str]] = {
    "folder": self_test.check_folder,
    "profile": self_test.check_profile,
    "gauges": self_test.check_gauges,
    "record": self_test.check_record,
    "disk": self_test.check_disk,
    "clock": self_test.check_clock,
    "tables": self_test.check_tables,
    "speech model": self_test.check_model,
    "words": self_test.check_words,
    "speed": self_test.check_speed,
    "voice": _check_voice,
    "microphone": _check_microphone,
    "speaker": _check_speaker,
}
"""The parts, in the order in which they are looked at."""
