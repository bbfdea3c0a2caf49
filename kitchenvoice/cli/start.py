"""`kitchenvoice start`: the live session, by voice or from the keyboard."""

from __future__ import annotations

import logging
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, wait
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from kitchenvoice.errors import BadInput, DeviceLost, DeviceMissing, ModelMissing, VoiceMissing
from kitchenvoice.terminal import Screen, complain

if TYPE_CHECKING:
    from kitchenvoice.app.boards import Boards
    from kitchenvoice.app.listening import LiveEar
    from kitchenvoice.app.push_to_talk import Key, PushToTalk
    from kitchenvoice.app.session import Inbox, Session
    from kitchenvoice.dialogue.conversation import Conversation
    from kitchenvoice.hearing import Listener, SentenceRecogniser
    from kitchenvoice.kitchen.profile import Profile
    from kitchenvoice.logbook import ResilientLog
    from kitchenvoice.ports import ListeningGrammar
    from kitchenvoice.speaking import Mouth

__all__ = [
    "end_although_a_driver_hangs",
    "end_when_told",
    "quiet_drivers",
    "read_keyboard",
    "start_command",
]

_FIRST_SOUND_S = 3.0
_LAST_WORDS_S = 4.0
_HANGS_S = 5.0
_INCOMPLETE = 5
_KEPT = "cache"
"""What is made anew where it is missing: nothing in this folder of the kitchen's is worth a backup."""
_T = TypeVar("_T")
_SIGNS = {"kitchenvoice": "  ", "heard": "> ", "trouble": "! ", "pressed": "* "}


@click.command("start")
@click.option("--typed", is_flag=True, help="Take the same sentences from the keyboard; no sound is needed.")
@click.option(
    "--board",
    is_flag=False,
    flag_value="",
    metavar="[ADDRESS:PORT]",
    help="Serve a page for a tablet: for this machine alone, or at the address given, then with a code.",
)
@click.option("--screen", "on_screen", is_flag=True, help="Show the same board in the upper part of this terminal.")
@click.option(
    "--push-to-talk",
    is_flag=False,
    flag_value="space",
    metavar="[KEY]",
    help="Press a key, then speak, without the attention words: space (default), enter, tab, page-down, page-up, "
    "or the path of a pedal's device.",
)
@click.option("--language", help="Another language than the profile's: de, typed only.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def start_command(
    typed: bool, board: str | None, on_screen: bool, push_to_talk: str | None, language: str | None, as_json: bool
) -> int:
    """Begin a canning day: listen, talk, count, time, warn and remember."""
    screen = Screen(True if as_json else None)
    try:
        boards = _boards(board, on_screen, screen)
        if typed:
            return _typed(screen, boards, language)
        with quiet_drivers():
            return _spoken(screen, boards, push_to_talk, language)
    except (ModelMissing, DeviceMissing, DeviceLost, VoiceMissing) as exc:
        screen.close()
        complain(f"{exc} Or type instead: kitchenvoice start --typed.")
        return exc.exit_code
    finally:
        screen.close()


def _boards(board: str | None, on_screen: bool, screen: Screen) -> Boards:
    from kitchenvoice.app.boards import Boards
    from kitchenvoice.board import read_place

    if on_screen and screen.as_json:
        raise BadInput("There is no terminal to show a board in. Leave out --screen.")
    return Boards(None if board is None else read_place(board), terminal=on_screen, screen=screen)


def _show(screen: Screen) -> Callable[[str, str, str | None], None]:
    def show(who: str, text: str, event: str | None) -> None:
        human = f"{_SIGNS[who]}{text}" if who in _SIGNS and text else None
        if who == "heard" and text and event is None:
            human = f"> {text}   (not taken)"
        screen.put({"who": who, "text": text or None, "event": event}, human)

    return show


def _open(language: str | None) -> tuple[Path, Profile, ResilientLog, Conversation]:
    """Open profile and record; make the conversation they amount to."""
    from kitchenvoice.app.languages import book_for, in_language, require_own_names
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.dialogue.conversation import Conversation
    from kitchenvoice.kitchen.profile import home, load_profile
    from kitchenvoice.logbook import ResilientLog
    from kitchenvoice.reference.library import require_unchanged

    require_unchanged()
    folder = home()
    profile = in_language(load_profile(folder), language)
    book = book_for(profile)
    require_own_names(book, profile, folder)
    log = ResilientLog(folder, SystemClock().now())
    try:
        conversation = Conversation(
            book, profile, tuple(log.read()), last_seq=log.last_seq, last_load=log.last_load, pantry=log
        )
    except BaseException:
        log.close()
        raise
    return folder, profile, log, conversation


def _tell_kitchen(screen: Screen, profile: Profile) -> None:
    from kitchenvoice.kitchen.practice import describe

    screen.put({"who": "start", "text": describe(profile), "event": "profile"}, f"Kitchen: {describe(profile)}.")


def end_when_told(inbox: Inbox) -> None:
    """Let control-C and a polite kill end the session between two things, never in the middle of one."""
    from kitchenvoice.app.session import Typed

    def end(number: int, _frame: object) -> None:
        signal.signal(number, signal.SIG_DFL)  # a second time ends it at once
        inbox.put(Typed(None))

    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, end)


# ---------------------------------------------------------------- typed


def _typed(screen: Screen, boards: Boards, language: str | None) -> int:
    from kitchenvoice.app.session import Session, SilentMouth
    from kitchenvoice.clock import SystemClock

    folder, profile, log, conversation = _open(language)
    _tell_kitchen(screen, profile)
    try:
        session = Session(
            conversation, log, SystemClock(), SilentMouth(), home=folder, last=log.last_moment, whole=log.whole,
            show=boards.follow(_show(screen)), watch=boards.look, by_keyboard=True,
        )  # fmt: skip
        _tell_news(session, log)
        boards.open(session.inbox, folder)
        end_when_told(session.inbox)
        read_keyboard(session.inbox)
        lacking = session.run()
        if lacking:
            _stopped(screen, lacking)
    finally:
        boards.close()
        log.close()
    return _INCOMPLETE if lacking else 0


def _tell_news(session: Session, log: ResilientLog) -> None:
    """Let the session say first what became of the record."""
    from kitchenvoice.app.session import Trouble

    if log.news:
        session.inbox.put(Trouble(log.news, spoken=True))


def _stopped(screen: Screen, lacking: int) -> None:
    """Tell that it stopped, and what isn't recorded."""
    text = "stopped"
    human = "Stopped. Everything reported is recorded."
    if lacking:
        entries = "1 entry isn't" if lacking == 1 else f"{lacking} entries aren't"
        text = human = f"Stopped. {entries} recorded, because the disk didn't take them."
    screen.put({"who": "start", "text": text, "event": "stopped"}, human)


def read_keyboard(inbox: Inbox, *, ends: bool = True) -> None:
    """Put each line of the keyboard into the inbox; its end too, if that should end the session."""
    from kitchenvoice.app.session import Typed

    def read() -> None:
        try:
            for line in sys.stdin:
                if line.strip():
                    inbox.put(Typed(line.strip()))
        except (OSError, ValueError):
            pass  # closed, or not text: the same as its end
        if ends:
            inbox.put(Typed(None))

    threading.Thread(target=read, name="keyboard", daemon=True).start()


# ---------------------------------------------------------------- spoken


def _spoken(screen: Screen, boards: Boards, push_to_talk: str | None, language: str | None) -> int:
    from kitchenvoice.app.languages import in_language
    from kitchenvoice.app.push_to_talk import read_key
    from kitchenvoice.kitchen.profile import home, load_profile

    key = None if push_to_talk is None else read_key(push_to_talk)
    profile = in_language(load_profile(home()), language)
    live: dict[str, Any] = {}
    speaking = _beside("mouth", lambda: _speaking(profile, live))
    checking = _beside("model", lambda: _hearing(profile, home() / _KEPT))
    try:
        folder, profile, log, conversation = _open(language)
    except BaseException:
        _wait_for(speaking, checking)
        end_although_a_driver_hangs()
        raise
    try:
        if key is None and profile.push_to_talk is not None:
            key = read_key(profile.push_to_talk)
        model, recogniser = checking.result()
        _tell_kitchen(screen, profile)
        loading = _beside("model", lambda: recogniser.set_grammar(conversation.grammar(conversation.talk.t)))
        _wait_for(speaking, loading)
        loading.result()  # kept for the ear, which listens for the same
        mouth = speaking.result()
        ear, session = _ear(model, conversation, log, folder, profile, mouth, live, screen, boards)
        found = f"{recogniser.engine}, {recogniser.model}; {_devices()}"
        screen.put({"who": "start", "text": found, "event": "found"}, f"Found: {found}.")
        boards.open(session.inbox, folder)
        _tell_news(session, log)
        lacking = _listen(ear, session, screen, mouth, key)
    finally:
        _wait_for(speaking)
        end_although_a_driver_hangs()
        boards.close()
        log.close()
    return _INCOMPLETE if lacking else 0


def _speaking(profile: Profile, live: dict[str, Any]) -> Mouth:
    from kitchenvoice.app.speaking import make_mouth

    return make_mouth(profile, live, speaker_may_be_missing=True)


def _hearing(profile: Profile, kept: Path) -> tuple[Path, SentenceRecogniser]:
    """Check every file of the model, and get the engine ready. Raises: ModelMissing."""
    from kitchenvoice.app.languages import model_of
    from kitchenvoice.hearing import SentenceRecogniser

    model = model_of(profile)
    return model, SentenceRecogniser(model, kept)


def _beside(name: str, make: Callable[[], _T]) -> Future[_T]:
    """Do it in a thread that holds nobody: model, voice and speaker take as long as all the rest."""
    coming: Future[_T] = Future()

    def work() -> None:
        try:
            coming.set_result(make())
        except Exception as exc:  # handed to the one who waits
            coming.set_exception(exc)

    threading.Thread(target=work, name=name, daemon=True).start()
    return coming


def _wait_for(*coming: Future[Any]) -> None:
    """Wait for the end of each, good or bad: left half way they would complain. A driver may hang in one for ever."""
    wait(coming, _HANGS_S)


def _ear(
    model: Path,
    conversation: Conversation,
    log: ResilientLog,
    folder: Path,
    profile: Profile,
    mouth: Mouth,
    live: dict[str, Any],
    screen: Screen,
    boards: Boards,
) -> tuple[LiveEar, Session]:
    from kitchenvoice.app.languages import rescorer_of
    from kitchenvoice.app.listening import LiveEar, LiveMouth
    from kitchenvoice.app.session import Session, Trouble
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.hearing import BargeIn, Microphone, StopWordSpotter, VoskRecogniser, make_listener
    from kitchenvoice.ports import Utterance

    second = rescorer_of(profile)

    def listener(grammar: ListeningGrammar) -> Listener:
        return make_listener(model, grammar, folder / _KEPT, second)

    session = Session(
        conversation, log, SystemClock(), LiveMouth(mouth), home=folder, last=log.last_moment, whole=log.whole,
        show=boards.follow(_show(screen)), watch=boards.look,
    )  # fmt: skip

    def stop_ear() -> StopWordSpotter:
        recogniser = VoskRecogniser(model)
        return StopWordSpotter(recogniser, profile.attention, knows=recogniser.knows)

    barge_in = BargeIn(
        stop_ear,
        lambda phrase: session.inbox.put(Utterance((f"{profile.attention} {phrase}",))),
    )
    ear = LiveEar(
        listener,
        conversation.grammar(session.t),
        session.inbox,
        lambda: Microphone(profile.input_device),
        barge_in=barge_in,
    )
    session.ear = ear
    live["played"] = barge_in.note_played
    live["started"] = lambda announcement: barge_in.saying(announcement.text)
    live["speaking"] = ear.while_speaking
    live["trouble"] = lambda error: session.inbox.put(Trouble(str(error)))
    live["recovered"] = lambda part: session.inbox.put(Trouble(f"The {part} works again."))
    return ear, session


def _watch(key: Key | None, inbox: Inbox) -> PushToTalk | None:
    """Watch the keyboard: for lines alone, or for the key as well."""
    from kitchenvoice.app.push_to_talk import PushToTalk
    from kitchenvoice.app.session import Pressed, Trouble, Typed

    if key is None:
        read_keyboard(inbox, ends=False)
        return None
    watching = PushToTalk(
        key,
        pressed=lambda: inbox.put(Pressed()),
        typed=lambda line: inbox.put(Typed(line)),
        trouble=lambda text: inbox.put(Trouble(text)),
    )
    watching.start()
    return watching


def _listen(ear: LiveEar, session: Session, screen: Screen, mouth: Mouth, key: Key | None) -> int:
    ear.start()
    listening = ear.wait_until_listening(_FIRST_SOUND_S)
    mouth.start()
    event, human = ("listening", "Listening") if listening else ("waiting", "Waiting for a microphone; you can type")
    screen.put({"who": "start", "text": event, "event": event}, f"{human}. Control-C ends it.")
    end_when_told(session.inbox)
    watching = _watch(key, session.inbox)
    try:
        lacking = session.run()
        _stopped(screen, lacking)
    finally:
        if watching is not None:
            watching.close()
        ear.close()
        mouth.finish(_LAST_WORDS_S)
        mouth.close()
    return lacking


def end_although_a_driver_hangs() -> None:
    """See to it that the process ends: a frozen sound driver would hold it in its last call for ever."""
    timer = threading.Timer(_HANGS_S, os._exit, (0,))
    timer.daemon = True
    timer.start()


@contextmanager
def quiet_drivers() -> Iterator[None]:
    """Keep the sound libraries' own lines off the terminal; what we say ourselves still goes to standard error."""
    from kitchenvoice.audio import portaudio

    ours = os.fdopen(os.dup(2), "w", buffering=1, encoding="utf-8", errors="replace")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    before, driver = sys.stderr, os.dup(2)
    os.dup2(nowhere, 2)
    os.close(nowhere)
    sys.stderr = ours
    logged = logging.StreamHandler(ours)
    logged.setFormatter(logging.Formatter(logging.BASIC_FORMAT))
    logging.getLogger().addHandler(logged)
    try:
        yield
    finally:
        with portaudio.one_at_a_time():  # a call that is still under way has its say before
            sys.stderr = before
            os.dup2(driver, 2)
            os.close(driver)
        logging.getLogger().removeHandler(logged)
        ours.close()


def _devices() -> str:
    from kitchenvoice.audio import portaudio

    devices = portaudio.describe_devices()
    ear = next((device.name for device in devices if device.default_input), "no microphone")
    mouth = next((device.name for device in devices if device.default_output), "no speaker")
    return f"microphone: {ear}; speaker: {mouth}"
