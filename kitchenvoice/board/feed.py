"""Messages to one page: first everything, then what changed, and the clocks each time. Pure.

A message is a server-sent event (WHATWG HTML, section 9.2) with one JSON object:
`sent` is the server's monotonic clock in seconds; `live`; `left` the seconds left and in all of each clock; `parts` the
HTML of what changed; `step` and `call` the words for a screen reader if they changed; `ended` at the end.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import partial

from kitchenvoice.board.page import left_of, regions
from kitchenvoice.board.view import View

__all__ = ["Feed"]


_BLANK = partial(regions, times=False)


class Feed:
    """The messages to one page. `parts_of` returns the parts of a view, with blank clocks."""

    def __init__(self, parts_of: Callable[[View], Mapping[str, str]] = _BLANK) -> None:
        self._parts_of = parts_of
        self._parts: Mapping[str, str] = {}
        self._told: dict[str, str] = {}

    def message(self, view: View, sent_s: float) -> bytes:
        """Return the next message."""
        parts = self._parts_of(view)
        told = {"step": _step(view), "call": _calls(view)}
        fields = {
            "sent": round(sent_s, 3),
            "live": view.live,
            "left": left_of(view),
            "parts": {name: html for name, html in parts.items() if self._parts.get(name) != html},
            **{name: text for name, text in told.items() if self._told.get(name) != text},
        }
        self._parts, self._told = parts, told
        return _event(fields)

    def is_news(self, view: View) -> bool:
        """True if anything but the time has changed since the last message."""
        return self._parts_of(view) != self._parts

    @staticmethod
    def ended() -> bytes:
        """Return the last message of a session that ends normally."""
        return _event({"ended": True})


def _event(fields: Mapping[str, object]) -> bytes:
    return f"data: {json.dumps(fields, ensure_ascii=False)}\n\n".encode()


def _step(view: View) -> str:
    """Return the words of the current step, with its load where there are several."""
    load = next((each for each in view.loads if each.here), view.loads[0] if len(view.loads) == 1 else None)
    if load is None:
        return ""
    return " ".join(part for part in (f"{load.name}.", load.caution, load.step) if part)


def _calls(view: View) -> str:
    return " ".join(f"{call.name} {call.text}. {call.do}".strip() for call in view.calls)
