"""The boards of a live session: pictures of the conversation for them, and their start and end."""

from __future__ import annotations

import logging
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from kitchenvoice.app.session import Answered, Inbox, Look, Show, Trouble
from kitchenvoice.board import BoardAddress, LatestSnapshot, Snapshot, TalkLine, readings_of
from kitchenvoice.clock import SystemClock
from kitchenvoice.dialogue import frames, steering
from kitchenvoice.dialogue.choosing import stage_text
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.dialogue.filling import load_name
from kitchenvoice.dialogue.step_words import step_caution, step_text
from kitchenvoice.errors import BoardMissing
from kitchenvoice.language import capital
from kitchenvoice.terminal import Screen

if TYPE_CHECKING:
    from kitchenvoice.board.access import AccessControl

__all__ = ["Boards", "Watch", "picture"]

_UNKNOWN = re.compile(r"(\[unk\]\s*)+")

_log = logging.getLogger(__name__)


def picture(conversation: Conversation, t: float, lines: Watch | None = None) -> Snapshot:
    """Return everything a board may show of a conversation at `t`."""
    talk = conversation.talk
    loads = talk.kitchen.open_loads
    question = talk.question if talk.question is not None and talk.question.pressing else None
    return Snapshot(
        t=t,
        kitchen=talk.kitchen,
        names={load.id: load_name(talk, load) for load in loads},
        stages={load.id: capital(stage_text(talk, load)) for load in loads},
        steps={load.id: step_text(talk, load) for load in loads},
        cautions={load.id: step_caution(talk, load) for load in loads},
        readings=readings_of(talk.history),
        focus=None if talk.focus is None else talk.focus.id,
        phrases=steering.phrases(talk),
        question="" if question is None else frames.words(talk, question),
        answers="" if question is None else steering.answers(talk, question),
        attention=talk.profile.attention,
        language=talk.profile.language,
        asleep=talk.asleep,
        heard=None if lines is None else lines.heard,
        said=None if lines is None else lines.said,
        trouble=None if lines is None else lines.trouble,
    )


class Watch:
    """Follows a session for the boards: recent utterances and replies, and a snapshot after each turn."""

    def __init__(self, latest: LatestSnapshot) -> None:
        self._latest = latest
        self.heard: TalkLine | None = None
        self.said: TalkLine | None = None
        self.trouble: TalkLine | None = None
        self._new: list[tuple[str, str, bool]] = []

    def follow(self, show: Show) -> Show:
        """Return a `show` that tells us as well."""

        def both(who: str, text: str, event: str | None) -> None:
            show(who, text, event)
            if text and who in ("heard", "ignored", "kitchenvoice", "trouble"):
                self._new.append((who, text, who != "ignored" and not (who == "heard" and event is None)))

        return both

    def look(self, conversation: Conversation, t: float) -> None:
        """Store the present picture. Trouble with it is logged and stops nobody; the boards then tell they are old."""
        try:
            self._take_new(t)
            self._latest.put(picture(conversation, t, self))
        except Exception:
            _log.exception("there is no picture for the boards")

    def _take_new(self, t: float) -> None:
        new, self._new = self._new, []
        for who, text, taken in new:
            if who in ("heard", "ignored"):
                self.heard = TalkLine(text=_UNKNOWN.sub("… ", text).strip(), t=t, taken=taken)
            elif who == "trouble":
                self.trouble = TalkLine(text=text, t=t)
        said = " ".join(text for who, text, _ in new if who == "kitchenvoice")
        if said:
            self.said = TalkLine(text=said, t=t)


class _Shown(Protocol):
    """A board that is up."""

    def close(self) -> None:
        """Take it down."""


class Boards:
    """The boards of one session: page, terminal, both or none. With none, every method does nothing."""

    def __init__(self, address: BoardAddress | None, *, terminal: bool, screen: Screen) -> None:
        self._address = address
        self._terminal = terminal
        self._screen = screen
        self._up: list[_Shown] = []
        self._clock = SystemClock()
        self._latest = LatestSnapshot(lambda: self._clock.now().elapsed)
        self._watch = Watch(self._latest)

    def follow(self, show: Show) -> Show:
        """Return a `show` that tells the boards as well."""
        return self._watch.follow(show) if self._address is not None or self._terminal else show

    @property
    def look(self) -> Look | None:
        """Return the hook for the session to call after each turn; `None` without a board."""
        return self._watch.look if self._address is not None or self._terminal else None

    def open(self, inbox: Inbox, folder: Path) -> None:
        """Put the boards up. One that can't be had is one sentence, and the session goes on without it."""
        if self._address is not None:
            try:
                self._serve(self._address, inbox, folder)
            except BoardMissing as exc:
                inbox.put(Trouble(str(exc), spoken=True))
            except ImportError:
                inbox.put(Trouble("no_server", spoken=True))
        if self._terminal:
            self._draw()

    def close(self) -> None:
        """Take the boards down; waits two seconds at most for each."""
        for shown in reversed(self._up):
            shown.close()
        self._up.clear()

    def _serve(self, address: BoardAddress, inbox: Inbox, folder: Path) -> None:
        from kitchenvoice.board.server import BoardServer

        make_access = (lambda: self._access(folder)) if address.needs_code else None
        server = BoardServer(address, self._latest, lambda key: inbox.put(Answered(key)), make_access)
        server.start()
        self._up.append(server)
        human = f"Board: {server.url}"
        if address.needs_code:  # a tablet reads it
            from kitchenvoice.board.qr_code import qr_code

            human = f"{qr_code(server.url)}\n{human}"
        self._screen.put({"who": "start", "text": server.url, "event": "board"}, human)

    def _access(self, folder: Path) -> AccessControl:
        from kitchenvoice.board.access import AccessControl

        def tell(code: str) -> None:
            human = f"Code for the next board: {code}"
            self._screen.put({"who": "start", "text": code, "event": "board_code"}, human)

        def warn(text: str) -> None:
            self._screen.put({"who": "start", "text": text, "event": "board_warning"}, f"! {text}")

        return AccessControl(self._clock.now, tell, folder, warn)

    def _draw(self) -> None:
        from kitchenvoice.board.terminal_board import TerminalBoard

        board = TerminalBoard(self._latest, _write)
        board.start()
        self._up.append(board)


def _write(text: str) -> None:
    sys.stdout.write(text)
    sys.stdout.flush()
