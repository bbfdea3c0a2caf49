"""Questions about the load and the day, answered from the look-up and the reports, never from anything else."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import crocks, filling, frames, pantry, step_words, timers
from kitchenvoice.dialogue.choosing import ask_which, find_loads, named_in, no_such_load, spoken_loads, spoken_of, where
from kitchenvoice.dialogue.consulting import consult
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.forms import food_begun
from kitchenvoice.dialogue.knowing import of_another_canner, speak_family
from kitchenvoice.dialogue.now import only_out_is_left, time_of_day
from kitchenvoice.dialogue.objecting import why_text
from kitchenvoice.dialogue.overheard import SPOKEN_IN
from kitchenvoice.dialogue.recorded import recorded
from kitchenvoice.dialogue.refusing import withhold_numbers
from kitchenvoice.dialogue.render import call_text
from kitchenvoice.dialogue.reports import count_text
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import ON_HEAT, Load, Stage, Timer, canner_state, leading_timer, step_of, vent_lost
from kitchenvoice.reference.beside import NONE_PRINTED
from kitchenvoice.reference.details import acid_for
from kitchenvoice.reference.food_talk import ways
from kitchenvoice.reference.library import product

__all__ = ["HANDLERS"]

_JUST_NOW_S = 60.0
_OF_PROCESS = frozenset({"ask_hold", "ask_pressure"})
_OF_ANY = {
    "ask_hold": "hold_how_long",
    "ask_pressure": "pressure_how_much",
    "ask_headspace": "headspace_how_much",
    "ask_salt": "salt_how_much",
    "ask_acid": "acid_how_much",
    "ask_vent": "vent_how_long",
}
"""What is said without a load: that it depends on the food, and on what."""
_ON_SHEET = {"ask_headspace": "headspace", "ask_salt": "salt", "ask_acid": "acid"}
"""What is on the sheet of a food that no load has yet."""
_AHEAD = {
    **dict.fromkeys(("lid", "heat"), "time_vent_ahead"),
    **dict.fromkeys(("dial_up", "weight_up", "boil_up"), "time_hold_ahead"),
    "to_zero": "time_cooling",
}
_OVER = {"weight": "time_vent_over", "off": "time_hold_over", "open": "time_wait_over"}


def _about_load(answer: Callable[[Talk, Load], None]) -> Callable[[Talk, Heard], None]:
    """Answer about the load that is meant, the one in focus without a name."""

    def handle(talk: Talk, heard: Heard) -> None:
        said, begun = named_in(heard), food_begun(talk)
        if said is None and begun is not None and heard.intent in _ON_SHEET:
            talk.obey(replace(heard, intent="ask_sheet", slots={"food": begun, "about": _ON_SHEET[heard.intent]}))
            return
        loads = find_loads(talk, said) if said is not None else ()
        loads = tuple(load for load in loads if load.id == heard.of) or loads
        if heard.intent in _OF_PROCESS:
            heard = replace(heard, slots={**ways(heard.text), **heard.slots})
            meant = loads or ((talk.focus,) if said is None and talk.focus is not None else ())
            if meant and all(_differs(load, heard) for load in meant):
                consult(talk, replace(heard, slots={**_slots_of(meant[0]), **heard.slots, "food": meant[0].food}))
                return
            loads = tuple(load for load in loads if not _differs(load, heard))
        if said is not None and not loads:
            if heard.intent != "ask_hold" or "jar" in heard.slots or not crocks.tell_meant(talk, heard):
                consult(talk, heard)
            return
        if len(loads) > 1:
            ask_which(talk, loads, heard)
            return
        load = loads[0] if loads else talk.focus
        if load is None and heard.intent in _OF_ANY and talk.language.tag == SPOKEN_IN:
            if not crocks.tell_figure(talk, heard):
                speak_family(talk, _OF_ANY[heard.intent], text=heard.text)
        elif load is None:
            talk.say_idle()
        else:
            if said is not None:
                spoken_of(talk, load, heard.text)
            answer(talk, load)

    return handle


def _differs(load: Load, heard: Heard) -> bool:
    """Tell whether another jar, pack, method or gauge than that of the load is asked about."""
    own = {"jar": load.jar, "pack": load.pack, "method": load.process.method, "gauge": load.process.gauge or ""}
    asked = {name: str(heard.slots[name]) for name in own if heard.slots.get(name) is not None}
    return any(said.replace("_", "-") != own[name].replace("_", "-") for name, said in asked.items())


def _slots_of(load: Load) -> dict[str, str]:
    """Return a load's slots, for those that a question about another jar or pack of its food leaves out."""
    of_pot = {"method": load.process.method, "gauge": load.process.gauge or ""}
    return {"food": load.food, "pack": load.pack, "jar": load.jar, **{name: of for name, of in of_pot.items() if of}}


def _say(talk: Talk, key: str, load: Load | None = None, **values: str) -> None:
    several = len(talk.kitchen.open_loads) > 1
    dot = f"{filling.load_name(talk, load)}. " if several and load is not None else ""
    talk.say("asking", key, values, load_dot=dot)


# ---------------------------------------------------------------- time


def _time(talk: Talk, heard: Heard) -> None:
    if heard.slots.get("name") is not None:
        timers.tell_left(talk, str(heard.slots["name"]))
        return
    said, loads = named_in(heard), spoken_loads(talk, heard)
    if said is not None and len(loads) == 1:
        spoken_of(talk, loads[0], heard.text)
    if said is not None and not loads and crocks.tell_meant(talk, heard):
        return
    told = [_tell_time(talk, load, clock="clock" in heard.slots) for load in loads]
    if said is None:
        told.append(timers.tell_all(talk))
    if any(told):
        return
    if loads:
        nearest = next((load for load in loads if load.step in _AHEAD), loads[0])
        begun = nearest.step == "to_zero" and talk.t - (nearest.cooling_t or talk.t) >= 60.0
        if begun and heard.intent == "ask_time":
            _tell_cooling(talk, nearest)
        _tell_by_step(talk, nearest, _AHEAD.get(nearest.step, "time_none"))
    elif talk.kitchen.open_loads:
        no_such_load(talk, talk.kitchen.open_loads)
    elif not crocks.tell_meant(talk, heard):
        talk.say_idle() if talk.planned is None else talk.obey(Heard("ask_day", {}, heard.text, talk.t))


def _since(talk: Talk, heard: Heard) -> None:
    """Say how much of what runs is gone, by the reports, or since when it cools; then how long is left."""
    for load in talk.kitchen.open_loads:
        timer = leading_timer(load)
        if timer is not None and not (load.doubt or timer.unsure):
            gone = capital(talk.language.duration(talk.t - timer.started_t))
            _say(talk, "since", load, gone=gone, what=_what_runs(talk, load, timer))
        elif timer is None and load.cooling_t is not None and not load.lid_off:
            _tell_cooling(talk, load)
    _time(talk, heard)


def _tell_cooling(talk: Talk, load: Load) -> None:
    _say(talk, "since_cooling", load, since=talk.language.duration(talk.t - (load.cooling_t or talk.t)))


def _clock(talk: Talk, heard: Heard) -> None:
    """The time of day isn't told alone: the machine's clock may be wrong, and nobody would hear that."""
    talk.say("asking", "no_clock")
    for load in talk.kitchen.open_loads:
        _tell_time(talk, load)
    timers.tell_all(talk)


def _tell_time(talk: Talk, load: Load, *, clock: bool = False) -> bool:
    """Say how long is left of what runs, by the clock too if that is asked, else what is over or lost, and waits;
    `False` if there is neither."""
    timer = leading_timer(load)
    if timer is None:
        return _tell_waiting(talk, load)
    if load.doubt:
        talk.note("hangs")
        _say(talk, "time_doubt" if load.doubted("gap") else "time_in_question", load)
        return True
    _say(talk, "time", load, left=filling.left_on(talk, timer), what=_what_runs(talk, load, timer))
    if clock and not timer.unsure and (at := time_of_day(talk, talk.t + timer.left_s(talk.t))):
        _say(talk, "time_by_clock", at=at)
    return True


def _tell_waiting(talk: Talk, load: Load) -> bool:
    call = next((call for call in talk.kitchen.calls if call.load == load.id), None)
    if load.stage is Stage.HOLD and load.hold is not None and load.hold.lost_t is not None:
        minutes, word = talk.language.duration(60 * load.process.minutes), filling.hold_word(talk, load)
        _say(talk, "time_lost", load, step=step_words.tell_step(talk, load), hold_word=word, minutes=minutes)
        return True
    over = "time_vent_lost" if vent_lost(load) else _OVER.get(load.step, "")
    if call is not None:
        talk.speak(call_text(talk, call))
    elif over:
        _tell_by_step(talk, load, over)
    return call is not None or bool(over)


def _tell_by_step(talk: Talk, load: Load, key: str) -> None:
    _say(talk, key, load, step=step_words.tell_step(talk, load, again=True), hold_word=filling.hold_word(talk, load))


def _what_runs(talk: Talk, load: Load, timer: Timer) -> str:
    name = filling.hold_kind(load) if timer.name == "hold" else timer.name
    return talk.language.phrase("names", f"runs_{name}")


# ---------------------------------------------------------------- numbers of the process


def _pressure(talk: Talk, load: Load) -> None:
    process = load.process
    if process.is_pressure and load.processed_t is not None:
        talk.speak(recorded(talk, "zero" if canner_state(load) else "pressure", load), Urgency.READBACK)
    elif process.is_pressure:
        if not withhold_numbers(talk, load):
            gauge = talk.language.phrase("names", f"gauge_{process.gauge}")
            _say(talk, "pressure", load, target=filling.target(talk, process), gauge=gauge, told=_told(talk, load))
    else:
        _say(talk, f"pressure_none_{load.process.watched}", load)


def _told(talk: Talk, load: Load) -> str:
    """Say which pressure was reported last, where it still says something."""
    if load.last_psi is None or load.last_psi_t is None or load.stage not in (Stage.COME_UP, Stage.HOLD, Stage.COOL):
        return ""
    since_s = talk.t - load.last_psi_t
    key = "pressure_told" if since_s >= _JUST_NOW_S else "pressure_told_now"
    values = {"psi": talk.language.number(load.last_psi), "since": capital(talk.language.duration(since_s))}
    return " " + talk.language.say("asking", key, values)


def _hold(talk: Talk, load: Load) -> None:
    minutes = talk.language.duration(60 * load.process.minutes)
    if withhold_numbers(talk, load):
        return
    target = {"target": filling.target(talk, load.process)} if load.process.is_pressure else {}
    _say(talk, "hold_psi" if target else "hold", load, minutes=minutes, **target)
    if load.holding:
        _tell_time(talk, load, clock=False)  # which may be what was asked for


def _salt(talk: Talk, load: Load) -> None:
    if load.process.salt_tsp:
        _say(talk, "salt", load, salt=talk.language.spoon(load.process.salt_tsp), jar=talk.language.jar(load.jar))
    else:
        note = product(load.food).salt.note or NONE_PRINTED
        _say(talk, "salt_none" if note == NONE_PRINTED else "salt_note", load, note=talk.language.in_words(note))


def _acid(talk: Talk, load: Load) -> None:
    printed = acid_for(product(load.food).acid, load.jar)
    acid = load.process.acid or (printed and talk.language.in_words(printed.text))
    _say(talk, "acid" if acid else "acid_none", load, acid=acid or "", food=load.food_name)


def _headspace(talk: Talk, load: Load) -> None:
    _say(talk, "headspace", load, headspace=load.process.headspace)


def _vent(talk: Talk, load: Load) -> None:
    if load.process.heat_vent_minutes:
        speak_family(talk, "vent_how_long")
    elif load.process.is_pressure:
        _say(talk, "vent", minutes=filling.vent_time(talk))
    else:
        _say(talk, f"vent_none_{load.process.watched}", load)


def _water(talk: Talk, heard: Heard) -> None:
    load = talk.focus
    if of_another_canner(load, heard.text) or (load is None and ways(heard.text)):
        speak_family(talk, "how_much_water", text=heard.text)
    elif load is not None and load.process.is_steam:
        _say(talk, "water_steam", load)
    elif load is not None and not load.process.is_pressure:
        _say(talk, "water_bath", load, over=filling.over_lids(talk.language, load.process))
    elif load is not None and load.process.water:
        speak_family(talk, "how_much_water")
    else:
        _say(talk, "water")


def _open(talk: Talk, heard: Heard) -> None:
    """True if a canner may be opened; one that may be under pressure stays as it is."""
    loads = spoken_loads(talk, heard)
    on_heat = [load for load in loads if load.stage in ON_HEAT and not load.lid_off]
    shut = [load for load in on_heat if load.process.is_pressure and (load.timer("settle") or not load.at_zero)]
    for load in shut:
        key = "settle_not_done" if load.timer("settle") else "not_at_zero"
        text = talk.language.say("objecting", key, filling.values_of(talk, _wait_left(talk, load), load))
        talk.speak(filling.named(talk, load, text), Urgency.CAUTION)
    for load in on_heat:
        if load not in shut:
            talk.speak(filling.named(talk, load, step_words.tell_step(talk, load)))
    if not on_heat:
        talk.say("asking", "open_none")


def _wait_left(talk: Talk, load: Load) -> dict[str, float]:
    timer = load.timer("settle")
    return {} if timer is None else {"left_s": max(0.0, timer.left_s(talk.t))}


def _altitude(talk: Talk, heard: Heard) -> None:
    feet = talk.profile.altitude_ft
    if feet is None:
        talk.say("asking", "altitude_none")
    else:
        talk.say("asking", "altitude", altitude=talk.language.altitude(feet))


# ---------------------------------------------------------------- jars


def _jars(talk: Talk, load: Load) -> None:
    if load.loaded is None and load.stage is Stage.PACK:
        planned, packed = talk.language.jars(load.jar, load.planned), talk.language.number(load.packed)
        _say(talk, "jars_more", load, jars=planned, packed=packed)
    else:
        _say(talk, "jars", load, jars=talk.language.jars(load.jar, load.standing))


def _count(talk: Talk, load: Load) -> None:
    if load.sealed is not None:
        count = count_text(talk, load)
    elif any(load.tally) or (talk.asked is not None and talk.asked.about == "seal_count"):
        count = recorded(talk, "seals", load)
    elif load.stage is Stage.PACK:
        count = talk.language.say("asking", "count_packed", filling.values_of(talk, {"packed": load.packed}, load))
    else:
        count = talk.language.say("asking", "count_loaded", loaded=talk.language.jars(load.jar, load.standing))
    _say(talk, "count", load, count=count)


def _failed_jar(talk: Talk, heard: Heard) -> None:
    waiting = [load for load in talk.kitchen.open_loads if load.undecided > 0]
    for load in waiting:
        timer = load.timer("window")
        if timer is None or timer.left_s(talk.t) <= 0:
            _say(talk, "failed_late", load)
        else:
            _say(talk, "failed_left", load, left=filling.left_on(talk, timer))
    if not waiting or any(load.timer("window") for load in waiting):
        talk.say("asking", "failed_jar_late" if only_out_is_left(talk) else "failed_jar")


# ---------------------------------------------------------------- the way


def _where(talk: Talk, heard: Heard) -> None:
    asked = talk.asked
    if not talk.kitchen.open_loads and asked is None and not crocks.tell_meant(talk, heard):
        talk.say_idle()
    for load in talk.kitchen.open_loads:
        talk.speak(where(talk, load))
    if asked is not None:
        frames.again(talk, asked)


def _why(talk: Talk, heard: Heard) -> None:
    """Give the reason of the open question, of what was refused just now, or of the step."""
    if talk.question is not None and talk.question.values.get("why"):
        talk.say("whys", str(talk.question.values["why"]))
        frames.ask(talk, talk.question)
    elif talk.reason:
        talk.speak(talk.reason if isinstance(talk.reason, str) else why_text(talk, talk.reason))
    else:
        _about_load(_why_step)(talk, heard)


def _why_step(talk: Talk, load: Load) -> None:
    step = step_of(load)
    if step is None:
        talk.say("asking", "why_none")
    else:
        target = talk.language.number(load.process.target_psi or 0)
        talk.speak(filling.named(talk, load, step_words.worded(talk, step).why.format(target=target)))


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "ask_time": _time,
        "ask_clock": _clock,
        "ask_since": _since,
        "ask_pressure": _about_load(_pressure),
        "ask_hold": _about_load(_hold),
        "ask_salt": _about_load(_salt),
        "ask_acid": _about_load(_acid),
        "ask_headspace": _about_load(_headspace),
        "ask_vent": _about_load(_vent),
        "ask_water": _water,
        "ask_open": _open,
        "ask_jars": _about_load(_jars),
        "ask_altitude": _altitude,
        "ask_count": _about_load(_count),
        "ask_failed_jar": _failed_jar,
        **pantry.HANDLERS,
        "where_are_we": _where,
        "why": _why,
    }
)
"""What is answered to each question."""
