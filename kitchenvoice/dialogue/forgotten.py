"""Loads that were left open and come back after a day or more: told once at a start, with what may still be done.

Nobody can vouch for a pressure after so long, so that isn't asked. A load without a full hold has lost its food: a jar
that failed may be processed again, refrigerated or frozen within a published number of hours only. One that was held in
full waits for its count, or is closed without it. She decides; a no leaves it open, until the next such start.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from kitchenvoice.dialogue import reports
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import load_by_number
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.language import capital
from kitchenvoice.process import Load, Stage
from kitchenvoice.reference import rules

__all__ = ["ask_forgotten"]

_COUNTED_LATE_S = 48 * 3600.0
"""A load that was held may stand this long uncounted before it counts as forgotten: the rest alone takes up to a day.
Common practice, no source."""
_DAY_S = 86_400.0
_COUNTS = frozenset({"seal_count", "all_sealed"})


def ask_forgotten(talk: Talk, off_s: float | None, then: Callable[[], None]) -> None:
    """Ask about each forgotten load in turn, then go on with `then`. `off_s` is how long nobody reported anything."""
    loads = [load.id for load in talk.kitchen.open_loads if off_s is not None and _forgotten(load, off_s)]
    _ask(talk, loads, off_s or 0.0, then)


def _forgotten(load: Load, off_s: float) -> bool:
    late_s = 3600.0 * rules().failed_seal_hours.value if load.processed_t is None else _COUNTED_LATE_S
    return off_s >= late_s


def _ask(talk: Talk, loads: list[int], off_s: float, then: Callable[[], None]) -> None:
    load = next((load for load in talk.kitchen.open_loads if load.id in loads), None)
    if load is None:
        then()
        return
    rest = [each for each in loads if each != load.id]
    name = capital(load_by_number(talk, load))
    hours = talk.language.number(rules().failed_seal_hours.value)
    called = {"attention": talk.profile.attention}
    prompt = talk.language.say(
        "talk", f"forgotten_{_state(load)}", {"load": name, "off": _ago(talk, off_s), "hours": hours, **called}
    )

    def close() -> None:
        talk.record("load_close" if load.stage is Stage.KEEP else "load_given_up", load.id)
        if load.sealed is None:
            talk.say("talk", "forgotten_closed", load=name)
        _ask(talk, rest, off_s, then)

    def leave() -> None:
        if load.doubt:
            talk.record("was_steady", load.id, ok=False, answered=False)
        talk.say("talk", "forgotten_left", load=name)
        _ask(talk, rest, off_s, then)

    def count(heard: Heard) -> bool:
        if heard.intent not in _COUNTS or load.stage not in (Stage.REST, Stage.COUNT):
            return False
        talk.question = None
        reports.HANDLERS[heard.intent](talk, replace(heard, of=load.id))
        if talk.question is None:
            _ask(talk, rest, off_s, then)
        return True

    talk.ask_yes_no(prompt, close, leave, lapse=lambda _: leave(), keep=load.doubt, intents=_COUNTS, instead=count)


def _state(load: Load) -> str:
    if load.processed_t is None:
        return "raw"
    if load.stage in (Stage.HOLD, Stage.COOL):
        return "unopened"
    if load.sealed is None:
        return "uncounted"
    return "undecided" if load.undecided else "counted"


def _ago(talk: Talk, off_s: float) -> str:
    days = round(off_s / _DAY_S)
    if days > 1:
        return talk.language.phrase("names", "days_ago", days=talk.language.number(days))
    return talk.language.phrase("names", "over_a_day_ago")
