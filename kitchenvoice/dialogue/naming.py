"""Which load a typed answer names, by food, canner, place or gauge, whatever else it tells, and which it denies.

A denial is of the name behind it, or of the one before it where none follows; what is well isn't the one either.
"Neither" has only what was mistaken for it beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from kitchenvoice.dialogue.choosing import called_in, find_loads, named_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.replying import tells_held
from kitchenvoice.dialogue.rewording import spots
from kitchenvoice.dialogue.statements import is_filler, is_of_other_matters, names_less
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.process import Load

__all__ = ["whose"]

_LONGEST = 5
_OF_ALL = frozenset({"both", "neither"})
_NAMES = _OF_ALL | {"choice", "not_load"}
_NAMES_NONE = ("limits", "another")
"""Kinds of words beside which a name may be that of no load, or of the other ones."""
_BESIDE = ("denies_it", "denies", "well")
"""Kinds of words that tell which name isn't meant: the one before, the one behind, and a load that is well."""
_Answer = tuple[str, Mapping[str, Any]]


def whose(talk: Talk, text: str, loads: Sequence[Load]) -> _Answer | None:
    """Return what a text answers to which of these loads it was, an intent and its slots; `None` if it doesn't."""
    table = talk.language.table("replying")
    if not table or talk.language.hears("unknown", text.lower()):
        return None
    named, denied, of_all, beside = set[int](), set[int](), set[str](), list[str]()
    for clause in re.split(table["joins"], text.lower()):
        here, out, no, of_it, none = list[Load](), list[Load](), False, set[str](), False
        words, before, none_of_all = list[tuple[str, str | None]](), None, "neither" in of_all
        for span, found in spots(clause, _LONGEST, lambda each: _read(talk, each, loads)):
            kind = next((each for each in _BESIDE if re.fullmatch(table[each], span)), None)
            if found is None:
                ahead = kind == "denies" or (kind == "denies_it" and before is None)
                no = no or ahead
                of_it |= set() if kind is None or ahead else {kind}
                words.append((span, kind))
            elif found["intent"] in _OF_ALL:
                of_all.add(found["intent"])
                none = none or found["intent"] == "neither"
            elif none_of_all and talk.language.hears("mistook", clause):
                words.append((span, None))
            elif found["load"] is None:
                return None  # a name of several
            else:
                (out if no or none or found["intent"] == "not_load" else here).append(found["load"])
                no = False
            before = found
        of_it |= {"denies"} if no else set()
        held = _held(talk, [*here, *out], words, of_it if here else set())
        if held is None or (held and out):
            return None
        denied.update(load.number for load in out)
        (denied if held else named).update(load.number for load in here)
        beside.append(" ".join(word for word, kind in words if kind is None))
    open_to = _NAMES_NONE[:1] if "neither" in of_all else _NAMES_NONE  # which was another thing
    if any(talk.language.hears(kind, each) for kind in open_to for each in beside):
        return None
    if "neither" in of_all and not _was_mistaken(talk, beside):
        return None
    return _answer(named, denied, of_all, {load.number for load in loads})


def _held(talk: Talk, of: Sequence[Load], words: Sequence[tuple[str, str | None]], of_it: set[str]) -> bool | None:
    """Return whether the words about a load say that it isn't the one, or all is well with it; `None` if unclear."""
    little = {*talk.language.table("replying")["beside"].split()}
    more = [word for word, kind in words if kind is None and word not in little]
    if not of or not (more or of_it):
        return False
    if len(of) > 1 and of_it:
        return None
    if not more and len(of_it) == 1:
        return True  # "isn't it", "is fine"
    told = tells_held(talk, of[0], " ".join(word for word, kind in words if of_it or kind is None))
    return None if told is None and of_it else told is True


def _read(talk: Talk, span: str, loads: Sequence[Load]) -> Mapping[str, Any] | None:
    """Return what words say of which load; a number alone counts other things."""
    known = {load.number: load.food for load in loads}
    grammar = talk.book.grammar((), attention="optional", question="load", loads=known, typed=True)
    reading = next((each for each in grammar.parse(span) if each.intent in _NAMES), None)
    if reading is None or reading.intent in _OF_ALL:
        return None if reading is None else {"intent": reading.intent}
    if " " not in span and not called_in(span, loads):
        return None
    meant = find_loads(talk, named_in(Heard(reading.intent, reading.slots, span, talk.t)))
    return {"intent": reading.intent, "load": meant[0] if len(meant) == 1 else None}


def _was_mistaken(talk: Talk, told: Iterable[str]) -> bool:
    """True if all that is told is of something else, or how somebody came to take it for a loss."""
    more = [each for each in told if not is_filler(talk, talk.language.unheard("puts_right", each))]
    ours = [each for each in more if not is_of_other_matters(talk, each)]
    return all(talk.language.hears("mistook", each) and not names_less(talk, each) for each in ours)


def _answer(named: set[int], denied: set[int], of_all: set[str], offered: set[int]) -> _Answer | None:
    if of_all and not named:
        return (of_all.pop(), {}) if len(of_all) == 1 else None
    if len(named) == 1 and not (of_all or named & denied):
        return "choice", {"load": next(iter(named))}
    if named or not denied or not offered - denied:
        return ("neither", {}) if denied and not named else None
    return ("not_load", {"load": next(iter(denied))}) if len(denied) == 1 else None
