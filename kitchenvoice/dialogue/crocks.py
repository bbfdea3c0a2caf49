"""Crocks that ferment: begun, cared for, asked after, spoken of once a day, ended; what is done leads to its load."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import forms, frames
from kitchenvoice.dialogue.choosing import where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.starting import start
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital, nights
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Crock, Fact
from kitchenvoice.reference import find_food, food_name
from kitchenvoice.reference.ferments import ferment_degrees, ferment_of, ferment_weeks, ferments, warmth

__all__ = ["HANDLERS", "WHICH_CROCK", "name_crocks", "tell_checks", "tell_crocks", "tell_figure", "tell_meant"]


_JUST_TOLD_S = 60.0
"""For so long what was said of one crock is said of another of its food too. Common practice, no source."""
_WEEK = 7


def _food(heard: Heard) -> str | None:
    """Return the ferment that a name means: of several foods the one that ferments."""
    named, group = heard.slots.get("food"), heard.slots.get("food_group")
    foods = (named,) if named else find_food(str(group)).candidates if group else ()
    return next((str(food) for food in foods if ferment_of(str(food)) is not None), None)


def _meant(talk: Talk, heard: Heard) -> tuple[Crock, ...]:
    """Return the crocks that are meant: those of the food or the number named, all without a name."""
    named = heard.slots.get("food") or heard.slots.get("food_group")
    food, number = _food(heard), heard.slots.get("crock")
    crocks = tuple(crock for crock in talk.kitchen.crocks if not named or crock.food == food)
    return tuple(crock for crock in crocks if number in (None, crock.number))


def _name(talk: Talk, crock: Crock, alone: str = "food") -> str:
    """Name a crock by its food, or by number and food where two have the same food."""
    twins = [each for each in talk.kitchen.crocks if each.food == crock.food and each.number != crock.number]
    number = talk.language.number(crock.number)
    return talk.language.phrase("crocks", "numbered" if twins else alone, number=number, food=food_name(crock.food))


def _say(talk: Talk, key: str, food: str, crock: Crock | None = None, *, urgency: Urgency = Urgency.READBACK) -> None:
    talk.say("crocks", key, _values(talk, food, crock), urgency=urgency)


def _values(talk: Talk, food: str, crock: Crock | None) -> dict[str, str]:
    ferment, language = ferment_of(food), talk.language
    values = {"food": food_name(food), "age": "" if crock is None else _age(talk, crock)}
    values["crock"] = "" if crock is None else _name(talk, crock, "alone")
    if ferment is not None:
        printed = {"weeks": ferment_weeks(ferment), "salt": ferment.salt, "look": ferment.look}
        printed |= {"warm": ferment.warm, "keeps": ferment.keeps, "degrees": ferment_degrees(ferment)}
        printed |= {"brine": ferment.brine}
        values |= {name: language.in_words(text) for name, text in printed.items()}
    return values


def _age(talk: Talk, crock: Crock) -> str:
    """Say how old it is: in whole days, as the least where time went by uncounted; before one, by the calendar."""
    days = talk.language.counted(crock.days(talk.t), "day")
    if crock.unsure:
        return talk.language.phrase("crocks", "or_more", days=days)
    key = "so_far" if crock.days(talk.t) else "yesterday" if nights(crock.started_t, talk.t) else "today"
    return talk.language.phrase("crocks", key, days=days)


def _care(talk: Talk, crock: Crock) -> str:
    """Say what was done to it last, and when; "" if nothing was."""
    if not crock.care:
        return ""
    days = nights(crock.care_t, talk.t)
    when = ("care_today", "care_yesterday")[days] if days < 2 else "care_ago"
    when = talk.language.phrase("crocks", when, days=talk.language.counted(days, "day"))
    return talk.language.phrase("crocks", f"last_{crock.care}", when=when)


def _least_days(food: str) -> float:
    ferment = ferment_of(food)
    return 0.0 if ferment is None else min(7 * band.weeks[0] for band in ferment.bands)


def _start(talk: Talk, heard: Heard) -> None:
    food, named = _food(heard), heard.slots.get("food") or heard.slots.get("food_group")
    if food is None:
        names = talk.language.listed([food_name(each) for each in ferments()], "and")
        talk.say("crocks", "no_ferment" if named else "which", foods=names, urgency=Urgency.CAUTION)
        return
    going = next((crock for crock in talk.kitchen.crocks if crock.food == food), None)
    if going is not None and not heard.slots.get("another") and "crock_another" not in heard.asked:
        frames.ask_yes_no(
            talk, "crock_another", talk.language.say("crocks", "another", _values(talk, food, going)), heard
        )
        return
    number = 1 + max((crock.number for crock in talk.kitchen.crocks), default=0)
    ago = int(heard.slots.get("days_ago") or 7 * int(heard.slots.get("weeks_ago") or 0))
    talk.record("crock_start", None, heard.text, food=food, crock=number, days_ago=ago)
    _say(talk, "started_ago" if ago else "started", food, talk.kitchen.crock(food, number))
    if going is not None:
        tell_crocks(talk)


def _ask(talk: Talk, heard: Heard) -> None:
    if not tell_meant(talk, heard):
        _tell_none(talk, heard)


def tell_meant(talk: Talk, heard: Heard) -> bool:
    """Say how far the crocks are that are meant, all without a name; tell whether there is one."""
    crocks = _meant(talk, heard)
    for crock in crocks:
        _tell(talk, crock)
    return bool(crocks)


def tell_figure(talk: Talk, heard: Heard) -> bool:
    """Say how long the crocks that are going take, or their salt, where that is asked of no load; tell if so."""
    if heard.intent == "ask_hold" and talk.asked is None:
        return tell_meant(talk, heard)
    crocks = talk.kitchen.crocks if heard.intent == "ask_salt" and talk.asked is None else ()
    for crock in crocks:
        _say(talk, "salt", crock.food, crock)
    return bool(crocks)


def _tell(talk: Talk, crock: Crock) -> None:
    least = _least_days(crock.food)
    left, weeks = least - crock.days(talk.t), capital(talk.language.number(least / 7))
    _say(talk, "status", crock.food, crock)
    if left > 0 and not crock.unsure:
        talk.say("crocks", "ahead", least=weeks, left=talk.language.counted(left, "day"))
    elif left <= 0:
        talk.say("crocks", "least_over", least=weeks)
    if crock.care:
        talk.say("crocks", "care", care=capital(_care(talk, crock)))
    _say(talk, "look", crock.food, crock)


def _tell_none(talk: Talk, heard: Heard) -> None:
    """Say that there is none; a load that is going may be what was meant."""
    food, number = _food(heard), heard.slots.get("crock")
    if number is not None and talk.kitchen.crocks:
        talk.say("crocks", "no_such", number=talk.language.number(number))
        tell_crocks(talk)
    elif food is None:
        talk.say("crocks", "none")
    elif talk.kitchen.open_loads:
        for load in talk.kitchen.open_loads:
            talk.speak(where(talk, load))
    else:
        _say(talk, "none_of", food)


def _end(talk: Talk, heard: Heard) -> None:
    """End a crock. One that is through leads to its load, before its printed weeks only with a yes."""
    crocks, out = _one(talk, heard), bool(heard.slots.get("out"))
    if not crocks:
        return
    if not out and crocks[0].days(talk.t) < _least_days(crocks[0].food) and "crock_early" not in heard.asked:
        prompt = talk.language.say("crocks", "early", _values(talk, crocks[0].food, crocks[0]))
        frames.ask_yes_no(talk, "crock_early", prompt, heard)
    else:
        _end_this(talk, heard, crocks[0], out=out)


def _one(talk: Talk, heard: Heard) -> tuple[Crock, ...]:
    """Return the one crock that is meant; else ask which, or say that there is none."""
    crocks = _meant(talk, heard)
    if len(crocks) > 1:
        prompt = talk.language.say("crocks", "which_one", crocks=talk.language.listed([_name(talk, x) for x in crocks]))
        forms.ask(talk, "crock", "crock", {}, prompt, "which_crock", said=heard, kept=False)
    elif not crocks:
        _tell_none(talk, heard)
    return crocks if len(crocks) == 1 else ()


def _care_for(talk: Talk, heard: Heard) -> None:
    """Record what the cook did to a crock, or to all of them, and the brine that tops one up."""
    for crock in _meant(talk, heard) if heard.slots.get("all") else _one(talk, heard):
        care, degrees = str(heard.slots.get("care") or "checked"), heard.slots.get("degrees")
        told = {} if degrees is None else {"degrees": int(degrees)}
        talk.record("crock_care", None, heard.text, {**told, "food": crock.food, "crock": crock.number, "care": care})
        if degrees is None:
            _say(talk, care, crock.food, crock)
        else:
            _judge(talk, crock, int(degrees))


def _judge(talk: Talk, crock: Crock, degrees: int) -> None:
    """Say whether so many degrees are within what is printed for the ferment, and what becomes of it if not."""
    ferment = ferment_of(crock.food)
    if ferment is None:
        return
    found, language = warmth(ferment, degrees), talk.language
    values = {**_values(talk, crock.food, crock), "now": language.number(degrees)}
    if isinstance(found, str):
        urgency = Urgency.READBACK if found == "between" else Urgency.CAUTION
        talk.say("crocks", found, values, urgency=urgency)
    else:
        low, high = (language.number(weeks) for weeks in found.weeks)
        talk.say("crocks", "warm_enough", {**values, "weeks": language.phrase("sheets", "span", low=low, high=high)})


def _go_on(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    """Do what was said to the crock that was chosen; one that isn't there is told, and asked for no more."""
    if frame is not None and frame.said is not None:
        HANDLERS[frame.said.intent](talk, replace(frame.said, slots={**frame.said.slots, **values}))


WHICH_CROCK = Form(lambda _talk, _frame, heard: forms.chosen(heard, "crock", "food", "food_group"), _go_on)
"""Which of the crocks is meant."""


def _end_this(talk: Talk, heard: Heard, crock: Crock, *, out: bool) -> None:
    values = _values(talk, crock.food, crock)
    talk.record("crock_end", None, heard.text, food=crock.food, crock=crock.number, out=out)
    talk.say("crocks", "thrown_out" if out else "ended", values)
    if not out:
        start(talk, Heard("load_start", {"food": crock.food, "fermented": True}, heard.text, talk.t))


def tell_checks(talk: Talk, facts: tuple[Fact, ...]) -> None:
    """Speak of the crocks that are due for it: once, softly, in full once a week, and of nothing that calls again."""
    for fact in facts:
        if fact.kind == "crock_check":
            crock = talk.kitchen.crock(str(fact.data["food"]), int(str(fact.data["crock"])))
            if crock is not None:
                fresh = [each.told_t for each in talk.kitchen.crocks if each.food == crock.food and each is not crock]
                key = "check_too" if any(talk.t - told_t < _JUST_TOLD_S for told_t in fresh) else "check"
                brief = talk.brief or crock.days(talk.t) % _WEEK != 1
                values = _values(talk, crock.food, crock)
                talk.speak(talk.language.say("crocks", key, values, brief=brief), Urgency.CHAT)


def tell_crocks(talk: Talk) -> bool:
    """Say which crocks there are and since when; tell whether there is one."""
    told = [(_name(talk, each), _age(talk, each), _care(talk, each)) for each in talk.kitchen.crocks]
    crocks = [", ".join(filter(None, each)) for each in told]
    if crocks:
        talk.say("crocks", "list", items=talk.language.listed(crocks, "and"))
    return bool(crocks)


def name_crocks(talk: Talk) -> str:
    """Name the crocks that are going."""
    return talk.language.listed([_name(talk, each, "alone") for each in talk.kitchen.crocks], "and")


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {"crock_start": _start, "crock_care": _care_for, "crock_end": _end, "ask_crock": _ask}
)
"""What is done with a crock."""
