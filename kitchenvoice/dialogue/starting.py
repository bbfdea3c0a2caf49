"""Starting a load: missing particulars are asked for, never assumed; the whole process is read back for one yes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import forms, statements
from kitchenvoice.dialogue.altitude import fill_altitude, missing_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.form import LoadForm, food_by_jar, foods_named
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.read_back import canner_name, food_of, open_load, read_back
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import LEAST_QUARTS, Canner
from kitchenvoice.ports import Urgency
from kitchenvoice.reference import Answer, find_food, food_name, lookup
from kitchenvoice.reference.ferments import ferment_of
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.inputs import TOP_FT, jar
from kitchenvoice.reference.names import refused_entry

__all__ = ["START", "start"]

_USUAL = ("pint", "quart")
_NOT_LED = "pasteurization"
"""A method that is printed for some foods, and that no load is led by."""
_BY_PROCEDURE = "see-procedure"
"""The pack that no cook chooses: the guide prints a procedure, which is told before filling."""


def start(talk: Talk, heard: Heard) -> None:
    """Begin the form with what one sentence gave."""
    if heard.slots.get("count") == 0:
        talk.say("objecting", "no_jars", urgency=Urgency.CAUTION)
        return
    if heard.slots.get("several"):
        talk.say("starting", "one_by_one")
    if heard.slots.get("sizes"):
        talk.say("starting", "one_size")
    food, told = str(heard.slots.get("food") or ""), {"count", "jar", "pack", "fermented"}
    if ferment_of(food) is not None and not any(heard.slots.get(each) for each in told):
        talk.say("starting", "ferment_first", food=food_name(food))
    asked = (each for each in (talk.question, *talk.parked) if each is not None and each.about == "altitude")
    altitude = next((each.values.get("altitude") for each in asked), None)  # told, and not confirmed yet
    before = _as_before(talk) if heard.slots.get("again") else {}
    form = LoadForm(heard=heard.text, altitude=altitude)
    _next(talk, None, _filled(form, {**before, **heard.slots, **_canner_meant(talk, form, heard.slots)}))


def _as_before(talk: Talk) -> Mapping[str, Any]:
    """Return what was said of the load that was started last, but for its canner; nothing if there is none."""
    load = max(talk.kitchen.loads, key=lambda each: each.id, default=None)
    if load is None:
        return {}
    kept = {"food": load.food, "pack": load.pack, "jar": load.jar, "count": load.planned}
    return {**kept, "method": load.process.method}


def _go_on(talk: Talk, form: LoadForm) -> None:
    """Ask for the first missing particular; refuse an untested process; read back a complete one."""
    if form.food is None:
        _ask(talk, form, "food", "ask_food")
        return
    if jar(form.jar).kind == "refused":
        talk.refuse(talk.language.say("starting", "metric_jars"))
        return
    canner = _canner_of(talk, form)
    answer = _look_up(talk, form, canner)
    if form.method == _NOT_LED and answer.status != "refused":
        talk.say("starting", "not_led", food=answer.food_name or "")
        _go_on(talk, replace(form, method=None))
        return
    if answer.status == "refused":
        _refuse(talk, answer)
        _ask_instead(talk, form, canner)
    elif form.jar is None:
        jars = [talk.language.jars(each.replace("_", "-")) for each in answer.choices.get("jar") or _USUAL]
        _ask(talk, form, "jar", "ask_jar", choices=talk.language.listed(jars))
    elif form.pack is None:
        _ask_pack(talk, form, answer)
    elif form.count is None:
        _ask(talk, form, "count", "ask_count", jars=talk.language.jars(form.jar))
    elif form.count < 1:
        _ask(talk, replace(form, count=None), "count", "zero")
    elif form.method is None:
        _settle_method(talk, form, answer)
    else:
        _settle_vessel(talk, form, canner, answer)


def _look_up(talk: Talk, form: LoadForm, canner: Canner | None) -> Answer:
    gauge = canner.gauge if canner is not None and form.method == "pressure" else form.gauge
    named, feet = refused_entry(form.food or ""), talk.profile.altitude_ft
    food = named["spoken"] if named is not None else form.food
    return lookup(food, pack=form.pack, jar=form.jar, method=form.method, gauge=gauge, altitude_ft=feet)


def _refuse(talk: Talk, answer: Answer) -> None:
    too_high = (talk.profile.altitude_ft or 0) > TOP_FT
    again = talk.language.say("starting", "altitude_again") if too_high else ""
    talk.refuse(" ".join(text for text in (talk.language.in_words(answer.reason or ""), again) if text))


def _ask_instead(talk: Talk, form: LoadForm, canner: Canner | None) -> None:
    """Wait for another jar or pack, which the refusal named, where only that one was refused."""
    for slot, prompt in (("jar", "ask_jar"), ("pack", "ask_pack")):
        rest = LoadForm.of({**form.as_values(), slot: None})
        choices = _look_up(talk, rest, canner).choices.get(slot, ())
        if getattr(form, slot) is not None and choices:
            named = talk.language.listed([talk.language.jars(each) for each in choices]) if slot == "jar" else ""
            text = talk.language.say("starting", prompt, choices=named)
            forms.ask(talk, "load_start", slot, rest.as_values(), text, slot, spoken=False)
            return


# ---------------------------------------------------------------- asking


def _ask(talk: Talk, form: LoadForm, slot: str, key: str, **values: str) -> None:
    _put(talk, form, slot, "any" if slot == "change" else slot, talk.language.say("starting", key, values))


def _put(talk: Talk, form: LoadForm, slot: str, expects: str, prompt: str) -> None:
    why = slot if talk.language.has("whys", slot) else ""
    forms.ask(talk, "load_start", slot, form.as_values(), prompt, expects, why=why)


def _answer(talk: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    """Take what was asked, and whatever else was said with it; a food of its own begins anew."""
    form, slot = LoadForm.of(frame.values), frame.values["slot"]
    slots = {name: value for name, value in heard.slots.items() if value is not None}
    slots |= _canner_meant(talk, form, slots)
    if slot in ("altitude", "altitude_ok"):
        said = fill_altitude(talk, frame, heard)
        return None if said is None else {**frame.values, **said}
    if heard.intent == "load_select" and "canner" in slots:  # that one is meant, not the load in it
        return _filled(replace(form, option=None), {"canner": slots["canner"]})
    if heard.intent == "yes" and slot == "jar":  # of the only one there is
        jars = _look_up(talk, form, None).choices.get("jar", ())
        return replace(form, jar=jars[0].replace("_", "-")).as_values() if len(jars) == 1 else None
    if heard.intent in ("yes", "no"):
        return _after_yes_no(form, slot, heard.intent == "yes", frame)
    if slot == "option" and "minutes" in slots:
        return _option_of(talk, form, slots)
    if heard.intent == "number":
        slots = {"count": forms.whole(slots.get("value"))}
    if heard.intent not in ("number", "choice", "load_start") or not any(each is not None for each in slots.values()):
        return None
    if slot != "change" and _names_food(heard):
        begun = LoadForm(heard=heard.text, canner=form.canner if form.food is None else None)
        return _filled(begun, slots)
    if slot == "food" and _is_kind_of_others(heard, frame):
        return None
    form = replace(form, option=None, heard=", ".join(filter(None, (form.heard, heard.text))))
    if form.food is None and not (slots.get("food") or slots.get("food_group")):
        slots["food_group"] = frame.values.get("food_group")
    if slots.get("food") and slots["food"] != form.food and slot == "change":
        form = replace(form, method=None, gauge=None)
    return _filled(form, slots)


def _option_of(talk: Talk, form: LoadForm, slots: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Take the one alternative of the table that has these minutes, and pounds if any are named; it is read back."""
    wanted = slots.get("minutes"), slots.get("pressure")
    offered = [(each.minutes, each.psi) for each in _look_up(talk, form, _canner_of(talk, form)).options]
    fits = [at for at, has in enumerate(offered) if all(x in (None, y) for x, y in zip(wanted, has, strict=True))]
    return replace(form, option=fits[0]).as_values() if len(fits) == 1 else None


def _after_yes_no(form: LoadForm, slot: str, yes: bool, frame: Frame) -> Mapping[str, Any] | None:
    if slot == "pack":
        only = frame.values.get("only")
        other = "raw" if only == "hot" else "hot"
        return None if only is None else replace(form, pack=only if yes else other).as_values()
    if slot == "option":
        return replace(form, option=form.offered if yes else None, offered=form.offered + (not yes)).as_values()
    if slot == "readback":
        return {**form.as_values(), "confirmed": yes, "changing": not yes}
    return form.as_values() if slot == "change" else None  # nothing is, after all: it is read back again


def _unlike(talk: Talk, frame: Frame, text: str) -> bool:
    """Ask what is different after a typed statement over the read-back that is no answer: a yes isn't taken then."""
    if frame.values["slot"] not in ("readback", "change") or not statements.may_tell(talk, text):
        return False
    talk.say("starting", "unlike")
    _ask(talk, LoadForm.of(frame.values), "change", "change")
    return True


def _filled(form: LoadForm, slots: Mapping[str, Any]) -> Mapping[str, Any]:
    group = slots.get("food_group")
    form = form.taking(slots)
    if group and not slots.get("food") and form.food not in find_food(str(group)).candidates:
        form = replace(form, food=None)
    return {**form.as_values(), "food_group": group if form.food is None else None}


def _next(talk: Talk, frame: Frame | None, values: Mapping[str, Any]) -> None:
    form = LoadForm.of(values)
    if values.get("again"):
        form = replace(form, option=None, offered=0)
    if values.get("changing"):
        _ask(talk, form, "change", "change")
    elif form.food is None and values.get("food_group"):
        group = str(values["food_group"])
        food = food_by_jar(group, form.jar)
        if food is None:
            asked = frame is not None and frame.values.get("food_group") == group
            _ask_which_food(talk, form, group, asked=asked)
        else:
            _go_on(talk, replace(form, food=food))
    else:
        _go_on(talk, form)


START = Form(
    _answer,
    _next,
    lambda talk, _: talk.language.say("starting", "dropped"),
    frozenset({"choice", "number", "load_start", "load_select", "set_altitude", "skip", "yes", "no"}),
    unlike=_unlike,
)
"""A load that is put together."""


_FEW = 3
"""So many names are said again whenever they are asked for."""


def _canner_meant(talk: Talk, form: LoadForm, slots: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the canner that is named by its gauge, as the other one or by looks; none where several may be meant."""
    named = slots.get("canner")
    if not isinstance(named, str):
        return {}
    other = named == "other"  # than the one that was named
    meant = [x for x in _free(talk) if x.number != form.canner] if other else talk.profile.canners
    numbers = [x.number for x in meant if x.gauge is not None and named in ("other", "unknown", x.gauge)]
    return {"canner": numbers[0] if len(numbers) == 1 else 0}


def _is_kind_of_others(heard: Heard, frame: Frame) -> bool:
    """True if it tells apart other foods than those asked about: "fermented", of ketchup."""
    food, asked = heard.slots.get("food"), find_food(str(frame.values.get("food_group") or "")).candidates
    return food is not None and food not in asked and particulars(heard.text).get("food") != food


def _names_food(heard: Heard) -> bool:
    """True if a load is started that has a food of its own: what was being put together gives way to it."""
    return heard.intent == "load_start" and bool(heard.slots.get("food") or heard.slots.get("food_group"))


def _ask_which_food(talk: Talk, form: LoadForm, group: str, *, asked: bool) -> None:
    """Ask which of a group; a long list that was `asked` is said again only where nothing else was."""
    slot, key, names = "food", "ask_which", foods_named(group)
    if find_food(group).decide.get("qualifier") == "jar" and form.jar is None:
        slot, key, names = "jar", "ask_jar", [talk.language.jars(each) for each in _USUAL]
    prompt = talk.language.say("starting", key, choices=talk.language.listed(names))
    brief = asked and slot == "food" and len(names) > _FEW
    forms.ask(talk, "load_start", slot, {**form.as_values(), "food_group": group}, prompt, slot, spoken=not brief)
    if brief:
        talk.say("starting", "ask_which_again", urgency=Urgency.READBACK)


def _ask_pack(talk: Talk, form: LoadForm, answer: Answer) -> None:
    packs = answer.choices.get("pack", ("raw", "hot"))
    if len(packs) > 1:
        _ask(talk, form, "pack", "ask_pack")
        return
    if packs[0] == _BY_PROCEDURE:
        _go_on(talk, replace(form, pack=_BY_PROCEDURE))
        return
    pack = talk.language.phrase("names", f"pack_{packs[0]}")
    prompt = talk.language.say("starting", "ask_pack_only", pack=pack, food=food_of(talk, answer))
    values = {**form.as_values(), "only": packs[0]}
    forms.ask(talk, "load_start", "pack", values, prompt, "pack_ok", why="pack")


def _settle_method(talk: Talk, form: LoadForm, answer: Answer) -> None:
    methods = answer.choices.get("method", ("pressure", "boiling-water"))
    if form.canner is not None and "pressure" in methods:
        _go_on(talk, replace(form, method="pressure"))
    elif len(methods) == 1:
        _go_on(talk, replace(form, method=methods[0].replace("_", "-")))
    else:
        _ask(talk, form, "method", "ask_method")


# ---------------------------------------------------------------- canner, gauge, altitude


def _canner_of(talk: Talk, form: LoadForm) -> Canner | None:
    vessels = [x for x in talk.profile.canners if x.gauge is not None]
    if form.canner is not None:
        return next((x for x in vessels if x.number == form.canner), None)
    free = _free(talk) or vessels
    usual = next((x for x in free if x.number == talk.profile.usual_canner), None)
    return free[0] if len(free) == 1 else usual


def _free(talk: Talk) -> list[Canner]:
    """Return the pressure canners that have no load in them."""
    return [x for x in talk.profile.canners if x.gauge is not None and talk.kitchen.busy(x.number) is None]


def _settle_vessel(talk: Talk, form: LoadForm, canner: Canner | None, answer: Answer) -> None:
    if form.method == "pressure" and any(x.gauge is not None for x in talk.profile.canners):
        if canner is None:
            _ask_canner(talk, form)
            return
        busy = talk.kitchen.busy(canner.number)
        if busy is not None and _free(talk) and form.told_busy != canner.number:
            told = replace(form, told_busy=canner.number)
            _ask_canner(talk, told, "canner_busy", canner=canner_name(talk, canner), other=busy.food_name)
            return
        if _too_small(talk, canner):
            return
        form = replace(form, canner=canner.number, gauge=canner.gauge)
        if _over_capacity(talk, form, canner):
            return
    gauge_before = _gauge_before(talk) if form.method == "pressure" and form.gauge is None else None
    if gauge_before is not None:
        _go_on(talk, replace(form, gauge=gauge_before, as_before=True))
    elif form.method == "pressure" and form.gauge is None:
        _ask(talk, form, "gauge", "ask_gauge")
    elif talk.profile.altitude_ft is None or form.altitude is not None:
        if not missing_altitude(talk, "load_start", form.as_values()):
            _go_on(talk, replace(form, altitude=None, altitude_ok=None))
    elif answer.status != "ok":
        _refuse(talk, answer)
    elif len(answer.options) > 1 and form.option is None:
        _ask_option(talk, form, answer)
    elif form.confirmed:
        open_load(talk, form, canner if form.method == "pressure" else None, answer)
    else:
        prompt = read_back(talk, form, canner if form.method == "pressure" else None, answer)
        if prompt:
            _put(talk, form, "readback", "load_ok", prompt)


def _too_small(talk: Talk, canner: Canner) -> bool:
    """Refuse a canner for pressure that holds fewer than four quart jars upright (USDA Complete Guide, page 1-17)."""
    holds = canner.capacity.get("quart")
    if holds is None or holds >= LEAST_QUARTS:
        return False
    talk.refuse(talk.language.say("starting", "too_small", canner=canner_name(talk, canner)))
    return True


def _gauge_before(talk: Talk) -> str | None:
    """Return the gauge of the pressure canner that no profile knows, as told for the latest load in it."""
    loads = (x for x in reversed(talk.kitchen.loads) if x.process.is_pressure and x.canner == 0)
    return next((load.process.gauge for load in loads), None)


def _ask_canner(talk: Talk, form: LoadForm, key: str = "ask_canner", **values: str) -> None:
    free = [canner_name(talk, x) for x in _free(talk) or talk.profile.canners if x.gauge is not None]
    if form.canner and key == "ask_canner":
        key, values = "no_canner", {"canner": talk.language.canner(form.canner)}
    _ask(talk, replace(form, canner=None), "canner", key, choices=talk.language.listed(free), **values)


def _over_capacity(talk: Talk, form: LoadForm, canner: Canner) -> bool:
    holds = canner.capacity.get(form.jar or "")
    if holds is None or form.count is None or form.count <= holds:
        return False
    told = {"canner": canner_name(talk, canner), "capacity": talk.language.jars(form.jar or "", holds)}
    _ask(talk, replace(form, count=None), "count", "over_capacity", **told)
    return True


def _ask_option(talk: Talk, form: LoadForm, answer: Answer) -> None:
    """Offer the table's alternatives one after the other; none is chosen for the cook."""
    if form.offered >= len(answer.options):
        talk.say("starting", "dropped")
        return
    option = answer.options[form.offered]
    minutes, target = talk.language.duration(60 * option.minutes), talk.language.pounds_pressure(option.psi)
    key = "option_other" if form.offered else "option"
    _put(talk, form, "option", "option", talk.language.say("starting", key, minutes=minutes, target=target))
