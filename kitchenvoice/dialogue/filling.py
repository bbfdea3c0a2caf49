"""The values that sentences are filled with: loads by name, counts and times in words."""

from __future__ import annotations

from collections.abc import Mapping

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.language import CONFUSABLE, Language, capital
from kitchenvoice.process import Call, Load, Process, Timer, Value, is_named_timer
from kitchenvoice.reference.rules import rules

__all__ = [
    "at_most",
    "codes",
    "hold_kind",
    "hold_word",
    "left_on",
    "load_by_number",
    "load_name",
    "named",
    "named_once",
    "over_lids",
    "since",
    "target",
    "timer_name",
    "values_of",
    "vent_time",
]

_COUNTS = ("sealed", "failed", "packed", "count", "total", "out", "loaded", "standing")
_LONG_BATH_MIN = 30
_NAMES = frozenset({"load", "load_dot", "load_name", "where"})


def values_of(talk: Talk, data: Mapping[str, Value], load: Load | None) -> dict[str, str]:
    """Put every value that a sentence may need into words. What the fact itself carries comes before the load's own."""
    values = {} if load is None else _of_load(talk, load)
    values.update({name: _word(talk, name, value) for name, value in data.items() if value is not None})
    for name in ("left_s", "since_s", "ran_s", "rested_s", "off_s", "cool_s"):
        if name in values:
            values[name.removesuffix("_s")] = values[name]
    for name, how in (("since", "at_least"), ("left", "at_most")):
        if data.get("unsure") is True and name in values and f"{name}_s" in data:
            values[name] = _hedged(talk, how, values[name])
    unanswered, heard_s = data.get("unanswered"), data.get("heard_s")
    if isinstance(unanswered, int):
        values["unanswered"] = talk.language.counted(unanswered, "check")
    if isinstance(heard_s, int | float):
        over_s = 0.0 if load is None or load.processed_t is None else max(0.0, talk.t - load.processed_t)
        values["heard"] = talk.language.duration(heard_s + over_s)
    if "outcome" in data:
        values["outcome"] = talk.language.phrase("outcomes", str(data["outcome"]))
    values["timer"] = timer_name(talk, _timer_of(data), data.get("minutes"))
    minutes, psi = data.get("minutes"), data.get("psi")
    if isinstance(minutes, int | float):
        values["minutes"] = talk.language.duration(60 * minutes)
    if isinstance(psi, int | float):
        values["psi"] = talk.language.twice(psi)
        values["psi_is"] = values["psi"] + ("," if psi in CONFUSABLE else "")
    values.update(_codes(talk, data, load))
    return values


def left_on(talk: Talk, timer: Timer) -> str:
    """Say what is left on a timer: never less than there is, and never as if it were known where it isn't."""
    return at_most(talk, max(0.0, timer.left_s(talk.t)), timer.unsure)


def at_most(talk: Talk, seconds: float, unsure: bool) -> str:
    """Say a stretch of time, as the most that it can be where that isn't sure."""
    left = talk.language.duration(seconds)
    return _hedged(talk, "at_most", left) if unsure else left


def since(talk: Talk, call: Call) -> str:
    """Say since when a call waits."""
    waits = talk.language.duration(talk.t - call.since_t)
    return _hedged(talk, "at_least", waits) if call.unsure else waits


def _hedged(talk: Talk, how: str, time: str) -> str:
    return talk.language.phrase("filling", how, time=time)


def vent_time(talk: Talk) -> str:
    """Say for how long a canner vents."""
    return talk.language.duration(60 * rules().vent_minutes.value)


def timer_name(talk: Talk, name: str, minutes: Value = None, table: str = "names") -> str:
    """Call a kitchen timer by the name it was given, else by its length where that is known."""
    if is_named_timer(name):
        return talk.language.phrase(table, "timer_named", name=name)
    if not isinstance(minutes, int | float):
        return talk.language.phrase(table, "timer")
    return talk.language.phrase(table, "timer_of", minutes=talk.language.duration(60 * minutes))


def _timer_of(data: Mapping[str, Value]) -> str:
    key = str(data.get("key") or "")
    return key.partition(":")[2] if key.startswith("timer_done:") else str(data.get("name") or "")


def _codes(talk: Talk, data: Mapping[str, Value], load: Load | None) -> dict[str, str]:
    """Make the second, digit by digit form of counts that sound like others."""
    said = {}
    for name in _COUNTS:
        count = data.get(name)
        if isinstance(count, bool) or not isinstance(count, int | float):
            continue
        said[f"{name}_code"] = talk.language.code(count)
        if load is not None and name in ("loaded", "out"):
            said[name] = talk.language.jars(load.jar, int(count))
        if load is not None and name == "count" and count >= 0:
            said["count_jars"] = talk.language.jars(load.jar, int(count))
    said["codes"] = codes(talk, {name: data[name] for name in ("sealed", "failed") if name in data})
    return said


def codes(talk: Talk, counts: Mapping[str, Value]) -> str:
    """Say counts again digit by digit where they sound like others: " One five sealed."; "" where none does."""
    again = [
        talk.language.phrase("digits", name, digits=talk.language.digits(n))
        for name, n in counts.items()
        if isinstance(n, int | float) and n in CONFUSABLE
    ]
    return f" {capital(', '.join(again))}." if again else ""


def _of_load(talk: Talk, load: Load) -> dict[str, str]:
    several = len(talk.kitchen.open_loads) > 1
    name = load_name(talk, load)
    timer = next((found for x in ("hold", "vent", "settle", "bath_rest") if (found := load.timer(x))), None)
    target_psi = load.process.target_psi
    return {
        "load": name,
        "load_dot": f"{name}. " if several else "",
        "load_name": f"{capital(load_by_number(talk, load))},",
        "minutes": talk.language.duration(60 * load.process.minutes),
        "held": talk.language.duration(60 * load.process.minutes),
        "hold_word": hold_word(talk, load),
        "acid_in": talk.language.phrase("names", f"acid_in_{load.process.acid_in}"),
        "over": over_lids(talk.language, load.process),
        "the_weight": _the_weight(talk, load),
        "planned": talk.language.number(load.planned),
        "packed": talk.language.number(load.packed),
        "standing": talk.language.number(load.standing),
        "jar": talk.language.jar(load.jar),
        "target": "" if target_psi is None else target(talk, load.process),
        "target_number": "" if target_psi is None else talk.language.number(target_psi),
        "left": "" if timer is None else left_on(talk, timer),
    }


def _word(talk: Talk, name: str, value: Value) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    if name == "target":
        return talk.language.pounds_pressure(value)
    if name.endswith("_s"):
        return talk.language.duration(30 * (value // 30) if name == "ran_s" and value >= 30 else value)  # never more
    return talk.language.number(value) if value >= 0 else str(value)


def _the_weight(talk: Talk, load: Load) -> str:
    """Name the weight in pounds where it tells the pressure."""
    weighted = load.process.is_pressure and not load.process.is_dial
    pounds = talk.language.number(load.process.target_psi or 0)
    return talk.language.phrase("names", "weight_of" if weighted else "weight", pounds=pounds)


def hold_kind(load: Load) -> str:
    """Tell what the time of a load is: a `hold` at pressure, a `boil`, or `steaming`."""
    return {"bath": "boil", "steam": "steaming"}.get(load.process.watched, "hold")


def hold_word(talk: Talk, load: Load) -> str:
    """Call the time of a load what it is."""
    return talk.language.phrase("names", hold_kind(load))


def load_name(talk: Talk, load: Load) -> str:
    """Name a load by its food, or by food and number where two loads have the same food."""
    twins = any(x.food == load.food and x.id != load.id for x in talk.kitchen.open_loads)
    return f"{load.food_name}, {_number(talk, load)}" if twins else load.food_name


def load_by_number(talk: Talk, load: Load) -> str:
    """Name a load by its number and its food."""
    return f"{_number(talk, load)}, {load.food_name}"


def _number(talk: Talk, load: Load) -> str:
    return talk.language.phrase("names", "load", number=talk.language.number(load.number))


def named(talk: Talk, load: Load, text: str) -> str:
    """Put the name of the load before a sentence that doesn't name it, where several are open."""
    return f"{capital(load_name(talk, load))}. {text}" if len(talk.kitchen.open_loads) > 1 else text


def named_once(talk: Talk, load: Load | None, text: str, table: str, key: str) -> str:
    """Put the name of the load before a sentence unless that names it itself."""
    names = _NAMES & talk.language.gaps(table, key, brief=talk.brief)
    return text if load is None or names else named(talk, load, text)


def target(talk: Talk, process: Process) -> str:
    """Say the pressure that the cook's own gauge must show."""
    return talk.language.pounds_pressure(process.target_psi or 0)


def over_lids(language: Language, process: Process) -> str:
    """Say how much water stands over the lids: one inch, two for a process over thirty minutes (published)."""
    long = process.minutes > _LONG_BATH_MIN
    return language.inches((rules().water_over_jars_long_in if long else rules().water_over_jars_in).value)
