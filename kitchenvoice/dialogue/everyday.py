"""Reports in everyday words: jars filled in all, corrections, "all good", a thing that was checked, steam that is seen.

Each becomes a report that there is, or is asked back; what may be a loss is never taken for less.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import catching_up, checks, doubting, filling, frames, reports, starting, step_words
from kitchenvoice.dialogue.answering import falls
from kitchenvoice.dialogue.choosing import find_loads, named_in, where
from kitchenvoice.dialogue.consulting import consult
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.how_many import SIZE, of_jars_named
from kitchenvoice.dialogue.knowing import speak_family
from kitchenvoice.dialogue.returning import is_of, starts
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Load, Stage, ends_late, object_to, step_of, up_to
from kitchenvoice.reference import find_food, food_name
from kitchenvoice.reference.library import product
from kitchenvoice.reference.names import refused_entry

__all__ = ["HANDLERS"]

_CHECKED_AT = MappingProxyType(
    {
        "canner": ("canner_check",),
        "jars": ("jar_check",),
        "water": ("water", "bath"),
        "rack": ("bath",),
        "lids": ("lids", "fill"),
    }
)
"""The steps that something is told of."""
_FILLED = frozenset({"fill", "lids", "packing"})
_ALL_PARTS = frozenset({"vent", "gasket", "rack"})
_PARTS = MappingProxyType(
    {part: frozenset({part}) for part in _ALL_PARTS} | {f"but_{part}": _ALL_PARTS - {part} for part in _ALL_PARTS}
)
"""What is looked at in the canner check, and which of it each report tells."""
_OF_ZERO = frozenset({"zero_so_soon", "zero_again"})
_WEIGHTED = frozenset({Stage.COME_UP, Stage.HOLD, Stage.COOL})


def _load(talk: Talk, heard: Heard, *stages: Stage) -> Load | None:
    """Return the load that is meant: the one named, else the only one at these stages, else the one in focus."""
    if heard.of is not None:
        return talk.kitchen.load(heard.of)
    fitting = [load for load in talk.kitchen.open_loads if load.stage in stages]
    return fitting[0] if len(fitting) == 1 else talk.focus


def _in_all(talk: Talk, said: Heard) -> None:
    """Take how many jars are filled in all; fewer than before only after a yes."""
    heard = of_jars_named(talk, said)
    if heard is None:
        return
    load, slots = _load(talk, heard, Stage.PACK), heard.slots
    if load is None or load.stage is not Stage.PACK:
        reports.refuse_stage(talk, "packed", heard.text, () if load is None else (load,))
        return
    if catching_up.is_ahead(talk, load) and not talk.language.hears("of_jars", heard.text):
        catching_up.say_missing(talk, load)
        return
    filled = load.step in _FILLED or load.packed or talk.language.hears("of_filled", heard.text)
    skips = "all" in slots and not filled
    if skips and not talk.language.hears("of_jars", heard.text):
        talk.obey(Heard("step_done", {}, heard.text, heard.t, of=load.id))  # "that's all done" is of the step
        return
    if "correct" in slots and not load.packed:
        talk.say("everyday", "other_count")  # no count was told yet: it is of the plan
        return
    total = load.planned - int(slots.get("but", 0)) if slots.keys() & {"all", "but"} else int(slots["count"])
    if (skips or total < load.packed) and "packed_in_all" not in heard.asked:
        _ask_in_all(talk, heard, load, total)
    elif total == load.packed:
        values = filling.values_of(talk, {"packed": load.packed}, load)
        talk.speak(filling.named(talk, load, talk.language.say("render", "packed", values)), Urgency.READBACK)
    else:
        told = replace(heard, intent="packed", slots={"count": total - load.packed}, of=load.id, rival=None)
        reports.HANDLERS["packed"](talk, told)


def _other_count(talk: Talk, heard: Heard) -> None:
    """Say when another number of jars than was planned is taken."""
    load = _load(talk, heard, Stage.PACK)
    later = load is not None and load.stage not in (Stage.PACK, Stage.CANNER)
    talk.say("everyday", "count_later" if later else "other_count")


def _more(talk: Talk, heard: Heard) -> None:
    """Ask whether as many jars as were planned, told after others, are all of them."""
    load, count = _load(talk, heard, Stage.PACK), heard.slots.get("count", 1)
    if load is not None and load.stage is Stage.PACK and load.packed and count == load.planned:
        _ask_in_all(talk, replace(heard, intent="packed_in_all"), load, int(count))
    else:
        reports.HANDLERS["packed"](talk, heard)


def _ask_in_all(talk: Talk, heard: Heard, load: Load, total: int) -> None:
    values = filling.values_of(talk, {"packed": load.packed, "total": total}, load)
    prompt = filling.named(talk, load, talk.language.say("everyday", "fewer_in_all", values))
    frames.ask_yes_no(talk, "packed_in_all", prompt, heard, load.id)


def _sealed_of(talk: Talk, heard: Heard) -> None:
    sealed, whole = int(heard.slots["sealed"]), int(heard.slots["whole"])
    reports.take(talk, heard, "seal_count", {"sealed": sealed, "failed": max(0, whole - sealed)})


def _fine(talk: Talk, heard: Heard) -> None:
    """Take no "fine" for a reading: in a hold the number, the weight or the boil is asked for."""
    holding = [load for load in talk.kitchen.open_loads if load.holding and heard.of in (None, load.id)]
    if falls(talk, heard):
        doubting.put_in_question(talk, heard.text, holding)  # "it never went below nine"
    asked = next(
        (load for load in holding if not load.doubt and load.hold is not None and load.hold.lost_t is None), None
    )
    load = _load(talk, heard)
    if asked is not None and "reads" in heard.slots:
        talk.obey(Heard("pressure_is", {"pressure": heard.slots["reads"]}, heard.text, heard.t, of=asked.id))
    elif asked is not None:
        checks.ask_clearly(talk, asked)
    elif load is None:
        talk.say("everyday", "good")
    elif load.stage in (Stage.PACK, Stage.KEEP) and step_of(load) is not None and heard.slots.get("about") != "unread":
        talk.obey(Heard("step_done", {}, heard.text, heard.t, of=load.id))
    else:
        talk.speak(where(talk, load))


def _rising(talk: Talk, heard: Heard) -> None:
    """Say what to do about a pressure that rises, and ask for the number in a hold. One that cools can't rise."""
    load = _load(talk, heard, Stage.HOLD)
    if load is not None and load.stage is Stage.COOL:
        talk.say("everyday", "rising_cooling", urgency=Urgency.CAUTION)
        return
    if load is not None and load.stage is Stage.VENT:
        talk.obey(Heard("weight_rocking", {}, heard.text, heard.t, of=load.id))
        return
    speak_family(talk, "pressure_high")
    if load is not None and load.holding and not load.doubt:
        checks.ask_now(talk, load)


def _nearly(talk: Talk, heard: Heard) -> None:
    """Take "almost eleven" for what it is: below eleven."""
    load, psi = _load(talk, heard, Stage.HOLD), heard.slots["pressure"]
    target = None if load is None else load.process.target_psi
    over = [
        each for each in talk.kitchen.open_loads if ends_late(each, talk.t) and psi <= (each.process.target_psi or 0)
    ]
    if over:
        doubting.raise_doubt(talk, "late", over, heard, {"why": "pressure"})
    elif load is None or target is None or not load.holding:
        talk.say("steering", "not_yet", step="" if load is None else step_words.tell_step(talk, load, again=True))
    elif psi <= target:
        checks.report(talk, load.id, "pressure_low", heard)
    else:
        checks.ask_clearly(talk, load)


def _back_at(talk: Talk, heard: Heard) -> None:
    """Take what is back, a pressure or a boil: of a hold or vent that counts it says that it was lost, which is asked.

    What goes again, unnamed, is of any of them.
    """
    again = heard.slots.get("again")
    counting = [load for load in talk.kitchen.open_loads if load.holding and heard.of in (None, load.id)]
    counting = [load for load in counting if load.hold is None or load.hold.lost_t is None]
    was = heard.slots.get("was")  # put right in the same breath
    if was is not None and not falls(talk, replace(heard, slots={"pressure": was})):
        counting = []
    vents = [load for load in talk.kitchen.open_loads if load.timer("vent") and heard.of in (None, load.id)]
    unnamed = again == _UNNAMED
    vents = vents if again == "heat_on" or unnamed else []
    if again in _LOST:
        counting = [load for load in counting if load.process.is_pressure != (again == "boiling")]
        if any(is_of(load, heard) for load in talk.kitchen.open_loads):
            counting = [load for load in counting if is_of(load, heard)]  # a dial has a weight, too
    if vents or (counting and unnamed):
        doubting.put_in_question(talk, heard.text, [*vents, *(counting if unnamed else ())], told=unnamed)
    if counting and not unnamed:
        doubting.raise_doubt(talk, _LOST.get(str(again), "pressure_low"), counting, heard, {})
    elif counting or vents:
        pass  # it is asked
    elif ("pressure" in heard.slots or again is not None) and not unnamed:
        starts(talk, Heard(str(again or "pressure_is"), heard.slots, heard.text, heard.t, of=heard.of))
    else:
        talk.obey(Heard("where_are_we", {}, heard.text, heard.t))


_UNNAMED = "unnamed"
"""What goes again or stopped, if nothing is named: it may be any of them."""
_LOST: Mapping[str, str] = MappingProxyType({"boiling": "boil_lost", "weight_rocking": "weight_quiet"})


def _steam_seen(talk: Talk, heard: Heard) -> None:
    """Ask whether steam that is seen is steady: only then a vent counts."""
    load = _load(talk, heard, Stage.VENT, Stage.CANNER, Stage.COME_UP)
    again = heard.slots.get("again")  # steady now, so it wasn't before
    if load is not None and load.timer("vent") is not None:
        if again is None:
            talk.speak(where(talk, load))
        else:
            doubting.put_in_question(talk, heard.text, [load])
        return
    if again is not None:
        talk.obey(Heard(str(again), {}, heard.text, heard.t, of=heard.of))
        return
    prompt = talk.language.say("everyday", "column_steady" if load and load.process.is_steam else "steam_steady")
    said = Heard("steam_steady", {}, heard.text, heard.t, of=heard.of)
    frames.ask_yes_no(talk, "said", prompt if load is None else filling.named(talk, load, prompt), said)


def _checked(talk: Talk, heard: Heard) -> None:
    """Take what was checked for the step that asks it; a part of a check asks for the rest."""
    load, about = _load(talk, heard, Stage.PACK, Stage.CANNER), str(heard.slots["about"])
    if about == "bad_jar":
        talk.say("everyday", "bad_jar", urgency=Urgency.CAUTION)
        return
    if load is None:
        talk.say_idle()
        return
    if "bare" in heard.slots and load.step != "water":
        talk.obey(Heard("ask_headspace", {}, heard.text, heard.t, of=load.id))
        return
    inches = heard.slots.get("inches")
    if about == "water_over" and load.process.is_pressure:
        speak_family(talk, "how_much_water")
        return
    passed = (each for each in _CHECKED_AT.get(about, (about,)) if up_to(load, each) is not None)
    step = next(passed, None) if about != "acid" or load.step == "acid" else None  # how much of it is told there
    if isinstance(inches, int | float) and load.process.is_pressure and not 2 <= inches <= 3:
        talk.say("asking", "water")
    elif step is not None:
        talk.obey(Heard("step_done", {"step": step}, heard.text, heard.t, of=load.id))
    elif about in _PARTS and load.step == "canner_check":
        _take_parts(talk, load, heard, _PARTS[about])
    else:
        talk.say("everyday", "all_right", step=filling.named(talk, load, step_words.tell_step(talk, load, again=True)))


def _take_parts(talk: Talk, load: Load, heard: Heard, told: frozenset[str]) -> None:
    """Put what was looked at to what was before, and ask for the rest; without a rest the check is done."""
    before, seen = talk.looked_at
    told |= seen if before == load.id and load.fault("gear") is None else frozenset()
    talk.looked_at = (load.id, told if told != _ALL_PARTS else frozenset())
    if told == _ALL_PARTS:
        talk.obey(Heard("step_done", {"step": load.step}, heard.text, heard.t, of=load.id))
    else:
        talk.say("everyday", next(f"checked_{about}" for about, parts in _PARTS.items() if parts == told))


def _change_load(talk: Talk, heard: Heard) -> None:
    """Start a load anew in other jars, of another food or pack: no number of the old one holds for it."""
    load = _load(talk, heard)
    if load is None:
        talk.say_idle()
        return
    now = {"food": load.food, "jar": load.jar, "pack": load.pack}
    said = {name: heard.slots[name] for name in (*now, "food_group") if heard.slots.get(name) is not None}
    if not any(now.get(name) != value for name, value in said.items()):
        pack = talk.language.phrase("names", f"pack_{load.pack}")
        talk.say("courtesies", "as_it_is", food=load.food_name, pack=pack, jars=talk.language.jars(load.jar))
        if load.fault("numbers") is not None:
            talk.record("fault_mended", load.id, heard.text, fault="numbers")
    elif load.stage is not Stage.PACK and "wished" in heard.slots:
        talk.say("everyday", "too_late", food=load.food_name, step=step_words.tell_step(talk, load))
    elif load.stage is not Stage.PACK:
        reports.take_fault(talk, Heard("fault", {"fault": "numbers"}, heard.text, talk.t, of=heard.of))
    elif "change_load" not in heard.asked:
        only_the_jar = {name for name, value in said.items() if now.get(name) != value} == {"jar"}
        doubting.keep(talk, SIZE if only_the_jar else "of_food", [load], heard.text)  # till it is answered
        frames.ask_yes_no(
            talk, "change_load", talk.language.say("everyday", "change", food=load.food_name), heard, load.id
        )
    else:
        talk.record("load_given_up", load.id, heard.text)
        group = {"food": None} if said.get("food_group") else {}
        kept = {**now, "count": load.planned, **group, **said}
        starting.start(talk, Heard("load_start", kept, heard.text, talk.t))


def _weight_off(talk: Talk, heard: Heard) -> None:
    """Warn of a weight that is off too soon; off in a hold it ends it, since no gauge shows the air that is let in.

    It is of the canner that was told to be at zero, if one was; else it can be of any that is shut.
    """
    shut = [load for load in talk.kitchen.open_loads if load.process.is_pressure and not load.lid_off]
    shut = [load for load in shut if load.stage in _WEIGHTED and heard.of in (None, load.id)]
    shut = [load for load in shut if load.id in heard.among] or shut
    going = [load for load in shut if load.stage is not Stage.COOL and load.processed_t is None]
    load = next((load for load in shut if load.at_zero), _load(talk, heard, Stage.HOLD, Stage.COOL))
    if going and len(shut) == 1:
        reports.take_fault(talk, replace(heard, slots={"fault": "air"}, of=shut[0].id))
        speak_family(talk, "weight_fell_off", Urgency.CAUTION, first=True)
    elif any(each.holding for each in going) and not (load is not None and load.at_zero):
        speak_family(talk, "weight_off", Urgency.CAUTION)
        holding = [each for each in going if each.holding]
        doubting.raise_doubt(talk, "fault", holding, heard, {"fault": "air"}, among=shut)
    elif load is not None and (load.at_zero or load.stage not in _WEIGHTED):
        talk.speak("" if talk.tells_step(load) else where(talk, load))
        if load.timer("vent") is not None:
            doubting.put_in_question(talk, heard.text, [load])  # so it was on
    else:
        speak_family(talk, "weight_off", Urgency.CAUTION)
        zero = Heard("gauge_zero", {}, heard.text, talk.t)
        may_be = load is not None and object_to(talk.kitchen, load, zero.intent, {}, talk.t) is None
        if load is not None and load.stands and (may_be or _zero_is_asked(talk)):
            doubting.came_off(talk, heard.text, [load], zero.sure("zero_so_soon", of=load.id))
        elif load is not None and load.stands:
            reports.take_fault(talk, Heard("fault", {"fault": "cooling"}, heard.text, talk.t, of=heard.of))


def _zero_is_asked(talk: Talk) -> bool:
    """True if a zero was told, and still waits for its yes."""
    asked = (talk.question, *talk.parked)
    return any(each.about in _OF_ZERO for each in asked if each is not None)


def _food(talk: Talk, heard: Heard) -> None:
    """Tell of a food whether it has a process: of one that is in a load where that is, of another what it needs."""
    if find_loads(talk, named_in(heard)) and heard.slots.get("jar") is None:
        talk.obey(Heard("load_select", heard.slots, heard.text, heard.t))
        return
    food = heard.slots.get("food")
    if heard.slots.get("about") == "method" and _methods(talk, str(food or heard.slots.get("food_group"))):
        return
    bare = heard.slots.get("jar") is None and heard.slots.get("pack") is None
    if food is not None and bare and refused_entry(str(food)) is None:
        talk.say("everyday", "food_known", food=food_name(str(food)))
    consult(talk, heard)


def _methods(talk: Talk, food: str) -> bool:
    """Say in which canner a food has a tested process; false if its kinds differ in that, or it has none."""
    named = find_food(food)
    kinds = (food,) if named.kind == "food" else named.candidates
    ways = {tuple(sorted(product(kind).methods)) for kind in kinds if refused_entry(kind) is None}
    if len(ways) != 1:
        return False
    name = capital(food_name(food))
    way, *others = ways.pop()
    kind = "either" if others else way
    talk.say("everyday", f"canner_{kind}", food=name)
    return True


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "packed": _more,
        "packed_in_all": _in_all,
        "sealed_of": _sealed_of,
        "fine": _fine,
        "rising": _rising,
        "nearly": _nearly,
        "back_at": _back_at,
        "steam_seen": _steam_seen,
        "checked": _checked,
        "change_load": _change_load,
        "weight_off": _weight_off,
        "other_count": _other_count,
        "ask_food": _food,
    }
)
"""What is done with each of them."""
