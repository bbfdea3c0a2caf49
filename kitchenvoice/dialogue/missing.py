"""What isn't understood is used: a question near to it, a food that isn't on board, else what can be said now."""

from __future__ import annotations

from difflib import SequenceMatcher

from kitchenvoice.dialogue import knowing, overheard, steering
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import Grammar, written
from kitchenvoice.ports import Urgency
from kitchenvoice.process import maybe_shut
from kitchenvoice.reference import find_food
from kitchenvoice.reference.names import similar_names
from kitchenvoice.reference.nearness import (
    MARGIN,
    NEAR,
    SAME,
    Near,
    asks,
    asks_alike,
    names_thing,
    nearest,
    question_in,
)

__all__ = ["HANDLERS", "answer_nearest", "three_to_say"]

_ALIKE = 0.7
"""Least likeness of the whole sentence, word by word, for an answer without asking back."""
_OFFERED = 3


def answer_nearest(talk: Talk, text: str, grammar: Grammar) -> bool:
    """Answer a typed question that is nearly one of ours, or ask back; refuse a food that isn't on board.

    What is no question may have been a loss: then what every hold does is asked as well.
    """
    if not talk.language.has("everyday", "did_you_ask") or talk.language.tag != overheard.SPOKEN_IN:
        return False
    said = overheard.without_name(talk, text)
    ends = None if asks(said) else question_in(said)
    if ends is not None and knowing.answer_question(talk, ends, grammar):
        overheard.left_open(talk, said.removesuffix(ends))
        return True
    found = nearest(said)
    if not _refuse_food(talk, said, grammar) and not (found and _near(talk, said, found)):
        return False
    overheard.left_open(talk, text)
    return True


def _near(talk: Talk, said: str, found: tuple[Near, ...]) -> bool:
    first, behind = found[0], found[1].likeness if len(found) > 1 else 0.0
    if first.likeness < NEAR:
        return False
    alone = first.likeness - behind >= MARGIN
    alike = SequenceMatcher(None, said.split(), first.question.split()).ratio() >= _ALIKE
    if first.likeness == SAME and alone and (alike or _same_kind(said, first.question)):
        knowing.answer(talk, said, first.asked)
    elif alone:
        prompt = talk.language.say("everyday", "did_you_ask", question=written(first.question))
        talk.note("asked_back", said, family=first.asked.family)
        slots = {"family": first.asked.family, "doubt": first.asked.doubt}
        talk.ask_yes_no("said", prompt, Heard("ask_family", slots, said, talk.t))
    else:
        close = [each.question for each in found if first.likeness - each.likeness < MARGIN]
        talk.say("everyday", "nearest", questions=talk.language.listed([written(each) for each in close]))
    return True


def _same_kind(said: str, question: str) -> bool:
    """Tell whether both ask for the same; a statement is none of a question."""
    return (asks(said) or not asks(question)) and asks_alike(said, question)


def _refuse_food(talk: Talk, said: str, grammar: Grammar) -> bool:
    """Say of a food that isn't on board so, with the names nearest to it."""
    food = grammar.food_in(said)
    if food is None or not names_thing(food) or find_food(food).kind != "unknown":
        return False
    names = similar_names(food)
    talk.note("no_such_food", said, food=food)
    if names:
        talk.say("everyday", "food_nearest", food=food, names=talk.language.listed(names))
    else:
        talk.say("everyday", "food_unknown", urgency=Urgency.CAUTION, food=food)
    return True


def three_to_say(talk: Talk, text: str) -> str:
    """Name three things that can be said now, the nearest to what was said first."""
    near = SequenceMatcher(None, autojunk=False)
    near.set_seq2(overheard.without_name(talk, text))

    def likeness(phrase: str) -> float:
        near.set_seq1(phrase)
        return -near.ratio()

    *some, last = sorted(steering.phrases(talk), key=likeness)[:_OFFERED]
    return talk.language.phrase("names", "one_of", some=", ".join(some), last=last)


def _family(talk: Talk, heard: Heard) -> None:
    """Answer a family; words of pressure in a vent whose weight may be on are a report of it."""
    load = talk.focus
    if heard.slots["family"] == "pressure_in_vent" and load is not None and maybe_shut(load):
        talk.obey(Heard("weight_rocking", {}, heard.text, heard.t, of=load.id))
        return
    knowing.answer(talk, heard.text, knowing.Asked(str(heard.slots["family"]), bool(heard.slots.get("doubt"))))


HANDLERS = {"ask_family": _family}
"""What is done with a question that was asked back."""
