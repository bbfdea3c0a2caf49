"""The scope of the grammar at a moment, from the stages of the loads and the open question."""

from __future__ import annotations

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.grammar import STAGES, Grammar, Scope

__all__ = ["anywhere", "grammar", "heights", "open_question", "scope"]

_YES_NO = {
    **dict.fromkeys(("pressure_low", "weight_quiet", "boil_lost"), "fell"),
    **dict.fromkeys(("gap", "in_question"), "held"),
    **dict.fromkeys(("of_food", "of_jars"), "sound"),
    **dict.fromkeys(("said", "heard"), "guess"),
    **dict.fromkeys(("zero_so_soon", "zero_again"), "zero"),
    "zero_untold": "was_zero",
    "unexplained": "changes",
    "loss": "loss_ok",
    "seal_count": "count_ok",
}
"""By what is asked: the answers that are a yes or no to just that."""


def open_question(talk: Talk, t: float) -> Frame | None:
    """Return the question that may be answered without the wake phrase at `t`."""
    question = talk.question
    return question if question is not None and t <= question.window_t else None


def grammar(talk: Talk, t: float, *, typed: bool = False) -> Grammar:
    """Return the grammar of the sentences that can be said at `t`."""
    return talk.book.grammar(**scope(talk, t, typed=typed))


def scope(talk: Talk, t: float, *, typed: bool = False) -> Scope:
    """Return the scope listened for at `t`, as plain data; `typed` words are always meant for us."""
    question = open_question(talk, t) or (talk.question if typed else None)
    called = t <= talk.attention_until
    return {
        "stages": tuple(stage.value for stage in talk.stages),
        "attention": "optional" if typed or called else "answers" if question is not None else "required",
        "wake_phrase": talk.profile.attention,
        "question": None if talk.question is None else _answers(talk, talk.question),
        "loads": {load.number: load.food for load in talk.kitchen.open_loads},
        "typed": typed,
    }


def _answers(talk: Talk, question: Frame) -> str:
    """Name the answers; of one of several loads also that it was of another."""
    if question.expects != "yes_no":
        return question.expects
    if question.values.get("told"):
        return "fell"
    several = question.load is not None and len(talk.kitchen.open_loads) > 1
    return _YES_NO.get(question.about, "correction" if several else "yes_no")


def heights(talk: Talk) -> Grammar:
    """Return the grammar of altitudes."""
    question = "altitude"
    return talk.book.grammar(
        (), attention="optional", wake_phrase=talk.profile.attention, question=question, typed=True
    )


def anywhere(talk: Talk, *, typed: bool = False) -> Grammar:
    """Return the grammar of the sentences of all stages."""
    return talk.book.grammar(
        STAGES,
        attention="optional",
        wake_phrase=talk.profile.attention,
        loads={load.number: load.food for load in talk.kitchen.open_loads},
        typed=typed,
    )
