"""Starting a load: what is missing is asked for, never assumed; the whole process is read back and wants one yes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue.altitude import ask_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.form import Form
from kitchenvoice.dialogue.opening import canner_name, read_back
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.kitchen.profile import Canner
from kitchenvoice.ports import Urgency
from kitchenvoice.reference import Answer, find_food, food_name, lookup
from kitchenvoice.reference.inputs import TOP_FT
from kitchenvoice.reference.names import refused_entry

__all__ = ["start"]


def start(talk: Talk, heard: Heard) -> None:
    """Begin the form with what one sentence gave."""
    if heard.slots.get("count") == 0:
        talk.say("objections", "no_jars", urgency=Urgency.CAUTION)
        return
    _fill(talk, Form(heard=heard.text), heard.slots)


def _fill(talk: Talk, form: Form, slots: Mapping[str, Any]) -> None:
    group = slots.get("food_group")
    form = form.taking(slots)
    if group and not slots.get("food") and form.food not in find_food(str(group)).candidates:
        form = replace(form, food=None)
    if form.food is None and group:
        _ask_which_food(talk, form, str(group))
    else:
        _go_on(talk, form)


def _go_on(talk: Talk, form: Form) -> None:
    """Ask for the first thing that is missing; refuse what was never tested; read back what is complete."""
    if form.food is None:
        _ask(talk, form, "food", "food", "ask_food")
        return
    canner = _canner_of(talk, form)
    answer = _look_up(talk, form, canner)
    if answer.status == "refused":
        _refuse(talk, answer)
    elif form.jar is None:
        choices = talk.language.listed(
            [talk.language.jars(jar.replace("_", "-")) for jar in answer.choices.get("jar", ())]
        )
        _ask(
            talk,
            form,
            "jar",
            "jar",
            "ask_jar",
            choices=choices or talk.language.listed([talk.language.jars("pint"), talk.language.jars("quart")]),
        )
    elif form.pack is None:
        _ask_pack(talk, form, answer)
    elif form.count is None:
        _ask(talk, form, "count", "count", "ask_count", jars=talk.language.jars(form.jar))
    elif form.count < 1:
        _ask(talk, replace(form, count=None), "count", "count", "zero")
    elif form.method is None:
        _settle_method(talk, form, answer)
    else:
        _settle_vessel(talk, form, canner, answer)


def _look_up(talk: Talk, form: Form, canner: Canner | None) -> Answer:
    gauge = canner.gauge if canner is not None and form.method == "pressure" else form.gauge
    named = refused_entry(form.food or "")
    return lookup(
        named["spoken"] if named is not None else form.food,
        pack=form.pack,
        jar=form.jar,
        method=form.method,
        gauge=gauge,
        altitude_ft=talk.profile.altitude_ft,
    )


def _refuse(talk: Talk, answer: Answer) -> None:
    too_high = (talk.profile.altitude_ft or 0) > TOP_FT
    again = talk.language.say("start", "altitude_again") if too_high else ""
    talk.reason = " ".join(text for text in (talk.language.in_words(answer.reason or ""), again) if text)
    talk.say("start", "refused", urgency=Urgency.CAUTION, reason=talk.reason)
    talk.question = None


# ---------------------------------------------------------------- asking


def _ask(talk: Talk, form: Form, slot: str, expects: str, key: str, **values: str) -> None:
    """Ask for one slot; any other slot in the answer is taken as well."""

    def answer(heard: Heard) -> bool:
        slots = dict(heard.slots)
        if heard.intent == "number" and slot == "count":
            slots = {"count": _whole(slots.get("value"))}
        if _names_canner(heard):
            talk.question = None
            _fill(talk, form, {"canner": slots["canner"]})
            return True
        if heard.intent not in ("number", "choice", "load_start") or all(value is None for value in slots.values()):
            return False
        talk.question = None
        if _names_food(heard):
            start(talk, heard)
        else:
            _fill(talk, form, slots)
        return True

    talk.ask(_question(talk, form, expects, talk.language.say("start", key, values), answer))


def _names_food(heard: Heard) -> bool:
    """Tell whether a load is started that has a food of its own: what was being put together gives way to it."""
    return heard.intent == "load_start" and bool(heard.slots.get("food") or heard.slots.get("food_group"))


def _names_canner(heard: Heard) -> bool:
    """Tell whether a canner is named: while a load is put together, that one is meant, not the load in it."""
    return heard.intent == "load_select" and heard.slots.get("canner") is not None


def _question(
    talk: Talk,
    form: Form,
    expects: str,
    prompt: str,
    answer: Callable[[Heard], bool],
    intents: frozenset[str] = frozenset({"choice", "number", "load_start"}),
) -> Question:
    """Make a question of the form: a report on the way doesn't end it, "cancel" drops the load, "why" has a reason."""
    why = talk.language.say("whys", expects) if talk.language.has("whys", expects) else ""
    dropped = talk.language.say("start", "dropped")
    question = Question(expects, prompt, answer, intents=intents, keep=True, dropped=dropped, why=why)
    question.again = lambda: _go_on(talk, form)
    return question


def _whole(value: Any) -> int | None:
    return int(value) if isinstance(value, int | float) and value == int(value) else None


def _ask_which_food(talk: Talk, form: Form, group: str) -> None:
    found = find_food(group)
    names = [food_name(each) or each.replace("_", " ") for each in found.candidates]
    _ask(talk, form, "food", "food", "ask_which", choices=talk.language.listed(names))


def _ask_pack(talk: Talk, form: Form, answer: Answer) -> None:
    packs = answer.choices.get("pack", ("raw", "hot"))
    if len(packs) > 1:
        _ask(talk, form, "pack", "pack", "ask_pack")
        return

    def yes() -> None:
        _go_on(talk, replace(form, pack=packs[0]))

    def no() -> None:
        other = "raw" if packs[0] == "hot" else "hot"
        _refuse(talk, lookup(form.food, pack=other, jar=form.jar, altitude_ft=talk.profile.altitude_ft))

    prompt = talk.language.say(
        "start", "ask_pack_only", pack=talk.language.phrase("names", f"pack_{packs[0]}"), food=answer.food_name or ""
    )

    def reply(heard: Heard) -> bool:
        if heard.intent in ("yes", "no"):
            talk.question = None
            (yes if heard.intent == "yes" else no)()
            return True
        if _names_food(heard):
            talk.question = None
            start(talk, heard)
            return True
        if heard.slots.get("pack"):
            talk.question = None
            _go_on(talk, replace(form, pack=heard.slots["pack"]))
            return True
        return False

    talk.ask(_question(talk, form, "pack", prompt, reply, frozenset({"choice", "yes", "no"})))


def _settle_method(talk: Talk, form: Form, answer: Answer) -> None:
    methods = answer.choices.get("method", ("pressure", "boiling-water"))
    if form.canner is not None and "pressure" in methods:
        _go_on(talk, replace(form, method="pressure"))
    elif len(methods) == 1:
        _go_on(talk, replace(form, method=methods[0].replace("_", "-")))
    else:
        _ask(talk, form, "method", "method", "ask_method")


# ---------------------------------------------------------------- canner, gauge, altitude


def _canner_of(talk: Talk, form: Form) -> Canner | None:
    vessels = [x for x in talk.profile.canners if x.gauge is not None]
    if form.canner is not None:
        return next((x for x in vessels if x.number == form.canner), None)
    free = _free(talk) or vessels
    usual = next((x for x in free if x.number == talk.profile.usual_canner), None)
    return free[0] if len(free) == 1 else usual


def _free(talk: Talk) -> list[Canner]:
    """Return the pressure canners that have no load in them."""
    return [x for x in talk.profile.canners if x.gauge is not None and talk.kitchen.busy(x.number) is None]


def _settle_vessel(talk: Talk, form: Form, canner: Canner | None, answer: Answer) -> None:
    if form.method == "pressure" and any(x.gauge is not None for x in talk.profile.canners):
        if canner is None:
            _ask_canner(talk, form)
            return
        busy = talk.kitchen.busy(canner.number)
        if busy is not None and _free(talk) and form.told_busy != canner.number:
            told = replace(form, told_busy=canner.number)
            _ask_canner(talk, told, "canner_busy", canner=canner_name(talk, canner), other=busy.food_name)
            return
        form = replace(form, canner=canner.number, gauge=canner.gauge)
        if _over_capacity(talk, form, canner):
            return
    gauge_before = _gauge_before(talk) if form.method == "pressure" and form.gauge is None else None
    if gauge_before is not None:
        _go_on(talk, replace(form, gauge=gauge_before, as_before=True))
    elif form.method == "pressure" and form.gauge is None:
        _ask(talk, form, "gauge", "gauge", "ask_gauge")
    elif talk.profile.altitude_ft is None:
        ask_altitude(talk, lambda _: _go_on(talk, form))
    elif answer.status != "ok":
        _refuse(talk, answer)
    elif len(answer.options) > 1 and form.option is None:
        _ask_option(talk, form, answer, 0)
    else:
        vessel = canner if form.method == "pressure" else None
        read_back(
            talk,
            form,
            vessel,
            answer,
            change=lambda: _change(talk, form),
            instead=lambda heard: _other_canner(talk, form, heard),
            again=lambda: _go_on(talk, replace(form, option=None)),
        )


def _gauge_before(talk: Talk) -> str | None:
    """Return the gauge of the pressure canner that no profile knows, as she said it for the latest load in it."""
    loads = (x for x in reversed(talk.kitchen.loads) if x.process.is_pressure and x.canner == 0)
    return next((load.process.gauge for load in loads), None)


def _ask_canner(talk: Talk, form: Form, key: str = "ask_canner", **values: str) -> None:
    free = [canner_name(talk, x) for x in _free(talk) or talk.profile.canners if x.gauge is not None]
    if form.canner is not None and key == "ask_canner":
        key, values = "no_canner", {"canner": talk.language.canner(form.canner)}
    _ask(talk, replace(form, canner=None), "canner", "canner", key, choices=talk.language.listed(free), **values)


def _over_capacity(talk: Talk, form: Form, canner: Canner) -> bool:
    holds = canner.capacity.get(form.jar or "")
    if holds is None or form.count is None or form.count <= holds:
        return False
    capacity = talk.language.jars(form.jar or "", holds)
    _ask(
        talk,
        replace(form, count=None),
        "count",
        "count",
        "over_capacity",
        canner=canner_name(talk, canner),
        capacity=capacity,
    )
    return True


def _ask_option(talk: Talk, form: Form, answer: Answer, index: int) -> None:
    """Offer the table's alternatives one after the other; none is chosen for her."""
    option = answer.options[index % len(answer.options)]
    talk.ask_yes_no(
        talk.language.say(
            "start",
            "option_other" if index else "option",
            minutes=talk.language.duration(60 * option.minutes),
            target=talk.language.pounds_pressure(option.psi),
        ),
        lambda: _go_on(talk, replace(form, option=index % len(answer.options))),
        lambda: (
            _ask_option(talk, form, answer, index + 1)
            if index + 1 < len(answer.options)
            else talk.say("start", "dropped")
        ),
        keep=True,
        dropped=talk.language.say("start", "dropped"),
        why=talk.language.say("whys", "option"),
        again=lambda: _go_on(talk, replace(form, option=None)),
    )


def _other_canner(talk: Talk, form: Form, heard: Heard) -> bool:
    """Take a canner that is named instead of the yes, and read the whole back again."""
    if not _names_canner(heard):
        return False
    talk.question = None
    _fill(talk, replace(form, option=None), {"canner": heard.slots["canner"]})
    return True


def _change(talk: Talk, form: Form) -> None:
    def answer(heard: Heard) -> bool:
        slots = dict(heard.slots)
        if heard.intent == "number":
            slots = {"count": slots.get("value")}
        if _names_canner(heard):
            return _other_canner(talk, form, heard)
        if heard.intent not in ("number", "choice", "load_start") or not any(value for value in slots.values()):
            return False
        talk.question = None
        kept = replace(form, option=None)
        if slots.get("food") and slots["food"] != form.food:
            kept = replace(kept, method=None, gauge=None)
        _fill(talk, kept, slots)
        return True

    prompt = talk.language.say("start", "change")
    talk.ask(_question(talk, form, "any", prompt, answer))
