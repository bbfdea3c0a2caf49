"""Questions about the kitchen itself: units, altitude, canners, usual jars, how to talk, the sound."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue.altitude import altitude_prompt, altitude_said, tell_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.setup_asking import Round, go_on, keep, put, put_yes_no
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import SECOND_VOICE, Canner, Profile
from kitchenvoice.language import capital

__all__ = ["ask_of_kitchen", "keep_of_kitchen", "known_of_kitchen", "sound_missed", "take_of_kitchen"]

_MOST_CANNERS = 9
_SOUND_TRIES = 3
_SOFT_DBFS = -42.0
"""Below this level the cook is told that the voice is soft: six decibels above what the ear calls too soft."""


def known_of_kitchen(profile: Profile, step: str) -> bool:
    """True if the profile has it already; what has a default counts as known only once it was asked."""
    known = {"altitude": profile.altitude_ft, "usual_jar": profile.usual_jar, "voice": profile.voice}
    return bool(profile.canners) if step == "canners" else known.get(step) is not None


def ask_of_kitchen(talk: Talk, rounds: Round) -> None:
    """Ask for one thing."""
    step = str(rounds["step"])
    if step == "voice":
        _ask_voice(talk, rounds)
        return
    expects = {"usual_jar": "setup_jar", "speech_level": "setup_level"}.get(step, f"setup_{step}")
    key = "altitude_again" if step == "altitude" and rounds.get("again") else step
    why = {"altitude": "altitude", "canners": "canner", "attention": "attention"}.get(step, "")
    values = {
        "unit": talk.language.phrase("setup_kitchen", f"unit_{talk.profile.units}"),
        "phrases": talk.language.listed(tuple(talk.language.table("attention").values())),
    }
    spoken = not rounds.get("tries")
    put(talk, rounds, expects, talk.language.say("setup_kitchen", key, values), why=why, spoken=spoken)


def take_of_kitchen(talk: Talk, rounds: Round, heard: Heard) -> Any:
    """Return the value of an answer, `None` if it is none."""
    step = str(rounds["step"])
    if step == "altitude":
        return altitude_said(talk, heard)
    if step == "units":
        return _units_said(talk, heard)
    return heard.slots.get(_SLOTS[step]) if heard.intent in ("choice", "number") else None


_SLOTS: Mapping[str, str] = MappingProxyType(
    {
        "canners": "value",
        "usual_jar": "jar",
        "attention": "phrase",
        "speech_level": "level",
        "sound": "heard",
    }
)


def keep_of_kitchen(talk: Talk, rounds: Round, said: Any) -> None:
    """Keep an answer, or read it back first; then go on."""
    if _KEEPING[str(rounds["step"])](talk, rounds, said):
        go_on(talk, rounds)


def _units_said(talk: Talk, heard: Heard) -> tuple[str, Mapping[str, Any] | None] | None:
    """Return the units, and the altitude that was told along with them or by itself."""
    altitude = altitude_said(talk, replace(heard, intent="number"))
    units = heard.slots.get("units", _UNITS_OF.get(heard.slots.get("said_in", "")))
    return (units, altitude) if heard.intent == "choice" and units is not None else None


_UNITS_OF: Mapping[str, str] = MappingProxyType({"feet": "us", "meters": "metric"})


def _keep_units(talk: Talk, rounds: Round, said: tuple[str, Mapping[str, Any] | None]) -> bool:
    units, altitude = said
    keep(talk, rounds, "units", units=units)
    talk.say("setup_kitchen", f"units_{units}")
    if altitude is not None:
        keep_of_kitchen(talk, {**rounds, "step": "altitude"}, altitude)
    return altitude is None


def _keep_altitude(talk: Talk, rounds: Round, said: Any) -> bool:
    if not rounds.get("ok"):
        put_yes_no(talk, rounds, said, altitude_prompt(talk, said), expects="setup_altitude_ok", why="altitude")
        return False
    feet = int(said["feet"])
    talk.control("altitude", feet=feet)
    keep(talk, rounds, "altitude", altitude_ft=feet)
    tell_altitude(talk, feet)
    return True


def _keep_canners(talk: Talk, rounds: Round, count: Any) -> bool:
    if not isinstance(count, int) or count > _MOST_CANNERS:
        talk.say("setup_kitchen", "canners_many")
        ask_of_kitchen(talk, rounds)
        return False
    gauge = rounds.get("gauge")
    canners = tuple(Canner(number=number, gauge=gauge) for number in range(1, count + 1))
    keep(talk, rounds, "canners", canners=canners)
    talk.say("setup_kitchen", "canners_none" if not count else "canners_some", count=talk.language.number(count))
    if count and gauge is not None:
        talk.say("setup_canner", f"gauge_{gauge}")
    return True


def _keep_usual_jar(talk: Talk, rounds: Round, jar: str) -> bool:
    keep(talk, rounds, "usual_jar", usual_jar=jar)
    talk.speak(capital(f"{talk.language.jars(jar)}."))
    return True


# ---------------------------------------------------------------- how to talk


def _keep_attention(talk: Talk, rounds: Round, said: str) -> bool:
    phrase = talk.language.phrase("attention", said)
    if not rounds.get("ok") and phrase != talk.profile.attention:
        prompt = talk.language.say("setup_kitchen", "attention_heard", attention=phrase)
        put_yes_no(talk, rounds, said, prompt, expects="setup_attention_ok", why="attention")
        return False
    keep(talk, rounds, "attention", attention=phrase)
    talk.say("setup_kitchen", "kept")
    return True


def _keep_level(talk: Talk, rounds: Round, level: str) -> bool:
    talk.brief = level == "brief"
    keep(talk, rounds, "speech_level", speech_level=level)
    talk.say("steering", level)
    return True


def _keep_sound(talk: Talk, rounds: Round, _: Any) -> bool:
    """Tell how the cook is heard: the words count, and how loud they come."""
    kind = _level(talk)
    keep(talk, rounds, "sound")
    talk.say("setup_kitchen", f"sound_{kind}" if kind != "fine" or not rounds.get("tries") else "sound_late")
    return True


def sound_missed(talk: Talk, rounds: Round) -> None:
    """Tell why the words were not understood, and have them said again, three times at most."""
    tries = int(rounds.get("tries") or 0) + 1
    if tries == _SOUND_TRIES:
        keep(talk, rounds, "sound")
        talk.say("setup_kitchen", "sound_failed")
        go_on(talk, rounds)
        return
    kind = _level(talk)
    talk.say("setup_kitchen", f"sound_missed_{kind}" if kind in ("soft", "loud") else "sound_missed")
    ask_of_kitchen(talk, {**rounds, "tries": tries})


def _ask_voice(talk: Talk, rounds: Round) -> None:
    """Let the other voice speak, and ask in it whether it is to stay."""
    other = None if talk.profile.voice == SECOND_VOICE else SECOND_VOICE
    talk.control("voice", voice=other)
    put_yes_no(
        talk, rounds, other or "first", talk.language.say("setup_kitchen", f"voice_{'second' if other else 'first'}")
    )


def _keep_voice(talk: Talk, rounds: Round, voice: str) -> bool:
    if not rounds.get("ok"):
        ask_of_kitchen(talk, rounds)
        return False
    keep(talk, rounds, "voice", voice=SECOND_VOICE if voice == SECOND_VOICE else None)
    talk.say("setup_kitchen", "kept")
    return True


def _level(talk: Talk) -> str:
    """Name how loud the last words came: fine, soft, loud, or typed."""
    level, trouble = talk.sound
    if level is None:
        return "typed"
    if trouble == "too_loud":
        return "loud"
    return "soft" if trouble == "too_soft" or level < _SOFT_DBFS else "fine"


_KEEPING: Mapping[str, Callable[[Talk, Round, Any], bool]] = MappingProxyType(
    {
        "units": _keep_units,
        "altitude": _keep_altitude,
        "canners": _keep_canners,
        "usual_jar": _keep_usual_jar,
        "attention": _keep_attention,
        "speech_level": _keep_level,
        "sound": _keep_sound,
        "voice": _keep_voice,
    }
)
