"""Questions that are open: the one place where a question opens, waits, is parked, repeats, lapses and closes.

A frame is plain data. What it asks, takes, and does without an answer are functions of its kind: `yes_no`, `which`
load, `form`, `check` of the stove, `loss` to confirm, `step`. While its window is open the wake phrase isn't needed; it
is said once more, then waits to be called until it is stale. A frame that our own question about the stove pushes aside
comes back; one that a command pushes aside only if it is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency

if TYPE_CHECKING:
    from kitchenvoice.dialogue.context import Talk

__all__ = ["Frame", "Kind", "again", "ask", "cancel", "close", "resume", "run_out", "take", "wait_on", "words"]

_ANSWER_WINDOW_S = 20.0
_STALE_S = 600.0
_LETTERS_PER_S = 13.0
_URGENT = frozenset({"check", "loss"})
_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """One open question.

    `about` tells what of its kind it asks; `expects` names the answers that the grammar should know. `said` is the
    sentence that waits for the answer, `load` the load it is about, `values` what is known already, `kept` that a
    command doesn't end it. `prompted` counts how often it was said; times are POSIX seconds.
    """

    kind: str
    about: str
    expects: str
    prompt: str
    load: int | None = None
    said: Heard | None = None
    values: Mapping[str, Any] = field(default_factory=lambda: _NOTHING)
    kept: bool = False
    prompted: int = 0
    window_t: float = 0.0
    stale_t: float = 0.0

    @property
    def passive(self) -> bool:
        """True if nothing was asked aloud: it isn't repeated, and gives way to any other."""
        return self.kind == "step" or (self.kind == "stands" and self.about == "report")

    @property
    def pressing(self) -> bool:
        """True while an answer is still waited for, so that another question has to wait."""
        return self.prompted < 2 and not self.passive

    @property
    def of_stove(self) -> bool:
        """True if it asks what the stove does now."""
        return self.kind == "check" or self.expects in ("gauge_reading", "weight_check", "boil_check", "steam_check")

    @property
    def doubt(self) -> int | None:
        """The doubt that the answer settles, if any."""
        doubt = self.values.get("doubt")
        return doubt if isinstance(doubt, int) else None

    @property
    def heard(self) -> str:
        """The words that are asked about, if they are."""
        return str(self.values.get("as_heard") or "")

    def same(self, other: Frame) -> bool:
        """Tell whether both ask the same."""
        if self.doubt is not None or other.doubt is not None:
            return self.doubt == other.doubt
        return (self.kind, self.about, self.load) == (other.kind, other.about, other.load)


@dataclass(frozen=True, slots=True)
class Kind:
    """What the frames of one kind do. `take` tells whether it was an answer; `prompt` is what is asked now, nothing if
    there is nothing left to ask; `lapse` follows two unanswered windows, `cancel` a "never mind". `again` asks anew.
    `intents` are whole sentences that answer it without the wake phrase.
    """

    take: Callable[[Talk, Frame, Heard], bool]
    prompt: Callable[[Talk, Frame], str]
    lapse: Callable[[Talk, Frame], None]
    cancel: Callable[[Talk, Frame], None]
    intents: Callable[[Talk, Frame], frozenset[str]]
    again: Callable[[Talk, Frame], None] | None = None


def _window_s(text: str) -> float:
    """How long an answer is waited for: the time it takes to say the question, and twenty seconds."""
    return _ANSWER_WINDOW_S + len(text) / _LETTERS_PER_S


# ---------------------------------------------------------------- opening and closing


def ask(talk: Talk, frame: Frame, *, spoken: bool = True) -> None:
    """Open a question over the one before, which waits if it is kept, or if ours is urgent."""
    before = talk.question
    waiting = [*talk.parked, *([] if before is None or before.passive else [before])]
    if frame.kind not in _URGENT:
        other_forms = not frame.kept or frame.about == "altitude"
        waiting = [each for each in waiting if each.doubt is not None or (each.kept and other_forms)]
    talk.parked = tuple(each for each in waiting if not frame.same(each))
    if spoken:
        frame = replace(frame, prompted=min(frame.prompted, 1))
        talk.speak(frame.prompt, Urgency.READBACK)
    said_s = talk.letters / _LETTERS_PER_S
    talk.question = replace(frame, window_t=talk.t + _ANSWER_WINDOW_S + said_s, stale_t=talk.t + _STALE_S)
    talk.attention_until = 0.0


def close(talk: Talk, frame: Frame) -> None:
    """Close a question, open or parked."""
    if talk.question is not None and talk.question.same(frame):
        talk.question = None
    talk.parked = tuple(each for each in talk.parked if not each.same(frame))


def again(talk: Talk, frame: Frame) -> None:
    """Ask once more, by what is so now; a question that has nothing left to ask is closed."""
    kind = talk.kinds[frame.kind]
    prompt = kind.prompt(talk, frame)
    if not prompt:
        close(talk, frame)
    elif kind.again is not None:
        close(talk, frame)
        kind.again(talk, frame)
    else:
        ask(talk, replace(frame, prompt=prompt))


def wait_on(talk: Talk, frame: Frame) -> None:
    """Leave a question time for another answer."""
    talk.question = replace(frame, window_t=max(frame.window_t, talk.t + _window_s(frame.prompt)))


def words(talk: Talk, frame: Frame) -> str:
    """Return a question as it is asked now: a time in it has gone on."""
    return talk.kinds[frame.kind].prompt(talk, frame) or frame.prompt


def take(talk: Talk, heard: Heard) -> bool:
    """Give the open question what was heard; tell whether it was an answer."""
    frame = talk.question
    return frame is not None and talk.kinds[frame.kind].take(talk, frame, heard)


def cancel(talk: Talk) -> None:
    """Drop the open question."""
    frame = talk.question
    if frame is not None:
        talk.question = None
        talk.kinds[frame.kind].cancel(talk, frame)


# ---------------------------------------------------------------- what waits


def settle(talk: Talk) -> None:
    """Forget what has nothing left to ask."""
    if talk.question is not None and not talk.kinds[talk.question.kind].prompt(talk, talk.question):
        talk.question = None
    talk.parked = tuple(each for each in talk.parked if talk.kinds[each.kind].prompt(talk, each))


def resume(talk: Talk) -> bool:
    """Ask what was pushed aside last, unless a question presses; tell whether one is open now."""
    settle(talk)
    while not (talk.question is not None and talk.question.pressing) and talk.parked:
        frame, talk.parked = talk.parked[-1], talk.parked[:-1]
        if frame.doubt is not None or frame.kind == "form":
            again(talk, replace(frame, prompted=min(frame.prompted, 1)))
        elif talk.t <= frame.stale_t and (frame.kept or frame.prompted < 2):
            ask(talk, replace(frame, prompt=words(talk, frame), prompted=min(frame.prompted, 1)))
        if talk.question is not None:
            return True
    return talk.question is not None and talk.question.pressing


def run_out(talk: Talk, t: float) -> None:
    """Repeat an unanswered question once, then wait to be called; a question too old is dropped."""
    frame = talk.question
    if frame is None:
        return
    if frame.prompted == 0 and t > frame.window_t:
        talk.t = max(talk.t, frame.window_t)
        prompt = talk.kinds[frame.kind].prompt(talk, frame)
        if not prompt:
            close(talk, frame)
            return
        talk.speak(prompt, Urgency.GUIDANCE)
        frame = replace(frame, prompt=prompt, prompted=1, window_t=talk.t + _window_s(prompt))
        talk.question = frame
    if frame.prompted == 1 and t > frame.window_t:
        talk.t = max(talk.t, frame.window_t)
        talk.question = frame = replace(frame, prompted=2)
        talk.kinds[frame.kind].lapse(talk, frame)
    if frame.prompted == 2 and t > frame.stale_t and talk.question == frame:
        talk.question = None
