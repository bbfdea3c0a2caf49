"""`kitchenvoice start` and `kitchenvoice check`: the live session, and what it needs."""

from __future__ import annotations

import shutil
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.errors import DeviceMissing, KitchenVoiceError, Missing, ModelMissing, VoiceMissing
from kitchenvoice.printing import Printer, complain

if TYPE_CHECKING:
    from kitchenvoice.dialogue.conversation import Conversation
    from kitchenvoice.live import LiveEar
    from kitchenvoice.logbook import SqliteLog
    from kitchenvoice.profile import Profile
    from kitchenvoice.session import Inbox, Mouthpiece, Session
    from kitchenvoice.speaking import Mouth

__all__ = ["check_command", "start_command"]

_FIRST_SOUND_S = 3.0
_LAST_WORDS_S = 4.0
_LEAST_FREE_MB = 50
_SIGNS = {"kitchenvoice": "  ", "heard": "> ", "trouble": "! "}


@click.command("start")
@click.option("--typed", is_flag=True, help="Take the same sentences from the keyboard; no sound is needed.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def start_command(typed: bool, as_json: bool) -> int:
    """Begin a canning day: listen, talk, count, time, warn and remember."""
    printer = Printer(True if as_json else None)
    try:
        return _typed(printer) if typed else _spoken(printer)
    except (ModelMissing, DeviceMissing, VoiceMissing) as exc:
        complain(f"{exc} Or type instead: kitchenvoice start --typed.")
        return exc.exit_code


def _show(printer: Printer) -> Callable[[str, str, str | None], None]:
    def show(who: str, text: str, event: str | None) -> None:
        human = f"{_SIGNS[who]}{text}" if who in _SIGNS and text else None
        if who == "heard" and text and event is None:
            human = f"> {text}   (not taken)"
        printer.put({"who": who, "text": text or None, "event": event}, human)

    return show


def _open(printer: Printer) -> tuple[Path, Profile, SqliteLog, Conversation]:
    """Open profile and record; make the conversation they amount to."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.dialogue.conversation import Conversation
    from kitchenvoice.dialogue.grammar import GrammarBook
    from kitchenvoice.logbook import SqliteLog
    from kitchenvoice.profile import home, load_profile
    from kitchenvoice.rehearsal.practice import describe

    folder = home()
    profile = load_profile(folder)
    log = SqliteLog(folder, SystemClock().now())
    book = GrammarBook.load(canners={canner.name: canner.number for canner in profile.canners if canner.name})
    conversation = Conversation(
        book, profile, tuple(log.read()), last_seq=log.last_seq, last_load=log.last_load, pantry=log
    )
    printer.put({"who": "start", "text": describe(profile), "event": "profile"}, f"Kitchen: {describe(profile)}.")
    return folder, profile, log, conversation


# ---------------------------------------------------------------- typed


def _typed(printer: Printer) -> int:
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.live import SilentMouth
    from kitchenvoice.session import Session

    folder, _, log, conversation = _open(printer)
    try:
        session = Session(conversation, log, SystemClock(), SilentMouth(), home=folder, show=_show(printer))
        _read_keyboard(session.inbox)
        session.run()
    finally:
        log.close()
    return 0


def _read_keyboard(inbox: Inbox, *, ends: bool = True) -> None:
    """Put each line of the keyboard into the inbox; its end too, if that should end the session."""
    from kitchenvoice.session import Typed

    def read() -> None:
        for line in sys.stdin:
            if line.strip():
                inbox.put(Typed(line.strip()))
        if ends:
            inbox.put(Typed(None))

    threading.Thread(target=read, name="keyboard", daemon=True).start()


# ---------------------------------------------------------------- spoken


def _spoken(printer: Printer) -> int:
    from kitchenvoice.hearing import VoskRecogniser
    from kitchenvoice.hearing.model_store import verified_model

    model = verified_model()
    recogniser, second = VoskRecogniser(model), VoskRecogniser(model)
    folder, profile, log, conversation = _open(printer)
    try:
        mouth, live = _mouth(profile)
        ear, session = _ear(recogniser, second, conversation, log, folder, profile, mouth, live, printer)
        found = f"{recogniser.engine}, {recogniser.model}; {_devices()}"
        printer.put({"who": "start", "text": found, "event": "found"}, f"Found: {found}.")
        _listen(ear, session, printer, mouth)
    finally:
        log.close()
    return 0


def _mouth(profile: Profile) -> tuple[Mouth, dict[str, Any]]:
    """Make the mouth; what it tells goes where `live` points once the ear is there."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.speaking import Mouth, MouthCallbacks, MouthSettings, Pyttsx3Synthesiser, SpeakerPlayer

    live: dict[str, Any] = {}

    def tell(name: str) -> Callable[[Any], None]:
        return lambda what: live[name](what) if name in live else None

    synthesiser = Pyttsx3Synthesiser(voice=profile.voice) if profile.voice else Pyttsx3Synthesiser()
    clock = SystemClock()
    player = SpeakerPlayer(profile.output_device, on_lost=tell("lost"))
    mouth = Mouth(
        synthesiser,
        player,
        lambda: clock.now().elapsed,
        callbacks=MouthCallbacks(
            on_speaking=tell("speaking"), on_trouble=tell("trouble"), on_recovered=tell("recovered")
        ),
        settings=MouthSettings(rate_wpm=profile.speech_rate_wpm),
    )
    live["lost"] = mouth.note_lost
    live["close"] = player.close
    return mouth, live


def _ear(
    recogniser: Any,
    second: Any,
    conversation: Conversation,
    log: SqliteLog,
    folder: Path,
    profile: Profile,
    mouth: Mouth,
    live: dict[str, Any],
    printer: Printer,
) -> tuple[LiveEar, Session]:
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.live import LiveEar, LiveMouth
    from kitchenvoice.session import Session, Trouble

    mouthpiece: Mouthpiece = LiveMouth(mouth)
    session = Session(conversation, log, SystemClock(), mouthpiece, home=folder, show=_show(printer))
    ear = LiveEar(recogniser, conversation.grammar(session.t), session.inbox, profile.input_device, second=second)
    session.ear = ear
    live["speaking"] = ear.while_speaking
    live["trouble"] = lambda error: session.inbox.put(Trouble(str(error)))
    live["recovered"] = lambda part: session.inbox.put(Trouble(f"The {part} works again."))
    return ear, session


def _listen(ear: LiveEar, session: Session, printer: Printer, mouth: Mouth) -> None:
    mouth.start()
    ear.start()
    if not ear.wait_until_listening(_FIRST_SOUND_S):
        ear.close()
        raise DeviceMissing("There is no microphone that gives sound. Plug one in, or choose it in the sound settings.")
    printer.put({"who": "start", "text": "listening", "event": "listening"}, "Listening. Control-C ends it.")
    _read_keyboard(session.inbox, ends=False)
    try:
        session.run()
    except KeyboardInterrupt:
        printer.put(
            {"who": "start", "text": "stopped", "event": "stopped"}, "Stopped. Everything reported is recorded."
        )
    finally:
        ear.close()
        mouth.finish(_LAST_WORDS_S)
        mouth.close()


def _devices() -> str:
    from kitchenvoice import portaudio

    devices = portaudio.describe_devices()
    ear = next((device.name for device in devices if device.default_input), "no microphone")
    mouth = next((device.name for device in devices if device.default_output), "no speaker")
    return f"microphone: {ear}; speaker: {mouth}"


# ---------------------------------------------------------------- check


@click.command("check")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def check_command(as_json: bool) -> int:
    """Test what a canning day needs; each line says pass, or what to do."""
    printer = Printer(True if as_json else None)
    failed = False
    for name, test in _CHECKS.items():
        try:
            told, good = test(), True
        except KitchenVoiceError as exc:
            told, good = str(exc), False
        failed = failed or not good
        printer.put({"check": name, "pass": good, "text": told}, f"{'pass' if good else 'DO  '}  {name}: {told}")
    return Missing.exit_code if failed else 0


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
    loudest, blocks = 0, 0
    for block in microphone.blocks():
        loudest, blocks = max(loudest, int(abs(block.astype("int32")).max())), blocks + 1
        if blocks >= 50:
            microphone.close()
    if loudest < 4:
        raise DeviceMissing("The microphone gives only silence. Switch it on, or choose another in the sound settings.")
    return f"gives sound; loudest in the last second {100 * loudest // 32768} percent of full"


def _check_speaker() -> str:
    from kitchenvoice.profile import home, load_profile
    from kitchenvoice.speaking import SpeakerPlayer

    player = SpeakerPlayer(load_profile(home()).output_device)
    player.close()
    return "opens"


def _check_voice() -> str:
    from kitchenvoice.speaking import Pyttsx3Synthesiser

    synthesiser = Pyttsx3Synthesiser()
    return f"{synthesiser.name} speaks ({synthesiser.render('Ready.').seconds:.1f} s of sound)"


def _check_clock() -> str:
    from kitchenvoice.clock import SystemClock

    first, second = SystemClock().now(), SystemClock().now()
    if second.elapsed < first.elapsed or first.utc < 1_700_000_000:
        raise KitchenVoiceError("The clock of this machine isn't set. Set date and time, then start again.")
    return "date and time are set"


def _check_disk() -> str:
    from kitchenvoice.profile import home

    free_mb = shutil.disk_usage(home()).free // 1_000_000
    if free_mb < _LEAST_FREE_MB:
        raise KitchenVoiceError(f"Only {free_mb} MB are free for the record. Make room on the disk.")
    return f"{free_mb} MB free for the record"


def _check_profile() -> str:
    from kitchenvoice.profile import FILE_NAME, home, load_profile
    from kitchenvoice.rehearsal.practice import describe

    folder = home()
    if not (folder / FILE_NAME).exists():
        return f"none yet at {folder / FILE_NAME}; altitude and gauge will be asked for"
    return describe(load_profile(folder))


_CHECKS: dict[str, Callable[[], str]] = {
    "speech model": _check_model,
    "voice": _check_voice,
    "microphone": _check_microphone,
    "speaker": _check_speaker,
    "clock": _check_clock,
    "disk": _check_disk,
    "profile": _check_profile,
}
