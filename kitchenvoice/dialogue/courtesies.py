"""Small talk beside the work: greetings, thanks, and questions about the way ahead."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kitchenvoice.dialogue import asking, filling, step_words
from kitchenvoice.dialogue.choosing import spoken_loads, what_hangs, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.statements import is_filler
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import Canner
from kitchenvoice.language import capital
from kitchenvoice.process import Stage, following, step_of

__all__ = ["HANDLERS"]

_AHEAD = frozenset({Stage.PACK, Stage.CANNER})
_STEP_BY_STEP = frozenset({Stage.PACK, Stage.CANNER, Stage.KEEP})


def _greeting(talk: Talk, heard: Heard) -> None:
    talk.say("courtesies", "hello")
    _where(talk)


def _where(talk: Talk) -> None:
    for load in talk.kitchen.open_loads:
        talk.speak(where(talk, load))
    if not talk.kitchen.open_loads:
        talk.say_idle()


def _waiting(talk: Talk, heard: Heard) -> None:
    """Wait; over a check say what ends it: an okay tells nothing of it."""
    step = None if talk.focus is None else step_of(talk.focus)
    if step is not None and step.check and is_filler(talk, heard.text):
        talk.say("steering", "say_checked")
        return
    talk.say("courtesies", "waiting" if talk.kitchen.open_loads else "waiting_idle")


def _goodbye(talk: Talk, heard: Heard) -> None:
    """Say what still goes on: nobody is let go while a canner is on the heat."""
    talk.say("courtesies", "goodbye_running" if talk.kitchen.open_loads else "goodbye")
    if talk.kitchen.open_loads:
        _where(talk)


def _steps(talk: Talk, heard: Heard) -> None:
    load = talk.focus
    of = "pressure" if load is None or load.process.is_pressure else load.process.watched
    talk.say("courtesies", f"steps_{of}")
    if load is not None:
        talk.speak(where(talk, load))


def _next(talk: Talk, heard: Heard) -> None:
    """Tell the step after this one, and do nothing yet."""
    load = talk.focus
    if load is None:
        talk.say_idle()
        return
    step = following(load) if load.stage in _STEP_BY_STEP else None
    if load.stage not in _STEP_BY_STEP:
        kind = "pressure" if load.process.is_pressure else load.process.watched
        key = f"next_{load.stage.value}_{kind}"
        key = key if talk.language.has("courtesies", key) else f"next_{load.stage.value}"
        told = talk.language.say("courtesies", key, filling.values_of(talk, {}, load))
        talk.speak(filling.named(talk, load, what_hangs(talk, load) + told))
    elif step is None:
        talk.speak(where(talk, load))
    else:
        told = step_words.words_of(talk.language, load, step, brief=True)
        talk.say("courtesies", "comes_next", step=filling.named(talk, load, told))


def _altogether(talk: Talk, heard: Heard) -> None:
    load, vent = talk.focus, filling.vent_time(talk)
    if load is None:
        talk.say("courtesies", "altogether_idle", vent=vent)
        return
    key = "altogether" if load.process.is_pressure else f"altogether_{load.process.watched}"
    talk.say("courtesies", key, filling.values_of(talk, {}, load), vent=vent)
    if load.stage not in (Stage.PACK, Stage.CANNER):
        asking.HANDLERS["ask_time"](talk, heard)


def _how_long(talk: Talk, heard: Heard) -> None:
    """Tell the time left of a running load, or the length of a coming one."""
    loads = spoken_loads(talk, heard)
    ahead = bool(loads) and all(load.stage in _AHEAD for load in loads)
    asking.HANDLERS["ask_hold" if ahead or not loads else "ask_time"](talk, heard)


def _which_canner(talk: Talk, heard: Heard) -> None:
    """Tell the contents of the canners, or of the one asked about."""
    loads = spoken_loads(talk, heard)
    for load in loads:
        pack, jars = talk.language.phrase("names", f"pack_{load.pack}"), talk.language.jars(load.jar)
        food, key = load.food_name, "in_canner" if load.canner_name else "as_it_is"
        food = capital(food) if load.canner_name else food
        talk.say("courtesies", key, food=food, pack=pack, jars=jars, canner=load.canner_name)
    if not loads:
        talk.say_idle()


def _kitchen(talk: Talk, heard: Heard) -> None:
    for canner in talk.profile.canners:
        talk.speak(_canner(talk, canner))
    talk.say("courtesies", "change_kitchen" if talk.profile.canners else "no_canners")


def _canner(talk: Talk, canner: Canner) -> str:
    holds = [talk.language.jars(jar, canner.capacity[jar]) for jar in ("quart", "pint") if jar in canner.capacity]
    told = talk.language.say("courtesies", "canner_holds", jars=talk.language.listed(holds)) if holds else ""
    return f"{_gauge(talk, canner)} {told}".strip()


def _gauge(talk: Talk, canner: Canner) -> str:
    name = talk.language.canner(canner.number)
    if canner.gauge is None:
        return talk.language.say("courtesies", "canner_plain", canner=name)
    gauge = talk.language.phrase("names", f"gauge_{canner.gauge}")
    if canner.gauge != "dial":
        return talk.language.say("courtesies", "canner", canner=name, gauge=gauge)
    day = canner.dial_tested
    if day is None:
        return talk.language.say("courtesies", "canner_untested", canner=name, gauge=gauge)
    month, year = talk.language.phrase("months", str(day.month)), talk.language.year(day.year)
    values = {"canner": name, "gauge": gauge, "month": month, "year": year, "next": talk.language.year(day.year + 1)}
    return talk.language.say("courtesies", "canner_tested", values)


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "greeting": _greeting,
        "thanked": lambda talk, _: talk.say("courtesies", "thanked"),
        "waiting": _waiting,
        "goodbye": _goodbye,
        "ask_steps": _steps,
        "next_or_where": _next,
        "ask_altogether": _altogether,
        "ask_kitchen": _kitchen,
        "ask_how_long": _how_long,
        "ask_canner": _which_canner,
    }
)
"""What is done with each of them."""
