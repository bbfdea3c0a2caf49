"""What can be said at a moment: the scope of the grammar, from the stages of the loads and the open question."""

from __future__ import annotations

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.frames import Frame
from kitchenvoice.grammar import STAGES, Grammar, Scope

__all__ = ["anywhere", "grammar", "open_question", "scope"]


def open_question(talk: Talk, t: float) -> Frame | None:
    """Return the question that may be answered without the wake phrase at `t`."""
    question = talk.question
    return question if question is not None and t <= question.window_t else None


def grammar(talk: Talk, t: float, *, typed: bool = False) -> Grammar:
    """Return what can be said at `t`."""
    return talk.book.grammar(**scope(talk, t, typed=typed))


def scope(talk: Talk, t: float, *, typed: bool = False) -> Scope:
    """Return what is listened for at `t`, as plain data; `typed` words are always meant for us."""
    question = open_question(talk, t) or (talk.question if typed else None)
    called = t <= talk.attention_until
    return {
        "stages": tuple(stage.value for stage in talk.stages),
        "attention": "optional" if typed or called else "answers" if question is not None else "required",
        "wake_phrase": talk.profile.attention,
        "question": talk.question.expects if talk.question is not None else None,
        "loads": {load.number: load.food for load in talk.kitchen.open_loads},
        "typed": typed,
    }


def anywhere(talk: Talk, *, typed: bool = False) -> Grammar:
    """Return what can be said in any stage."""
    return talk.book.grammar(
        STAGES,
        attention="optional",
        wake_phrase=talk.profile.attention,
        loads={load.number: load.food for load in talk.kitchen.open_loads},
        typed=typed,
    )
