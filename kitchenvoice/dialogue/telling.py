"""Facts into sentences: which words, how urgent, and the step that follows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from kitchenvoice.dialogue import words
from kitchenvoice.dialogue.texts import sentence
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Event, Fact, Kitchen, Load, Process, Stage, Step, Value
from kitchenvoice.reference.rules import rules

if TYPE_CHECKING:
    from kitchenvoice.dialogue.talk import Talk

__all__ = ["load_name", "over_lids", "step_text", "target", "tell", "undone", "values_of"]

_CALLS = frozenset({"vent_done", "hold_done", "hold_lost", "settle_done", "bath_rest_done", "rest_done", "window_done"})
_SILENT = frozenset({"step_entered"})
_LONG_BATH_MIN = 30


def tell(talk: Talk, facts: tuple[Fact, ...], before: Kitchen) -> None:
    """Say what came of an event, then the step it leads to."""
    for fact in facts:
        load = talk.kitchen.load(fact.load)
        follow = "" if load is None else _next_step(talk, load, before)
        if fact.kind in _CALLS or fact.kind in ("timer_done", "call_again"):
            _call(talk, fact, load, follow)
        elif fact.kind not in _SILENT and fact.kind not in ("check_due", "doubt"):
            _say(talk, fact, load)
            talk.speak(follow)
        else:
            talk.speak(follow)


def _say(talk: Talk, fact: Fact, load: Load | None) -> None:
    key = _key(fact, load)
    if not talk.texts.has("facts", key):
        return
    urgency = Urgency.CAUTION if fact.kind in ("pressure_high", "vent_stopped", "jar_broke") else Urgency.READBACK
    talk.say("facts", key, values_of(talk, fact.data, load), urgency=urgency)


def _call(talk: Talk, fact: Fact, load: Load | None, follow: str) -> None:
    key, values = _key(fact, load), values_of(talk, fact.data, load)
    text = talk.texts.say("facts", key, values, brief=talk.brief)
    name = str(fact.data["key"]) if fact.kind == "call_again" else f"{fact.kind}:{fact.load}"
    if fact.kind == "timer_done":
        name = f"timer_done:{fact.data['name']}"
    tone = "alarm" if "hold_lost" in name else "timer"
    talk.call(" ".join(part for part in (text, follow) if part), name, fact.load, tone)


def _key(fact: Fact, load: Load | None) -> str:
    """Choose the variant of a sentence: by gauge, by reason, by what was left."""
    kind, data = fact.kind, fact.data
    bath = load is not None and not load.process.is_pressure
    if kind in ("hold_started", "hold_restarted") and load is not None:
        return f"{kind}_{'bath' if bath else load.process.gauge}"
    if kind == "hold_lost":
        return "hold_lost_psi" if data.get("psi") is not None else f"hold_lost_{data['why']}"
    if kind in ("hold_done", "cooling") and bath:
        return f"{kind}_bath"
    if kind == "vent_stopped":
        return f"vent_stopped_{data['why']}"
    if kind == "timer_mark":
        return f"mark_{data['name']}_{data['mark']}" if load is not None else f"timer_mark_{data['mark']}"
    if kind == "call_again":
        return f"call_again_{str(data['key']).split(':')[0]}"
    if kind == "packed" and load is not None and load.packed > load.planned:
        return "packed_over"
    if kind == "vent_goes_on" and load is not None and load.timer("vent") is None:
        return "vent_over"
    if kind == "seals_counted" and data.get("failed") == 0:
        return "seals_counted_all"
    return "outcome_left" if kind == "outcome" and data.get("left") else kind


def values_of(talk: Talk, data: Mapping[str, Value], load: Load | None) -> dict[str, str]:
    """Put every value that a sentence may need into words. What the fact itself carries comes before the load's own."""
    said = {} if load is None else _of_load(talk, load)
    said.update({name: _word(name, value) for name, value in data.items() if value is not None})
    for name in ("left_s", "since_s", "ran_s", "rested_s", "off_s"):
        if name in said:
            said[name.removesuffix("_s")] = said[name]
    if "outcome" in data:
        said["outcome"] = talk.texts.say("outcomes", str(data["outcome"])).lower()
    minutes = data.get("minutes")
    if isinstance(minutes, int | float):
        said["minutes"] = words.duration(60 * minutes)
    for name in ("loaded", "out"):
        count = data.get(name)
        if load is not None and isinstance(count, int | float):
            said[name] = words.jars(load.jar, int(count))
    return said


def _of_load(talk: Talk, load: Load) -> dict[str, str]:
    several = len(talk.kitchen.open_loads) > 1
    name = load_name(talk.kitchen, load)
    timer = next((found for x in ("hold", "vent", "settle", "bath_rest") if (found := load.timer(x))), None)
    return {
        "load": name,
        "load_dot": f"{name}. " if several else "",
        "load_name": f"Load {words.number(load.number)}, {load.food_name},",
        "minutes": words.duration(60 * load.process.minutes),
        "held": words.duration(60 * load.process.minutes),
        "planned": words.number(load.planned),
        "jar": words.jars(load.jar, 1).removeprefix("one "),
        "target": "" if load.process.target_psi is None else target(load.process),
        "left": "" if timer is None else words.duration(max(0.0, timer.left_s(talk.t))),
    }


def _word(name: str, value: Value) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if name in ("psi", "target"):
        return words.pounds_pressure(value) if name == "target" else words.number(value)
    if name.endswith("_s"):
        return words.duration(value)
    if name in ("sealed", "failed", "packed", "count", "total", "out", "loaded", "standing"):
        return words.twice(value) if name in ("sealed", "failed", "packed") else words.number(value)
    return words.number(value) if value >= 0 else str(value)


def load_name(kitchen: Kitchen, load: Load) -> str:
    """Name a load by its food, or by food and number where two loads have the same food."""
    twins = [x for x in kitchen.open_loads if x.food == load.food and x.id != load.id]
    return f"{load.food_name}, load {words.number(load.number)}" if twins else load.food_name


def target(process: Process) -> str:
    """Say the pressure that her own gauge must show."""
    return words.pounds_pressure(process.target_psi or 0)


def over_lids(process: Process) -> str:
    """Say how much water stands over the lids: one inch, two for a process over thirty minutes (published)."""
    long = process.minutes > _LONG_BATH_MIN
    return words.inches((rules().water_over_jars_long_in if long else rules().water_over_jars_in).value)


def _next_step(talk: Talk, load: Load, before: Kitchen) -> str:
    old = before.load(load.id)
    if old is not None and (old.stage, old.step) == (load.stage, load.step):
        return ""
    return "" if load.stage is Stage.CLOSED else talk.step_text(load)


def step_text(load: Load, step: Step, *, brief: bool = False) -> str:
    """Return the words of a step: the caution it needs first, then what to do."""
    process = load.process
    values = {
        "salt": words.spoon(process.salt_tsp) if process.salt_tsp else "",
        "acid": process.acid,
        "pack": load.pack,
        "jar": words.jars(load.jar, 1).removeprefix("one "),
        "headspace": process.headspace,
        "target": words.number(process.target_psi) if process.target_psi is not None else "",
        "over": over_lids(process) if not process.is_pressure else "",
        "bath": _bath(load.pack),
    }
    body = (step.brief if brief else step.say).format_map(values)
    return sentence(" ".join(part for part in (step.caution, body) if part))


def _bath(pack: str) -> str:
    figure = rules().water_hot_pack_f if pack == "hot" else rules().water_raw_pack_f
    return f"{words.number(figure.value)} degrees for {pack} pack"


def undone(talk: Talk, event: Event) -> str:
    """Name what is taken back, as it stands before it is."""
    pressure, load = event.data.get("pressure"), talk.kitchen.load(event.load)
    values = {
        "pressure": words.number(pressure) if isinstance(pressure, int | float) else "",
        "load_name": f"load {words.number(load.number)}" if load is not None else "the load",
    }
    text = talk.texts.say("undo", event.kind, values)
    return text[:1].lower() + text[1:]
