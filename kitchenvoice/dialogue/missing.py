"""The best that can be made of a sentence not understood: a question near to it, a food not on board, else help."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from kitchenvoice.dialogue import contradicting, knowing, overheard, statements, steering
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.sensing import answer_asked, answer_sense, ask_back, reports, speak_of_told
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import Grammar
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.reference import find_food, food_name
from kitchenvoice.reference.food_talk import asked_of_food, asks_to_can, particulars
from kitchenvoice.reference.knowledge import asked, family
from kitchenvoice.reference.names import foods_beside, similar_names
from kitchenvoice.reference.nearness import (
    AHEAD,
    ALONE,
    MARGIN,
    NEAR_BESIDE,
    SAME,
    SURE,
    Near,
    asks,
    is_beside,
    names_thing,
    nearest,
    of_hearsay,
    points_back,
    question_in,
    says_little,
)
from kitchenvoice.reference.senses import speaks_against

__all__ = ["answer_nearest", "is_worded", "three_to_say", "two_foods"]

_OFFERED = 3
_SPOILED = "throw_out_sealed"
"""The family that tells what is done with what may be spoiled."""
_TWO = 2
_MOST = 20
"""Numbers below it are named by one word."""


def answer_nearest(talk: Talk, text: str, grammar: Grammar) -> bool:
    """Answer a typed question that is near to one of ours, or ask back; refuse a food that isn't on board."""
    if not talk.language.has("sensing", "did_you_ask") or talk.language.tag != overheard.SPOKEN_IN:
        return False
    said = overheard.without_name(talk, text)
    counts = bool(talk.kitchen.claiming)
    loss = statements.tells_of_hold(talk, said)
    said = said if counts else of_hearsay(said) or said  # in a hold it may be told of this one
    ends = None if asks(said) else question_in(said)
    back = ends if ends is not None and points_back(ends) and not loss else None
    if back is not None:  # "i use wax, is that okay" asks about what is said before it
        told = said.removesuffix(back).strip()
        said = max((f"{back} {told}", told), key=lambda each: _likeness(talk, each))
    near = _nearest(talk, said)
    near = tuple(sorted(near, key=lambda each: not (each.same and each.likeness > near[0].likeness - MARGIN)))
    near = tuple(
        sorted(near, key=lambda each: each.likeness < SAME and speaks_against(said, each.asked.family, talk.under_way))
    )
    first, behind, *_ = (*near, None, None)
    sure = first is not None and _is_sure(talk, said, first, behind)
    whole = asks(said) or (sure and first is not None and not is_beside(first.asked))
    if ends is not None and back is None and not whole:
        if knowing.answer_question(talk, ends, grammar):
            return True
        if not loss and not says_little(ends) and answer_nearest(talk, ends, grammar):
            return True
    of_food = first is None or not sure or first.asked.family in knowing.BY_FOOD
    another, of_a_food = _is_of_another(said, first, grammar), asked_of_food(said) if asks(said) else None
    if of_a_food is None and (of_food or another) and _refuse_food(talk, said, grammar):
        return True
    if sure and first is not None and (of_a_food is None or not another):
        if (
            first.likeness < SAME
            and not first.same
            and answer_sense(talk, said, grammar, rather_than=first.asked.family)
        ):
            return True
        if not first.same and asks(first.question) and reports(talk, said):
            return False  # no question by what was told
        answer_asked(talk, said, first.asked)
        of_record = not first.asked.command and family(first.asked.family).record
        if asks(said) and not of_record and talk.language.hears("happened", said):
            contradicting.contradict(talk, said)
        return True
    if of_a_food is not None:
        talk.note("answered", said, family=of_a_food[0], obeyed=True)
        talk.obey(Heard(of_a_food[0], of_a_food[1], said, talk.t))
        return True
    if loss and not asks(said.rpartition(" ")[0]):  # told, whatever is asked behind it: the doubt is asked at once
        return speak_of_told(talk, said)
    if answer_sense(talk, said, grammar):
        return True
    likely = (each for each in (first, behind) if each is not None and each.likely and not is_beside(each.asked))
    return any(ask_back(talk, said, each.asked, each.question) for each in likely) or (
        back is not None and knowing.answer_question(talk, back, grammar)
    )


def is_worded(talk: Talk, text: str) -> bool:
    """True if a typed text is one of the wordings that are compared, but for small words; the patterns aside."""
    said = overheard.without_name(talk, text)
    if talk.language.tag != overheard.SPOKEN_IN or asked(said) is not None:
        return False
    return any(each.likeness >= SAME for each in _nearest(talk, said)[:1])


def _nearest(talk: Talk, said: str) -> tuple[Near, ...]:
    return nearest(said, stage="idle" if talk.focus is None else talk.focus.stage.value)


def _likeness(talk: Talk, said: str) -> float:
    return max((each.likeness for each in _nearest(talk, said)), default=0.0)


def _is_sure(talk: Talk, said: str, first: Near, behind: Near | None) -> bool:
    """True if a question is answered at once; of a stove no small talk, but in its very words."""
    ahead = first.likeness - (behind.likeness if behind else 0.0)
    beside = is_beside(first.asked)
    own = {word for load in talk.kitchen.open_loads for word in load.food_name.split()}
    own |= {talk.language.number(each) for each in range(_MOST)}  # a number is no small talk
    ours = any(talk.language.hears(each, said) for each in ("of_stove", "of_jars", "loss")) or own & set(said.split())
    answers = {*talk.language.choices("overheard", "yes"), *talk.language.choices("overheard", "no")}
    replies = talk.question is not None and talk.question.pressing and not answers.isdisjoint(said.split()[:1])
    if beside and (replies or (ours and not first.same)):
        return False
    if first.asked.doubt and family(first.asked.family).fault:
        return first.likeness >= SAME  # it ends what runs: asked back, unless it is in nearly these words
    if first.same or (asks(said) and first.likely and first.likeness >= ALONE and ahead >= AHEAD):
        return True
    return first.likeness >= SAME or (first.likeness >= (NEAR_BESIDE if beside else SURE) and ahead >= MARGIN)


def _is_of_another(said: str, first: Near | None, grammar: Grammar) -> bool:
    """Tell whether a text asks for a thing to be canned, and the question that is near to it asks no such thing."""
    food, _ = grammar.food_in(said) or ("", False)
    near = first is not None and (first.same or grammar.food_in(first.question) is not None)
    return bool(food) and not near and asks_to_can(said.removesuffix(food))


def _refuse_food(talk: Talk, said: str, grammar: Grammar) -> bool:
    """Say of a food that isn't on board so, with the names nearest to it."""
    food, counted = grammar.food_in(said) or ("", False)
    beside = foods_beside(food)
    named = counted or beside or names_thing(food)
    if not food or question_in(food) or not named or find_food(food).kind != "unknown":
        return False
    if talk.language.hears("spoiled", food):
        knowing.speak_family(talk, _SPOILED, Urgency.CAUTION, text=said)  # nobody freezes what may be spoiled
        return True
    where = talk.language.hears("place", food) or talk.language.hears("of_stove", food)
    if where and particulars(food).keys() & {"food", "food_group"}:
        return False  # of a food that is known it is said where
    names = similar_names(food) if names_thing(food) else ()
    talk.note("no_such_food", said, food=food)
    if beside:
        _refuse_together(talk, beside)
    elif names:
        talk.say("missing", "food_nearest", food=food, names=talk.language.listed(names))
    else:
        talk.say("missing", "food_unknown", urgency=Urgency.CAUTION, food=food)
    return True


def two_foods(talk: Talk, told: Sequence[Understanding]) -> bool:
    """Refuse a load that is begun with two foods; tell whether it is."""
    begun = [each.slots for each in told if each.intent == "load_start"]
    foods = [str(food) for each in begun if (food := each.get("food") or each.get("food_group"))]
    if len(foods) < _TWO or any(find_food(each).refused for each in foods):
        return False
    _refuse_together(talk, [food_name(food) for food in foods])
    return True


def _refuse_together(talk: Talk, foods: Sequence[str]) -> None:
    named = capital(talk.language.listed(foods, "and"))
    talk.say("missing", "foods_beside", urgency=Urgency.CAUTION, foods=named)


def three_to_say(talk: Talk, text: str) -> str:
    """Name three things that can be said now, the nearest to what was said first."""
    near = SequenceMatcher(None, autojunk=False)
    near.set_seq2(overheard.without_name(talk, text))

    def likeness(phrase: str) -> float:
        near.set_seq1(phrase)
        return -near.ratio()

    return steering.one_of(talk, sorted(steering.phrases(talk), key=likeness)[:_OFFERED])
