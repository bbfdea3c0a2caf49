"""The values that sentences are filled with: loads by name, counts and times in words, steps with their cautions."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from kitchenvoice.language import words
from kitchenvoice.language.sentences import sentence
from kitchenvoice.process import Call, Kitchen, Load, Process, Step, Timer, Value
from kitchenvoice.reference.rules import rules

if TYPE_CHECKING:
    from kitchenvoice.dialogue.context import Talk

__all__ = [
    "PARTLY",
    "at_most",
    "codes",
    "hold_word",
    "is_named",
    "left_on",
    "load_name",
    "named",
    "over_lids",
    "since",
    "step_text",
    "target",
    "timer_name",
    "values_of",
]

_COUNTS = ("sealed", "failed", "packed", "count", "total", "out", "loaded", "standing")
_LONG_BATH_MIN = 30
_UNNAMED = "timer "
_SENTENCE_END = re.compile(r"(?<=[.?!])\s+")
PARTLY = "Partly checked"
"""How a caution begins that tells which part of a table wasn't read in its source."""


def values_of(talk: Talk, data: Mapping[str, Value], load: Load | None) -> dict[str, str]:
    """Put every value that a sentence may need into words. What the fact itself carries comes before the load's own."""
    said = {} if load is None else _of_load(talk, load)
    said.update({name: _word(name, value) for name, value in data.items() if value is not None})
    for name in ("left_s", "since_s", "ran_s", "rested_s", "off_s"):
        if name in said:
            said[name.removesuffix("_s")] = said[name]
    for name, how in (("since", "at_least"), ("left", "at_most")):
        if data.get("unsure") is True and name in said and f"{name}_s" in data:
            said[name] = _hedged(talk, how, said[name])
    unanswered, heard_s = data.get("unanswered"), data.get("heard_s")
    if isinstance(unanswered, int):
        said["unanswered"] = words.counted(unanswered, "check")
    if isinstance(heard_s, int | float):
        said["heard"] = words.duration(heard_s)
    if "outcome" in data:
        said["outcome"] = talk.texts.say("outcomes", str(data["outcome"])).lower()
    said["timer"] = timer_name(_timer_of(data), data.get("minutes"))
    minutes, psi = data.get("minutes"), data.get("psi")
    if isinstance(minutes, int | float):
        said["minutes"] = words.duration(60 * minutes)
    if isinstance(psi, int | float):
        said["psi"] = words.twice(psi)
        said["psi_is"] = said["psi"] + ("," if psi in words.CONFUSABLE else "")
    said.update(_codes(data, load))
    return said


def left_on(talk: Talk, timer: Timer) -> str:
    """Say what is left on a timer: never less than there is, and never as if it were known where it isn't."""
    return at_most(talk, max(0.0, timer.left_s(talk.t)), timer.unsure)


def at_most(talk: Talk, seconds: float, unsure: bool) -> str:
    """Say a stretch of time, as the most that it can be where that isn't sure."""
    left = words.duration(seconds)
    return _hedged(talk, "at_most", left) if unsure else left


def since(talk: Talk, call: Call) -> str:
    """Say since when a call waits."""
    waits = words.duration(talk.t - call.since_t)
    return _hedged(talk, "at_least", waits) if call.unsure else waits


def _hedged(talk: Talk, how: str, time: str) -> str:
    said = talk.texts.say("answers", how, time=time)
    return said[:1].lower() + said[1:]


def timer_name(name: str, minutes: Value = None) -> str:
    """Call a kitchen timer by the name it was given, else by its length where that is known."""
    if not name.startswith(_UNNAMED):
        return f"the {name} timer"
    return f"your timer of {words.duration(60 * minutes)}" if isinstance(minutes, int | float) else "your timer"


def is_named(name: str) -> bool:
    """Tell whether a kitchen timer was given a name."""
    return not name.startswith(_UNNAMED)


def _timer_of(data: Mapping[str, Value]) -> str:
    key = str(data.get("key") or "")
    return key.partition(":")[2] if key.startswith("timer_done:") else str(data.get("name") or _UNNAMED)


def _codes(data: Mapping[str, Value], load: Load | None) -> dict[str, str]:
    """Make the second, digit by digit form of counts that sound like others."""
    said = {}
    for name in _COUNTS:
        count = data.get(name)
        if isinstance(count, bool) or not isinstance(count, int | float):
            continue
        said[f"{name}_code"] = words.code(count)
        if load is not None and name in ("loaded", "out"):
            said[name] = words.jars(load.jar, int(count))
        if load is not None and name == "count" and count >= 0:
            said["count_jars"] = words.jars(load.jar, int(count))
    said["codes"] = codes({name: data[name] for name in ("sealed", "failed") if name in data})
    return said


def codes(counts: Mapping[str, Value]) -> str:
    """Say counts again digit by digit where they sound like others: " One five sealed."; "" where none does."""
    again = [f"{words.digits(n)} {name}" for name, n in counts.items() if isinstance(n, int) and n in words.CONFUSABLE]
    return f" {words.capital(', '.join(again))}." if again else ""


def _of_load(talk: Talk, load: Load) -> dict[str, str]:
    several = len(talk.kitchen.open_loads) > 1
    name = load_name(talk.kitchen, load)
    timer = next((found for x in ("hold", "vent", "settle", "bath_rest") if (found := load.timer(x))), None)
    target_psi = load.process.target_psi
    return {
        "load": name,
        "load_dot": f"{name}. " if several else "",
        "load_name": f"Load {words.number(load.number)}, {load.food_name},",
        "minutes": words.duration(60 * load.process.minutes),
        "held": words.duration(60 * load.process.minutes),
        "hold_word": hold_word(load),
        "planned": words.number(load.planned),
        "packed": words.number(load.packed),
        "standing": words.number(load.standing),
        "jar": words.jars(load.jar, 1).removeprefix("one "),
        "target": "" if target_psi is None else target(load.process),
        "target_number": "" if target_psi is None else words.number(target_psi),
        "left": "" if timer is None else left_on(talk, timer),
    }


def _word(name: str, value: Value) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if name == "target":
        return words.pounds_pressure(value)
    if name.endswith("_s"):
        return words.duration(30 * (value // 30) if name == "ran_s" and value >= 30 else value)  # never more
    return words.number(value) if value >= 0 else str(value)


def hold_word(load: Load) -> str:
    """Call the time of a load what it is: a hold at pressure, or a boil."""
    return "hold" if load.process.is_pressure else "boil"


def load_name(kitchen: Kitchen, load: Load) -> str:
    """Name a load by its food, or by food and number where two loads have the same food."""
    twins = [x for x in kitchen.open_loads if x.food == load.food and x.id != load.id]
    return f"{load.food_name}, load {words.number(load.number)}" if twins else load.food_name


def named(talk: Talk, load: Load, text: str) -> str:
    """Put the name of the load before a sentence where several are open and the sentence doesn't name it."""
    name, said = load_name(talk.kitchen, load), text.lower()
    if len(talk.kitchen.open_loads) < 2 or all(part in said for part in name.lower().split(", load ")):
        return text
    return f"{words.capital(name)}. {text}"


def target(process: Process) -> str:
    """Say the pressure that her own gauge must show."""
    return words.pounds_pressure(process.target_psi or 0)


def over_lids(process: Process) -> str:
    """Say how much water stands over the lids: one inch, two for a process over thirty minutes (published)."""
    long = process.minutes > _LONG_BATH_MIN
    return words.inches((rules().water_over_jars_long_in if long else rules().water_over_jars_in).value)


def step_text(load: Load, step: Step, *, brief: bool = False, of_food: bool = True) -> str:
    """Return the words of a step: the caution it needs first, then what to do. The food's own come before filling."""
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
    published = _of_food(load) if of_food and step.id == "fill" else ()
    return sentence(" ".join(part for part in (*published, step.caution, body) if part))


def _of_food(load: Load) -> tuple[str, ...]:
    """Return the published cautions of the food that concern its pack."""
    other = "Hot pack" if load.pack == "raw" else "Raw pack"
    told = [text for text in load.process.cautions if not text.startswith(PARTLY)]
    each = [part for text in told for part in _SENTENCE_END.split(text)]
    return tuple(part for part in each if part and not part.startswith(other))


def _bath(pack: str) -> str:
    figure = rules().water_hot_pack_f if pack == "hot" else rules().water_raw_pack_f
    return f"{words.number(figure.value)} degrees for {pack} pack"
