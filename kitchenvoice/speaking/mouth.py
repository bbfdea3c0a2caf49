"""The speaking worker: takes turns from the announcer, renders and plays them, and reports when to mute the ear.

`step` does one piece of work and can be called directly with a simulated clock; `start` runs it in a thread. Callbacks
come from that thread (`on_speaking` just before the first sample), never with a lock held, so they may call back.
"""

from __future__ import annotations

import logging
import math
import threading
from collections import deque
from collections.abc import Callable
from functools import partial

from kitchenvoice.errors import DeviceLost, DeviceMissing, KitchenVoiceError, VoiceMissing
from kitchenvoice.ports import Announcement, Player, Sound, Synthesiser
from kitchenvoice.speaking.announcer import Announcer
from kitchenvoice.speaking.callbacks import MouthCallbacks
from kitchenvoice.speaking.levels import levelled
from kitchenvoice.speaking.rendering import TONE_WITHOUT_VOICE, Part, Saying, in_thread
from kitchenvoice.speaking.settings import MouthSettings
from kitchenvoice.speaking.tones import ALARM_TONES, TONE_RATE_HZ, TONES

__all__ = ["TAIL_S", "Mouth"]

TAIL_S = 0.4
"""Silence after the last sample left the device until the ear may open: echo of the room. A judgement."""
RETRY_S = 1.0
LOOK_S = 0.25
NOTHING = Sound(TONES["attention"].samples[:0], TONE_RATE_HZ)
UNEXPECTED = "The speaker stopped in the middle of a sentence. Check its plug; it is tried again every second."
NO_WORDS = "The voice failed. Look at the board for what it would have said, and start kitchenvoice again."

_log = logging.getLogger(__name__)


class Mouth:
    """Say announcements one at a time, the most urgent first. Thread-safe; no call blocks."""

    def __init__(
        self,
        synthesiser: Synthesiser,
        player: Player,
        now: Callable[[], float],
        *,
        callbacks: MouthCallbacks | None = None,
        settings: MouthSettings | None = None,
        run: Callable[[Callable[[], None]], None] = in_thread,
    ) -> None:
        """Tie the parts together; `now` gives elapsed seconds, `run` does the rendering outside the mouth's thread."""
        self._synthesiser = synthesiser
        self._player = player
        self._now = now
        self._tell = callbacks or MouthCallbacks()
        self._settings = settings or MouthSettings()
        self._run = run
        self._announcer = Announcer()
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._quiet = threading.Event()
        self._quiet.set()
        self._ends: deque[tuple[int, bool]] = deque()
        self._reports: deque[Callable[[], None]] = deque()
        self._saying: Saying | None = None
        self._play_ids = 0
        self._speaking = False
        self._silent_since_t: float | None = None
        self._retry_t: float | None = None
        self._voice_fails = False
        self._speaker_fails = False
        self._closed = False
        self._thread: threading.Thread | None = None
        synthesiser.set_rate_wpm(self._settings.rate_wpm)

    # ------------------------------------------------------------ requests of the session

    def say(self, announcement: Announcement) -> None:
        """Say this as soon as its urgency allows, while it is true."""
        with self._lock:
            self._quiet.clear()
            self._announcer.submit(announcement, self._now())
        self._wake.set()

    def stop(self) -> tuple[Announcement, ...]:
        """Fall silent at once; return the unsaid. A call or caution cut short comes back."""
        with self._lock:
            dropped = self._announcer.stop(self._now())
            self._saying = None
        self._player.stop()
        self._wake.set()
        return dropped

    def withdraw(self, key: str) -> bool:
        """Take back a call that was answered or has lost its point; False if none with this key is still to be said."""
        with self._lock:
            return self._announcer.withdraw(key)

    @property
    def busy(self) -> bool:
        """True during a sound and the tail after it: the microphone would hear ourselves."""
        return self._speaking

    @property
    def pending(self) -> tuple[Announcement, ...]:
        """What waits to be said, in order."""
        with self._lock:
            return self._announcer.pending

    @property
    def settings(self) -> MouthSettings:
        """Volume and rate."""
        return self._settings

    def change(self, settings: MouthSettings) -> bool:
        """Use these settings from the next sentence on; False if they are unchanged (the bound is reached)."""
        if settings == self._settings:
            return False
        self._settings = settings
        self._synthesiser.set_rate_wpm(settings.rate_wpm)
        return True

    def louder(self) -> bool:
        """Raise the volume by a step; False at the bound."""
        return self.change(self._settings.louder())

    def softer(self) -> bool:
        """Lower the volume by a step; False at the bound."""
        return self.change(self._settings.louder(-1))

    def faster(self) -> bool:
        """Raise the rate by a step; False at the bound."""
        return self.change(self._settings.faster())

    def slower(self) -> bool:
        """Lower the rate by a step; False at the bound."""
        return self.change(self._settings.faster(-1))

    def note_lost(self, error: KitchenVoiceError) -> None:
        """Note that the player's device was lost; meant for `SpeakerPlayer(on_lost=...)`."""
        with self._lock:
            self._note_speaker(error)
        self._wake.set()

    # ------------------------------------------------------------ running

    def start(self) -> None:
        """Start the mouth's thread."""
        self._thread = threading.Thread(target=self._work, name="mouth", daemon=True)
        self._thread.start()

    def finish(self, patience_s: float = 10.0) -> bool:
        """Wait until everything due has been said; False on time-out, or if there is no speaker."""
        return self._quiet.wait(0.0 if self._speaker_fails else patience_s)

    def close(self) -> None:
        """Fall silent and end the thread; the player stays open, for its owner to close. Safe to call twice."""
        self._closed = True
        self._wake.set()
        if self._thread is not None and self._thread is not threading.current_thread():
            self._thread.join(5.0)
        self._player.stop()

    def _work(self) -> None:
        while not self._closed:
            try:
                pause_s = self.step()
            except Exception:  # nothing may end this thread: silence is the second worst failure
                _log.exception("the mouth goes on after an error of its own")
                pause_s = LOOK_S
            self._wake.wait(min(pause_s, LOOK_S))
            self._wake.clear()

    def step(self) -> float:
        """Do what is due now; return the seconds until something will be due, infinite if nothing will by itself."""
        t = self._now()
        with self._lock:
            self._settle_ends(t)
            cut = self._take_turn(t)
            part = self._next_part(t)
        if cut:
            self._player.stop()
        self._report()
        if part is not None:
            self._play(part)
        elif self._speaker_fails and t >= (self._retry_t or t):
            self._try_speaker(t)
        with self._lock:
            self._close_mouth(self._now())
            self._reports.extend(partial(self._tell.on_dropped, one) for one in self._announcer.take_dropped())
            pause_s = self._pause_s(self._now())
        self._report()
        return pause_s

    # ------------------------------------------------------------ parts of one step

    def _settle_ends(self, t: float) -> None:
        """Process the sounds that have ended since the last step."""
        while self._ends:
            play_id, finished = self._ends.popleft()
            saying = self._saying
            if saying is None or saying.play_id != play_id:
                continue  # of a turn that was cut short
            self._silent_since_t = t
            if not finished:
                self._give_up(t, DeviceLost(UNEXPECTED))
            elif saying.stage == "tone" and not (saying.failure or not saying.turn.announcement.text):
                saying.stage = "words"
            else:
                self._complete(saying)

    def _complete(self, saying: Saying) -> None:
        self._announcer.finished()
        self._saying = None
        text = saying.turn.announcement.text
        if saying.failure is None and text:
            self._reports.append(lambda: self._tell.on_spoken(text))

    def _take_turn(self, t: float) -> bool:
        """Begin the due announcement; True if another has to be cut short for it."""
        if self._retry_t is not None and t < self._retry_t:
            return False
        turn = self._announcer.next(t)
        if turn is None:
            return False
        cut = self._saying is not None and self._saying.play_id > 0
        tone = turn.announcement.tone
        self._saying = Saying(turn, tone if tone in TONES else None)
        return cut

    def _next_part(self, t: float) -> Part | None:
        saying = self._saying
        if saying is None:
            return None
        announcement = saying.turn.announcement
        if not saying.rendering:
            saying.rendering = True
            if announcement.text:
                self._run(lambda: self._render(saying))
            else:
                saying.words = NOTHING
        if saying.stage == "new":
            saying.stage = "tone" if saying.tone is not None else "words"
            if saying.tone is not None:
                return self._tone_part(saying, saying.tone)
        if saying.stage != "words":
            return None
        if saying.failure is not None:
            return self._without_voice(saying)
        if saying.words is None:
            return None
        if not self._announcer.still_true(t):  # tone and rendering have taken too long
            self._saying, self._silent_since_t = None, t
            return None
        saying.stage = "playing"
        gain = self._settings.speech_gain(announcement)
        return Part(saying.words, gain, saying, first=saying.tone is None)

    def _tone_part(self, saying: Saying, tone: str) -> Part:
        return Part(TONES[tone], self._settings.tone_gain(tone in ALARM_TONES), saying, first=True)

    def _without_voice(self, saying: Saying) -> Part | None:
        """Play a tone in place of words that can't be spoken; chat is dropped."""
        tone = TONE_WITHOUT_VOICE.get(saying.turn.announcement.urgency)
        if saying.tone is None and tone is not None:
            saying.tone, saying.stage = tone, "tone"
            return self._tone_part(saying, tone)
        self._complete(saying)
        self._wake.set()
        return None

    def _render(self, saying: Saying) -> None:
        """Render the words outside the mouth's thread, so that a slow voice never delays an alarm."""
        failure: KitchenVoiceError | None = None
        words: Sound | None = None
        try:
            words = levelled(self._synthesiser.render(saying.turn.announcement.text))
        except Exception as exc:  # whatever it is, a tone has to stand in for the words
            failure = exc if isinstance(exc, KitchenVoiceError) else VoiceMissing(NO_WORDS)
            if failure is not exc:
                _log.exception("the voice failed in a way of its own")
        saying.words, saying.failure = words, failure
        if failure is not None and not self._voice_fails:
            self._reports.append(lambda: self._tell.on_trouble(failure))
        elif failure is None and self._voice_fails:
            self._reports.append(lambda: self._tell.on_recovered("voice"))
        self._voice_fails = failure is not None
        self._wake.set()

    def _play(self, part: Part) -> None:
        saying = part.saying
        self._play_ids += 1
        play_id = saying.play_id = self._play_ids
        out_of_order = self._speaker_fails  # then it is only a trial, and the ear stays open
        if not out_of_order:
            self._begin(part)
        try:
            self._player.play(part.sound, gain=part.gain, on_end=lambda finished: self._ended(play_id, finished))
        except Exception as exc:  # whatever it is, the speaker has to be tried again
            error = exc if isinstance(exc, (DeviceLost, DeviceMissing)) else DeviceLost(UNEXPECTED)
            if error is not exc:
                _log.exception("the player failed in a way of its own")
            with self._lock:
                if self._saying is saying:
                    self._give_up(self._now(), error)
            return
        if out_of_order:
            self._begin(part)
        with self._lock:
            overtaken = self._saying is not saying
            self._note_speaker_works()
        if overtaken:
            self._player.stop()

    def _try_speaker(self, t: float) -> None:
        """Probe a lost speaker although there is nothing to say: the next thing may be an alarm."""
        self._retry_t = t + RETRY_S
        try:
            self._player.play(NOTHING)
        except Exception:  # whatever it is, it was reported when the speaker was lost
            _log.debug("the speaker isn't back yet", exc_info=True)
            return
        with self._lock:
            self._note_speaker_works()

    def _begin(self, part: Part) -> None:
        if not self._speaking:
            self._speaking = True
            _guarded(partial(self._tell.on_speaking, True))
        if part.first:
            _guarded(partial(self._tell.on_started, part.saying.turn.announcement))

    def _ended(self, play_id: int, finished: bool) -> None:
        self._ends.append((play_id, finished))
        self._wake.set()

    def _give_up(self, t: float, error: KitchenVoiceError) -> None:
        """Keep announcements that the speaker failed to play."""
        self._announcer.interrupted()
        self._saying = None
        self._silent_since_t = t
        self._retry_t = t + RETRY_S
        self._note_speaker(error)

    def _note_speaker(self, error: KitchenVoiceError) -> None:
        if not self._speaker_fails:
            self._speaker_fails = True
            self._reports.append(lambda: self._tell.on_trouble(error))

    def _note_speaker_works(self) -> None:
        if self._speaker_fails:
            self._speaker_fails = False
            self._reports.append(lambda: self._tell.on_recovered("speaker"))

    def _close_mouth(self, t: float) -> None:
        if self._saying is not None:
            return
        if self._speaking:
            since_t = self._silent_since_t if self._silent_since_t is not None else t
            self._silent_since_t = since_t
            if t - since_t < TAIL_S:
                return
            self._speaking = False
            self._silent_since_t = None
            self._reports.append(lambda: self._tell.on_speaking(False))
        if self._announcer.due_in_s(t) != 0.0:
            self._quiet.set()

    def _pause_s(self, t: float) -> float:
        waits = [math.inf]
        if self._speaker_fails:
            waits.append((self._retry_t or t) - t)
        if self._saying is None:
            due_s = self._announcer.due_in_s(t)
            if due_s is not None:
                waits.append(max(due_s, (self._retry_t or t) - t))
            if self._speaking:
                waits.append(TAIL_S - (t - (self._silent_since_t if self._silent_since_t is not None else t)))
        return max(0.0, min(waits))

    def _report(self) -> None:
        while self._reports:
            _guarded(self._reports.popleft())


def _guarded(report: Callable[[], None]) -> None:
    """Call a callback; a bug in it must not silence the kitchen."""
    try:
        report()
    except Exception:
        _log.exception("the mouth goes on after an error in a callback")
