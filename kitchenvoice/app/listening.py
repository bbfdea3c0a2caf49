"""The live ear and mouth in their workers, as the session needs them.

Three threads make the ear. The microphone's takes blocks from the device and does nothing else, so that sound which
comes while we speak ourselves is dropped by when it came, however far behind the decoding is. The decoder's does all
the work and may take its time. The watch's looks five times a second whether the other two get on, tells if not, and
puts another decoder in the place of one that hangs. Nothing here waits for another thread.
"""

from __future__ import annotations

import logging
import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from kitchenvoice.app.session import Chosen, Inbox, SilentMouth, Trouble, Unsaid
from kitchenvoice.audio import portaudio
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.errors import BadGrammar, DeviceLost, DeviceMissing
from kitchenvoice.hearing import BargeIn, Listener
from kitchenvoice.ports import EAR_RATE_HZ, Announcement, AudioSource, ListeningGrammar, Samples
from kitchenvoice.speaking import Dropped, Mouth

__all__ = ["LiveEar", "LiveMouth", "SilentMouth", "told_to"]

MICROPHONE_GONE = "microphone_gone"
MICROPHONE_BACK = "microphone_back"
NO_MICROPHONE = "no_microphone"
MICROPHONE_THERE = "microphone_there"
DECODER_HUNG = "decoder_hung"
LOOK_S = 0.2
MICROPHONE_LOOKS = 4
"""So many looks without a block are a microphone that is gone: 0.8 s; blocks come each 20 ms."""
FIRST_LOOKS = 15
"""So many looks without a first block are no microphone: 3 s; opening takes its time on a busy machine."""
HANG_LOOKS = 25
"""So many looks later (5 s) a thread that is still in the driver is left there, and another one tries; the next one is
given twice as long, since each may hang as well."""
DECODER_LOOKS = 40
"""So many looks on one block are a decoder that hangs: 8 s; a grammar takes 0.3 s on a busy machine."""
RETRY_S = 0.5
BACKLOG = 1500
"""Blocks of 20 ms that may wait for the decoder: half a minute, a megabyte."""
DEFERRALS = 20
HOPEFUL = 4
"""So many tries (2 s) after devices or their server came or went the sound system is started anew at once: a server
opens its door before it has a microphone behind it."""

_log = logging.getLogger(__name__)

_Stretch = tuple[int, int]
"""Which opening of the microphone, and after how many of our own sentences: sound of two stretches isn't joined."""


@dataclass(slots=True)
class _Decoding:
    """One decoder's life: the watch starts another one with blocks of its own if this one hangs."""

    grammar: ListeningGrammar
    listener: Listener | None = None
    blocks: queue.Queue[tuple[_Stretch, Samples]] = field(default_factory=lambda: queue.Queue(maxsize=BACKLOG))
    done: int = 0
    busy: bool = False


@dataclass(slots=True)
class _Sight:
    """Microphone watch: counts of checks without a block, and of checks within one attempt to reopen."""

    blocks: int = 0
    looks: int = 0
    openings: int = 0
    hung: int = 0
    patience: int = HANG_LOOKS
    lost: bool = False
    back: str = MICROPHONE_BACK


class LiveEar:
    """Microphone to utterances; a lost microphone is tried again every second.

    `make_listener` makes the decoder's side for a grammar; it is called once at once, and again if a decoder hangs.
    `barge_in` hears all of the microphone, and while we speak it is the only one that does. `warm_up` loads what would
    hold up the first utterance; sound waits for it.
    """

    def __init__(
        self,
        make_listener: Callable[[ListeningGrammar], Listener],
        grammar: ListeningGrammar,
        inbox: Inbox,
        open_microphone: Callable[[], AudioSource],
        *,
        refresh_devices: Callable[[], None] = portaudio.reinitialise,
        surroundings: Callable[[], frozenset[str]] = portaudio.surroundings,
        barge_in: BargeIn | None = None,
        change_microphone: Callable[[], str | None] = lambda: None,
        warm_up: Callable[[], object] = lambda: None,
    ) -> None:
        self._barge_in = barge_in
        self._warm_up = warm_up
        self._change_microphone = change_microphone
        self._make_listener = make_listener
        self._grammar = grammar
        self._inbox = inbox
        self._open_microphone = open_microphone
        self._refresh_devices = refresh_devices
        self._look_around = surroundings
        self._surroundings = surroundings()
        self._microphone: AudioSource | None = None
        self._closed = threading.Event()
        self._listening = threading.Event()
        self._settled = threading.Event()
        self._speaking = threading.Event()
        self._spoken = 0
        self._openings = 0
        self._taker = 0
        self._deferred = 0
        self._hopeful = 0
        self._blocks = 0
        self._decoding = _Decoding(grammar, make_listener(grammar))

    def start(self) -> None:
        """Begin to listen."""
        self._run("microphone", lambda: self._take_sound(0))
        first = self._decoding
        if self._barge_in is not None:
            self._barge_in.start()
        self._run("ear", lambda: self._decode_first(first))
        self._run("ear-watch", self._watch)

    def wait_until_listening(self, seconds: float) -> bool:
        """Wait for the first sound from the microphone; False if none came in time or it can't be opened.

        It keeps trying, and says when the microphone is missing and when it is back.
        """
        self._settled.wait(seconds)
        return self._listening.is_set()

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Change the active grammar, from the next utterance on. Returns at once."""
        self._grammar = grammar

    def use_other_microphone(self) -> None:
        """Look for another microphone in a thread of its own, and listen to it; what came of it is told."""
        self._run("microphone-change", self._use_other)

    def _use_other(self) -> None:
        try:
            name = self._change_microphone()
        except Exception:  # whatever it is, the one that is there goes on
            _log.exception("the microphone can't be changed")
            name = None
        if name is not None and self._microphone is not None:
            self._microphone.close()  # its thread opens the other one
        self._inbox.put(Chosen(name))

    def while_speaking(self, speaking: bool) -> None:
        """Shut the ear while our own voice is in the air (half duplex). Returns at once."""
        if speaking:
            self._spoken += 1
            self._speaking.set()
        else:
            self._speaking.clear()
        if self._barge_in is not None:
            self._barge_in.while_speaking(speaking)

    def close(self) -> None:
        """Stop listening."""
        self._closed.set()
        if self._barge_in is not None:
            self._barge_in.close()
        if self._microphone is not None:
            self._microphone.close()

    def _run(self, name: str, work: Callable[[], None]) -> None:
        threading.Thread(target=work, name=name, daemon=True).start()

    # ------------------------------------------------------------ the microphone's thread

    def _take_sound(self, mine: int) -> None:
        """Take blocks until the watch puts another thread in the place of this one, as it does when one hangs."""
        while not self._closed.is_set() and self._taker == mine:
            before = self._blocks
            self._openings += 1
            try:
                microphone = self._microphone = self._open_microphone()
                _log.info("the microphone is opened, for the %d. time", self._openings)
                for block in microphone.blocks():
                    if self._taker != mine:
                        microphone.close()
                        break
                    self._pass_on(block)
            except (DeviceLost, DeviceMissing) as exc:  # the watch tells
                _log.info("no microphone: %s", exc)
            except Exception:  # whatever it is, the microphone has to be tried again
                _log.exception("the microphone is tried again after an error of its own")
            waiting = self._taker == mine and not self._closed.is_set()
            if waiting and self._blocks == before:  # it can't be opened as it is
                self._settled.set()
                self._refresh()
                self._closed.wait(RETRY_S)

    def _pass_on(self, block: Samples) -> None:
        self._blocks += 1
        self._listening.set()
        self._settled.set()
        if self._barge_in is not None:
            self._barge_in.note_heard(block)
        if self._speaking.is_set():
            return
        try:
            self._decoding.blocks.put_nowait(((self._openings, self._spoken), block))
        except queue.Full:  # the watch is about to replace a decoder that is so far behind
            _log.debug("a block of sound is left out")

    def _refresh(self) -> None:
        """Start the sound system anew, but not in the middle of a sentence, which would be cut short.

        Where devices or their server have just come or gone, the ear comes first: what was cut short is said again.
        """
        before, self._surroundings = self._surroundings, self._look_around()
        self._hopeful = HOPEFUL if self._surroundings != before else max(self._hopeful - 1, 0)
        if self._speaking.is_set() and not self._hopeful and self._deferred < DEFERRALS:
            self._deferred += 1
            return
        self._deferred = 0
        try:
            self._refresh_devices()
        except (DeviceLost, DeviceMissing) as exc:
            _log.info("the sound system can't be started anew: %s", exc)

    # ------------------------------------------------------------ the decoder's thread

    def _decode_first(self, mine: _Decoding) -> None:
        self._warm_up()
        self._decode(mine)

    def _decode(self, mine: _Decoding) -> None:
        before: _Stretch | None = None
        while not self._closed.is_set() and self._decoding is mine:
            try:
                stretch, block = mine.blocks.get(timeout=LOOK_S)
            except queue.Empty:
                continue
            mine.busy = True
            try:
                self._feed(mine, block, fresh=stretch != before)
            except Exception:  # whatever it is, the ear must not stay shut
                _log.exception("the ear is made anew after an error of its own")
                mine.listener = None
                self._inbox.put(Trouble(DECODER_HUNG, spoken=True))
                self._closed.wait(RETRY_S)
            before = stretch
            mine.busy = False
            mine.done += 1

    def _feed(self, mine: _Decoding, block: Samples, *, fresh: bool) -> None:
        grammar = self._grammar
        if mine.listener is None:
            mine.listener, mine.grammar = self._make_listener(grammar), grammar
        if fresh:  # what had begun before is over
            mine.listener.mute()
            mine.listener.unmute()
        if grammar is not mine.grammar:
            mine.grammar = grammar
            try:
                mine.listener.set_grammar(grammar)
            except BadGrammar as exc:
                self._inbox.put(Trouble(str(exc)))
        mine.listener.behind_s = mine.blocks.qsize() * len(block) / EAR_RATE_HZ
        for utterance in mine.listener.feed(block):
            if self._decoding is mine:
                _log.debug("heard %r in %.2f s", utterance.alternatives[:1], utterance.latency_s)
                self._inbox.put(utterance)

    # ------------------------------------------------------------ the watch

    def _watch(self) -> None:
        seen = _Sight()
        decoder_looks, done = 0, 0
        while not self._closed.wait(LOOK_S):
            self._look_at_microphone(seen)
            decoding = self._decoding
            decoder_looks = decoder_looks + 1 if decoding.busy and decoding.done == done else 0
            done = decoding.done
            if decoder_looks >= DECODER_LOOKS:
                decoder_looks = 0
                self._replace_decoder()

    def _look_at_microphone(self, seen: _Sight) -> None:
        seen.looks = 0 if self._blocks != seen.blocks else seen.looks + 1
        seen.hung = seen.hung + 1 if seen.lost and self._openings == seen.openings else 0
        seen.blocks, seen.openings = self._blocks, self._openings
        worked = self._listening.is_set()
        if seen.looks >= (MICROPHONE_LOOKS if worked else FIRST_LOOKS) and not seen.lost:
            seen.lost, seen.back = True, MICROPHONE_BACK if worked else MICROPHONE_THERE
            self._inbox.put(Trouble(MICROPHONE_GONE if worked else NO_MICROPHONE, spoken=True))
        elif seen.lost and seen.looks == 0:
            seen.lost, seen.patience = False, HANG_LOOKS
            self._inbox.put(Trouble(seen.back, spoken=True))
        elif seen.hung >= seen.patience:
            seen.hung, seen.patience = 0, 2 * seen.patience
            self._replace_taker()

    def _replace_taker(self) -> None:
        """Leave a thread that hangs in the driver behind, and let another one take the sound."""
        _log.warning("the microphone's driver hangs; another thread takes the sound")
        self._taker += 1
        mine = self._taker
        self._run("microphone", lambda: self._take_sound(mine))

    def _replace_decoder(self) -> None:
        """Leave a decoder that hangs behind, and start another one."""
        _log.warning("the decoder hangs; another one is started")
        fresh = self._decoding = _Decoding(self._grammar)
        self._run("ear", lambda: self._decode(fresh))
        self._inbox.put(Trouble(DECODER_HUNG, spoken=True))


def told_to(inbox: Inbox) -> dict[str, Callable[..., None]]:
    """Callbacks from the mouth to the session, by their names in `MouthCallbacks` without "on"."""

    def dropped(one: Dropped) -> None:
        if one.reason == "expired" and one.announcement.key is not None:
            inbox.put(Unsaid(one.announcement.key))

    return {
        "trouble": lambda error: inbox.put(Trouble(str(error))),
        "recovered": lambda part: inbox.put(Trouble("works_again", values={"part": part})),
        "dropped": dropped,
    }


class LiveMouth:
    """The mouth as the session talks to it."""

    def __init__(self, mouth: Mouth, choose_voice: Callable[[str | None], None] = lambda _: None) -> None:
        self._mouth = mouth
        self._choose_voice = choose_voice

    def say(self, announcement: Announcement) -> None:
        """Queue an announcement."""
        self._mouth.say(announcement)

    def obey(self, control: Control) -> None:
        """Stop, answer a call, or change volume, rate or voice."""
        if control.name == "stop":
            self._mouth.stop()
        elif control.name == "voice":
            self._choose_voice(control.data["voice"])
        elif control.name == "answered":
            for key in control.data["keys"]:
                self._mouth.withdraw(key)
        elif control.name == "volume":
            (self._mouth.louder if control.data["step"] > 0 else self._mouth.softer)()
        elif control.name == "rate":
            (self._mouth.faster if control.data["step"] > 0 else self._mouth.slower)()
