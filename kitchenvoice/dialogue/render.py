"""Facts into sentences: which words, how urgent, and the step that follows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from kitchenvoice.dialogue import filling, step_words
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import named, named_once, values_of
from kitchenvoice.dialogue.now import is_night, other_numbers
from kitchenvoice.dialogue.refusing import tell_remarks
from kitchenvoice.ports import Urgency
from kitchenvoice.process import OF_STEAM, Call, Event, Fact, Kitchen, Load, Stage, Value, gone_past, step_of, unchecked
from kitchenvoice.reference import lookup
from kitchenvoice.reference.rules import rules

__all__ = ["call_anew", "call_held_back", "call_text", "tell", "undone"]

_CALLS = frozenset({"vent_done", "hold_done", "hold_lost", "settle_done", "bath_rest_done", "rest_done", "window_done"})
_WAITS_FOR_DAY = frozenset({"rest_done", "window_done"})
_SILENT = frozenset({"step_entered", "check_due", "doubt", "step_waits"})
_SAID_BY_ANSWER = frozenset({"no", "report", "named", "not_load", "neither", "withdrawn"})
_GRAVE = frozenset({"pressure_high", "vent_stopped", "jar_broke", "given_up_out"})
_LATE_S = 10.0
"""From so late on a call tells since when. Common practice, no source."""
_LONGEST_ANSWERED_S = 900.0
"""A last report that is older at the end of a hold, with no question unanswered: none was wanted."""
_CLOSED_UP = frozenset({Stage.VENT, Stage.COME_UP, Stage.HOLD, Stage.COOL})
_RUNNING = frozenset({Stage.VENT, Stage.HOLD, Stage.COOL})


def tell(talk: Talk, facts: Sequence[Fact], before: Kitchen) -> None:
    """Say what came of an event: what was taken, what was left out, then the step it leads to, once for each load."""
    last = {fact.load: place for place, fact in enumerate(facts)}
    for place, fact in enumerate(facts):
        load = talk.kitchen.load(fact.load)
        follow = _next_step(talk, load, before) if load is not None and last[fact.load] == place else ""
        if fact.kind == "jar_broke" and load is not None and load.stage is Stage.COOL and load.lid_off:
            follow = step_words.tell_step(talk, load)  # the others still wait in the canner
        if fact.kind in ("rested", "given_up_hot") and load is not None:
            follow = step_words.tell_step(talk, load)
        if fact.kind == "packed" and load is not None and load.packed == load.planned:
            follow = follow or step_words.tell_step(talk, load)
        if fact.kind == "count_void":
            follow = ""  # the new count is asked about
        if fact.kind == "step_waits" and load is not None:
            follow = talk.language.say("render", "step_waits", step=step_words.tell_step(talk, load))
        if fact.kind in _CALLS or fact.kind in ("timer_done", "call_again"):
            _call(talk, fact, load, follow)
            continue
        silent = fact.kind in _SILENT or (fact.kind == "doubt_settled" and _needs_no_word(fact, load))
        said = not silent and _say(talk, fact, load, before)
        if load is not None and load.broken and load.lid_off and not _lid_was_off(before, load):
            talk.say("render", "glass_inside", urgency=Urgency.CAUTION)
        if load is not None and last[fact.load] == place:
            said = _tell_unchecked(talk, before, load) or said
        talk.speak(follow if said or load is None or not follow else named(talk, load, follow))
    tell_remarks(talk, facts)


def _needs_no_word(settled: Fact, load: Load | None) -> bool:
    """True if the answer said it already, or something else is in doubt still, which is asked."""
    in_doubt = load is not None and (load.doubt or load.stage is Stage.COME_UP)
    return settled.data.get("by") in _SAID_BY_ANSWER or in_doubt


def _lid_was_off(before: Kitchen, load: Load) -> bool:
    old = before.load(load.id)
    return old is not None and old.lid_off


def _say(talk: Talk, fact: Fact, load: Load | None, before: Kitchen) -> bool:
    key = _key(talk, fact, load)
    of_day = fact.kind == "timer_mark" and fact.data.get("name") == "window" and is_night(talk.t)
    if of_day or not talk.language.has("render", key):
        return False
    urgency = Urgency.CAUTION if fact.kind in _GRAVE else Urgency.READBACK
    values = values_of(talk, fact.data, load)
    text = talk.language.say("render", key, values, brief=talk.brief)
    talk.speak(named_once(talk, load, text, "render", key), urgency)
    if fact.kind == "outcome" and load is not None:
        _tell_outcome(talk, fact, load, before.load(load.id) or load)
    return True


def _call(talk: Talk, fact: Fact, load: Load | None, follow: str) -> None:
    name = str(fact.data["key"]) if fact.kind == "call_again" else f"{fact.kind}:{fact.load}"
    if name.split(":")[0] in _WAITS_FOR_DAY and is_night(talk.t):
        talk.held_back |= {name}
        return
    if fact.kind == "call_again":
        call_anew(talk, name)
        return
    values = values_of(talk, fact.data, load)
    text = talk.language.say("render", _key(talk, fact, load), values, brief=talk.brief)
    if fact.kind == "timer_done":
        name = f"timer_done:{fact.data['name']}"
        text = _late(talk, name, values["timer"]) or text
    talk.call(" ".join(part for part in (text, follow) if part), name, fact.load, _tone(name))


def call_held_back(talk: Talk) -> None:
    """Make the calls of the night, at the first word of the day."""
    if talk.held_back and not is_night(talk.t):
        for key in sorted(talk.held_back):
            call_anew(talk, key)
        talk.held_back = frozenset()


def call_anew(talk: Talk, key: str) -> None:
    """Make a call that still waits once more, in words that are true now."""
    talk.held_back -= {key}
    call = _waiting(talk, key)
    if call is not None:
        talk.call(call_text(talk, call), key, call.load, _tone(key), call.reminders)


def _waiting(talk: Talk, key: str) -> Call | None:
    return next((call for call in talk.kitchen.calls if call.key == key), None)


def _tone(key: str) -> str:
    return "alarm" if key.startswith("hold_lost") else "timer"


def _late(talk: Talk, key: str, timer: str) -> str:
    """Say since when a kitchen timer is over, if that was while nobody could tell: it isn't up just now."""
    call = _waiting(talk, key)
    if call is None or talk.t < call.since_t + _LATE_S:
        return ""
    return talk.language.say("timers", "timer_ended", timer=timer, since=filling.since(talk, call))


def _key(talk: Talk, fact: Fact, load: Load | None) -> str:
    """Choose the variant of a sentence: by gauge, by reason, by what was left."""
    kind, data = fact.kind, fact.data
    if kind == "doubt_settled" and load is not None and (load.lid_off or load.cooling_t is not None):
        return "doubt_settled_stands"
    if kind == "doubt_settled" and load is not None and _is_over(talk, load):
        return "doubt_settled_over"
    if kind == "doubt_settled" and data.get("kind") == "steam_stopped":
        return "vent_goes_on"
    bath = load is not None and not load.process.is_pressure
    if kind in ("hold_started", "hold_restarted") and load is not None:
        return f"{kind}_steam" if load.process.is_steam else f"{kind}_{load.process.watched}"
    if kind == "hold_lost":
        return "hold_lost_psi" if data.get("psi") is not None else f"hold_lost_{data['why']}"
    if kind == "hold_done" and not data.get("unanswered") and _unheard(data):
        return "hold_done_bath_unheard" if bath else "hold_done_unheard"
    if (
        kind == "cooling"
        and load is not None
        and (load.doubt or load.kept or load.unfit or load.given_up_t is not None)
    ):
        return "cooling_doubt"
    if kind == "hold_done" and load is not None and load.all_unfit:
        return "hold_done_unfit"
    if kind in ("hold_done", "cooling"):
        steam = kind == "cooling" and load is not None and load.process.is_steam
        kind = f"{kind}_steam" if steam else f"{kind}_bath" if bath else kind
        return f"{kind}_unanswered" if data.get("unanswered") else kind
    if kind == "vent_stopped" and not data.get("ran_s") and data["why"] in ("steam", "weight", "heat"):
        return f"vent_not_running_{data['why']}"
    if kind == "vent_stopped" and data["why"] == "weight" and data["ran_s"] == 60 * rules().vent_minutes.value:
        return "vent_stopped_unsure"
    if kind == "vent_stopped":
        return f"vent_stopped_{data['why']}"
    if kind == "timer_mark":
        timer = None if load is None else load.timer(str(data["name"]))
        if timer is not None and timer.unsure and data["mark"] == "two_hours":
            return "mark_window_two_hours_unsure"
        mark = f"mark_{data['name']}_{data['mark']}" if load is not None else f"timer_mark_{data['mark']}"
        return f"{mark}_bath" if bath and data["name"] == "hold" else mark
    if kind == "jar_broke" and load is not None and not load.lid_off and load.stage in _CLOSED_UP:
        return "jar_broke_cooling" if load.heat_off or load.stage is Stage.COOL else "jar_broke_closed"
    if kind == "jar_broke_packing" and not data.get("packed"):
        return "jar_broke_uncounted"
    if kind == "packed" and load is not None and load.packed > load.planned:
        return "packed_over"
    if kind == "not_as_tested":
        all_or_some = ("spoiled", "spoiled_some") if data["fault"] == "spoiled" else (kind, "not_as_tested_some")
        return all_or_some[data.get("jars") is not None]
    if kind == "tally" and load is not None and sum(load.tally) == load.standing:
        return "tally_all"
    if kind == "vent_goes_on" and load is not None and load.timer("vent") is None:
        return "vent_over"
    if kind == "seals_counted" and data.get("failed") == 0:
        return "seals_counted_all"
    if kind == "still_boiling" and load is not None and load.process.is_steam:
        return "still_steaming"
    return "outcome_left" if kind == "outcome" and data.get("left") else kind


def _is_over(talk: Talk, load: Load) -> bool:
    """True if the time that counts on is up, to the second."""
    timer = load.timer("hold") or load.timer("vent")
    return load.processed_t is not None or timer is None or round(timer.left_s(talk.t)) <= 0


def _unheard(data: Mapping[str, Value]) -> bool:
    """True if the last report is older than the longest silence between two questions: none was wanted."""
    heard_s = data.get("heard_s")
    return isinstance(heard_s, int | float) and heard_s > _LONGEST_ANSWERED_S


def _next_step(talk: Talk, load: Load, before: Kitchen) -> str:
    old = before.load(load.id)
    if load.stage is Stage.CLOSED or (old is not None and (old.stage, old.step) == (load.stage, load.step)):
        return ""
    step = step_of(load)
    idle = step is not None and "timer" in step.done_by and not step.caution and load.stage in _RUNNING
    passed = [step_words.worded(talk, each) for each in (() if old is None else gone_past(old, load))]
    words = [step_words.words_of(talk.language, load, each, brief=talk.brief) for each in passed]
    if old is not None and (cautions := step_words.cautions_passed(talk, old, load)):
        words.insert(0, cautions)
    return "" if talk.brief and idle and not words else " ".join([*words, step_words.tell_step(talk, load)])


def _tell_unchecked(talk: Talk, before: Kitchen, load: Load) -> bool:
    """Name the challenges of a stage that was left without them, before the next step is said."""
    old = before.load(load.id)
    left = old is not None and old.stage is not load.stage and load.stage is not Stage.CLOSED
    if old is None or not left or old.stage not in (Stage.PACK, Stage.CANNER):
        return False
    skipped = [step_words.worded(talk, step).check for step in unchecked(load, old.stage)]
    if skipped:
        talk.say("render", "unchecked", urgency=Urgency.CAUTION, checks=talk.language.listed(skipped, "and"))
    return bool(skipped)


def _tell_outcome(talk: Talk, fact: Fact, load: Load, old: Load) -> None:
    """Say what the published choice asks for, and how long is left for it: with the last jar that ends, ask `old`."""
    outcome = str(fact.data["outcome"])
    since = talk.t - load.processed_t if load.processed_t is not None else 0.0
    left_s = 3600 * rules().failed_seal_hours.value - since
    within = ""
    if left_s > 0:
        within = talk.language.phrase("names", "within", left=filling.at_most(talk, left_s, _window_unsure(old)))
    key = f"outcome_{outcome}"
    if outcome == "reprocess" and not _has_hot_pack(load):
        key = "outcome_reprocess_raw"
    talk.say("render", key, within=within, food=load.food_name)


def _window_unsure(load: Load) -> bool:
    window = load.timer("window")
    return window is not None and window.unsure


def _has_hot_pack(load: Load) -> bool:
    process = load.process
    told = lookup(
        load.food, pack="hot", jar=load.jar, method=process.method, gauge=process.gauge, altitude_ft=process.altitude_ft
    )
    return told.status == "ok"


def call_text(talk: Talk, call: Call) -> str:
    """Say what a call waits for, and since when."""
    load = talk.kitchen.load(call.load)
    if load is not None and load.doubt:
        return talk.language.say("asking", "time_in_question", filling.values_of(talk, {}, load))
    data: dict[str, Value] = {"since_s": talk.t - call.since_t, "key": call.key, "unsure": call.unsure}
    values = values_of(talk, data, load)
    if call.name == "vent_done" and load is not None and (other := other_numbers(talk, load)):
        return talk.language.say("render", "call_again_vent_done_other", values, other=other)
    unfit = call.name == "hold_done" and load is not None and load.unfit
    return talk.language.say("render", "call_again_hold_done_unfit" if unfit else f"call_again_{call.name}", values)


def undone(talk: Talk, event: Event) -> str:
    """Name what is taken back, as it stands before it is."""
    if event.kind == "doubt_settled":
        raised = next((each for each in talk.history if each.seq == event.data["doubt"]), event)
        kind = str(raised.data.get("kind") or "gap")
        known = kind if talk.language.has("undo", kind) and event.data.get("lost") else "was_steady"
        event = replace(event, kind=known, data=raised.data)
    data, load = event.data, talk.kitchen.load(event.load)
    told = next((name for name, boil in OF_STEAM.items() if boil == event.kind and data.get("steam")), event.kind)
    pressure, minutes, count = data.get("pressure"), data.get("minutes"), data.get("count", 1)
    outcome = data.get("outcome")
    values = {
        "pressure": talk.language.number(pressure) if isinstance(pressure, int | float) else "",
        "minutes": talk.language.duration(60 * minutes) if isinstance(minutes, int | float) else "",
        "count": _signed(talk, count) if isinstance(count, int | float) else "",
        "timer": filling.timer_name(talk, str(data.get("name") or ""), minutes, "undo"),
        "outcome": talk.language.phrase("outcomes", str(outcome)) if outcome else "",
        "load_name": "" if load is None else filling.load_by_number(talk, load),
    }
    return talk.language.phrase("undo", told, values)


def _signed(talk: Talk, count: float) -> str:
    said = talk.language.number(abs(count))
    return said if count >= 0 else talk.language.phrase("names", "minus", number=said)
