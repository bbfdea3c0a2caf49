"""Questions about a canner, piece by piece: its name, its gauge, its capacity, the test of its dial."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import today
from kitchenvoice.dialogue.read_back import canner_name
from kitchenvoice.dialogue.refusing import tell_other_numbers
from kitchenvoice.dialogue.setup_asking import Round, go_on, keep, put, put_yes_no
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import LANGUAGES, LEAST_QUARTS, Canner, Profile
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.reference.rules import rules

__all__ = ["LAYERED", "ask_of_canner", "canner_steps", "keep_of_canner", "known_of_canner", "take_of_canner"]

_JARS = ("quart", "pint", "half-pint")
LAYERED = ("pint", "half-pint")
_MOST_QUARTS = 9
"""More quart jars than stand in any canner for pressure of the guide, which are seven (1-17): perhaps it's liters or
quarts of liquid that were meant. Asked about, never refused."""


def canner_steps(profile: Profile, canner: Canner, *, every: bool = False) -> tuple[str, ...]:
    """Name what is asked of one canner: what its pressure hangs on first; its name only where there are several, and
    names to choose among, which are English; of jars, quarts by which it is measured, and the usual ones, or `every`.
    """
    parts = ["name"] if len(profile.canners) > 1 and profile.language == LANGUAGES[0] else []
    parts.append("gauge")
    if canner.gauge == "dial":
        parts += ["tested"]
        parts += ["error"] if canner.dial_tested is not None else []
    for jar in (each for each in _JARS if every or each in ("quart", profile.usual_jar)):
        parts.append(jar)
        if jar in LAYERED and canner.capacity.get(jar, 0) > 1:
            parts.append(f"{jar}_layers")
    return tuple(f"canner.{canner.number}.{part}" for part in parts)


def known_of_canner(canner: Canner, part: str) -> bool:
    """True if the profile has it already."""
    jar = part.removesuffix("_layers")
    if jar in _JARS:
        return jar in (canner.layers if part != jar else canner.capacity)
    known = {
        "name": canner.name,
        "gauge": canner.gauge,
        "tested": canner.dial_tested,
        "error": canner.dial_error_psi is not None,
    }
    return bool(known[part])


def ask_of_canner(talk: Talk, rounds: Round) -> None:
    """Ask for one particular of a canner."""
    number, part = _place(rounds)
    canner = _canner(talk, number)
    jar = part.removesuffix("_layers")
    key = {"name": "canner_name"}.get(part, part)
    if part.endswith("_layers"):
        key, part = "layers", "layers"
    elif part in _JARS:
        key, part = "holds" if part == "quart" else "holds_layers", "jars"
    values = {
        "number": talk.language.number(number),
        "canner": canner_name(talk, canner),
        "jars": talk.language.jars(jar) if jar in _JARS else "",
    }
    put(talk, rounds, f"setup_{part}", talk.language.say("setup_canner", key, values), why=_WHYS.get(part, ""))


_WHYS: Mapping[str, str] = MappingProxyType(
    {"gauge": "gauge", "jars": "capacity", "tested": "tested", "error": "tested"}
)


def take_of_canner(talk: Talk, rounds: Round, heard: Heard) -> Any:
    """Return the value of an answer, `None` if it is none."""
    number, part = _place(rounds)
    slots = heard.slots
    if part == "name":
        taken = {each.name for each in talk.profile.canners if each.number != number}
        word = slots.get("name")
        return None if word is None or _called(talk, word) in taken else word
    if part == "gauge":
        return slots.get("gauge") or ("none" if slots.get("method") is not None else None)
    if part in _JARS:
        count = slots.get("value")
        if slots.get("jar") not in (None, part):
            talk.say("setup_canner", "other_jars", jars=talk.language.jars(part))
            return None
        return count if heard.intent == "number" and isinstance(count, int) and 0 <= count <= 99 else None
    if part.endswith("_layers"):
        layers = slots.get("layers")
        return int(layers) if isinstance(layers, int | float) else None
    if part == "tested":
        day = _month_said(slots, today(talk.t))
        return None if day is _NO_DATE else "never" if day is None else day.isoformat()
    off = slots.get("off")
    return float(off) * float(slots.get("side") or 0) if isinstance(off, int | float) and off <= 10 else None


def keep_of_canner(talk: Talk, rounds: Round, value: Any) -> None:
    """Keep an answer, or read it back first; then go on."""
    number, part = _place(rounds)
    if part == "error" and not rounds.get("ok") and not (talk.typed and not value):
        _confirm_error(talk, rounds, float(value))
        return
    canner = _canner(talk, number)
    if part == "quart" and value < LEAST_QUARTS and canner.gauge is not None:
        _confirm_too_small(talk, rounds, canner, int(value))
        return
    if part == "quart" and value > _MOST_QUARTS and not rounds.get("ok"):
        _confirm_too_many(talk, rounds, int(value))
        return
    changes, text = _changes(talk, canner, part, value)
    if (pints := rounds.get("pints")) is not None:  # told in one breath
        both, more = _changes(talk, replace(canner, **changes), "pint", pints)
        changes, text = {**changes, **both}, f"{text} {more}"
    canners = tuple(replace(each, **changes) if each.number == number else each for each in talk.profile.canners)
    keep(talk, rounds, str(rounds["step"]), canners=canners)
    talk.speak(text, Urgency.READBACK)
    tell_other_numbers(talk, number)
    go_on(talk, rounds)


def _place(rounds: Round) -> tuple[int, str]:
    """Split "canner.2.gauge" into 2 and "gauge"."""
    _, number, part = str(rounds["step"]).split(".")
    return int(number), part


def _canner(talk: Talk, number: int) -> Canner:
    return talk.profile.canner(number) or Canner(number=number)


def _changes(talk: Talk, canner: Canner, part: str, value: Any) -> tuple[Mapping[str, Any], str]:
    """Return the field that an answer changes, and its value."""
    say = talk.language.say
    if part == "name":
        name = "" if value == "none" else _called(talk, value)
        return {"name": name}, f"{capital(name or talk.language.canner(canner.number))}."
    if part == "gauge":
        other = {} if value == "dial" else {"dial_tested": None, "dial_error_psi": None}
        return {"gauge": None if value == "none" else value, **other}, say("setup_canner", f"gauge_{value}")
    if part in _JARS:
        others = {size: held for size, held in canner.capacity.items() if size != part}
        layers = {size: layer for size, layer in canner.layers.items() if size != part}
        text = capital(f"{talk.language.jars(part, value)}{talk.language.code(value)}.")
        return {"capacity": {**others, **({part: value} if value else {})}, "layers": layers}, text
    if part.endswith("_layers"):
        jar = part.removesuffix("_layers")
        return {"layers": {**canner.layers, jar: value}}, say(
            "setup_canner", "one_layer" if value == 1 else "more_layers"
        )
    if part == "tested":
        day = None if value == "never" else date.fromisoformat(value)
        return {"dial_tested": day, "dial_error_psi": None}, _tested(talk, day)
    over = abs(value) > rules().gauge_replace_over_psi.value
    return {"dial_error_psi": value}, say(*(("setup_canner", "replace_dial") if over else ("setup_kitchen", "kept")))


def _called(talk: Talk, word: str) -> str:
    return talk.language.phrase("setup_canner", "canner_called", word=word)


# ---------------------------------------------------------------- the dial's test


def _tested(talk: Talk, day: date | None) -> str:
    if day is None:
        return talk.language.say("setup_canner", "never_tested")
    month = talk.language.say("months", str(day.month))
    old = today(talk.t) > _months_later(day, int(rules().gauge_test_months.value))
    late = talk.language.say("setup_canner", "tested_long_ago") if old else ""
    told = talk.language.say("setup_canner", "tested_in", month=month, year=talk.language.year(day.year))
    return f"{told} {late}".strip()


_NO_DATE = date.min


def _month_said(slots: Mapping[str, Any], now: date) -> date | None:
    """Return the first of the month named, the latest such month without a year; `None` for never.

    A day that has not come yet is no answer: date.min.
    """
    if "months_ago" in slots:
        return _months_later(now, -int(slots["months_ago"]))
    month = slots.get("month")
    if not isinstance(month, int | float):
        return _NO_DATE
    if not month:
        return None
    year = int(slots.get("year") or now.year - int(slots.get("years_ago") or 0))
    day = date(year, int(month), 1)
    if day <= now:
        return day
    return _NO_DATE if {"year", "years_ago"} & slots.keys() else day.replace(year=year - 1)


def _months_later(day: date, months: int) -> date:
    year, month = divmod(12 * day.year + day.month - 1 + months, 12)
    return date(year, month + 1, 1)


def _confirm_too_small(talk: Talk, rounds: Round, canner: Canner, quarts: int) -> None:
    """Ask whether it is as small as that: then it isn't kept, for it is no canner for pressure."""
    jars = talk.language.jars("quart", quarts)
    prompt = talk.language.say("setup_canner", "too_small", jars=jars, canner=canner_name(talk, canner))
    put_yes_no(talk, rounds, quarts, prompt, expects="setup_jars_ok", why="capacity")


def _confirm_too_many(talk: Talk, rounds: Round, quarts: int) -> None:
    """Ask whether these are jars: a canner is called by the quarts of liquid that it holds."""
    prompt = talk.language.say("setup_canner", "too_many", count=talk.language.number(quarts))
    put_yes_no(talk, rounds, quarts, prompt, expects="setup_jars_ok", why="capacity")


def _confirm_error(talk: Talk, rounds: Round, error: float) -> None:
    """Read back the error of the dial: every pressure of that canner follows from it."""
    side = "exact" if not error else "high" if error > 0 else "low"
    prompt = talk.language.say("setup_canner", f"error_{side}", pounds=talk.language.counted(abs(error), "pound"))
    put_yes_no(talk, rounds, error, prompt, expects="setup_error_ok", why="tested")
