"""How a question about the kitchen is put: it can be skipped, put off, and is kept as soon as it is answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.turn import Heard, Question

__all__ = ["Round", "keep", "put", "put_yes_no"]

_BACK = frozenset({"no", "previous_step", "scratch"})
"""What says that the last answer was heard wrong."""


@dataclass(frozen=True, slots=True)
class Round:
    """A round of questions: `done` goes on with the next, `skip_rest` leaves the others out.

    `skipped` is said when one is left open, `dropped` when the round is put off; it `remembers` what was asked.
    `back` asks the question before it again: what was heard wrong shows in the read-back, when the next one is open.
    """

    done: Callable[[], None]
    skip_rest: Callable[[], None]
    skipped: str
    dropped: str = ""
    remembers: bool = True
    back: Callable[[], None] | None = None


def keep(talk: Talk, rounds: Round, step: str, **changes: Any) -> None:
    """Set values of the profile, on the disk too, and remember that `step` has been asked."""
    fresh = rounds.remembers and step not in talk.profile.asked
    changes = {**changes, "asked": (*talk.profile.asked, step) if fresh else talk.profile.asked}
    talk.profile = replace(talk.profile, **changes)
    talk.control("profile", **changes)


def put(
    talk: Talk,
    rounds: Round,
    step: str,
    expects: str,
    prompt: str,
    take: Callable[[Heard], bool],
    *,
    why: str = "",
    **more: Any,
) -> None:
    """Ask; `take` gets the answer and tells whether it was one. `more` are further fields of the question."""

    def answer(heard: Heard) -> bool:
        if heard.intent == "skip":
            _skip(talk, rounds, step, heard)
            return True
        if take(heard):
            return True
        if rounds.back is None or heard.intent not in _BACK:
            return False
        talk.question = None
        rounds.back()
        return True

    intents = frozenset({"choice", "number", "set_altitude", "skip", *_BACK})
    reason = talk.language.say("whys", why) if why else ""
    question = Question(expects, prompt, answer, intents=intents, keep=True, dropped=rounds.dropped, why=reason, **more)
    question.unanswered = talk.language.say("setup", "waiting", attention=talk.profile.attention)
    talk.ask(question)


def put_yes_no(
    talk: Talk, rounds: Round, step: str, prompt: str, yes: Callable[[], None], no: Callable[[], None], *, why: str = ""
) -> None:
    """Ask for a yes; only yes is a yes, and it can be skipped as well."""

    def take(heard: Heard) -> bool:
        if heard.intent != "yes" and heard.intent not in _BACK:
            return False
        talk.question = None
        (yes if heard.intent == "yes" else no)()
        return True

    put(talk, rounds, step, "setup_yes_no", prompt, take, why=why)


def _skip(talk: Talk, rounds: Round, step: str, heard: Heard) -> None:
    talk.question = None
    keep(talk, rounds, step)
    if heard.slots.get("all"):
        rounds.skip_rest()
        return
    talk.speak(rounds.skipped)
    rounds.done()
