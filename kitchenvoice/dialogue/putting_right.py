"""Corrections of what was just told: "no, that was only two", "I said nine but it's ten", "not the beans, the carrots".

A correction has a word of one, a value or a name of the kind that was told, and small words alone beside it. What it
puts right is taken back, and then it is a report as any other: all that speaks against that one speaks against it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import frames, taking_back
from kitchenvoice.dialogue.choosing import find_loads, named_in, offered
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.doubting import OF_ONE_REPORT
from kitchenvoice.dialogue.naming import whose
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.rewording import spots
from kitchenvoice.dialogue.sayable import anywhere
from kitchenvoice.dialogue.statements import is_not_of_now, is_of_other_matters, names_other_food, names_under
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that, normalise
from kitchenvoice.process import Event, Stage, loads_for
from kitchenvoice.reference import find_food
from kitchenvoice.reference.nearness import asks

__all__ = ["as_put_right", "put_right"]

_JUST_S, _LATE_S = 60.0, 600.0
"""For so long it is of what was told last: where a vent or hold counts, and else. Common practice, no source."""
_BREATH_S = 20.0
"""For so long a lid that was told off may have been another one's. Common practice, no source."""
_TAKE_BACK = frozenset({"cancel", "disown", "mistake", "scratch"})
_LONGEST = 5
_Meant = tuple[str | None, Mapping[str, Any]]
_NOTHING: _Meant = (None, {})
_PAUSE = re.compile("[,;.:!]+")
_LOSSES, _REPORTS, _HOLDS = intents_that("loss"), intents_that("report"), intents_that("holds")
_ANSWERS = intents_that("bare") | intents_that("seals")
_KINDS = {"count": "count", "pressure": "pressure", "sealed": "count", "failed": "count", "outcome": "outcome"}
"""Slots that are put right by a value alone, and the question whose answer it would be."""
_FORMS = ("puts_right", "denies", "less", "recount")
_OF_A_LOAD = ("jar", "pack", "food", "count", "canner")
_IN_PACKING = (None, "packed", "packed_in_all")
_AS_TOLD = {"tally": "seal_count", "packed": "packed_in_all", "pressure_low": "pressure_is"}
"""What a report is told by, if that isn't its own name."""
_TOLD_AGAIN = frozenset({"jars_out"})
"""Reports that may be told again, and then count instead of what was told."""
_OF_ONE = ("yes_no", "loss", "stands")
"""Kinds of questions of one load, for which another one may be named."""
_BY_THEMSELVES = frozenset({"said", "heard", "seal_count", "packed_in_all", "jars_in_differ", "jars_many"})
"""Questions whether a report was meant as it was taken: the one that waits is put right."""


def as_put_right(
    talk: Talk, said: Understanding, text: str, meant_by: Callable[[str], Understanding]
) -> Understanding | None:
    """Return the report that a typed text puts right; `None` if it puts nothing right, or has any word besides."""
    text, asked = ", ".join(without_name(talk, part) for part in _PAUSE.split(text)), talk.question
    if asked is not None and _was_another_lid(talk, asked, said, text):
        return replace(said, intent="yes" if asked.kind == "loss" else "no", slots={}, reject_reason=None, unsure=None)
    first, _, rest = text.replace(",", "").partition(" ")
    waits = _told(talk) if rest and first in talk.language.choices("overheard", "yes") else None
    if isinstance(waits, Frame):
        text = talk.language.unheard("filler", rest)
    elif not any(talk.language.hears(each, text) for each in _FORMS):
        return None
    if asks(text):
        return None
    intent, slots = _read(talk, said, text, asked, meant_by)
    if intent is None and said.intent is None and (left := talk.language.put_right(text)) != text:
        right = meant_by(talk.language.unheard("puts_right", left))  # "it reads twelve not eleven"
        intent, slots = (right.intent, right.slots) if _KINDS.keys() & right.slots.keys() else (None, slots)
    if intent is None and isinstance(waits, Frame):
        told, was = anywhere(talk, typed=True).parse(text), _of(talk, waits)[1]
        numbered = any(_KINDS.keys() & each.slots.keys() for each in told)
        intent = "no" if any(_differs(each.slots, was) for each in told) else "yes" if numbered else None
    return None if intent is None else replace(said, intent=intent, slots=slots, reject_reason=None, unsure=None)


def _was_another_lid(talk: Talk, asked: Frame, said: Understanding, text: str) -> bool:
    """True if it is said in one breath with a lid that is off that it was none of ours: "I mean the jam pot's"."""
    doubt = None if asked.doubt is None else next((x for x in talk.kitchen.doubts if x.id == asked.doubt), None)
    since = asked.said.t if asked.about == "zero_untold" and asked.said is not None else float("-inf")
    since = doubt.t if doubt is not None and doubt.kind == "opened" and "off" not in doubt.data else since
    if talk.t - since > _BREATH_S:
        return False
    words = normalise(text)
    of_another = is_of_other_matters(talk, words) or talk.language.hears("foreign", words)
    of_another = of_another or names_other_food(talk, words, *talk.kitchen.open_loads)
    of_another = of_another and said.intent is None and talk.language.hears("puts_right", words)
    return (said.intent in _TAKE_BACK and not talk.language.hears("vague", words)) or of_another


def _differs(slots: Mapping[str, Any], was: Mapping[str, Any]) -> bool:
    return any(value not in was.values() for name, value in slots.items() if name in _KINDS)


def _read(
    talk: Talk, said: Understanding, text: str, asked: Frame | None, meant_by: Callable[[str], Understanding]
) -> _Meant:
    """Return the intent and the slots of what a text puts right."""
    if asked is not None and asked.about == "load_start":
        found = _different(talk, text, asked.values) if said.intent is None else None
        return ("choice", found) if found else _NOTHING
    if asked is not None and asked.kind == "which":
        if said.intent is None and talk.language.hears("denies", text):
            return whose(talk, text, offered(talk, asked)) or _NOTHING
        one = _left(_loads(talk, text), None) if said.intent is None else None
        return _NOTHING if one is None else ("choice", {"load": one})
    of_one = asked is not None and asked.kind in _OF_ONE
    of = talk.kitchen.load(asked.load) if asked is not None and of_one and said.intent not in _REPORTS else None
    last = next((each.heard for each in taking_back.standing(talk) if of and each.load == of.id and each.heard), "")
    repeated = re.findall(r"\w+", last)  # "that was the carrots I switched off"
    less = talk.language.hears("less", " ".join(each for each in text.split() if each not in repeated))
    one = None if of is None or less else _left(_loads(talk, text, repeated), of.number)
    if one is not None:
        return "choice", {"load": one, "no": 1}
    right = " ".join(talk.language.unheard("puts_right", text).replace(",", "").split())
    told, rest = _told(talk), meant_by(right)
    begin, _, after = text.replace(",", "").partition(" ")
    no = begin in talk.language.choices("overheard", "no")
    meant = talk.language.hears("puts_right", after)
    lost = asked is not None and asked.kind == "loss" and asked.about in OF_ONE_REPORT
    if lost and no and meant and right and said.intent is None is rest.intent:  # "no, I mean the oven"
        return ("no" if is_of_other_matters(talk, right) else "cancel"), {}
    if asked is not None and asked.of_stove and said.intent is None and rest.intent in _HOLDS | _LOSSES:
        sure = rest.unsure is None and not (is_not_of_now(talk, text) or talk.language.hears("hedged", text))
        return (rest.intent, rest.slots) if sure or rest.intent in _LOSSES else _NOTHING  # "no, it's still rocking"
    if told is not None and not (isinstance(told, Frame) and said.intent in _ANSWERS):
        kind, was = _of(talk, told)
        to_a_loss = said.intent is None and asked is not None and asked.kind == "stands" and asked.about == "loss"
        lost_it = talk.kitchen.load(asked.load) if to_a_loss and asked is not None else None
        if to_a_loss and rest.intent in _HOLDS - {kind}:  # what it does now doesn't tell that it did so all the time
            under = lost_it is not None and names_under(talk, text, lost_it.process.target_psi or 0)
            return (rest.intent, rest.slots) if under else ("no", {})
        if isinstance(told, Frame) and kind == rest.intent == "seal_count" and _differs(rest.slots, was):
            return rest.intent, rest.slots  # of one number the other follows
        if kind in ("seal_count", "tally") and talk.language.hears("recount", text):
            return "scratch", {}
        found = _value(talk, text, kind, was) or _other_load(talk, text, told)
        if found is None and not talk.language.hears("less", text):
            found = _reworded(rest, kind, was)
        if found is not None and _may_be(talk, told, found):
            again = {} if kind in _TOLD_AGAIN else {"correct": 1}
            return kind if "load" in found else _AS_TOLD.get(kind, kind), {**was, **found, **again}
    names_it = rest.intent in _REPORTS or (asked is not None and asked.about == "empty_canner")
    names_it = names_it and (not no or meant)  # "no weight on canner one" denies
    if said.intent is None and names_it and find_loads(talk, named_in(Heard("", rest.slots, text, talk.t))):
        return rest.intent, rest.slots  # "I mean canner one is at zero"
    packing = talk.focus if talk.focus is not None and talk.focus.stage is Stage.PACK else None
    if said.intent in _IN_PACKING and packing is not None and (asked is None or asked.passive):
        now = {"food": packing.food, "jar": packing.jar, "pack": packing.pack, "count": packing.planned}
        found = _different(talk, text, now)
        if found and said.intent is None and "count" not in found:
            return "change_load", found
        return ("other_count", {}) if found and {*found} == {"count"} and not packing.packed else _NOTHING
    return _NOTHING


def put_right(talk: Talk, heard: Heard, handler: Callable[[Talk, Heard], None]) -> None:
    """Take back what a correction puts right, then do what it says; what held by that alone is asked about if it says
    nothing of it."""
    told = _told(talk) if heard.slots.get("correct") else None
    if told is None:
        handler(talk, heard)
    elif isinstance(told, Frame):
        frames.close(talk, told)
        of = told.said.of if told.said is not None and heard.of is None else heard.of
        handler(talk, replace(heard, of=of))
    else:
        slots, before = {name: value for name, value in heard.slots.items() if name != "correct"}, talk.kitchen
        load = before.load(told.load)
        if heard.intent == "packed_in_all" and load is not None and _is_more(talk, told, load.packed, heard):
            slots["count"] += load.packed - int(str(told.data.get("count", 1)))
        taking_back.take_back(talk, told, corrected=True)
        seq = talk.last_seq
        handler(talk, replace(heard, slots=slots, of=told.load if heard.of is None else heard.of))
        if talk.last_seq == seq:
            taking_back.left_open(talk, told, before)


# ---------------------------------------------------------------- what is put right


def _told(talk: Talk) -> Frame | Event | None:
    """Return the latest report: the one that waits for a yes, else the last event, if it isn't too old."""
    asked = talk.question
    if asked is not None and not (asked.passive or asked.kind in ("stands", "check")):
        waits = asked.kind == "yes_no" and asked.about in _BY_THEMSELVES and asked.said is not None
        return asked if waits and asked.said is not None and asked.said.intent in _REPORTS else None
    told = (each for each in taking_back.standing(talk) if each.heard and each.kind not in ("load_select", "doubt"))
    event = next(told, None)
    load = None if event is None else talk.kitchen.load(event.load)
    if event is None or load is None or load.doubt or load.stage is Stage.CLOSED:
        return None
    if event.kind not in _REPORTS | _AS_TOLD.keys():
        return None
    if asked is not None and asked.kind == "check" and "pressure" in event.data:
        return None  # it is asked what it reads now
    return event if talk.t - event.t <= (_JUST_S if load.claims else _LATE_S) else None


def _of(talk: Talk, told: Frame | Event) -> tuple[str, dict[str, Any]]:
    """Return the kind of report and what it told."""
    jars: dict[str, Any] = {}
    if isinstance(told, Event):
        kind, data, load = told.kind, told.data, talk.kitchen.load(told.load)
        untold: dict[str, dict[str, Any]] = {each: {"count": load and load.jars} for each in ("jars_in", "jars_out")}
        untold["packed"] = {"count": 1}
        jars = untold.get(kind, {})
    else:
        kind, data = (told.said.intent, told.said.slots) if told.said is not None else ("", {})
    slots = {name: value for name, value in data.items() if name not in ("asked", "answered", "correct")}
    return kind, {**jars, **slots}


def _is_more(talk: Talk, told: Event, packed: int, heard: Heard) -> bool:
    """True if it puts right how many more were told, and not the total that was said back."""
    more = int(str(told.data.get("count", 1)))
    if talk.language.number(packed) in told.heard.split():
        return False  # the total was told
    named = talk.language.hears("own_number", heard.text) or talk.language.names_one([more], heard.text)
    return named or not packed - more < heard.slots["count"] != packed


def _may_be(talk: Talk, told: Frame | Event, found: Mapping[str, Any]) -> bool:
    """True if it may be put right without a question. A loss may in the breath in which it was said back, or by
    one; a zero has its own questions."""
    kind, was = _of(talk, told)
    if isinstance(told, Frame):
        return True
    load, psi = talk.kitchen.load(told.load), found.get("pressure")
    lost = any(each.kind == "hold_lost" and each.data.get("of") == told.seq for each in talk.history)
    below = load is not None and psi is not None and psi < (load.process.target_psi or 0)
    asked = talk.question
    breath = asked is not None and asked.kind == "stands" and asked.values.get("seq") == told.seq and psi is not None
    return 0 not in (was.get("pressure"), psi) and (breath or below or not (lost or kind in _LOSSES))


# ---------------------------------------------------------------- what it is put right to


def _value(talk: Talk, text: str, kind: str, was: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the one value that is named instead of the one that was told; of a count of seals both, or the other's."""
    names = [name for name in _KINDS if name in was]
    if {"sealed", "failed"} <= {*names}:
        found = _spotted(talk, text, "count_ok")
        return dict(found[0][0]) if found and len(found) == 1 and {*found[0][0]} == {"sealed", "failed"} else None
    for name in names:
        found = _spotted(talk, text, _KINDS[name]) or []
        one = [(next(iter(slots.items())), denied) for slots, denied in found]
        values = [(value, denied) for (slot, value), denied in one if slot in ("value", name)]
        if len(values) < len(found) or not values:
            continue
        left = _left(values, was[name])
        if was[name] is not None and talk.language.hears("less", text):
            if _KINDS[name] != "count" or (kind == "packed" and len(values) == 1):
                return None  # it is no count that is one off, or that is one more report
            left = was[name] - values[0][0]
            left = left if left > 0 and {value for value, _ in values[1:]} <= {left} else None
        if left is not None:
            return {name: left}
    return None


def _left(values: Sequence[tuple[Any, bool]] | None, was: Any) -> Any:
    """Return the value that isn't denied, and isn't the one that was told; `None` if another one is denied."""
    left = {value for value, denied in values or () if not denied and value != was}
    fits = all(was is None or value == was for value, denied in values or () if denied)
    return left.pop() if fits and len(left) == 1 else None


def _loads(talk: Talk, text: str, again: Sequence[str] = ()) -> list[tuple[int, bool]] | None:
    """Return the numbers of the loads that are named; `None` if one may be several. `again`: words said before."""
    found = _spotted(talk, text, "load", again) or []
    loads = [(find_loads(talk, named_in(Heard("choice", slots, text, talk.t))), denied) for slots, denied in found]
    return [(each[0].number, denied) for each, denied in loads] if all(len(each) == 1 for each, _ in loads) else None


def _other_load(talk: Talk, text: str, told: Frame | Event) -> dict[str, Any] | None:
    """Return the load that is named instead of the one that it was taken for."""
    load = talk.kitchen.load(told.load)
    if isinstance(told, Frame) or load is None or told.kind not in _REPORTS:
        return None
    number = _left(_loads(talk, text), load.number)
    return {"load": number} if number in [each.number for each in loads_for(talk.kitchen, told.kind)] else None


def _different(talk: Talk, text: str, now: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the slots that name a load otherwise than it is `now`."""
    found: dict[str, Any] = {}
    for slots, denied in _spotted(talk, text, "any") or ():
        named = {"count" if name == "value" else name: value for name, value in slots.items()}
        if named.keys() - {*_OF_A_LOAD, "food_group"}:
            return None
        if now.get("food") in find_food(str(named.get("food_group"))).candidates:
            named = {name: value for name, value in named.items() if name not in ("food", "food_group")}
        found |= {} if denied else {name: value for name, value in named.items() if now.get(name) != value}
    return found or None


def _reworded(meant: Understanding, kind: str, was: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return the same report with something else in it, said in full behind the word of a correction."""
    same = meant.unsure is None and meant.intent == ("seal_count" if kind == "tally" else kind)
    same = same and (kind != "seal_count" or {*was} <= {*meant.slots})
    if not same or "load" in meant.slots or all(was.get(x) == y for x, y in meant.slots.items()):
        return None
    return dict(meant.slots)


def _spotted(
    talk: Talk, text: str, question: str, again: Sequence[str] = ()
) -> list[tuple[Mapping[str, Any], bool]] | None:
    """Return what a text names of the answers to a question, and what of it is denied; `None` if it has any word
    besides but small ones."""
    language, found, denied = talk.language, list[tuple[Mapping[str, Any], bool]](), False
    small, no = language.choices("overheard", "beside_right"), language.choices("overheard", "denies")
    loads = {load.number: load.food for load in talk.kitchen.open_loads}
    grammar = talk.book.grammar((), attention="optional", question=question, loads=loads, typed=True)

    def read(span: str) -> Mapping[str, Any] | None:
        return next((each.slots for each in grammar.parse(span) if each.intent in _ANSWERS and each.slots), None)

    for part in _PAUSE.split(language.unheard("less", language.unheard("puts_right", text))):
        for span, slots in spots(part, _LONGEST, read):
            if slots is not None:
                found.append((slots, denied))
            elif span not in (*no, *small, *again):
                return None
            denied = slots is None and (denied or span in no)
    return None if denied else found
