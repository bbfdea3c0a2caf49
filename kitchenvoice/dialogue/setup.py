"""The first evening: what isn't known of the kitchen is asked, one thing after another, and can be changed any time.

Which question comes next follows from the profile alone, in which every answer is kept at once: after a power cut it
goes on where it was. What was skipped isn't asked again unless she says so.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue.altitude import set_altitude
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.opening import canner_name
from kitchenvoice.dialogue.setup_asking import Round, keep, put_yes_no
from kitchenvoice.dialogue.setup_canner import ask_of_canner, canner_steps, known_of_canner
from kitchenvoice.dialogue.setup_kitchen import ask_of_kitchen, known_of_kitchen
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.kitchen.profile import Canner, Profile

__all__ = ["HANDLERS", "due", "offer", "wanted"]

_FIRST = ("units", "altitude", "canners")
_LAST = ("usual_jar", "attention", "speech_level", "sound")


def due(profile: Profile) -> tuple[str, ...]:
    """Name what is still to be asked, in order."""
    return tuple(step for step in _steps(profile) if step not in profile.asked and not _known(profile, step))


def _steps(profile: Profile) -> tuple[str, ...]:
    canners = (step for canner in profile.canners for step in canner_steps(profile, canner))
    return (*_FIRST, *canners, *_LAST)


def wanted(profile: Profile) -> bool:
    """Tell whether to ask at a start: something that a process hangs on is missing, or the round was broken off."""
    left = due(profile)
    vital = any(step in ("altitude", "canners") or step.endswith(".gauge") for step in left)
    return vital or (bool(left) and bool(profile.asked))


def offer(talk: Talk) -> bool:
    """Begin, or go on with, the questions if they are wanted; tell whether it did."""
    if not wanted(talk.profile) or talk.question is not None:
        return False
    talk.say("setup", "resume" if talk.profile.asked else "intro")
    _go_on(talk)
    return True


def _known(profile: Profile, step: str) -> bool:
    number, part = _parts(step)
    if number is None:
        return known_of_kitchen(profile, step)
    canner = profile.canner(number)
    return canner is None or known_of_canner(canner, part)


def _parts(step: str) -> tuple[int | None, str]:
    """Split "canner.2.gauge" into 2 and "gauge"."""
    if not step.startswith("canner."):
        return None, step
    _, number, part = step.split(".")
    return int(number), part


def _ask(talk: Talk, rounds: Round, step: str) -> None:
    number, part = _parts(step)
    if number is None:
        ask_of_kitchen(talk, rounds, step)
    else:
        ask_of_canner(talk, rounds, number, part)


# ---------------------------------------------------------------- the round of the first evening


def _go_on(talk: Talk) -> None:
    left = due(talk.profile)
    if not left:
        _end(talk)
        return
    _ask_in_round(talk, left[0], lambda: _go_on(talk))


def _ask_in_round(talk: Talk, step: str, done: Callable[[], None]) -> None:
    rounds = Round(
        done=done,
        skip_rest=lambda: _skip_rest(talk, rounds),
        skipped=talk.language.say("setup", "skipped"),
        dropped=talk.language.say("setup", "put_off", attention=talk.profile.attention),
        back=lambda: _back(talk, step, done),
    )
    _ask(talk, rounds, step)


def _back(talk: Talk, step: str, done: Callable[[], None]) -> None:
    """Ask the question before `step` again, then `step` itself if there is still a reason to."""
    asked = talk.profile.asked
    earlier = asked[: asked.index(step)] if step in asked else asked
    before = [each for each in earlier if each in _steps(talk.profile)]
    if not before:
        talk.say("setup", "no_way_back")
        _ask_in_round(talk, step, done)
        return

    def then() -> None:
        if step in _steps(talk.profile):
            _ask_in_round(talk, step, done)
        else:  # it hung on the answer that has changed
            _go_on(talk)

    talk.say("setup", "back")
    _ask_in_round(talk, before[-1], then)


def _skip_rest(talk: Talk, rounds: Round) -> None:
    for step in due(talk.profile):
        keep(talk, rounds, step)
    _end(talk)


def _end(talk: Talk) -> None:
    profile = talk.profile
    altitude = talk.language.altitude(profile.altitude_ft) if profile.altitude_ft is not None else ""
    known = talk.language.say("setup", "altitude_is", altitude=altitude) if altitude else ""
    unknown = talk.language.say("setup", "altitude_open") if not altitude else ""
    talk.say("setup", "done", altitude=known or unknown, attention=profile.attention)


def _setup(talk: Talk, heard: Heard) -> None:
    if not due(talk.profile):
        talk.say("setup", "nothing_open")
        return
    _go_on(talk)


# ---------------------------------------------------------------- changing one thing


def _once(talk: Talk, done: Callable[[], None] | None = None) -> Round:
    """Make a round of a single question, or of those that `done` goes on to."""
    stays = talk.language.say("talk", "cancelled")
    begun = bool(talk.profile.asked)
    return Round(done=done or _nothing, skip_rest=_nothing, skipped=stays, dropped=stays, remembers=begun)


def _nothing() -> None:
    """Ask nothing more."""


def _change_setting(talk: Talk, heard: Heard) -> None:
    _ask(talk, _once(talk), str(heard.slots["setting"]))


def _sound_check(talk: Talk, heard: Heard) -> None:
    _ask(talk, _once(talk), "sound")


def _change_canner(talk: Talk, heard: Heard) -> None:
    _with_canner(talk, heard, lambda canner: _ask_anew(talk, canner.number, ()))


def _ask_anew(talk: Talk, number: int, asked: tuple[str, ...]) -> None:
    """Ask everything about one canner again; an answer may bring further questions."""
    canner = talk.profile.canner(number)
    steps = canner_steps(talk.profile, canner) if canner is not None else ()
    step = next((each for each in steps if each not in asked), None)
    if step is not None:
        rounds = _once(talk, lambda: _ask_anew(talk, number, (*asked, step)))
        back = (lambda: _ask_anew(talk, number, asked[:-1])) if asked else None
        _ask(talk, replace(rounds, back=back), step)


def _add_canner(talk: Talk, heard: Heard) -> None:
    used = {canner.number for canner in talk.profile.canners}
    number = next(n for n in range(1, len(used) + 2) if n not in used)
    talk.say("setup", "canner_added", number=talk.language.number(number))
    keep(talk, _once(talk), "canners", canners=(*talk.profile.canners, Canner(number=number)))
    _ask_anew(talk, number, ())


def _forget_canner(talk: Talk, heard: Heard) -> None:
    _with_canner(talk, heard, lambda canner: _confirm_forget(talk, canner))


def _confirm_forget(talk: Talk, canner: Canner) -> None:
    if any(load.canner == canner.number for load in talk.kitchen.open_loads):
        talk.say("setup", "canner_in_use", canner=canner_name(talk, canner))
        return

    def yes() -> None:
        left = tuple(each for each in talk.profile.canners if each.number != canner.number)
        mine = f"canner.{canner.number}."
        talk.profile = replace(talk.profile, asked=tuple(x for x in talk.profile.asked if not x.startswith(mine)))
        keep(talk, _once(talk), "canners", canners=left)
        talk.say("setup", "canner_forgotten", canner=canner_name(talk, canner))

    prompt = talk.language.say("setup", "forget_canner", canner=canner_name(talk, canner))
    put_yes_no(talk, _once(talk), "canners", prompt, yes, lambda: talk.say("talk", "cancelled"))


def _with_canner(talk: Talk, heard: Heard, then: Callable[[Canner], None]) -> None:
    """Go on with the canner she named, or the only one; ask which one otherwise."""
    canners = talk.profile.canners
    named = next((each for each in canners if each.number == heard.slots.get("canner")), None)
    if named is None and len(canners) == 1 and heard.slots.get("canner") is None:
        named = canners[0]
    if named is not None:
        then(named)
    elif not canners:
        talk.say("setup", "no_canners")
    else:
        _ask_which_canner(talk, then)


def _ask_which_canner(talk: Talk, then: Callable[[Canner], None]) -> None:
    def answer(heard: Heard) -> bool:
        named = talk.profile.canner(heard.slots.get("canner") or 0)
        if named is None or heard.intent not in ("choice", "load_select"):
            return False
        talk.question = None
        then(named)
        return True

    names = talk.language.listed([canner_name(talk, each) for each in talk.profile.canners])
    prompt = talk.language.say("start", "ask_canner", choices=names)
    talk.ask(Question("canner", prompt, answer, intents=frozenset({"choice"}), keep=True))


def _stray_skip(talk: Talk, heard: Heard) -> None:
    talk.say("talk", "not_asked")


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "setup": _setup,
        "skip": _stray_skip,
        "set_altitude": set_altitude,
        "change_setting": _change_setting,
        "change_canner": _change_canner,
        "add_canner": _add_canner,
        "forget_canner": _forget_canner,
        "sound_check": _sound_check,
    }
)
"""What is done with the commands about the kitchen itself."""
