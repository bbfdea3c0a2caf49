"""The live ear and mouth in their workers, as the session needs them. Wiring only."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable

from kitchenvoice import portaudio
from kitchenvoice.dialogue.turn import Control
from kitchenvoice.errors import DeviceLost, DeviceMissing
from kitchenvoice.hearing import Listener, Microphone
from kitchenvoice.ports import Announcement, ListeningGrammar, Recogniser
from kitchenvoice.session import Inbox, Trouble
from kitchenvoice.speaking import Mouth

__all__ = ["LiveEar", "LiveMouth", "SilentMouth"]

_RETRY_S = 1.0


class LiveEar:
    """Microphone to utterances, in a thread of its own; a lost microphone is tried again every second."""

    def __init__(
        self,
        recogniser: Recogniser,
        grammar: ListeningGrammar,
        inbox: Inbox,
        device: int | str | None = None,
        microphone: Callable[[int | str | None], Microphone] = Microphone,
        second: Recogniser | None = None,
    ) -> None:
        self._listener = Listener(recogniser, grammar, second=second)
        self._grammar = grammar
        self._inbox = inbox
        self._device = device
        self._open_microphone = microphone
        self._microphone: Microphone | None = None
        self._closed = threading.Event()
        self._listening = threading.Event()
        self._speaking = threading.Event()
        self._thread = threading.Thread(target=self._work, name="ear", daemon=True)

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def wait_until_listening(self, seconds: float) -> bool:
        """Wait for the first sound from the microphone; False if none came in time."""
        return self._listening.wait(seconds)

    def listen_for(self, grammar: ListeningGrammar) -> None:
        """Change what is listened for, from the next utterance on."""
        if grammar is not self._grammar:
            self._grammar = grammar
            self._listener.set_grammar(grammar)

    def while_speaking(self, speaking: bool) -> None:
        """Shut the ear while our own voice is in the air (half duplex)."""
        if speaking:
            self._speaking.set()
            self._listener.mute()
        else:
            self._speaking.clear()
            self._listener.unmute()

    def close(self) -> None:
        """Stop listening."""
        self._closed.set()
        if self._microphone is not None:
            self._microphone.close()

    def _work(self) -> None:
        told = False
        while not self._closed.is_set():
            try:
                self._microphone = self._open_microphone(self._device)
                for block in self._microphone.blocks():
                    self._listening.set()
                    if told:
                        told = False
                        self._inbox.put(Trouble("The microphone is back.", spoken=True))
                    for utterance in self._listener.feed(block):
                        self._inbox.put(utterance)
            except (DeviceLost, DeviceMissing) as exc:
                if not told:
                    told = True
                    self._inbox.put(Trouble(str(exc), spoken=True))
                self._listener.mute()
                self._closed.wait(_RETRY_S)
                with contextlib.suppress(DeviceLost, DeviceMissing):
                    portaudio.reinitialise()
                if not self._speaking.is_set():
                    self._listener.unmute()


class LiveMouth:
    """The mouth as the session talks to it."""

    def __init__(self, mouth: Mouth) -> None:
        self._mouth = mouth

    def say(self, announcement: Announcement) -> None:
        """Queue an announcement."""
        self._mouth.say(announcement)

    def obey(self, control: Control) -> None:
        """Stop, answer a call, or change volume or rate."""
        if control.name == "stop":
            self._mouth.stop()
        elif control.name == "answered":
            for key in control.data["keys"]:
                self._mouth.answer(key=key)
                self._mouth.withdraw(key)
        elif control.name == "volume":
            (self._mouth.louder if control.data["step"] > 0 else self._mouth.softer)()
        elif control.name == "rate":
            (self._mouth.faster if control.data["step"] > 0 else self._mouth.slower)()


class SilentMouth:
    """A mouth that says nothing: the answers are on the screen."""

    def say(self, announcement: Announcement) -> None:
        """Say nothing."""

    def obey(self, control: Control) -> None:
        """Change nothing."""
