"""Short words for what is awaited: its own and small ones alone, whatever frame they stand in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from kitchenvoice.dialogue.answering import falls
from kitchenvoice.dialogue.checks import HELD_AND_LOST
from kitchenvoice.dialogue.choosing import offered
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.naming import whose
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import OF_WORDS
from kitchenvoice.dialogue.replying import PLAIN, leaves_open, still_holds
from kitchenvoice.dialogue.statements import may_be_read, things
from kitchenvoice.dialogue.turn import Heard, tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import Grammar, intents_that, normalise
from kitchenvoice.process import Stage, step_of
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.nearness import asks

__all__ = ["answer_and_more", "as_awaited", "number_first"]

_STOPS = re.compile(r"[,;:.!]+\s+")
_APART = ([{"sealed"}, {"failed"}], [{"failed"}, {"sealed"}])
"""What both parts of a whole count tell."""

_AT_THE_STOVE = (Stage.PACK, Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)

_REPORTS, _ALARMS = intents_that("report", "of_load"), intents_that("alarm", "loss")
_BESIDE_A_NUMBER = _REPORTS - _ALARMS - intents_that("holds")
"""What is told beside a reading and says nothing of it."""
_NAMES_NONE = (None, "yes", "no")
"""What an answer to "which load?" may be taken for that names one or denies it."""


def as_awaited(talk: Talk, said: Understanding, typed: str) -> Understanding | None:
    """Return the awaited report or answer that was `typed`; `None` if it has any word but its own and small ones.

    The lists are closed: a "not", an "if", an "almost", a word of a loss or of the past are in none of them.
    """
    text = without_name(talk, normalise(said.text))
    words, awaited = set(text.split()), talk.language.table("awaited")
    if not awaited or asks(text) or talk.language.hears("not_awaited", text):
        return None
    for key, intent, count in _awaited(talk):
        if intent == "yes" and re.search(talk.language.table("replying").get("limits", "(?!)"), text):
            continue  # "it is again" says that it wasn't
        own, _, beside = awaited.get(key, "").partition("|")
        groups = [set(each.split()) for each in own.split("&")]
        if all(words & each for each in groups) and words <= {*f"{own} {beside} {count} {awaited['small']}".split()}:
            return replace(said, intent=intent, slots={}, reject_reason=None, unsure=None)
    asked = talk.question
    named = (
        whose(talk, typed.lower().removeprefix(talk.profile.attention), offered(talk, asked))
        if asked and asked.kind == "which"
        else None
    )
    if named is not None and said.intent in _NAMES_NONE:
        return replace(said, intent=named[0], slots=named[1], reject_reason=None, unsure=None)
    waits = talk.question is not None and talk.question.pressing
    return still_holds(talk, said, said.text) if said.intent is None and not waits else None


def answer_and_more(
    talk: Talk,
    said: Understanding,
    grammar: Grammar,
    meant_by: Callable[[str], Understanding],
    known: Callable[[str], bool],
) -> tuple[tuple[str, Understanding], ...]:
    """Return the answer to a question and what is told after it; nothing where there aren't both.

    A yes with a report ("yes, an inch over"), unless that was what waited for it; the number that was asked for with a
    report, or with words that are `known` ("eleven and a jar broke").
    """
    asked, text = talk.question, without_name(talk, normalise(said.text))
    if asked is not None and asked.of_stove:
        halves = grammar.halves(text, joined=True, short=True)
        return _number_and_more((each for each in halves if not may_be_read(talk, each[1])), meant_by, known)
    first, _, rest = text.partition(" ")
    waits = None if asked is None else asked.said
    zero = waits is not None and tells_zero(waits.intent, waits.slots)
    plain = zero or (asked is not None and asked.about in PLAIN)
    if asked is None or asked.kind != "yes_no" or plain or first not in talk.language.choices("overheard", "yes"):
        return ()
    told = meant_by(rest)
    counted = told.slots.get("failed") if asked.about == "seal_count" else None
    joined = any(half == first for half, _ in grammar.halves(text, joined=True, short=True))  # one more of them
    failed = counted and (joined or waits is None or counted != waits.slots.get("failed"))
    if told.intent not in _REPORTS - _ALARMS or told.unsure is not None or failed:
        return ()
    yes = (first, replace(said, text=first, intent="yes"))
    again = counted or (waits is not None and (waits.intent, waits.slots) == (told.intent, told.slots))
    return (yes,) if again else (yes, (rest, told))


def number_first(
    talk: Talk, said: Understanding, text: str, meant_by: Callable[[str], Understanding]
) -> Understanding | None:
    """Return the number that a text begins with, as the one that is asked for; with the jars that failed, if it tells
    of those after it. What else is told is weighed by whoever weighs what an answer leaves out."""
    first, *more = _STOPS.split(text.lower(), maxsplit=1)
    stops = bool(more)
    if not stops and meant_by(" ".join(text.split()[:2])).intent is None:
        first, *more = first.split(" ", maxsplit=1)  # "six one came loose"
    asked, told, rest = talk.question, meant_by(first), meant_by(" ".join(more))
    if said.intent is not None or told.unsure is not None or not more:
        return None
    counts = [_of_jars(told), _of_jars(rest)]
    if told.intent == rest.intent == "seal_count" and [{*each} for each in counts] in _APART:
        return replace(told, text=said.text, slots={**counts[0], **counts[1]})
    of_form = asked is not None and asked.kind == "form" and asked.about == "jars_in"
    wanted = talk.forms["jars_in"].intents if of_form else {"number", "pressure_is"}
    lost = rest.intent is None and falls(talk, Heard(told.intent or "", told.slots, first, talk.t))
    wants = stops and (of_form or (asked is not None and asked.of_stove and lost))
    number = told.intent in wanted and (rest.intent == "jar_broke" or not talk.language.names_one(range(100), more[0]))
    of_another = particulars(more[0]) or talk.language.phrase("overheard", "canner") in more[0]
    if not (wants and number) or of_another or leaves_open(talk, more[0]) or [*things(talk, more[0])]:
        return None
    return replace(told, text=normalise(first) if of_form else said.text)  # a loss beside a loss is the same


def _of_jars(told: Understanding) -> dict[str, object]:
    return {name: value for name, value in told.slots.items() if name != "bare"}


def _number_and_more(
    halves: Iterator[tuple[str, str]], meant_by: Callable[[str], Understanding], known: Callable[[str], bool]
) -> tuple[tuple[str, Understanding], ...]:
    for first, rest in halves:
        number, more = meant_by(first), meant_by(rest)
        if number.intent == "number" and (more.intent in _BESIDE_A_NUMBER or (more.intent is None and known(rest))):
            return ((first, number),) if more.intent == "fine" else ((first, number), (rest, more))
    return ()


def _awaited(talk: Talk) -> Iterator[tuple[str, str, str]]:
    """Yield what is awaited, its intent, and the number of jars that may be said with it.

    It is the answer to a question of the stove or of a step, else the report that the step ends with.

    Where several loads are at the stove, only what was asked about one.
    """
    asked = talk.question
    if asked is not None and asked.kind == "check" and asked.about in HELD_AND_LOST:
        good = HELD_AND_LOST[asked.about][0]
        yield from ((good, good, ""), ("yes", "yes", ""))
    elif asked is not None and asked.kind == "step" and asked.about == "acid":
        load = talk.kitchen.load(asked.load)
        yield "" if load is None else f"checked_acid_{load.process.acid_in}", "step_done", ""
    elif asked is not None and asked.kind == "step":
        yield from ((f"checked_{asked.about}", "step_done", ""), ("checked", "step_done", ""))
    elif asked is None or not asked.pressing or asked.about in OF_WORDS:
        loads = [load for load in talk.kitchen.open_loads if load.stage in _AT_THE_STOVE]
        step = step_of(loads[0]) if len(loads) == 1 and not loads[0].doubt else None
        if step is not None and not (step.done_by or step.check):
            yield from ((f"checked_{step.id}", "step_done", ""), ("checked", "step_done", ""))
        for report in sorted(step.done_by if step is not None else ()):
            yield report, report, talk.language.number(loads[0].standing) if report == "jars_out" else ""
        if talk.focus is not None and talk.focus.stage is Stage.KEEP and not loads:
            yield from (("put_away", "load_close", ""), ("shelved", "fine", ""))
        if step is not None and loads[0].holding:
            yield "still", "fine", ""  # of what isn't asked any more: it is asked
