"""The first evening: what isn't known of the kitchen is asked, one thing after another, and can be changed any time.

Which question comes next follows from the profile alone, in which every answer is kept at once: after a power cut it
goes on where it was. What was skipped isn't asked again of itself.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import frames
from kitchenvoice.dialogue.altitude import altitude_words, set_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Form, Frame
from kitchenvoice.dialogue.read_back import canner_name
from kitchenvoice.dialogue.setup_asking import Round, keep, put, put_yes_no
from kitchenvoice.dialogue.setup_canner import (
    LAYERED,
    ask_of_canner,
    canner_steps,
    keep_of_canner,
    known_of_canner,
    take_of_canner,
)
from kitchenvoice.dialogue.setup_kitchen import (
    ask_of_kitchen,
    keep_of_kitchen,
    known_of_kitchen,
    sound_missed,
    take_of_kitchen,
)
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.kitchen.profile import LANGUAGES, LEAST_QUARTS, Canner, Profile

__all__ = ["HANDLERS", "SETUP", "due", "offer", "wanted"]

_FIRST = ("units", "altitude", "canners")
_BACK = frozenset({"no", "previous_step", "scratch", "disown"})
"""What says that the last answer was heard wrong."""
_YES_NO_ONLY = frozenset({"forget_canner", "voice"})
_LAST = ("attention", "speech_level", "sound", "voice")


def due(profile: Profile, *, typed: bool = False, second_voice: bool = False) -> tuple[str, ...]:
    """Name the remaining steps, in order; a typed session has no sound to check, and one voice is no choice.

    Words to answer to are chosen among English ones only.
    """
    without = {"sound": typed, "voice": typed or not second_voice, "attention": profile.language != LANGUAGES[0]}
    steps = (step for step in _steps(profile) if not without.get(step))
    return tuple(step for step in steps if step not in profile.asked and not _known(profile, step))


def _steps(profile: Profile) -> tuple[str, ...]:
    canners = [step for canner in profile.canners for step in canner_steps(profile, canner)]
    first = [step for step in canners if not step.split(".")[2].startswith(LAYERED)]
    return (*_FIRST, *first, "usual_jar", *(step for step in canners if step not in first), *_LAST)


def wanted(profile: Profile, *, typed: bool = False, second_voice: bool = False) -> bool:
    """True if a start begins with these questions: a process needs what is missing, or they were broken off."""
    left = due(profile, typed=typed, second_voice=second_voice)
    vital = any(step in ("altitude", "canners") or step.endswith(".gauge") for step in left)
    return vital or (bool(left) and bool(profile.asked))


def offer(talk: Talk) -> bool:
    """Begin, or go on with, the questions if they are wanted; tell whether it did."""
    if not wanted(talk.profile, typed=talk.typed, second_voice=talk.second_voice) or talk.question is not None:
        return False
    talk.say("setup", "resume" if talk.profile.asked else "intro")
    _go_on(talk, None, {"mode": "evening", "done": True})
    return True


def _known(profile: Profile, step: str) -> bool:
    if not step.startswith("canner."):
        return known_of_kitchen(profile, step)
    _, number, part = step.split(".")
    canner = profile.canner(int(number))
    return canner is None or known_of_canner(canner, part)


def _ask(talk: Talk, rounds: Round) -> None:
    step = str(rounds["step"])
    if step == "forget_canner":
        canner = talk.profile.canner(rounds["canner"])
        if canner is not None:
            prompt = talk.language.say("setup", "forget_canner", canner=canner_name(talk, canner))
            put_yes_no(talk, rounds, rounds["canner"], prompt)
    elif step == "which_canner":
        names = talk.language.listed([canner_name(talk, each) for each in talk.profile.canners])
        put(talk, rounds, "canner", talk.language.say("starting", "ask_canner", choices=names))
    elif step.startswith("canner."):
        ask_of_canner(talk, rounds)
    else:
        ask_of_kitchen(talk, rounds)


# ---------------------------------------------------------------- answers


def _fill(talk: Talk, frame: Frame, heard: Heard) -> Mapping[str, Any] | None:
    """Turn an answer into what it says, a skip, or the way back to the question before."""
    rounds, step = frame.values, str(frame.values["step"])
    if heard.intent == "skip":
        kind = next((name for name in ("all", "unknown") if heard.slots.get(name)), "one")
        return {**rounds, "skip": kind}
    if "heard" in rounds:
        if heard.intent == "yes":
            return {**rounds, "ok": True, "said": rounds["heard"]}
        other = None if step in _YES_NO_ONLY else _taken(talk, rounds, heard)
        if talk.typed and other == rounds["heard"]:  # typed again, it can't have been heard wrong
            return {**rounds, "ok": True, "said": other}
        if other is not None:
            return {**{name: value for name, value in rounds.items() if name not in ("heard", *_BESIDE)}, "said": other}
        return {**rounds, "wrong": True} if heard.intent in _BACK else None
    if step == "which_canner":
        canner = talk.profile.canner(heard.slots.get("canner") or 0)
        fits = canner is not None and heard.intent in ("choice", "load_select")
        return {**rounds, "said": heard.slots["canner"]} if fits else None
    if heard.slots.get("instead"):  # the jars of another question, put right
        of = next((each for each in (step, *reversed(talk.profile.asked)) if each.startswith("canner.")), None)
        if of is None:
            return None
        other = f"{of.rpartition('.')[0]}.{heard.slots['jar']}"
        return {**rounds, "step": other, "then": step if other != step else None, "said": heard.slots["value"]}
    said = _taken(talk, rounds, heard)
    if said is not None:
        return {**rounds, "said": said, **{name: heard.slots.get(name) for name in _BESIDE}}
    back = rounds["mode"] == "evening" or (rounds["mode"] == "canner" and rounds.get("asked"))
    return {**rounds, "back": True} if back and heard.intent in _BACK else None


def _taken(talk: Talk, rounds: Round, heard: Heard) -> Any:
    return (take_of_canner if str(rounds["step"]).startswith("canner.") else take_of_kitchen)(talk, rounds, heard)


def _go_on(talk: Talk, _: Frame | None, values: Mapping[str, Any]) -> None:
    rounds = {name: values[name] for name in _KEPT if values.get(name) is not None}
    if rounds.get("step") == "voice" and not values.get("ok"):
        talk.control("voice", voice=talk.profile.voice)
    if values.get("back"):
        _back(talk, rounds)
    elif values.get("skip"):
        _skip(talk, rounds, str(values["skip"]))
    elif values.get("wrong"):
        _after_no(talk, rounds)
    elif "said" in values:
        _settle(talk, {**rounds, "ok": values.get("ok")}, values["said"])
    elif values.get("done"):
        _ask_next(talk, rounds)
    elif "heard" in values:
        _settle(talk, rounds, values["heard"])  # it is read back again
    else:
        _ask(talk, rounds)


_BESIDE = ("pints", "gauge")
"""What may be told in one breath with an answer."""
_KEPT = ("mode", "step", "asked", "tries", "then", "canner", *_BESIDE)


def _after_no(talk: Talk, rounds: Round) -> None:
    if rounds["step"] == "forget_canner":
        talk.say("confirming", "cancelled")
        return
    if rounds["step"] == "voice":
        keep(talk, rounds, "voice")
        talk.say("setup", "voice_as_before")
        _ask_next(talk, rounds)
        return
    if rounds["step"] == "altitude":
        talk.say("altitude", "altitude_wrong")
    _ask(talk, {**rounds, "again": True})


def _settle(talk: Talk, rounds: Round, said: Any) -> None:
    step = str(rounds["step"])
    if step == "which_canner":
        _of_canner(talk, str(rounds["then"]), int(said))
    elif step == "forget_canner":
        _forget(talk, int(said))
    elif step.startswith("canner.") and step.endswith(".quart") and rounds.get("ok") and said < LEAST_QUARTS:
        _forget(talk, int(step.split(".")[1]))
        _ask_next(talk, rounds)
    elif step.startswith("canner."):
        keep_of_canner(talk, rounds, said)
    else:
        keep_of_kitchen(talk, rounds, said)


def _ask_next(talk: Talk, rounds: Round) -> None:
    """Ask the step after this one: the next open one, the next of that canner, or none."""
    step = str(rounds.get("step") or "")
    if rounds["mode"] == "canner":
        asked = [*rounds.get("asked", ()), step]
        _ask_of_one(talk, int(step.split(".")[1]), asked)
    elif rounds["mode"] == "evening" and rounds.get("then"):
        then = str(rounds["then"])
        if then in _steps(talk.profile):
            _ask(talk, {"mode": "evening", "step": then})
        else:  # it hung on the answer that has changed
            _ask_next(talk, {"mode": "evening"})
    elif rounds["mode"] == "evening":
        left = due(talk.profile, typed=talk.typed, second_voice=talk.second_voice)
        if left:
            _ask(talk, {"mode": "evening", "step": left[0]})
        else:
            _end(talk)


def _ask_of_one(talk: Talk, number: int, asked: list[str]) -> None:
    """Ask everything about one canner; an answer may bring further questions."""
    canner = talk.profile.canner(number)
    steps = canner_steps(talk.profile, canner, every=True) if canner is not None else ()
    step = next((each for each in steps if each not in asked), None)
    if step is not None:
        _ask(talk, {"mode": "canner", "step": step, "asked": asked})


def _back(talk: Talk, rounds: Round) -> None:
    """Ask the question before this one again, then this one if there is still a reason to."""
    step = str(rounds["step"])
    if rounds["mode"] == "canner":
        _ask_of_one(talk, int(step.split(".")[1]), list(rounds.get("asked", ()))[:-1])
        return
    asked = talk.profile.asked
    earlier = asked[: asked.index(step)] if step in asked else asked
    before = [each for each in earlier if each in _steps(talk.profile)]
    if not before:
        talk.say("setup", "no_way_back")
        _ask(talk, rounds)
        return
    talk.say("setup", "back")
    _ask(talk, {"mode": "evening", "step": before[-1], "then": step})


def _skip(talk: Talk, rounds: Round, kind: str) -> None:
    everything = kind == "all"
    step = str(rounds["step"])
    keep(talk, rounds, step)
    if everything and rounds["mode"] == "evening":
        for each in due(talk.profile):
            keep(talk, rounds, each)
        _end(talk)
    elif not everything:
        unknown = step == "altitude" and talk.profile.altitude_ft is None
        if kind == "unknown" and step == "altitude":
            talk.say("setup", "altitude_where")
        if unknown or (rounds["mode"] == "evening" and not _known(talk.profile, step)):
            unit = talk.language.phrase("setup_kitchen", f"unit_{talk.profile.units}")
            talk.say("setup", "altitude_skipped" if unknown else "skipped", unit=unit)
        else:
            talk.say("confirming", "cancelled")
        _ask_next(talk, rounds)


def _end(talk: Talk) -> None:
    feet = talk.profile.altitude_ft
    told = {} if feet is None else {"altitude": altitude_words(talk, feet)}
    altitude = talk.language.say("setup", "altitude_is" if told else "altitude_open", told)
    talk.say("setup", "done", altitude=altitude, attention=talk.profile.attention)


def _dropped(talk: Talk, frame: Frame) -> str:
    if frame.values["step"] == "voice":
        talk.control("voice", voice=talk.profile.voice)
    if frame.values["mode"] == "evening":
        return talk.language.say("setup", "put_off", attention=talk.profile.attention)
    return talk.language.say("confirming", "cancelled")


def _lapsed(talk: Talk, frame: Frame) -> None:
    called = {"attention": talk.profile.attention}
    if frame.values["step"] == "sound" and talk.sound[0] is not None:
        frames.close(talk, frame)
        talk.say("setup_kitchen", "sound_nothing", called)
    else:
        talk.say("setup", "waiting", called)


def _missed(talk: Talk, frame: Frame, _: str) -> bool:
    if frame.values["step"] != "sound":
        return False
    frames.close(talk, frame)
    sound_missed(talk, frame.values)
    return True


SETUP = Form(
    _fill,
    _go_on,
    _dropped,
    frozenset({"choice", "number", "set_altitude", "skip", "yes", *_BACK}),
    _lapsed,
    missed=_missed,
)
"""What isn't known of the kitchen."""


def _setup(talk: Talk, heard: Heard) -> None:
    if not due(talk.profile, typed=talk.typed, second_voice=talk.second_voice):
        talk.say("setup", "nothing_open")
        return
    _ask_next(talk, {"mode": "evening"})


# ---------------------------------------------------------------- changing one thing


def _change_setting(talk: Talk, heard: Heard) -> None:
    if heard.slots["setting"] == "voice" and not talk.second_voice:
        talk.say("setup", "voice_none")
        return
    _ask_between(talk, str(heard.slots["setting"]))


def _ask_between(talk: Talk, step: str) -> None:
    """Ask for one thing out of its turn; the first evening goes on where it was."""
    asked = talk.question
    evening = asked is not None and asked.about == "setup" and asked.values["mode"] == "evening"
    then = str(asked.values["step"]) if asked is not None and evening else None
    _ask(talk, {"mode": "evening" if evening else "once", "step": step, **({"then": then} if then != step else {})})


def _sound_check(talk: Talk, heard: Heard) -> None:
    if talk.typed:
        talk.say("setup_kitchen", "sound_typed")
    else:
        _ask_between(talk, "sound")


def _add_canner(talk: Talk, heard: Heard) -> None:
    used = {canner.number for canner in talk.profile.canners}
    number = next(n for n in range(1, len(used) + 2) if n not in used)
    talk.say("setup", "canner_added", number=talk.language.number(number))
    added = Canner(number=number)
    keep(talk, {"mode": "once"}, "canners", canners=(*talk.profile.canners, added))
    wanted_of_it = canner_steps(talk.profile, added)
    _ask_of_one(talk, number, [x for x in canner_steps(talk.profile, added, every=True) if x not in wanted_of_it])


def _with_canner(then: str) -> Callable[[Talk, Heard], None]:
    """Go on with the canner that is named, or the only one; ask which one otherwise."""

    def handle(talk: Talk, heard: Heard) -> None:
        canners = talk.profile.canners
        named = next((each for each in canners if each.number == heard.slots.get("canner")), None)
        if named is None and len(canners) == 1 and heard.slots.get("canner") is None:
            named = canners[0]
        if named is not None:
            _of_canner(talk, then, named.number)
        elif not canners:
            talk.say("setup", "no_canners")
        else:
            _ask(talk, {"mode": "once", "step": "which_canner", "then": then})

    return handle


def _of_canner(talk: Talk, then: str, number: int) -> None:
    if then == "change":
        _ask_of_one(talk, number, [])
    elif any(load.canner == number for load in talk.kitchen.open_loads):
        talk.say(
            "setup", "canner_in_use", canner=canner_name(talk, talk.profile.canner(number) or Canner(number=number))
        )
    else:
        _ask(talk, {"mode": "once", "step": "forget_canner", "canner": number})


def _forget(talk: Talk, number: int) -> None:
    canner = talk.profile.canner(number)
    if canner is None:
        return
    left = tuple(each for each in talk.profile.canners if each.number != number)
    mine = f"canner.{number}."
    talk.profile = replace(talk.profile, asked=tuple(x for x in talk.profile.asked if not x.startswith(mine)))
    keep(talk, {"mode": "once"}, "canners", canners=left)
    talk.say("setup", "canner_forgotten", canner=canner_name(talk, canner))


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "setup": _setup,
        "skip": lambda talk, _: talk.say("steering", "not_asked"),
        "set_altitude": set_altitude,
        "change_setting": _change_setting,
        "change_canner": _with_canner("change"),
        "add_canner": _add_canner,
        "forget_canner": _with_canner("forget"),
        "sound_check": _sound_check,
    }
)
"""What is done with the commands about the kitchen itself."""
