"""The entries of the record in a cook's words: no names of fields, no seconds, no numbers of entries."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from kitchenvoice.reference import food_name

__all__ = ["entry_words", "outcome_words", "times"]

_OUTCOMES = {
    "refrigerate": "into the refrigerator",
    "freeze": "into the freezer",
    "reprocess": "to be processed again",
    "discard": "thrown out",
}
_LOST = {
    "pressure": "pressure was lost",
    "weight": "the weight stopped rocking",
    "boil": "the boil was lost",
    "steam": "the steam was lost",
    "heat": "the heat was off",
    "gap": "nobody watched it",
    "doubt": "it was in doubt",
}
_DOUBTS = {
    "heat_off": "heat off, for which load",
    "boil_lost": "boil lost, for which load",
    "pressure_low": "pressure low, for which load",
    "weight_quiet": "weight stopped, for which load",
    "steam_stopped": "steam stopped, for which load",
    "gap": "nobody watched the hold",
    "unheard": "something was not understood",
    "low_number": "a low number was said",
    "late": "too little just after the end",
    "settings": "other settings than the kitchen's",
    "taken_back": "a loss was taken back",
    "in_question": "something that was said put the hold in question",
    "unexplained": "something was not understood",
    "of_acid": "something that was said put the acid in question",
    "of_food": "something that was said put what is in the jars in question",
    "of_size": "something that was said put the size of the jars in question",
    "of_jars": "something that was said put the jars in question",
    "of_vent": "something that was said put the vent in question",
    "of_altitude": "another altitude was said and not confirmed",
    "of_weight": "its weight was in question",
    "of_gauge": "its gauge was in question",
    "of_fault": "something was wrong before it was heated",
    "gauge_stuck": "the gauge was stuck while it cooled",
    "of_cooling": "something that was said put the cooling in question",
    "opened": "the lid was reported off before the pressure was gone",
    "kept": "what was kept is asked about",
    "fault": "something was not as tested, of which load",
}
_FAULTS = {
    "air": "air or too little steam in the canner",
    "gauge": "the gauge told nothing",
    "gear": "the canner check failed",
    "acid": "the acid was left out",
    "cooling": "cooled by force or opened too soon",
    "short": "too little time, pressure or boil",
    "stop": "heat off in an emergency",
    "spoiled": "jars spoiled",
    "numbers": "the numbers were not this load's",
    "settings": "the kitchen's settings had changed",
}
_LEFT = {"half": "half is over", "five": "five minutes left", "one": "one minute left", "end": "over"}
_TIMERS = {
    "vent": "venting",
    "hold": "the hold",
    "settle": "the wait before the lid",
    "bath_rest": "the wait in the water",
    "rest": "the rest",
    "window": "the time for failed jars",
}
_PLAIN = {
    "load_start": "load started",
    "load_select": "you named this load",
    "lid_locked": "lid on",
    "heat_on": "heat on",
    "heat_off": "heat off",
    "steam_steady": "steam steady",
    "steam_stopped": "steam stopped",
    "weight_on": "weight on",
    "weight_rocking": "weight rocking",
    "weight_quiet": "weight stopped rocking",
    "boiling": "full boil",
    "boil_lost": "boil lost",
    "gauge_zero": "gauge at zero",
    "lid_off": "lid off",
    "call_again": "called again: no answer yet",
    "answer_call": "call answered",
    "load_given_up": "load given up",
    "load_close": "load closed",
    "load_closed": "load closed",
    "acid_forgotten": "acid forgotten",
    "fault": "something was not as tested",
    "fault_mended": "that was put right",
    "previous_step": "back a step",
}


def times(count: int) -> str:
    """Count: once, twice, 3 times."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def outcome_words(outcome: str) -> str:
    """Say what became of a jar."""
    return _OUTCOMES.get(outcome, outcome)


def entry_words(kind: str, data: Mapping[str, Any], earlier: Mapping[int, str]) -> str:
    """Put an entry into words; `earlier` has those of the entries before it, for the name of one taken back.

    A kind without words of its own, or one whose particulars aren't what they should be, is named and no more.
    """
    try:
        if kind == "scratched":
            return f"taken back: {earlier[data['seq']]}"
        words = _WORDS[kind](data) if kind in _WORDS else _PLAIN.get(kind)
    except (KeyError, ValueError, TypeError, AttributeError):
        words = None
    return words or _PLAIN.get(kind) or kind.replace("_", " ")


def _jars(data: Mapping[str, Any], tail: str, alone: str) -> str:
    count = data.get("count")
    return alone if count is None else f"{count:g} {'jar' if count == 1 else 'jars'} {tail}"


def _packed(data: Mapping[str, Any]) -> str:
    count = data.get("count", 1)
    return f"{_jars({'count': abs(count)}, 'packed', '')}{' fewer' if count < 0 else ''}"


def _minutes(data: Mapping[str, Any]) -> str:
    minutes = round(float(data["minutes"]))
    return f"{minutes} minute{'' if minutes == 1 else 's'}"


def _crock(data: Mapping[str, Any]) -> str:
    return f"crock {data.get('crock', 1)} of {food_name(data['food'])}"


def _ago(data: Mapping[str, Any]) -> str:
    days = data.get("days_ago") or 0
    return f" {days:g} day{'' if days == 1 else 's'} before" if days else ""


def _lost(data: Mapping[str, Any]) -> str:
    ran_s = None if data.get("late") else data.get("ran_s")  # late, nobody knows
    after = "" if ran_s is None else f" after {_minutes({'minutes': float(ran_s) // 60})}"
    return f"the hold is lost{after}: {_LOST.get(str(data.get('why')), 'it was not held')}"


def _due(data: Mapping[str, Any]) -> str:
    timer, mark = str(data["timer"]), str(data["mark"])
    if timer == "check":
        return "asked whether it holds"
    if timer == "step":
        return "said the step again"
    name = _TIMERS.get(timer, timer)
    return f"{name} {'is over' if mark == 'end' else f': {_LEFT[mark]}'}".replace(" :", ":")


_ANSWERS = {"silence": "no answer", "not_load": "answered not that one"}


def _settled(data: Mapping[str, Any]) -> str:
    lost, by = bool(data.get("lost")), str(data.get("by") or "")
    answer = _ANSWERS.get(by) or f"answered {by}".rstrip()
    return f"{answer}: {'it was lost' if lost else 'it was held'}"


_WORDS: Mapping[str, Callable[[Mapping[str, Any]], str]] = MappingProxyType(
    {
        "packed": _packed,
        "jars_in": lambda data: _jars(data, "in the canner", "jars in the canner"),
        "jars_out": lambda data: _jars(data, "out of the canner", "jars out of the canner"),
        "jar_broke": lambda data: _jars({"count": 1, **data}, "broke", ""),
        "liquid_lost": lambda data: _jars({"count": 1, **data}, "lost liquid", ""),
        "vent_started": lambda data: f"venting begins: {_minutes(data)}",
        "vent_done": lambda data: f"vented {_minutes(data)}",
        "hold_started": lambda data: f"the hold begins: {_minutes(data)}",
        "hold_restarted": lambda data: f"the hold begins anew: {_minutes(data)}",
        "hold_done": lambda data: f"held {_minutes(data)}",
        "hold_lost": _lost,
        "pressure_is": lambda data: f"pressure {data['pressure']:g} pounds",
        "pressure_low": lambda data: (
            f"pressure down to {data['pressure']:g} pounds" if data.get("pressure") is not None else "pressure down"
        ),
        "seal_count": lambda data: f"{data['sealed']} sealed, {data['failed']} failed",
        "tally": lambda data: ", ".join(f"{data[name]} {name}" for name in ("sealed", "failed") if data.get(name)),
        "jar_outcome": lambda data: _jars({"count": 1, **data}, outcome_words(str(data["outcome"])), ""),
        "lid_box": lambda data: f"lids from box {data['box']}",
        "used": lambda data: f"{data['amount']:g} {data['unit']}{'' if data['amount'] == 1 else 's'} used",
        "note": lambda data: f"note: {data['text']}",
        "step_done": lambda data: f"done: {data['step']}".replace("_", " "),
        "opened": lambda data: f"{_jars({'count': 1, **data}, 'opened', '')}",
        "fault": lambda data: _FAULTS[data.get("fault") or "air"],
        "doubt": lambda data: f"in doubt: {_DOUBTS[data['kind']]}",
        "doubt_settled": _settled,
        "was_steady": lambda data: f"it was steady all the time: {'yes' if data['ok'] else 'no'}",
        "timer_start": lambda data: f"{data.get('name') or 'kitchen'} timer set: {_minutes(data)}",
        "timer_stop": lambda data: f"{data.get('name') or 'kitchen'} timer stopped",
        "timer_due": _due,
        "boiling": lambda data: "steam steady" if data.get("steam") else "full boil",
        "boil_lost": lambda data: "steam lost" if data.get("steam") else "boil lost",
        "crock_start": lambda data: f"{_crock(data)} begun{_ago(data)}",
        "crock_check": lambda data: f"{_crock(data)} spoken of",
        "crock_care": lambda data: (
            f"{_crock(data)} {str(data['care']).replace('_', ' ')}"
            + (f", {data['degrees']} degrees" if "degrees" in data else "")
        ),
        "crock_end": lambda data: f"{_crock(data)} {'thrown out' if data.get('out') else 'ended'}",
        "session_start": lambda data: (
            f"kitchenvoice started, after {_minutes({'minutes': data['off_s'] / 60})} off"
            if data.get("off_s")
            else "kitchenvoice started"
        ),
    }
)
