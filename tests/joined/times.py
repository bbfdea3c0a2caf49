"""Which durations a sentence holds that go on while nobody speaks, and whether they are true: by its words alone.

Shares nothing with what words them but the reading of number words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.grammar.numbers import mixed

__all__ = ["Witness"]

_UNIT_S = {"second": 1.0, "minute": 60.0, "hour": 3600.0, "day": 86_400.0}
_NUMBER = (
    r"(?:(?:zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen"
    r"|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred|half|and a half) ?)+"
)
_ONE = rf"(?:half an? |{_NUMBER} ?)(?:second|minute|hour|day)s?"
_TIME = rf"(?P<time>{_ONE}(?: and {_ONE})?)"
_LEFT = (
    rf"{_TIME}(?: of (?:the )?(?:hold|boil|venting|wait|rest|twenty four hours))? (?:left|to go|to wait|still to)",
)
_SINCE = (
    rf"ended (?:at least )?{_TIME} ago",
    rf"has waited (?:at least )?{_TIME} for",
    rf"{_TIME} ago you reported",
    rf"the last report is {_TIME} old",
    rf"no report for {_TIME}",
    rf"{_TIME} ago i said",
)
_TRUE_S = 60.0
"""To the minute."""


def _seconds(text: str) -> float:
    """Read "one hour and ten minutes", "half an hour", "two and a half minutes"."""
    total, number = 0.0, []
    for word in text.split():
        unit = _UNIT_S.get(word.removesuffix("s"))
        if unit is None:
            number.append(word)
            continue
        number = number[1:] if number[0] == "and" else number
        total += unit * (0.5 if number[0] == "half" else mixed(tuple(number)))
        number = []
    return total


def _plain(text: str) -> str:
    """Return the words alone; what stands between two sentences or parts of one stands between them here too."""
    return re.sub("[^a-z |]", "", re.sub(r"[.?!:;,]", " | ", text.lower()))


def _as_of_now(said: str) -> str:
    """Leave out what is quoted from before; how long ago that was is of now."""
    quote = re.search("ago i said", said)
    return said if quote is None else said[: quote.end()]


def _found(patterns: tuple[str, ...], text: str) -> Iterator[tuple[str, float]]:
    for pattern in patterns:
        for match in re.finditer(pattern, text):
            yield match[0], _seconds(match["time"])


@dataclass
class Witness:
    """Sees all that a kitchen times as the day goes on, and holds what is said against it."""

    ends: dict[float, float] = field(default_factory=dict)
    """When each timer's time is up, and when that was last so."""
    begins: set[float] = field(default_factory=set)
    """Since when calls wait, reports are old, and things were said."""

    def look(self, conversation: Conversation, t: float) -> None:
        """Note what runs and what waits."""
        kitchen = conversation.talk.kitchen
        timers = [*kitchen.timers, *(timer for load in kitchen.loads for timer in load.timers)]
        self.ends.update((timer.due_t, t) for timer in timers)
        reports = [at for load in kitchen.loads for at in (load.heard_t, load.last_psi_t) if at is not None]
        self.begins.update([*(call.since_t for call in kitchen.calls), *reports])

    def untrue(self, text: str, t: float) -> list[str]:
        """Return what isn't true to the minute in a text that begins to sound at `t`."""
        said = _as_of_now(_plain(text))
        left = {max(0.0, end - t) for end, seen_t in self.ends.items() if seen_t > t - _TRUE_S}
        since = {t - begin for begin in self.begins}
        faults = []
        for truths, patterns in ((left, _LEFT), (since, _SINCE)):
            for phrase, seconds in _found(patterns, said):
                nearest = min(truths, key=lambda truth, seconds=seconds: abs(truth - seconds), default=float("nan"))
                if not abs(nearest - seconds) <= _TRUE_S:
                    faults.append(f"{phrase!r}, and it is {nearest:.0f} s")
        return faults

    def timed(self, text: str) -> int:
        """Return how many such durations a text holds."""
        return sum(1 for _ in _found((*_LEFT, *_SINCE), _as_of_now(_plain(text))))
