"""`kitchenvoice check`: the kitchen's self-test, one line for each part that a canning day needs."""

from __future__ import annotations

import math
import shutil
import threading
from collections.abc import Callable
from tempfile import TemporaryFile

import click

from kitchenvoice.errors import BadProfile, DeviceLost, DeviceMissing, KitchenVoiceError, LogbookError, Missing
from kitchenvoice.printing import Printer

__all__ = ["CHECKS", "check_command"]

_LEAST_FREE_MB = 50
_PATIENCE_S = 6.0
_NOT_BEFORE_UTC = 1_700_000_000.0
_SILENCE = 4


@click.command("check")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def check_command(as_json: bool) -> int:
    """Test what a canning day needs; each line says pass, or what to do."""
    printer = Printer(True if as_json else None)
    failed = False
    for name, test in CHECKS.items():
        try:
            told, good = test(), True
        except KitchenVoiceError as exc:
            told, good = str(exc), False
        failed = failed or not good
        printer.put({"check": name, "pass": good, "text": told}, f"{'pass' if good else 'DO  '}  {name}: {told}")
    return Missing.exit_code if failed else 0


def _check_tables() -> str:
    from kitchenvoice.reference.library import require_unchanged
    from kitchenvoice.reference.validation import validate_tables

    count = require_unchanged()
    validate_tables()
    return f"all {count} files of the published tables are valid, and as they were when they were checked"


def _check_model() -> str:
    from kitchenvoice.dialogue.grammar import STAGES, GrammarBook
    from kitchenvoice.hearing import VoskRecogniser
    from kitchenvoice.hearing.model_store import verified_model

    recogniser = VoskRecogniser(verified_model())
    grammar = GrammarBook.load().grammar(STAGES, attention="optional", question="any")
    recogniser.set_phrases(grammar.phrases)
    return f"{recogniser.model} is whole and knows all {len(grammar.words)} words"


def _check_microphone() -> str:
    from kitchenvoice.hearing import Microphone
    from kitchenvoice.profile import home, load_profile

    microphone = Microphone(load_profile(home()).input_device)
    loudest = 0

    def listen() -> None:
        nonlocal loudest
        for number, block in enumerate(microphone.blocks()):
            loudest = max(loudest, int(abs(block.astype("int32")).max()))
            if number >= 50:
                microphone.close()

    _in_time(listen, "The microphone's driver doesn't answer. Unplug the microphone and plug it in again.")
    if loudest < _SILENCE:
        raise DeviceMissing("The microphone gives only silence. Switch it on, or choose another in the sound settings.")
    return f"gives sound; the loudest in a second was {20 * math.log10(loudest / 32768):.0f} dB below full"


def _check_speaker() -> str:
    from kitchenvoice.profile import home, load_profile
    from kitchenvoice.speaking import TONES, SpeakerPlayer

    player = SpeakerPlayer(load_profile(home()).output_device)
    played = threading.Event()
    try:
        player.play(TONES["accepted"], on_end=lambda finished: played.set() if finished else None)
        if not played.wait(_PATIENCE_S):
            raise DeviceLost("The speaker took a tone and didn't play it. Check its plug, or choose another device.")
    finally:
        player.close()
    return "played a tone to its end; turn it up if you didn't hear it"


def _in_time(work: Callable[[], None], otherwise: str) -> None:
    """Run what may hang in a driver. Raises: what it raised; DeviceLost with `otherwise` if it took too long."""
    failures: list[KitchenVoiceError] = []

    def run() -> None:
        try:
            work()
        except KitchenVoiceError as exc:
            failures.append(exc)

    thread = threading.Thread(target=run, name="check", daemon=True)
    thread.start()
    thread.join(_PATIENCE_S)
    if failures:
        raise failures[0]
    if thread.is_alive():
        raise DeviceLost(otherwise)


def _check_voice() -> str:
    from kitchenvoice.profile import home, load_profile
    from kitchenvoice.speaking import Pyttsx3Synthesiser

    voice = load_profile(home()).voice
    synthesiser = Pyttsx3Synthesiser(voice=voice) if voice else Pyttsx3Synthesiser()
    return f"{synthesiser.name} speaks ({synthesiser.render('Ready.').seconds:.1f} s of sound)"


def _check_clock() -> str:
    from kitchenvoice.clock import SystemClock

    first, second = SystemClock().now(), SystemClock().now()
    if second.elapsed < first.elapsed or first.utc < _NOT_BEFORE_UTC:
        raise KitchenVoiceError("The clock of this machine isn't set. Set date and time, then start again.")
    return "date and time are set"


def _check_disk() -> str:
    from kitchenvoice.profile import home

    folder = home()
    try:
        with TemporaryFile(dir=folder) as file:
            file.write(b"kitchenvoice")
        free_mb = shutil.disk_usage(folder).free // 1_000_000
    except OSError as exc:
        raise LogbookError(f"{folder} can't be written to: {exc.strerror}. Make room, or make it writable.") from exc
    if free_mb < _LEAST_FREE_MB:
        raise LogbookError(f"Only {free_mb} MB are free for the record. Make room on the disk.")
    return f"{free_mb} MB free for the record"


def _check_profile() -> str:
    from kitchenvoice.profile import FILE_NAME, home, load_profile
    from kitchenvoice.rehearsal.practice import describe

    folder = home()
    if not folder.is_dir():
        raise BadProfile(f"{folder} is not a folder. Name another one with KITCHENVOICE_HOME.")
    if not (folder / FILE_NAME).exists():
        return f"none yet at {folder / FILE_NAME}; altitude and gauge will be asked for"
    return describe(load_profile(folder))


CHECKS: dict[str, Callable[[], str]] = {
    "tables": _check_tables,
    "speech model": _check_model,
    "voice": _check_voice,
    "microphone": _check_microphone,
    "speaker": _check_speaker,
    "clock": _check_clock,
    "disk": _check_disk,
    "profile": _check_profile,
}
