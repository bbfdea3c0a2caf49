"""Free-form replies to open questions: the expected answer of each, and its reading from a typed text.

How words tell that is in `replies`; what lets a load go on has to be told by all of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from kitchenvoice.dialogue.choosing import called_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.doubting import YES_HELD
from kitchenvoice.dialogue.going_off import tells_heat_off
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.replies import Wants, says
from kitchenvoice.dialogue.returning import returned
from kitchenvoice.dialogue.statements import LEAST_PSI, MOST_PSI, is_idle
from kitchenvoice.dialogue.turn import tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that, normalise
from kitchenvoice.process import THINGS, Load
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.nearness import asks
from kitchenvoice.reference.rules import rules

__all__ = ["PLAIN", "leaves_open", "replied", "says_no", "still_holds", "tells_held", "unless_said_otherwise"]

PLAIN = frozenset({"acid_unconfirmed", "of_acid", "water_unconfirmed"})
"""Questions to which no yes counts that has another report beside it."""
_YES_OR_NO = frozenset({"yes_no", "load_ok", "weight_check", "boil_check", "steam_check", "step_check"})
"""Questions to which a yes is an answer."""
_SAYS_SO = (None, "yes", "no", "fine")
"""What a text may be that is looked at as a reply."""
_FEWEST = 2
"""Fewest words of a reply that may say something else than its first."""
_TELLING = 3
"""Fewest words beside a yes to a load that tell by themselves that they are of something else than how it is."""
_SAID_STEADY = frozenset({"steam_steady", "weight_rocking", "boiling"})
"""Reports that tell of the stove what a yes to them may tell in more words."""
_OF_ZERO = ("zero_so_soon", "zero_again", "zero_untold")
_OF_HEAT = frozenset({"heat_off", "heat_off_first", "hold_over", "hold_not_done"})
_ELSE = intents_that("report") - intents_that("loss")
"""Reports that are more than the story of an answer."""
_OF_OURSELVES = frozenset({"slower", "faster", "louder", "softer"})
"""Wishes of our speech, which the stove's doings beside a yes sound like."""
_OF_HOLD = frozenset({"steady", "off", "zero"})
"""Kinds of questions that a hold, or the opening of a canner, hangs on."""
_OF_ELSE = frozenset({"fault", "weight_on", "unexplained", *THINGS})
"""Doubts of something else than whether pressure, boil or steam held."""
_OF_OURS = ("of_stove", "of_jars", "of_food", "of_acid", "loss", "happening")
"""Kinds of words that tell of the canning, so that a text with one isn't of something else."""


def replied(
    talk: Talk, said: Understanding, text: str, meant_by: Callable[[str], Understanding]
) -> Understanding | None:
    """Return the yes or no that a typed text says to what is asked, in whatever words, or that what was lost is back;
    `None` if it says neither."""
    if (back := returned(talk, said, text)) is not None:
        return back
    if _denies_loss(talk, text):
        return replace(said, intent="no", slots={}, reject_reason=None, unsure=None)
    so = _says(talk, text) if said.intent in _SAYS_SO else None
    so = vented if (vented := _of_its_vent(talk, text)) is not None else so
    first = _first_said(talk, text, meant_by) if said.intent is None and not so else None
    so = so if first is None else first
    if so is None or talk.question is None or (talk.question.of_stove and not so and first is None):
        return None  # that the stove doesn't do it is a report of a loss, and no answer
    return replace(said, intent="yes" if so else "no", slots={}, reject_reason=None, unsure=None)


def _denies_loss(talk: Talk, text: str) -> bool:
    """True for what says that a loss has held all along, or so with a no; it takes that back, and is asked about."""
    frame, said = talk.question, text.lower()
    if frame is None or (frame.kind, frame.about) != ("stands", "loss"):
        return False
    load, no = talk.kitchen.load(frame.load), normalise(said).split(" ")[0] in talk.language.choices("overheard", "no")
    if load is None or not (no or talk.language.hears("all_held", text)):
        return False
    rest = re.sub(r"^\W*\w+\W*", "", said) if no else said
    clauses = re.split("[,;.:!]+", rest)
    told = {tells_held(talk, load, each) for each in (*clauses, rest)}
    return True in told and False not in told


def _of_its_vent(talk: Talk, text: str) -> bool | None:
    """Return whether so many minutes are a whole vent, where that is asked and nothing is said of the stove."""
    frame, hears = talk.question, talk.language.hears
    if frame is None or frame.kind != "loss" or frame.about != "of_vent" or asks(text):
        return None
    clauses = [each for each in re.split(talk.language.table("replying").get("joins", "$"), text.lower()) if each]
    told, minutes = [each for each in clauses if not hears("of_stove", each)], round(rules().vent_minutes.value)
    if any(talk.language.names_one(range(1, minutes), each) for each in told):
        return False
    whole = talk.language.number(minutes)
    return True if any(talk.language.unheard("filler", each).strip() == whole for each in told) else None


def _first_said(talk: Talk, text: str, meant_by: Callable[[str], Understanding]) -> bool | None:
    """Return the answer that a text begins with, where the rest tells only of other matters, or, beside an answer that
    lets no hold go on, says nothing against it, and reports nothing else. No story beside "it held" is left unasked."""
    frame, table = talk.question, talk.language.table("replying")
    asked = None if frame is None else _asked(talk, frame)
    first, *more = [each for each in re.split(table.get("joins", "$"), text.lower()) if each.strip()] or [""]
    so = says(first, asked, table) if asked is not None and more else None
    if so is None or asked is None or frame is None or any(meant_by(each.strip()).intent in _ELSE for each in more):
        return None
    of_hold, rest = asked.kind in _OF_HOLD, text.lower()[len(first) :]
    if leaves_open(talk, rest):
        return None
    if of_hold and so is not asked.held:
        told = [says(each, asked, table) for each in (rest, *more)]
        against = any(meant_by(each.strip()).intent == "fine" for each in more) or asked.held in told
        against = against or talk.language.hears("was_so", first)
        sure = so in told if not so else not talk.language.hears("limits", rest)  # "no" may be said of anything
        return so if sure and not against else None
    grave = frame.kind != "form" and frame.about != "seal_count"
    idle = all(is_idle(talk, each, grave) for each in more) and not talk.language.hears("limits", rest)
    of_load = frame.kind == "form" and (particulars(rest) or len(rest.split()) < _TELLING)
    return so if idle and not of_load and (frame.of_stove or not of_hold) else None


def leaves_open(talk: Talk, text: str) -> bool:
    """True if what is told beside an answer leaves it open, or is of another load."""
    table, low = talk.language.table("replying"), text.lower()
    open_still = "|".join(table.get(kind, "(?!)") for kind in ("unsure", "to_come"))
    return talk.language.hears("another", low) or bool(re.search(rf"\b(?:{open_still})(?![\w'])", low))


def says_no(talk: Talk, text: str) -> bool:
    """True if a text says no to a question of the stove."""
    return talk.question is not None and talk.question.of_stove and _says(talk, text) is False


def unless_said_otherwise(talk: Talk, said: Understanding, text: str) -> Understanding:
    """Return what a typed text means; nothing if it lets a load go on by some of its words, and not by all of them."""
    asked = None if talk.question is None or len(text.split()) < _FEWEST else _asked(talk, talk.question)
    if asked is not None and said.intent in _OF_OURSELVES and _begins_with_yes(talk, text):
        return replace(said, intent=None, slots={}, reject_reason="no_match")  # "yes, slower than before"
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
    if frame.kind == "loss" and frame.about == "heat_off" and talk.language.hears("relit", text):
        return None if talk.language.hears("limits", text) else True  # what was lit was out
    so = says(_of_else(talk, text) if frame.about == "kept" else text, asked, talk.language.table("replying"))
    wants_yes = frame.about == "said" and asked.kind == "steady" and so
    return None if wants_yes and not _begins_with_yes(talk, text) else so


def _begins_with_yes(talk: Talk, text: str) -> bool:
    return normalise(text).partition(" ")[0] in talk.language.choices("overheard", "yes")


def still_holds(talk: Talk, said: Understanding, text: str) -> Understanding | None:
    """Return that all is well, where a hold counts and nobody asks, of a text that says of nothing else."""
    load = talk.focus if len(talk.kitchen.open_loads) == 1 and talk.focus and talk.focus.holding else None
    if load is None:
        return None
    held = tells_held(talk, load, text) and tells_held(talk, load, text, asked_so=False) is False
    return replace(said, intent="fine", slots={}, reject_reason=None) if held else None


def tells_held(talk: Talk, load: Load, text: str, *, asked_so: bool = True) -> bool | None:
    """Read a text as a reply to whether a load held, or whether it fell unless `asked_so`."""
    asked = _asked(talk, Frame(kind="loss", about="gap", expects="yes_no", prompt="", load=load.id))
    return None if asked is None else says(text, replace(asked, held=asked_so), talk.language.table("replying"))


def _of_else(talk: Talk, text: str) -> str:
    """Put a no for each clause that tells of what else words were ("i was talking about the soup")."""
    table, hears = talk.language.table("replying"), talk.language.hears
    clauses = [each.strip() for each in re.split(table["joins"], text)]
    told = ((each, re.match(table["of_else"], each)) for each in clauses)
    return ", ".join(
        table["no"] if found and (found["whose"] or not any(hears(kind, each) for kind in _OF_OURS)) else each
        for each, found in told
    )


def _asked(talk: Talk, frame: Frame) -> Wants | None:
    """Return what a reply to a question has to say; `None` for one that wants something else than a yes or a no."""
    if (
        frame.expects not in _YES_OR_NO
        or frame.passive
        or frame.kind == "stands"
        or not talk.language.table("replying")
    ):
        return None
    waits = frame.said
    zero = frame.about in _OF_ZERO or (waits is not None and tells_zero(waits.intent, waits.slots))
    now = frame.of_stove or zero or (frame.about == "said" and waits is not None and waits.intent in _SAID_STEADY)
    if zero or now or (frame.kind == "loss" and frame.about not in _OF_ELSE | _OF_HEAT):
        load, number = talk.kitchen.load(frame.load), talk.language.number
        least = round(load.process.target_psi or 0) if load is not None and load.process.is_dial else 0
        enough = tuple(map(number, range(least, MOST_PSI))) if least else ()
        held = now or (frame.about in YES_HELD | {"taken_back"} and not frame.values.get("told"))
        return Wants("zero" if zero else "steady", held, now, "", enough, tuple(map(number, range(LEAST_PSI, least))))
    if frame.about in _OF_HEAT:
        return Wants("off", False, True, normalise(frame.prompt))
    of_things = frame.about in THINGS or frame.about in PLAIN
    kind = "things" if of_things else "form" if frame.expects == "load_ok" else "so"
    return Wants(kind, True, True, normalise(frame.prompt))
