"""Rules of the grammar that belong to each stage of a load and to each open question."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Literal, TypedDict

from kitchenvoice.grammar.linking import Linker
from kitchenvoice.grammar.network import NOTHING, Node, branch, chain

__all__ = ["QUESTIONS", "STAGES", "Attention", "Scope", "answers_to", "named_first", "only_typed"]

_MORE_ANSWERS = {
    "altitude": ("unknown",),
    "altitude_ok": ("yes_no",),
    "food": ("the_food",),
    **dict.fromkeys(
        ("load_ok", "held", "fell", "sound", "changes", "guess", "zero", "was_zero", "loss_ok", "count_ok"), ("yes_no",)
    ),
    "canner": ("which_canner",),
    "option": ("yes_no",),
    "pack_ok": ("pack", "yes_no"),
    "gauge_reading": ("pressure", "pressure_report"),
    "weight_check": ("yes_no", "weight_report"),
    "boil_check": ("yes_no", "boil_report"),
    "steam_check": ("yes_no", "steam_report"),
    "step_check": ("yes_no", "step_report"),
    "load": ("of_several", "denial"),
    "note": ("yes_no",),
    "denial": ("loss_ok", "yes_no", "of_several", "load"),
    "correction": ("yes_no", "of_several", "denial"),
}
_SETUP = "setup_"
_REPORTING = frozenset({"gauge_reading", "weight_check", "boil_check", "steam_check", "step_check"})

Attention = Literal["required", "optional", "answers"]


class Scope(TypedDict):
    """Scope of the active grammar, as plain data: the arguments of `GrammarBook.grammar`."""

    stages: tuple[str, ...]
    attention: Attention
    wake_phrase: str
    question: str | None
    loads: Mapping[int, str] | None
    typed: bool


STAGES = (
    "idle",
    "plan",
    "gear",
    "start",
    "pack",
    "canner",
    "vent",
    "come_up",
    "hold",
    "cool",
    "rest",
    "count",
    "keep",
)
_OF_A_LOAD = frozenset({"pack", "canner", "vent", "come_up", "hold", "cool", "rest", "count", "keep"})
QUESTIONS = (
    "yes_no",
    "count",
    "how_many_in",
    "pressure",
    "altitude",
    "altitude_ok",
    "load_ok",
    "held",
    "fell",
    "sound",
    "changes",
    "guess",
    "zero",
    "was_zero",
    "loss_ok",
    "count_ok",
    "minutes",
    "inches",
    "amount",
    "food",
    "pack",
    "pack_ok",
    "jar",
    "canner",
    "load",
    "denial",
    "correction",
    "outcome",
    "gauge",
    "method",
    "option",
    "gauge_reading",
    "weight_check",
    "boil_check",
    "steam_check",
    "step_check",
    "which_timer",
    "which_crock",
    "note",
    "setup_yes_no",
    "setup_units",
    "setup_altitude",
    "setup_altitude_ok",
    "setup_canners",
    "setup_name",
    "setup_gauge",
    "setup_jars",
    "setup_jars_ok",
    "setup_layers",
    "setup_tested",
    "setup_error",
    "setup_error_ok",
    "setup_jar",
    "setup_attention",
    "setup_attention_ok",
    "setup_level",
    "setup_sound",
    "any",
)
"""Kinds of open questions; `setup_...` are those of the first evening. `any` stands for all the others but
`load`, which is a command at any time, `which_timer`, `which_crock`, and the questions about the stove and the
challenge of a step, whose answers are reports."""


def named_first(linker: Linker, stages: Collection[str], name: str = "load_by_number") -> Node:
    """Return the sentences with a load in front: what is reported of it in these stages.

    The ear listens for numbers in front ("load two, weight is on"). A food there ("the carrots, weight is on") is
    understood only in typed input: it would treble the number of bigrams and add a second to the start; every short
    word at the beginning could be a food.
    """
    told = [linker.node(stage, stage) for stage in STAGES if stage in stages and stage in _OF_A_LOAD]
    known = told and linker.knows("things", name)
    return chain((linker.node("things", name), branch(told))) if known else NOTHING


def only_typed(linker: Linker, stages: Collection[str], question: str | None) -> list[Node]:
    """Return the sentences of these stages, and answers, that are only typed; of stages with a load in front too."""
    if "written" not in linker.files:
        return []
    rules = ["always", *(["in_load"] if _OF_A_LOAD.intersection(stages) else []), *(x for x in STAGES if x in stages)]
    rules += dict.fromkeys(f"to_{each}" for each in (question, *_answers(question)))
    typed = [linker.node("written", rule) for rule in rules if linker.knows("written", rule)]
    told = branch(linker.node("written", x) for x in stages if x in _OF_A_LOAD and linker.knows("written", x))
    told = branch((told, linker.node("written", "in_load"))) if told and linker.knows("written", "in_load") else told
    named = branch(linker.node("things", name) for name in ("load_by_number", "load_of", "load_bare"))
    asked = branch((linker.node("written", "always"), linker.node("always", "always")))
    return [*typed, chain((named, branch((told, asked))))]


def answers_to(linker: Linker, question: str | None) -> list[tuple[str, str]]:
    """Return the rules with the answers to an open question; languages other than English may lack some."""
    return [("question", rule) for rule in _answers(question) if linker.knows("question", rule)]


def _answers(question: str | None) -> list[str]:
    """Return the names of the rules of question.jsgf for an open question."""
    if question == "any":
        without = ("load", "which_timer", "which_crock", "any", *_REPORTING)
        return [each for each in QUESTIONS if each not in without and not each.startswith(_SETUP)]
    if question is None:
        return []
    return [*((question,) if question not in _REPORTING else ()), *_MORE_ANSWERS.get(question, ())]
