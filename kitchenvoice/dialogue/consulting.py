"""Questions about a food before there is a load of it: looked up, with missing details asked for, never guessed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.form import SLOTS, LoadForm, food_by_jar, foods_named
from kitchenvoice.dialogue.question import Form
from kitchenvoice.dialogue.read_back import food_of
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.reference import Answer, lookup

__all__ = ["CONSULT", "consult"]


def consult(talk: Talk, heard: Heard) -> None:
    """Answer which time and pressure a food needs; nothing is started by it."""
    form = LoadForm().taking(heard.slots)
    if heard.intent == "ask_pressure":
        form = replace(form, method="pressure")
    _go_on(talk, form, str(heard.slots.get("food_group") or ""))


def _go_on(talk: Talk, form: LoadForm, group: str = "") -> None:
    """Ask for the first thing that is missing, or answer."""
    form = replace(form, food=form.food or food_by_jar(group, form.jar))
    if form.food is None:
        _ask(talk, form, "food", "ask_which", group, choices=talk.language.listed(foods_named(group)))
        return
    form = replace(form, gauge=form.gauge or _only_gauge(talk))
    answer = _look_up(talk, form)
    packs = (form.pack,) if form.pack else answer.choices.get("pack", ())
    if answer.status == "refused":
        talk.refuse(talk.language.in_words(answer.reason or ""))
    elif form.jar is None:
        jars = [talk.language.jars(jar.replace("_", "-")) for jar in answer.choices.get("jar", ("pint", "quart"))]
        _ask(talk, form, "jar", "ask_jar", choices=talk.language.listed(jars))
    elif form.pack is None and len(packs) == 1:
        _go_on(talk, replace(form, pack=packs[0]))
    elif form.method is None and len(methods := _methods(talk, form, packs)) == 1:
        _go_on(talk, replace(form, method=methods[0].replace("_", "-")))
    elif form.pack is None and len({_processes(talk, replace(form, pack=pack)) for pack in packs}) != 1:
        _ask(talk, form, "pack", "ask_pack")
    elif form.method is None:
        _ask(talk, form, "method", "ask_method")
    elif talk.profile.altitude_ft is None:
        talk.say("asking", "altitude_none")
    else:
        _tell(talk, form, answer, packs)


def _methods(talk: Talk, form: LoadForm, packs: Sequence[str]) -> Sequence[str]:
    answers = (_look_up(talk, replace(form, pack=pack)) for pack in packs)
    return tuple(dict.fromkeys(each for answer in answers for each in answer.choices.get("method", ())))


def _only_gauge(talk: Talk) -> str | None:
    """Return the gauge of the kitchen's canners if they all have the same."""
    gauges = {canner.gauge for canner in talk.profile.canners if canner.gauge is not None}
    return gauges.pop() if len(gauges) == 1 else None


def _look_up(talk: Talk, form: LoadForm) -> Answer:
    gauge = form.gauge if form.method == "pressure" else None
    feet = talk.profile.altitude_ft
    return lookup(form.food, pack=form.pack, jar=form.jar, method=form.method, gauge=gauge, altitude_ft=feet)


def _tell(talk: Talk, form: LoadForm, answer: Answer, packs: Sequence[str]) -> None:
    processes = _processes(talk, form if form.pack else replace(form, pack=packs[0]))
    if not processes:
        talk.say("consulting", "process_later")
        return
    of_food = {"jars": capital(talk.language.jars(form.jar or "")), "food": food_of(talk, answer)}
    pack = talk.language.listed([talk.language.phrase("names", f"pack_{pack}") for pack in packs])
    altitude = talk.language.altitude(talk.profile.altitude_ft or 0)
    talk.say("consulting", "process", of_food, pack=pack, altitude=altitude, process=talk.language.listed(processes))


def _processes(talk: Talk, form: LoadForm) -> tuple[str, ...]:
    """Return its tested processes in words, of both gauges where none is named; none while something else is open."""
    told: list[str] = []
    both = form.method == "pressure" and form.gauge is None
    for gauge in ("dial", "weighted") if both else (form.gauge,):
        answer = _look_up(talk, replace(form, gauge=gauge))
        if answer.status != "ok":
            return ()
        without = "steam" if answer.method == "atmospheric-steam" else "bath"
        told += [_process(talk, minutes, psi, gauge or "", without) for minutes, psi in answer.pairs]
    return tuple(dict.fromkeys(told))


def _process(talk: Talk, minutes: float, psi: float | None, gauge: str, without: str) -> str:
    said = talk.language.duration(60 * minutes)
    if psi is None:
        return talk.language.phrase("consulting", f"process_{without}", minutes=said)
    target = talk.language.pounds_pressure(psi)
    return talk.language.phrase("consulting", f"process_{gauge}", minutes=said, target=target)


def _ask(talk: Talk, form: LoadForm, slot: str, key: str, group: str = "", **values: str) -> None:
    prompt = talk.language.say("starting", key, values)
    forms.ask(talk, "consult", slot, {**form.as_values(), "food_group": group}, prompt, slot, kept=False)


CONSULT = Form(
    forms.adding(*SLOTS, "food_group"),
    lambda talk, _, values: _go_on(talk, LoadForm.of(values), str(values.get("food_group") or "")),
)
"""What a food would need."""
