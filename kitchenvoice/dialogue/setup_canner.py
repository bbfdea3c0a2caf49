"""What has to be known of a canner, asked piece by piece: its name, gauge, how much it holds, the test of its dial."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.opening import canner_name
from kitchenvoice.dialogue.refusing import tell_other_numbers
from kitchenvoice.dialogue.setup_asking import Round, keep, put, put_yes_no
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.language import capital
from kitchenvoice.reference.rules import rules

__all__ = ["ask_of_canner", "canner_steps", "known_of_canner"]

_JARS = ("quart", "pint", "half-pint")
_LAYERED = ("pint", "half-pint")


def canner_steps(profile: Profile, canner: Canner) -> tuple[str, ...]:
    """Name what is asked of one canner, in order. Its name is asked only where there are several."""
    parts = ["name"] if len(profile.canners) > 1 else []
    parts.append("gauge")
    for jar in _JARS:
        parts.append(jar)
        if jar in _LAYERED and canner.capacity.get(jar, 0) > 1:
            parts.append(f"{jar}_layers")
    if canner.gauge == "dial":
        parts += ["tested"]
        parts += ["error"] if canner.dial_tested is not None else []
    return tuple(f"canner.{canner.number}.{part}" for part in parts)


def known_of_canner(canner: Canner, part: str) -> bool:
    """Tell whether the profile has it already."""
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


def ask_of_canner(talk: Talk, rounds: Round, number: int, part: str) -> None:
    """Ask for one part of what is known of a canner."""
    if part in _ASKING:
        _ASKING[part](talk, rounds, number)
    elif part.endswith("_layers"):
        _ask_layers(talk, rounds, number, part.removesuffix("_layers"))
    else:
        _ask_capacity(talk, rounds, number, part)


def _canner(talk: Talk, number: int) -> Canner:
    return talk.profile.canner(number) or Canner(number=number)


def _set(talk: Talk, rounds: Round, number: int, part: str, **changes: Any) -> None:
    canners = tuple(replace(each, **changes) if each.number == number else each for each in talk.profile.canners)
    keep(talk, rounds, f"canner.{number}.{part}", canners=canners)


def _put(
    talk: Talk,
    rounds: Round,
    number: int,
    part: str,
    expects: str,
    prompt: str,
    take: Callable[[Heard], Mapping[str, Any] | None],
    said: Callable[[Mapping[str, Any]], str],
    why: str = "",
) -> None:
    """Ask; `take` turns the answer into changes of the canner, `None` if it was none; `said` confirms them."""

    def answer(heard: Heard) -> bool:
        changes = take(heard)
        if changes is None:
            return False
        talk.question = None
        _set(talk, rounds, number, part, **changes)
        talk.speak(said(changes))
        tell_other_numbers(talk, number)
        rounds.done()
        return True

    put(talk, rounds, f"canner.{number}.{part}", expects, prompt, answer, why=why)


# ---------------------------------------------------------------- name, gauge, jars


def _ask_name(talk: Talk, rounds: Round, number: int) -> None:
    taken = {each.name for each in talk.profile.canners if each.number != number}

    def take(heard: Heard) -> Mapping[str, Any] | None:
        word = heard.slots.get("name")
        if word is None or _called(talk, word) in taken:
            return None
        return {"name": "" if word == "none" else _called(talk, word)}

    prompt = talk.language.say("setup", "canner_name", number=talk.language.number(number))
    _put(
        talk, rounds, number, "name", "setup_name", prompt, take,
        lambda changes: f"{capital(changes['name'] or talk.language.canner(number))}.",
    )  # fmt: skip


def _called(talk: Talk, word: str) -> str:
    return talk.language.phrase("setup", "canner_called", word=word)


def _ask_gauge(talk: Talk, rounds: Round, number: int) -> None:
    def take(heard: Heard) -> Mapping[str, Any] | None:
        gauge = heard.slots.get("gauge")
        if gauge is None and heard.slots.get("method") is None:
            return None
        other = {} if gauge == "dial" else {"dial_tested": None, "dial_error_psi": None}
        return {"gauge": gauge, **other}

    def said(changes: Mapping[str, Any]) -> str:
        return talk.language.say("setup", f"gauge_{changes['gauge'] or 'none'}")

    prompt = talk.language.say("setup", "gauge", canner=canner_name(talk, _canner(talk, number)))
    _put(talk, rounds, number, "gauge", "setup_gauge", prompt, take, said, why="gauge")


def _ask_capacity(talk: Talk, rounds: Round, number: int, jar: str) -> None:
    canner = _canner(talk, number)

    def take(heard: Heard) -> Mapping[str, Any] | None:
        count = heard.slots.get("value")
        if heard.intent != "number" or not isinstance(count, int) or not 0 <= count <= 99:
            return None
        others = {size: held for size, held in canner.capacity.items() if size != jar}
        layers = {size: layer for size, layer in canner.layers.items() if size != jar}
        return {"capacity": {**others, **({jar: count} if count else {})}, "layers": layers}

    def said(changes: Mapping[str, Any]) -> str:
        count = changes["capacity"].get(jar, 0)
        return capital(f"{talk.language.jars(jar, count)}{talk.language.code(count)}.")

    key = "holds" if jar == "quart" else "holds_layers"
    prompt = talk.language.say("setup", key, jars=talk.language.jars(jar), canner=canner_name(talk, canner))
    _put(talk, rounds, number, jar, "setup_jars", prompt, take, said, why="capacity")


def _ask_layers(talk: Talk, rounds: Round, number: int, jar: str) -> None:
    canner = _canner(talk, number)

    def take(heard: Heard) -> Mapping[str, Any] | None:
        layers = heard.slots.get("layers")
        if not isinstance(layers, int | float):
            return None
        return {"layers": {**canner.layers, jar: int(layers)}}

    def said(changes: Mapping[str, Any]) -> str:
        return talk.language.say("setup", "one_layer" if changes["layers"][jar] == 1 else "more_layers")

    prompt = talk.language.say("setup", "layers")
    _put(talk, rounds, number, f"{jar}_layers", "setup_layers", prompt, take, said)


# ---------------------------------------------------------------- the dial's test


def _ask_tested(talk: Talk, rounds: Round, number: int) -> None:
    today = datetime.fromtimestamp(talk.t, UTC).date()

    def take(heard: Heard) -> Mapping[str, Any] | None:
        day = _month_said(heard.slots, today)
        return None if day is _NO_DATE else {"dial_tested": day, "dial_error_psi": None}

    def said(changes: Mapping[str, Any]) -> str:
        day = changes["dial_tested"]
        if day is None:
            return talk.language.say("setup", "never_tested")
        month = talk.language.say("months", str(day.month))
        year = talk.language.year(day.year)
        old = today > _months_later(day, int(rules().gauge_test_months.value))
        late = talk.language.say("setup", "tested_long_ago") if old else ""
        return f"{talk.language.say('setup', 'tested_in', month=month, year=year)} {late}".strip()

    prompt = talk.language.say("setup", "tested", canner=canner_name(talk, _canner(talk, number)))
    _put(talk, rounds, number, "tested", "setup_tested", prompt, take, said, why="tested")


_NO_DATE = date.min


def _month_said(slots: Mapping[str, Any], today: date) -> date | None:
    """Return the first of the month that was said, the latest one where no year was; `None` for never.

    A day that has not come yet is no answer: date.min.
    """
    month = slots.get("month")
    if not isinstance(month, int | float):
        return _NO_DATE
    if not month:
        return None
    year = int(slots.get("year") or today.year - int(slots.get("years_ago") or 0))
    day = date(year, int(month), 1)
    if day <= today:
        return day
    return _NO_DATE if {"year", "years_ago"} & slots.keys() else day.replace(year=year - 1)


def _months_later(day: date, months: int) -> date:
    year, month = divmod(12 * day.year + day.month - 1 + months, 12)
    return date(year, month + 1, 1)


def _ask_error(talk: Talk, rounds: Round, number: int) -> None:
    step = f"canner.{number}.error"

    def take(heard: Heard) -> bool:
        off = heard.slots.get("off")
        if not isinstance(off, int | float) or off > 10:
            return False
        _confirm_error(talk, rounds, number, float(off) * float(heard.slots.get("side") or 0))
        return True

    prompt = talk.language.say("setup", "error")
    put(talk, rounds, step, "setup_error", prompt, take, why="tested", confirms=True)


def _confirm_error(talk: Talk, rounds: Round, number: int, error: float) -> None:
    """Read back what the dial is off by: every pressure of that canner follows from it."""

    def yes() -> None:
        _set(talk, rounds, number, "error", dial_error_psi=error)
        over = abs(error) > rules().gauge_replace_over_psi.value
        talk.say("setup", "replace_dial" if over else "kept")
        tell_other_numbers(talk, number)
        rounds.done()

    side = "exact" if not error else "high" if error > 0 else "low"
    prompt = talk.language.say("setup", f"error_{side}", pounds=talk.language.counted(abs(error), "pound"))
    put_yes_no(
        talk, rounds, f"canner.{number}.error", prompt, yes, lambda: _ask_error(talk, rounds, number), why="tested"
    )


_ASKING: Mapping[str, Callable[[Talk, Round, int], None]] = MappingProxyType(
    {"name": _ask_name, "gauge": _ask_gauge, "tested": _ask_tested, "error": _ask_error}
)
