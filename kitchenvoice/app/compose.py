"""The composition root: the only module that knows every class of a running program and puts them together.

What takes long or needs a device is loaded where it is asked for, so that a typed session starts without sound.
"""

from __future__ import annotations

import contextlib
import gc
import logging
import os
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitchenvoice.app.languages import book_for, in_language, model_of, require_own_names, rescorer_of
from kitchenvoice.app.session import Look, Session, Show, SilentMouth, Trouble
from kitchenvoice.clock import SystemClock
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.setup import wanted
from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.kitchen.folder import home
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import Profile, load_profile
from kitchenvoice.logbook import ResilientLog
from kitchenvoice.ports import Announcement, Clock, ListeningGrammar, Utterance
from kitchenvoice.reference import asked
from kitchenvoice.reference.library import require_unchanged
from kitchenvoice.reference.nearness import nearest

if TYPE_CHECKING:
    from kitchenvoice.app.listening import LiveEar
    from kitchenvoice.app.session import Inbox, Mouthpiece
    from kitchenvoice.app.trace import Trace
    from kitchenvoice.hearing import BargeIn, Listener, SentenceRecogniser
    from kitchenvoice.hearing.assembly import Recognisers
    from kitchenvoice.hearing.carrying import Parts
    from kitchenvoice.speaking import Mouth

__all__ = [
    "CACHE",
    "OpenKitchen",
    "carried_parts",
    "ear_for_files",
    "kitchen_listener",
    "kitchen_profile",
    "live_ear",
    "load_engine",
    "load_mouth",
    "open_kitchen",
    "practice_session",
    "spoken_session",
    "typed_session",
]

_log = logging.getLogger(__name__)

CACHE = "cache"
"""Folder of the kitchen's for what is made anew where it is missing: nothing in it is worth a backup."""


@dataclass(frozen=True, slots=True)
class OpenKitchen:
    """Profile and record of one kitchen, and the conversation they amount to."""

    folder: Path
    profile: Profile
    log: ResilientLog
    conversation: Conversation

    def close(self) -> None:
        """Close the record."""
        self.log.close()


def kitchen_profile(language: str | None) -> tuple[Path, Profile]:
    """Folder and profile of the kitchen, in the language asked for. Raises: BadProfile, BadInput."""
    folder = home()
    return folder, in_language(load_profile(folder), language)


def open_kitchen(language: str | None = None, *, practice: Path | None = None) -> OpenKitchen:
    """Open profile and record. Raises: TablesDamaged, BadProfile, BadInput, LogbookError.

    For `practice` the record is in that folder, and the kitchen an invented one as long as the cook's own isn't known.
    """
    require_unchanged()
    folder, profile = kitchen_profile(language)
    _log.info("the kitchen's folder is %s", folder)
    if practice is not None and wanted(profile):
        profile = PRACTICE_KITCHEN
    book = book_for(profile)
    require_own_names(book, profile, folder)
    folder = practice or folder
    log = ResilientLog(folder, SystemClock().now())
    try:
        conversation = Conversation(
            book, profile, tuple(log.read()), last_seq=log.last_seq, last_load=log.last_load, pantry=log
        )
    except BaseException:
        log.close()
        raise
    return OpenKitchen(folder, profile, log, conversation)


def _read_ahead() -> None:
    """Read the tables for the first strange sentence ahead: in the loop this takes a second without calls.

    They stay, so no collection looks through them again: in a flood each stopped all threads for 40 ms.
    """
    gc.disable()  # a third of the time, and of what is made here nothing is garbage
    try:
        with contextlib.suppress(KitchenVoiceError):  # told of where it is asked for
            asked("nothing")
            nearest("nothing")
    finally:
        gc.enable()
        gc.freeze()


def _session(
    kitchen: OpenKitchen, mouth: Mouthpiece, show: Show, watch: Look | None, trace: Trace | None, *, typed: bool
) -> Session:
    log = kitchen.log
    threading.Thread(target=_read_ahead, name="reading ahead", daemon=True).start()
    session = Session(
        kitchen.conversation, log, SystemClock(), mouth, home=kitchen.folder, last=log.last_moment, whole=log.whole,
        show=show, watch=watch, by_keyboard=typed, observer=trace,
    )  # fmt: skip
    if trace is not None:
        trace.tell = session.inbox.put
    if log.news:  # what became of the record is said first
        session.inbox.put(Trouble(log.news, spoken=True))
    return session


def typed_session(kitchen: OpenKitchen, show: Show, watch: Look | None, trace: Trace | None = None) -> Session:
    """A session by keyboard: nothing is heard and nothing sounds."""
    return _session(kitchen, SilentMouth(), show, watch, trace, typed=True)


def practice_session(kitchen: OpenKitchen, clock: Clock, mouth: Mouthpiece, show: Show, *, typed: bool) -> Session:
    """A session of practice, on its own clock: no change of the profile is kept."""
    return Session(kitchen.conversation, kitchen.log, clock, mouth, show=show, by_keyboard=typed)


# ---------------------------------------------------------------- ear and mouth


def load_engine(profile: Profile, cache: Path | None = None) -> tuple[Path, SentenceRecogniser]:
    """Verify every file of the speech model and load it. Raises: ModelMissing."""
    from kitchenvoice.hearing import SentenceRecogniser

    model = model_of(profile)
    _log.info("loading the model %s", model)
    return model, SentenceRecogniser(model, cache)


def load_mouth(profile: Profile, live: dict[str, Any], *, speaker_may_be_missing: bool = False) -> Mouth:
    """Make the mouth. Raises: VoiceMissing, DeviceMissing."""
    from kitchenvoice.app.speaking import make_mouth

    return make_mouth(profile, live, speaker_may_be_missing=speaker_may_be_missing)


def ear_for_files(profile: Profile | None = None) -> Recognisers:
    """The recognisers of the live ear, for sound that doesn't come from a microphone. Raises: ModelMissing."""
    from kitchenvoice.hearing.assembly import recognisers

    profile = profile or Profile()
    return recognisers(model_of(profile), second=rescorer_of(profile))


def kitchen_listener(profile: Profile, grammar: ListeningGrammar, cache: Path | None = None) -> Listener:
    """The decoder's side of the live ear. Raises: ModelMissing."""
    from kitchenvoice.hearing import make_listener

    model = model_of(profile)
    return make_listener(model, grammar, cache, rescorer_of(profile), carried_parts(model, grammar, cache))


def carried_parts(model: Path, grammar: ListeningGrammar, cache: Path | None = None) -> Parts:
    """Measure the machine for a moment; return what of the ear it can carry. Raises: ModelMissing."""
    from kitchenvoice.hearing import SentenceRecogniser
    from kitchenvoice.hearing.assembly import trial_s
    from kitchenvoice.hearing.carrying import parts_for

    recogniser = SentenceRecogniser(model, cache)
    recogniser.set_grammar(grammar)
    took_s = trial_s(recogniser)
    parts = parts_for(took_s, len(os.sched_getaffinity(0)))
    _log.info("a second of sound takes %.3f s; the machine is %s", took_s, parts.told())
    return parts


def live_ear(
    profile: Profile,
    model: Path,
    conversation: Conversation,
    inbox: Inbox,
    cache: Path | None = None,
    barge_in: BargeIn | None = None,
) -> LiveEar:
    """The ear on the microphone, in its threads."""
    from kitchenvoice.app.devices import Microphones
    from kitchenvoice.app.listening import LiveEar
    from kitchenvoice.hearing import make_listener

    rescorer = rescorer_of(profile)
    grammar = conversation.grammar(conversation.talk.t)
    parts = carried_parts(model, grammar, cache)

    def listener(grammar: ListeningGrammar) -> Listener:
        return make_listener(model, grammar, cache, rescorer, parts)

    microphones = Microphones(profile.input_device, profile.gain_db)
    return LiveEar(
        listener,
        grammar,
        inbox,
        microphones.open,
        barge_in=barge_in,
        change_microphone=microphones.change,
        warm_up=rescorer.load if rescorer is not None and parts.second else lambda: None,
    )


def spoken_session(
    kitchen: OpenKitchen,
    model: Path,
    mouth: Mouth,
    live: dict[str, Any],
    show: Show,
    watch: Look | None,
    trace: Trace | None = None,
) -> tuple[LiveEar, Session]:
    """Ear and session of a spoken day; what the mouth tells through `live` reaches both."""
    from kitchenvoice.app.listening import LiveMouth, told_to
    from kitchenvoice.speaking import neural_is_installed

    profile = kitchen.profile
    kitchen.conversation.talk.second_voice = neural_is_installed()
    session = _session(kitchen, LiveMouth(mouth, live["voice"].choose), show, watch, trace, typed=False)
    barge_in = _barge_in(profile, model, session.inbox)
    ear = live_ear(profile, model, kitchen.conversation, session.inbox, kitchen.folder / CACHE, barge_in)
    session.ear = ear

    def started(announcement: Announcement) -> None:
        barge_in.saying(announcement.text)
        if trace is not None:
            trace.began(session.t, announcement)

    live["played"] = barge_in.note_played
    live["started"] = started
    live["speaking"] = ear.while_speaking
    live.update(told_to(session.inbox))
    return ear, session


def _barge_in(profile: Profile, model: Path, inbox: Inbox) -> BargeIn:
    from kitchenvoice.hearing import BargeIn, StopWordSpotter, VoskRecogniser

    def spotter() -> StopWordSpotter:
        recogniser = VoskRecogniser(model)
        return StopWordSpotter(recogniser, profile.attention, knows=recogniser.knows)

    return BargeIn(spotter, lambda phrase: inbox.put(Utterance((f"{profile.attention} {phrase}",))))
