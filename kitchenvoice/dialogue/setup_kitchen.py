"""What is asked of the kitchen itself: units, altitude, canners, usual jars, how to talk, the sound."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue.altitude import confirm_altitude, feet_of, tell_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.setup_asking import Round, keep, put, put_yes_no
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import Canner, Profile
from kitchenvoice.language import capital

__all__ = ["ask_of_kitchen", "known_of_kitchen"]

_MOST_CANNERS = 9
_SOUND_TRIES = 3
_SOFT_DBFS = -42.0
"""Below this level she is told that she is heard softly: six decibels above what the ear calls too soft."""


def known_of_kitchen(profile: Profile, step: str) -> bool:
    """Tell whether the profile has it already; what has a default counts as known only once it was asked."""
    known = {"altitude": profile.altitude_ft is not None, "canners": bool(profile.canners)}
    return known.get(step, step == "usual_jar" and profile.usual_jar is not None)


def ask_of_kitchen(talk: Talk, rounds: Round, step: str) -> None:
    """Ask for one thing."""
    _ASKING[step](talk, rounds)


def _choose(
    talk: Talk,
    rounds: Round,
    step: str,
    slot: str,
    then: Callable[[Any], None],
    *,
    expects: str = "",
    why: str = "",
    more: Mapping[str, Any] = MappingProxyType({}),
    **values: str,
) -> None:
    """Ask for one of several; `then` gets it. `more` are further fields of the question."""

    def take(heard: Heard) -> bool:
        value = heard.slots.get(slot)
        if value is None or heard.intent not in ("choice", "number"):
            return False
        talk.question = None
        then(value)
        return True

    prompt = talk.language.say("setup", step, values)
    put(talk, rounds, step, expects or f"setup_{step}", prompt, take, why=why, **more)


# ---------------------------------------------------------------- units, altitude, canners, jars


def _ask_units(talk: Talk, rounds: Round) -> None:
    def then(units: str) -> None:
        keep(talk, rounds, "units", units=units)
        talk.say("setup", f"units_{units}")
        rounds.done()

    _choose(talk, rounds, "units", "units", then)


def _ask_altitude(talk: Talk, rounds: Round, key: str = "altitude") -> None:
    def take(heard: Heard) -> bool:
        feet = feet_of(talk, heard)
        if feet is None:
            return False
        confirm_altitude(talk, feet, heard, settled, lambda: _ask_altitude(talk, rounds, "altitude_again"))
        return True

    def settled(feet: int) -> None:
        keep(talk, rounds, "altitude", altitude_ft=feet)
        tell_altitude(talk, feet)
        rounds.done()

    unit = talk.language.phrase("setup", f"unit_{talk.profile.units}")
    prompt = talk.language.say("setup", key, unit=unit)
    if talk.profile.altitude_ft is None:
        rounds = replace(rounds, skipped=talk.language.say("setup", "altitude_skipped"))
    put(talk, rounds, "altitude", "setup_altitude", prompt, take, why="altitude", confirms=True)


def _ask_canners(talk: Talk, rounds: Round) -> None:
    def then(count: Any) -> None:
        if not isinstance(count, int) or count > _MOST_CANNERS:
            talk.say("setup", "canners_many")
            _ask_canners(talk, rounds)
            return
        keep(talk, rounds, "canners", canners=tuple(Canner(number=number) for number in range(1, count + 1)))
        talk.say("setup", "canners_none" if not count else "canners_some", count=talk.language.number(count))
        rounds.done()

    _choose(talk, rounds, "canners", "value", then, why="canner")


def _ask_usual_jar(talk: Talk, rounds: Round) -> None:
    def then(jar: str) -> None:
        keep(talk, rounds, "usual_jar", usual_jar=jar)
        talk.speak(capital(f"{talk.language.jars(jar)}."))
        rounds.done()

    _choose(talk, rounds, "usual_jar", "jar", then, expects="setup_jar")


# ---------------------------------------------------------------- how to talk


def _ask_attention(talk: Talk, rounds: Round) -> None:
    def then(said: str) -> None:
        phrase = talk.language.phrase("attention", said)

        def yes() -> None:
            keep(talk, rounds, "attention", attention=phrase)
            talk.say("setup", "kept")
            rounds.done()

        prompt = talk.language.say("setup", "attention_heard", attention=phrase)
        put_yes_no(talk, rounds, "attention", prompt, yes, lambda: _ask_attention(talk, rounds))

    phrases = talk.language.listed(tuple(talk.language.table("attention").values()))
    _choose(talk, rounds, "attention", "phrase", then, phrases=phrases, why="attention", more={"confirms": True})


def _ask_level(talk: Talk, rounds: Round) -> None:
    def then(level: str) -> None:
        talk.brief = level == "brief"
        keep(talk, rounds, "speech_level", speech_level=level)
        talk.say("talk", level)
        rounds.done()

    _choose(talk, rounds, "speech_level", "level", then, expects="setup_level")


def _ask_sound(talk: Talk, rounds: Round) -> None:
    """Have her speak under the hood, and tell how she is heard: the words count, and how loud they come."""
    tries = 0

    def settle(key: str) -> None:
        keep(talk, rounds, "sound")
        talk.say("setup", key)
        rounds.done()

    def then(_: object) -> None:
        kind = _level(talk)
        settle(f"sound_{kind}" if kind != "fine" or not tries else "sound_late")

    def missed() -> None:
        nonlocal tries
        tries += 1
        if tries == _SOUND_TRIES:
            talk.question = None
            settle("sound_failed")
            return
        kind = _level(talk)
        talk.say("setup", f"sound_missed_{kind}" if kind in ("soft", "loud") else "sound_missed")
        if talk.question is not None:
            talk.ask(talk.question, spoken=False)

    def lapse(_: float) -> None:
        talk.say("setup", "sound_nothing", attention=talk.profile.attention)

    typed = talk.sound[0] is None
    more = {"missed": missed, "lapse": None if typed else lapse}
    _choose(talk, rounds, "sound", "heard", then, more=more)


def _level(talk: Talk) -> str:
    """Name how loud the last words came: fine, soft, loud, or typed."""
    level, trouble = talk.sound
    if level is None:
        return "typed"
    if trouble == "too_loud":
        return "loud"
    return "soft" if trouble == "too_soft" or level < _SOFT_DBFS else "fine"


_ASKING: Mapping[str, Callable[[Talk, Round], None]] = MappingProxyType(
    {
        "units": _ask_units,
        "altitude": _ask_altitude,
        "canners": _ask_canners,
        "usual_jar": _ask_usual_jar,
        "attention": _ask_attention,
        "speech_level": _ask_level,
        "sound": _ask_sound,
    }
)
