"""Short words for what is awaited: its own and small ones alone, whatever frame they stand in."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from kitchenvoice.dialogue.checks import HELD_AND_LOST
from kitchenvoice.dialogue.choosing import called_in, offered
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.doubting import YES_HELD
from kitchenvoice.dialogue.going_off import tells_heat_off
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.replies import Wants, says
from kitchenvoice.dialogue.statements import may_be_read
from kitchenvoice.dialogue.turn import tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import Grammar, intents_that, normalise
from kitchenvoice.process import THINGS, Stage, step_of
from kitchenvoice.reference.nearness import asks

__all__ = ["answer_and_more", "as_awaited", "replied", "says_no", "unless_said_otherwise"]

_AT_THE_STOVE = (Stage.PACK, Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL)

_YES_OR_NO = frozenset({"yes_no", "load_ok", "weight_check", "boil_check", "steam_check", "step_check"})
"""Questions to which a yes is an answer."""
_REPORTS, _ALARMS = intents_that("report", "of_load"), intents_that("alarm", "loss")
_BESIDE_A_NUMBER = _REPORTS - _ALARMS - intents_that("holds")
"""What is told beside a reading and says nothing of it."""
_NAMES_NONE = ("limits", "another")
"""Kinds of words by which an answer may name a load and mean none, or the others."""
_PLAIN = frozenset({"acid_unconfirmed", "of_acid", "water_unconfirmed"})
"""Questions to which no yes counts that has another report beside it."""
_FEWEST = 2
"""Fewest words of a reply that may say something else than its first."""
_SAYS_SO = (None, "yes", "no", "fine")
"""What a text may be that is looked at as a reply."""
_SAID_STEADY = frozenset({"steam_steady", "weight_rocking", "boiling"})
"""Reports that tell of the stove what a yes to them may tell in more words."""
_OF_ZERO = ("zero_so_soon", "zero_again")
_OF_HEAT = frozenset({"heat_off", "heat_off_first", "hold_over", "hold_not_done"})
_OF_ELSE = frozenset({"fault", "weight_on", "unexplained", *THINGS})
"""Doubts of something else than whether pressure, boil or steam held."""
_LEAST_PSI, _MOST_PSI = 5, 20
"""Smaller numbers, and that one, are of jars, or of no gauge."""
_OF_OURS = ("of_stove", "of_jars", "of_food", "of_acid", "loss", "happening")
_OF_WORDS = frozenset({"said", "kept"})
"""Questions about words that were said: what is told next may be what they told."""


def as_awaited(talk: Talk, said: Understanding) -> Understanding | None:
    """Return the awaited report or answer that a typed text is; `None` if it has any word but its own and small ones.

    The lists are closed: a "not", an "if", an "almost", a word of a loss or of the past are in none of them.
    """
    text = without_name(talk, normalise(said.text))
    words, awaited = set(text.split()), talk.language.table("awaited")
    if not awaited or asks(text) or talk.language.hears("not_awaited", text):
        return None
    for key, intent, count in _awaited(talk):
        if intent == "yes" and re.search(talk.language.table("replies").get("limits", "(?!)"), text):
            continue  # "it is again" says that it wasn't
        own, _, beside = awaited.get(key, "").partition("|")
        if words & set(own.split()) and words <= {*f"{own} {beside} {count} {awaited['small']}".split()}:
            return replace(said, intent=intent, slots={}, reject_reason=None, unsure=None)
    if (named := _called(talk, text)) is not None and said.intent is None:
        return replace(said, intent="choice", slots={"load": named}, reject_reason=None, unsure=None)
    waits = talk.question is not None and talk.question.pressing
    return _still_holds(talk, said, said.text) if said.intent is None and not waits else None


def replied(talk: Talk, said: Understanding, text: str) -> Understanding | None:
    """Return the yes or no that a typed text says to what is asked, in whatever words; `None` if it says neither."""
    so = _says(talk, text) if said.intent in _SAYS_SO else None
    if so is None or talk.question is None or (talk.question.of_stove and not so):
        return None  # that the stove doesn't do it is a report of a loss, and no answer
    return replace(said, intent="yes" if so else "no", slots={}, reject_reason=None, unsure=None)


def says_no(talk: Talk, text: str) -> bool:
    """True if a text says no to a question of the stove."""
    return talk.question is not None and talk.question.of_stove and _says(talk, text) is False


def unless_said_otherwise(talk: Talk, said: Understanding, text: str) -> Understanding:
    """Return what a typed text means; nothing if it lets a load go on by some of its words, and not by all of them."""
    asked = None if talk.question is None or len(text.split()) < _FEWEST else _asked(talk, talk.question)
    if asked is None or said.intent != ("yes" if asked.held else "no") or _says(talk, text) is asked.held:
        return said
    if called_in(text.lower(), talk.kitchen.open_loads):
        return said  # whose it is comes first
    return replace(said, intent=None, slots={}, reject_reason="no_match")


def _says(talk: Talk, text: str) -> bool | None:
    frame = talk.question
    asked = None if frame is None else _asked(talk, frame)
    if asked is None or frame is None or (asked.kind == "steady" and tells_heat_off(talk, text)):
        return None
    text = text.lower().removeprefix(talk.profile.attention)
    so = says(_of_else(talk, text) if frame.about == "kept" else text, asked, talk.language.table("replies"))
    wants_yes = frame.about == "said" and asked.kind == "steady" and so
    return None if wants_yes and not _begins_with_yes(talk, text) else so


def _begins_with_yes(talk: Talk, text: str) -> bool:
    return normalise(text).partition(" ")[0] in talk.language.choices("overheard", "yes")


def _still_holds(talk: Talk, said: Understanding, text: str) -> Understanding | None:
    """Return that all is well, where a hold counts and nobody asks, of a text that says of nothing else."""
    load = talk.focus if len(talk.kitchen.open_loads) == 1 and talk.focus and talk.focus.holding else None
    if load is None:
        return None
    asked = _asked(talk, Frame(kind="loss", about="gap", expects="yes_no", prompt="", load=load.id))
    table = talk.language.table("replies")
    held = asked is not None and says(text, asked, table) and says(text, replace(asked, held=False), table) is False
    return replace(said, intent="fine", slots={}, reject_reason=None) if held else None


def _of_else(talk: Talk, text: str) -> str:
    """Put a no for each clause that tells of what else words were ("i was talking about the soup")."""
    table, hears = talk.language.table("replies"), talk.language.hears
    clauses = [each.strip() for each in re.split(table["joins"], text)]
    told = ((each, re.match(table["of_else"], each)) for each in clauses)
    return ", ".join(
        table["no"] if found and (found["whose"] or not any(hears(kind, each) for kind in _OF_OURS)) else each
        for each, found in told
    )


def _asked(talk: Talk, frame: Frame) -> Wants | None:
    """Return what a reply to a question has to say; `None` for one that wants something else than a yes or a no."""
    if frame.expects not in _YES_OR_NO or frame.passive or frame.kind == "stands" or not talk.language.table("replies"):
        return None
    waits = frame.said
    zero = frame.about in _OF_ZERO or (waits is not None and tells_zero(waits.intent, waits.slots))
    now = frame.of_stove or zero or (frame.about == "said" and waits is not None and waits.intent in _SAID_STEADY)
    if zero or now or (frame.kind == "loss" and frame.about not in _OF_ELSE | _OF_HEAT):
        load, number = talk.kitchen.load(frame.load), talk.language.number
        least = round(load.process.target_psi or 0) if load is not None and load.process.is_dial else 0
        enough = tuple(map(number, range(least, _MOST_PSI))) if least else ()
        held = now or (frame.about in YES_HELD | {"taken_back"} and not frame.values.get("told"))
        return Wants("zero" if zero else "steady", held, now, "", enough, tuple(map(number, range(_LEAST_PSI, least))))
    if frame.about in _OF_HEAT:
        return Wants("off", False, True, normalise(frame.prompt))
    kind = (
        "things"
        if frame.about in THINGS.keys() | _PLAIN - {"seal_count"}
        else "form"
        if frame.expects == "load_ok"
        else "so"
    )
    return Wants(kind, True, True, normalise(frame.prompt))


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
    plain = zero or (asked is not None and asked.about in _PLAIN)
    if asked is None or asked.kind != "yes_no" or plain or first not in talk.language.choices("overheard", "yes"):
        return ()
    told = meant_by(rest)
    failed = asked.about == "seal_count" and told.slots.get("failed")
    if told.intent not in _REPORTS - _ALARMS or told.unsure is not None or failed:
        return ()
    yes = (first, replace(said, text=first, intent="yes"))
    again = waits is not None and (waits.intent, waits.slots) == (told.intent, told.slots)
    return (yes,) if again else (yes, (rest, told))


def _number_and_more(
    halves: Iterator[tuple[str, str]], meant_by: Callable[[str], Understanding], known: Callable[[str], bool]
) -> tuple[tuple[str, Understanding], ...]:
    for first, rest in halves:
        number, more = meant_by(first), meant_by(rest)
        if number.intent == "number" and (more.intent in _BESIDE_A_NUMBER or (more.intent is None and known(rest))):
            return ((first, number),) if more.intent == "fine" else ((first, number), (rest, more))
    return ()


def _called(talk: Talk, text: str) -> int | None:
    """Return the number of the load that an answer to "which load?" calls by its food, whatever else it tells of it."""
    asked = talk.question
    if asked is None or asked.kind != "which" or any(talk.language.hears(each, text) for each in _NAMES_NONE):
        return None
    called = called_in(text, offered(talk, asked))
    return called[0].number if len(called) == 1 else None


def _awaited(talk: Talk) -> Iterator[tuple[str, str, str]]:
    """Yield what is awaited, its intent, and the number of jars that may be said with it.

    It is the answer to a question of the stove or of a step, else the report that the step ends with.

    Where several loads are at the stove, only what was asked about one.
    """
    asked = talk.question
    if asked is not None and asked.kind == "check" and asked.about in HELD_AND_LOST:
        good = HELD_AND_LOST[asked.about][0]
        yield from ((good, good, ""), ("yes", "yes", ""))
    elif asked is not None and asked.kind == "step" and asked.about != "acid":
        yield from ((f"checked_{asked.about}", "step_done", ""), ("checked", "step_done", ""))
    elif asked is None or not asked.pressing or asked.about in _OF_WORDS:
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
