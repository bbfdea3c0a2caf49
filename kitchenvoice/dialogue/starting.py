"""Starting a load: what is missing is asked for, never assumed; the whole process is read back and wants one yes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any

from kitchenvoice.dialogue import telling, words
from kitchenvoice.dialogue.talk import Talk
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Process
from kitchenvoice.profile import Canner
from kitchenvoice.reference import Answer, find_food, food_name, lookup
from kitchenvoice.reference.gauge import gauge_target

__all__ = ["set_altitude", "start"]

_SLOTS = {"food": "food", "pack": "pack", "jar": "jar", "canner": "canner", "gauge": "gauge", "method": "method"}


@dataclass(frozen=True, slots=True)
class _Form:
    """What is known of the load to be started."""

    food: str | None = None
    pack: str | None = None
    jar: str | None = None
    count: int | None = None
    canner: int | None = None
    method: str | None = None
    gauge: str | None = None
    option: int | None = None
    heard: str = ""

    def taking(self, slots: Mapping[str, Any]) -> _Form:
        """Return the form with what was just said filled in."""
        known = {name: slots[name] for name in (*_SLOTS, "count") if slots.get(name) is not None}
        return replace(self, **known)


def start(talk: Talk, heard: Heard) -> None:
    """Begin the form with what one sentence gave."""
    if heard.slots.get("count") == 0:
        talk.say("objections", "no_jars", urgency=Urgency.CAUTION)
        return
    _fill(talk, _Form(heard=heard.text), heard.slots)


def _fill(talk: Talk, form: _Form, slots: Mapping[str, Any]) -> None:
    group = slots.get("food_group")
    form = form.taking(slots)
    if form.food is None and group:
        _ask_which_food(talk, form, str(group))
    else:
        _go_on(talk, form)


def _go_on(talk: Talk, form: _Form) -> None:
    """Ask for the first thing that is missing; refuse what was never tested; read back what is complete."""
    if form.food is None:
        _ask(talk, form, "food", "food", "ask_food")
        return
    canner = _canner_of(talk, form)
    answer = _look_up(talk, form, canner)
    if answer.status == "refused":
        _refuse(talk, answer)
    elif form.jar is None:
        choices = words.listed([words.jars(jar.replace("_", "-")) for jar in answer.choices.get("jar", ())])
        _ask(
            talk,
            form,
            "jar",
            "jar",
            "ask_jar",
            choices=choices or words.listed([words.jars("pint"), words.jars("quart")]),
        )
    elif form.pack is None:
        _ask_pack(talk, form, answer)
    elif form.count is None:
        _ask(talk, form, "count", "count", "ask_count", jars=words.jars(form.jar))
    elif form.count < 1:
        _ask(talk, replace(form, count=None), "count", "count", "zero")
    elif form.method is None:
        _settle_method(talk, form, answer)
    else:
        _settle_vessel(talk, form, canner, answer)


def _look_up(talk: Talk, form: _Form, canner: Canner | None) -> Answer:
    gauge = canner.gauge if canner is not None and form.method == "pressure" else form.gauge
    return lookup(
        form.food,
        pack=form.pack,
        jar=form.jar,
        method=form.method,
        gauge=gauge,
        altitude_ft=talk.profile.altitude_ft,
    )


def _refuse(talk: Talk, answer: Answer) -> None:
    reason = " ".join([answer.reason or "", *(f"Tested instead: {text}." for text in answer.instead[:1])])
    talk.say("start", "refused", urgency=Urgency.CAUTION, reason=words.in_words(reason.strip()))
    talk.question = None


# ---------------------------------------------------------------- asking


def _ask(talk: Talk, form: _Form, slot: str, expects: str, key: str, **values: str) -> None:
    """Ask for one slot; any other slot in the answer is taken as well."""

    def answer(heard: Heard) -> bool:
        slots = dict(heard.slots)
        if heard.intent == "number" and slot == "count":
            slots = {"count": _whole(slots.get("value"))}
        if heard.intent not in ("number", "choice", "load_start") or all(value is None for value in slots.values()):
            return False
        talk.question = None
        _fill(talk, form, slots)
        return True

    prompt = talk.texts.say("start", key, values)
    intents = frozenset({"choice", "number", "load_start"})
    talk.ask(Question(expects, prompt, answer, intents=intents))


def _whole(value: Any) -> int | None:
    return int(value) if isinstance(value, int | float) and value == int(value) else None


def _ask_which_food(talk: Talk, form: _Form, group: str) -> None:
    found = find_food(group)
    names = [food_name(each) or each.replace("_", " ") for each in found.candidates]
    _ask(talk, form, "food", "food", "ask_which", choices=words.listed(names))


def _ask_pack(talk: Talk, form: _Form, answer: Answer) -> None:
    packs = answer.choices.get("pack", ("raw", "hot"))
    if len(packs) > 1:
        _ask(talk, form, "pack", "pack", "ask_pack")
        return

    def yes() -> None:
        _go_on(talk, replace(form, pack=packs[0]))

    def no() -> None:
        other = "raw" if packs[0] == "hot" else "hot"
        _refuse(talk, lookup(form.food, pack=other, jar=form.jar, altitude_ft=talk.profile.altitude_ft))

    prompt = talk.texts.say("start", "ask_pack_only", pack=packs[0], food=answer.food_name or "")

    def reply(heard: Heard) -> bool:
        if heard.intent in ("yes", "no"):
            talk.question = None
            (yes if heard.intent == "yes" else no)()
            return True
        if heard.slots.get("pack"):
            talk.question = None
            _go_on(talk, replace(form, pack=heard.slots["pack"]))
            return True
        return False

    talk.ask(Question("pack", prompt, reply, intents=frozenset({"choice", "yes", "no"})))


def _settle_method(talk: Talk, form: _Form, answer: Answer) -> None:
    methods = answer.choices.get("method", ("pressure", "boiling-water"))
    if form.canner is not None and "pressure" in methods:
        _go_on(talk, replace(form, method="pressure"))
    elif len(methods) == 1:
        _go_on(talk, replace(form, method=methods[0].replace("_", "-")))
    else:
        _ask(talk, form, "method", "method", "ask_method")


# ---------------------------------------------------------------- canner, gauge, altitude


def _canner_of(talk: Talk, form: _Form) -> Canner | None:
    vessels = [x for x in talk.profile.canners if x.gauge is not None]
    if form.canner is not None:
        return next((x for x in vessels if x.number == form.canner), None)
    free = [x for x in vessels if talk.kitchen.busy(x.number) is None]
    usual = next((x for x in free if x.number == talk.profile.usual_canner), None)
    return free[0] if len(free) == 1 else usual


def _name(canner: Canner) -> str:
    return canner.name or f"canner {words.number(canner.number)}"


def _settle_vessel(talk: Talk, form: _Form, canner: Canner | None, answer: Answer) -> None:
    if form.method == "pressure" and any(x.gauge is not None for x in talk.profile.canners):
        if canner is None:
            _ask_canner(talk, form)
            return
        busy = talk.kitchen.busy(canner.number)
        if busy is not None:
            _ask_canner(talk, form, "canner_busy", canner=_name(canner), other=busy.food_name)
            return
        form = replace(form, canner=canner.number, gauge=canner.gauge)
        if _over_capacity(talk, form, canner):
            return
    if form.method == "pressure" and form.gauge is None:
        _ask(talk, form, "gauge", "gauge", "ask_gauge")
    elif talk.profile.altitude_ft is None:
        _ask_altitude(talk, lambda: _go_on(talk, form))
    elif answer.status != "ok":
        _refuse(talk, answer)
    elif len(answer.options) > 1 and form.option is None:
        _ask_option(talk, form, answer, 0)
    else:
        _read_back(talk, form, canner if form.method == "pressure" else None, answer)


def _ask_canner(talk: Talk, form: _Form, key: str = "ask_canner", **values: str) -> None:
    free = [_name(x) for x in talk.profile.canners if x.gauge is not None and talk.kitchen.busy(x.number) is None]
    if form.canner is not None and key == "ask_canner":
        key, values = "no_canner", {"canner": f"canner {words.number(form.canner)}"}
    _ask(talk, replace(form, canner=None), "canner", "canner", key, choices=words.listed(free), **values)


def _over_capacity(talk: Talk, form: _Form, canner: Canner) -> bool:
    holds = canner.capacity.get(form.jar or "")
    if holds is None or form.count is None or form.count <= holds:
        return False
    capacity = words.jars(form.jar or "", holds)
    _ask(talk, replace(form, count=None), "count", "count", "over_capacity", canner=_name(canner), capacity=capacity)
    return True


def _ask_option(talk: Talk, form: _Form, answer: Answer, index: int) -> None:
    """Offer the table's alternatives one after the other; none is chosen for her."""
    option = answer.options[index % len(answer.options)]
    prompt = f"{words.duration(60 * option.minutes)} at {words.pounds_pressure(option.psi)}?"
    lead = "The table gives a choice. " if index == 0 else ""
    talk.ask_yes_no(
        words.capital(lead + (words.capital(prompt) if lead else prompt)),
        lambda: _go_on(talk, replace(form, option=index % len(answer.options))),
        lambda: (
            _ask_option(talk, form, answer, index + 1)
            if index + 1 < len(answer.options)
            else talk.say("start", "dropped")
        ),
    )


def _ask_altitude(talk: Talk, then: Any) -> None:
    def answer(heard: Heard) -> bool:
        feet = heard.slots.get("altitude_ft", heard.slots.get("value"))
        if heard.intent not in ("number", "set_altitude") or feet is None:
            return False
        _confirm_altitude(talk, int(feet), then)
        return True

    prompt = talk.texts.say("start", "ask_altitude")
    talk.ask(Question("altitude", prompt, answer, intents=frozenset({"number", "set_altitude"})))


def _confirm_altitude(talk: Talk, feet: int, then: Any) -> None:
    def yes() -> None:
        talk.profile = replace(talk.profile, altitude_ft=feet)
        talk.control("altitude", feet=feet)
        then()

    def no() -> None:
        talk.say("start", "altitude_wrong")
        _ask_altitude(talk, then)

    said = {"altitude": words.altitude(feet), "digits": words.digits(feet)}
    talk.ask_yes_no(talk.texts.say("start", "altitude_heard", said), yes, no)


def set_altitude(talk: Talk, heard: Heard) -> None:
    """Take the altitude, read it back digit by digit, and keep it only on a yes: it is the most dangerous setting."""
    feet = int(heard.slots["altitude_ft"])
    _confirm_altitude(talk, feet, lambda: talk.say("start", "altitude_set", altitude=words.altitude(feet)))


# ---------------------------------------------------------------- read-back


def _read_back(talk: Talk, form: _Form, canner: Canner | None, answer: Answer) -> None:
    if form.option is not None and answer.options:
        chosen = answer.options[form.option]
        answer = replace(answer, minutes=chosen.minutes, psi=chosen.psi)
    process, extra, barred = _process(talk, answer, canner)
    if barred:
        talk.speak(words.in_words(barred), Urgency.CAUTION)
        talk.question = None
        return
    values = {
        "count": words.jars(form.jar or "", form.count),
        "food": answer.food_name or "",
        "pack": form.pack or "",
        "vessel": _vessel(talk, process, canner),
        "altitude": words.altitude(process.altitude_ft),
        "process": _numbers(talk, process),
        "headspace": process.headspace,
        "extra": extra,
    }
    prompt = talk.texts.say("start", "readback", values)
    talk.ask_yes_no(prompt, lambda: _open(talk, form, canner, answer, process), lambda: _change(talk, form))


def _process(talk: Talk, answer: Answer, canner: Canner | None) -> tuple[Process, str, str]:
    """Make the process of the load; also what has to be said about the dial, and why it bars the load, if it does."""
    extra, barred, target = "", "", answer.psi
    if answer.acid is not None and answer.acid.required:
        extra += talk.texts.say("start", "acid_needed")
    if answer.method == "pressure" and answer.gauge == "dial" and answer.psi is not None:
        told = gauge_target(
            answer.psi,
            gauge="dial",
            error_psi=canner.dial_error_psi if canner is not None else None,
            tested_on=canner.dial_tested if canner is not None else None,
            today=_today(talk.t),
        )
        if told.status == "ok":
            target = told.read_psi
            extra += f" {words.in_words(told.text)}" if told.read_psi != answer.psi else ""
        elif told.status == "replace":
            barred = told.text
        else:
            extra += " " + talk.texts.say("start", "dial_untested")
    process = Process(
        method=(answer.method or "").replace("_", "-"),
        minutes=float(answer.minutes or 0),
        psi=answer.psi,
        target_psi=target,
        gauge=answer.gauge,
        altitude_ft=int(answer.altitude_ft or 0),
        headspace=_headspace(answer),
        salt_tsp=answer.salt_tsp_per_jar,
        acid=words.in_words(answer.acid.text) if answer.acid is not None and answer.acid.required else "",
        cautions=tuple(words.in_words(text) for text in answer.cautions),
        source=answer.source,
    )
    return process, f" {extra.strip()}" if extra.strip() else "", barred


def _today(t: float) -> date:
    return datetime.fromtimestamp(t, UTC).date()


def _headspace(answer: Answer) -> str:
    if isinstance(answer.headspace_in, int | float):
        return words.inches(answer.headspace_in)
    return words.in_words(answer.headspace_text or "")


def _vessel(talk: Talk, process: Process, canner: Canner | None) -> str:
    if not process.is_pressure:
        return talk.texts.say("start", "vessel_bath").lower()
    name = _name(canner) if canner is not None else "the pressure canner"
    return f"in {name}, {process.gauge} gauge"


def _numbers(talk: Talk, process: Process) -> str:
    minutes = words.duration(60 * process.minutes)
    if process.is_pressure:
        return talk.texts.say("start", "process_pressure", minutes=minutes, target=telling.target(process))
    return talk.texts.say("start", "process_bath", minutes=minutes)


def _change(talk: Talk, form: _Form) -> None:
    def answer(heard: Heard) -> bool:
        slots = dict(heard.slots)
        if heard.intent == "number":
            slots = {"count": slots.get("value")}
        if heard.intent not in ("number", "choice", "load_start") or not any(value for value in slots.values()):
            return False
        talk.question = None
        kept = replace(form, option=None)
        if slots.get("food") and slots["food"] != form.food:
            kept = replace(kept, method=None, gauge=None)
        _fill(talk, kept, slots)
        return True

    prompt = talk.texts.say("start", "change")
    talk.ask(Question("any", prompt, answer, intents=frozenset({"number", "choice", "load_start"})))


def _open(talk: Talk, form: _Form, canner: Canner | None, answer: Answer, process: Process) -> None:
    talk.last_load += 1
    used = {load.number for load in talk.kitchen.open_loads}
    number = next(n for n in range(1, len(used) + 2) if n not in used)
    talk.record(
        "load_start",
        talk.last_load,
        form.heard,
        number=number,
        food=answer.food,
        food_name=answer.food_name,
        pack=form.pack,
        jar=form.jar,
        count=form.count,
        canner=canner.number if canner is not None else 0,
        canner_name=_name(canner) if canner is not None else "",
        method=process.method,
        gauge=process.gauge,
        altitude_ft=process.altitude_ft,
        minutes=process.minutes,
        psi=process.psi,
        target_psi=process.target_psi,
        headspace=process.headspace,
        salt_tsp=process.salt_tsp,
        acid=process.acid,
        cautions=process.cautions,
        source=process.source,
    )
    talk.selected_t = talk.t
