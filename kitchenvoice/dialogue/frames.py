"""Questions that are open: the one place where a question opens, waits, is parked, repeats, lapses and closes.

While its window is open the wake phrase isn't needed; it is said once more, then waits to be called until it is stale.
A frame that our own question about the stove pushes aside comes back; one that a command pushes aside only if it is
kept.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.ports import Urgency

__all__ = [
    "again",
    "ask",
    "ask_yes_no",
    "cancel",
    "close",
    "due",
    "give_way",
    "resume",
    "run_out",
    "take",
    "wait_on",
    "words",
]

_ANSWER_WINDOW_S = 20.0
_STALE_S = 600.0
_LETTERS_PER_S = 13.0
_URGENT = frozenset({"check", "loss"})
_OF_WORDS = frozenset({"kept", "of_size"})
"""Questions about the words that were just said: that they weren't understood isn't told beside them."""


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
    if spoken and (frame.kind == "loss" or frame.about in _OF_WORDS):
        doubts = [each for each in talk.kitchen.doubts if each.id == frame.doubt]
        talk.quote(already=frame.about != "kept" and all("words" in each.data for each in doubts))
    if spoken:
        frame = replace(frame, prompted=min(frame.prompted, 1))
        talk.speak(frame.prompt, Urgency.READBACK)
    said_s = talk.letters / _LETTERS_PER_S
    talk.question = replace(frame, window_t=talk.t + _ANSWER_WINDOW_S + said_s, stale_t=talk.t + _STALE_S)
    talk.attention_until = 0.0


def ask_yes_no(
    talk: Talk, about: str, prompt: str, said: Heard, load: int | None = None, *, kept: bool = False, as_heard: str = ""
) -> None:
    """Ask for a yes to what was said; only yes is a yes, and then it counts. `as_heard`: the words asked about."""
    frame = Frame(kind="yes_no", about=about, expects="yes_no", prompt=prompt, load=load, said=said, kept=kept)
    ask(talk, replace(frame, values={"as_heard": as_heard} if as_heard else {}))


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


def give_way(talk: Talk) -> None:
    """Drop a question which load is meant, of no doubt: a name would be of what was said now."""
    if talk.question is not None and talk.question.kind == "which" and talk.question.doubt is None:
        talk.question = None


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
    """After `settle`, ask what was pushed aside last, unless a question presses; tell whether one is open now."""
    while not (talk.question is not None and talk.question.pressing):
        idle = talk.question is None or talk.question.passive  # somebody is there: a pause is over
        frame = next((each for each in reversed(talk.parked) if idle or not each.rests(talk.t)), None)
        if frame is None:
            break
        talk.parked = tuple(each for each in talk.parked if each is not frame)
        if frame.doubt is not None or frame.kind == "form":
            again(talk, replace(frame, prompted=min(frame.prompted, 1)))
        elif talk.t <= frame.stale_t and (frame.kept or frame.prompted < 2):
            ask(talk, replace(frame, prompt=words(talk, frame), prompted=min(frame.prompted, 1)))
        if talk.question is not None:
            return True
    return talk.question is not None and talk.question.pressing


def due(talk: Talk) -> Iterator[float]:
    """Yield when a question runs out, or has rested."""
    asked = talk.question
    if asked is not None:
        yield asked.window_t if asked.prompted < 2 else asked.stale_t
    yield from (each.stale_t for each in talk.parked if each.doubt is not None and each.rests(talk.t))


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
