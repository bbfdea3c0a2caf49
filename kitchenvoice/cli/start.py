"""`kitchenvoice start`: the live session, by voice or from the keyboard."""

from __future__ import annotations

import gc
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.app.described import described
from kitchenvoice.errors import (
    BadInput,
    DeviceLost,
    DeviceMissing,
    LogbookError,
    ModelMissing,
    VoiceMissing,
)
from kitchenvoice.language import in_figures, load_language
from kitchenvoice.terminal import Screen, complain

if TYPE_CHECKING:
    from concurrent.futures import Future

    from kitchenvoice.app.boards import Boards
    from kitchenvoice.app.compose import OpenKitchen
    from kitchenvoice.app.listening import LiveEar
    from kitchenvoice.app.push_to_talk import Key
    from kitchenvoice.app.session import Session
    from kitchenvoice.app.trace import Trace
    from kitchenvoice.kitchen.profile import Profile
    from kitchenvoice.logbook import ResilientLog
    from kitchenvoice.speaking import Mouth

__all__ = ["start_command"]

_FIRST_SOUND_S = 3.0
_LAST_WORDS_S = 4.0
_NOT_SHOWN = 3
_INCOMPLETE = 5
_MENDED = (
    "The record was damaged or taken away while I ran. What was reported is in another file now; "
    "kitchenvoice logbook verify looks it over."
)
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
@click.option(
    "--trace",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write what is heard, understood and said into a private file, without sound: kitchenvoice hear --trace.",
)
@click.option("--language", help="Another language than the profile's: de, typed only.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def start_command(
    typed: bool,
    board: str | None,
    on_screen: bool,
    push_to_talk: str | None,
    trace: Path | None,
    language: str | None,
    as_json: bool,
) -> int:
    """Begin a canning day: it listens, counts, times and warns."""
    screen = Screen(True if as_json else None)
    tracing: Trace | None = None
    try:
        boards = _boards(board, on_screen, screen)
        tracing = _trace(trace)
        if typed:
            code = _typed(screen, boards, tracing, language)
        else:
            code = _spoken(screen, boards, push_to_talk, tracing, language)
    except (ModelMissing, DeviceMissing, DeviceLost, VoiceMissing) as exc:
        screen.close()
        complain(f"{exc} Or type instead: kitchenvoice start --typed.")
        return exc.exit_code
    finally:
        if tracing is not None:
            tracing.close()
        screen.close()
    return code or (_NOT_SHOWN if screen.lost else 0)


def _trace(path: Path | None) -> Trace | None:
    if path is None:
        return None
    from kitchenvoice.app.trace import open_trace
    from kitchenvoice.clock import SystemClock

    return open_trace(path, SystemClock())


def _boards(board: str | None, on_screen: bool, screen: Screen) -> Boards:
    from kitchenvoice.app.boards import Boards
    from kitchenvoice.board import read_address

    if on_screen and screen.as_json:
        raise BadInput("There is no terminal to show a board in. Leave out --screen.")
    return Boards(None if board is None else read_address(board), terminal=on_screen, screen=screen)


def _show(screen: Screen, profile: Profile) -> Callable[[str, str, str | None], None]:
    language = load_language(profile.language)

    def show(who: str, text: str, event: str | None) -> None:
        written = in_figures(language, text) if who in ("kitchenvoice", "heard") else text
        human = f"{_SIGNS[who]}{written}" if who in _SIGNS and text else None
        if who == "heard" and text and event is None:
            human = f"> {written}   {language.phrase('start', 'not_taken')}"
        screen.put({"who": who, "text": text or None, "event": event}, human)

    return show


def _tell_kitchen(screen: Screen, profile: Profile) -> None:
    text = described(profile)
    human = load_language(profile.language).phrase("start", "begun", kitchen=text)
    screen.put({"who": "start", "text": text, "event": "profile"}, human)


def _run(session: Session) -> int:
    """Run to the end. Tables and grammars stay: without them a collection stops the loop for 1 ms instead of 70."""
    gc.freeze()
    return session.run()


def _stopped(screen: Screen, lacking: int, log: ResilientLog, language: str) -> int:
    """Tell of the end, of anything unrecorded, and of the record's fate; return the exit code."""
    text = "stopped"
    human = load_language(language).phrase("start", "stopped")
    if lacking:
        entries = "1 entry isn't" if lacking == 1 else f"{lacking} entries aren't"
        text = human = f"Stopped. {entries} recorded, because the disk didn't take them."
    trouble = _became_of(log)
    if trouble:
        text = human = f"{human} {trouble}" if lacking else f"Stopped. {trouble}"
    screen.put({"who": "start", "text": text, "event": "stopped"}, human)
    return _INCOMPLETE if lacking or trouble else 0


def _became_of(log: ResilientLog) -> str:
    """Look at the record for the last time; tell what happened to it, if anything did."""
    try:
        log.look()
    except LogbookError as exc:
        return str(exc)
    lost = f" {log.lost} earlier entries are lost." if log.lost else ""
    return f"{_MENDED}{lost}" if log.mended else ""


def _typed(screen: Screen, boards: Boards, trace: Trace | None, language: str | None) -> int:
    from kitchenvoice.app import compose, keyboard
    from kitchenvoice.app.thread_errors import thread_errors_said

    kitchen = compose.open_kitchen(language)
    _tell_kitchen(screen, kitchen.profile)
    try:
        session = compose.typed_session(kitchen, boards.follow(_show(screen, kitchen.profile)), boards.look, trace)
        if trace is not None:
            trace.start(session.t, kitchen.profile)
        keyboard.end_when_told(session.inbox)
        boards.open(session.inbox, kitchen.folder)
        keyboard.read_keyboard(session.inbox)
        with thread_errors_said(session.inbox):
            return _stopped(screen, _run(session), kitchen.log, kitchen.profile.language)
    finally:
        boards.close()
        kitchen.close()


def _spoken(screen: Screen, boards: Boards, push_to_talk: str | None, trace: Trace | None, language: str | None) -> int:
    """Load model, voice and speaker beside the record: each takes as long as all the rest."""
    from kitchenvoice.app import compose, drivers, keyboard
    from kitchenvoice.app.devices import described_devices
    from kitchenvoice.app.push_to_talk import read_key
    from kitchenvoice.app.thread_errors import thread_errors_said

    key = None if push_to_talk is None else read_key(push_to_talk)
    folder, profile = compose.kitchen_profile(language)
    live: dict[str, Any] = {}
    code = 0
    with drivers.quiet_drivers():
        loading_mouth = drivers.in_thread(
            "mouth", lambda: compose.load_mouth(profile, live, speaker_may_be_missing=True)
        )
        loading_engine = drivers.in_thread("model", lambda: compose.load_engine(profile, folder / compose.CACHE))
        waits: list[Future[Any]] = [loading_mouth, loading_engine]
        kitchen = None
        try:
            kitchen = compose.open_kitchen(language)
            if key is None and profile.push_to_talk is not None:
                key = read_key(profile.push_to_talk)
            model, recogniser = loading_engine.result()
            _tell_kitchen(screen, profile)
            grammar = kitchen.conversation.grammar(kitchen.conversation.talk.t)
            loading_graph = drivers.in_thread("model", lambda: recogniser.set_grammar(grammar))
            waits.append(loading_graph)
            drivers.wait_for(loading_mouth, loading_graph)
            loading_graph.result()  # kept for the ear, which listens for the same
            mouth = loading_mouth.result()
            ear, session = compose.spoken_session(
                kitchen, model, mouth, live, boards.follow(_show(screen, kitchen.profile)), boards.look, trace
            )
            devices = described_devices(profile.input_device, profile.output_device)
            if trace is not None:
                trace.start(session.t, profile, engine=recogniser.engine, model=recogniser.model, devices=devices)
            found = f"{recogniser.engine}, {recogniser.model}; {devices}"
            screen.put({"who": "start", "text": found, "event": "found"}, f"Found: {found}.")
            keyboard.end_when_told(session.inbox)
            boards.open(session.inbox, folder)
            with thread_errors_said(session.inbox):
                code = _listen(ear, session, screen, mouth, key, kitchen)
        finally:
            drivers.wait_for(*waits)
            drivers.log_unasked(*waits)
            drivers.leave_hanging_drivers(code)
            boards.close()
            if kitchen is not None:
                kitchen.close()
    return code


def _listen(ear: LiveEar, session: Session, screen: Screen, mouth: Mouth, key: Key | None, kitchen: OpenKitchen) -> int:
    from kitchenvoice.app import keyboard

    ear.start()
    listening = ear.wait_until_listening(_FIRST_SOUND_S)
    mouth.start()
    event, language = "listening" if listening else "waiting", kitchen.profile.language
    screen.put({"who": "start", "text": event, "event": event}, load_language(language).phrase("start", event))
    watching = keyboard.watch_key(key, session.inbox)
    try:
        return _stopped(screen, _run(session), kitchen.log, language)
    finally:
        if watching is not None:
            watching.close()
        ear.close()
        mouth.finish(_LAST_WORDS_S)
        mouth.close()
