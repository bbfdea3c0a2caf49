"""Questions of our own: what the gauge reads, whether the weight rocks or the water boils, and the one a step asks.

One is asked at a time; the others wait until it is answered or nobody answers. What a report has answered meanwhile
isn't asked any more, and none is asked more than twice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from kitchenvoice.dialogue import reports
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import values_of
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.process import Fact, Load, Stage, step_of

__all__ = ["ask_doubts", "ask_next", "ask_now", "ask_steam", "ask_step", "is_settled", "note_checks", "put_off"]

_SILENT = 2
"""The second question that comes while the first is unanswered says how long nothing was reported. From then on each is
asked once only."""

_READING = frozenset({"pressure_is", "pressure_low", "number"})


def note_checks(talk: Talk, facts: Sequence[Fact]) -> None:
    """Put the questions that the clock brought in line."""
    for fact in facts:
        if fact.kind == "check_due" and fact.load is not None and fact.load not in talk.checks:
            talk.checks.append(fact.load)


def put_off(talk: Talk, before: Question | None) -> None:
    """Let a question about the stove that was pushed aside come again, once; drop one that a report has answered."""
    if before is None or before.check is None:
        return
    load = talk.kitchen.load(before.check)
    waits = load is not None and _still_asked(load)
    if talk.question is before and not waits:
        talk.question = None
    elif (
        talk.question is not before
        and waits
        and before.prompted == _asked_at_first(talk)
        and before.check not in talk.checks
    ):
        talk.checks.append(before.check)


def _still_asked(load: Load) -> bool:
    return load.holding and not load.doubt and load.asked_t is not None


def ask_next(talk: Talk) -> None:
    """Ask what waits: first a question that was put aside, then the next one about the stove."""
    if talk.asleep:
        talk.checks.clear()
        return
    _drop_settled(talk)
    if talk.question is not None and talk.question.pressing:
        return
    while talk.parked:
        parked = talk.parked.pop()
        if parked.at_stake:
            talk.ask_anew(parked)
            return
        if talk.t <= parked.stale_t:
            talk.ask(parked, spoken=parked.prompted < 2)
            return
    while talk.checks:
        load = talk.kitchen.load(talk.checks.pop(0))
        if load is not None and _still_asked(load):
            ask_now(talk, load)
            return


def _drop_settled(talk: Talk) -> None:
    """Forget an unanswered question about a hold that is done or lost meanwhile, or a vent."""
    question = talk.question
    load = talk.kitchen.load(question.check) if question is not None else None
    if load is not None and not load.holding:
        talk.question = None
    off = [
        each for each in talk.parked if each.report == "heat_off" and each.expects != "load" and is_settled(talk, each)
    ]
    talk.drop_questions(lambda each: is_settled(talk, each))
    for load in (talk.kitchen.load(number) for each in off for number in each.at_stake):
        if load is not None and load.stage is Stage.HOLD and load.processed_t is None and not load.heat_off:
            talk.record("heat_off", load.id)  # lost by something else meanwhile: nobody took the heat back


def is_settled(talk: Talk, question: Question) -> bool:
    """Tell whether nothing that a question may end is running any more."""
    loads = [talk.kitchen.load(each) for each in question.at_stake]
    running = [load for load in loads if load is not None and (load.timer("hold") or load.timer("vent"))]
    return bool(loads) and not running


def _asked_at_first(talk: Talk) -> int:
    """An old hand is asked once, anybody else once more if nobody answers."""
    return 1 if talk.brief else 0


def ask_now(talk: Talk, load: Load) -> None:
    """Ask what the gauge reads, whether the weight rocks or the water boils, whenever the clock would."""
    kind = (load.process.gauge or "weighted") if load.process.is_pressure else "bath"
    first = _asked_at_first(talk) if load.asks < _SILENT else 1
    prompt = _check_prompt(talk, load, kind)
    if kind == "dial":
        talk.ask(
            Question(
                "gauge_reading",
                prompt,
                lambda heard: _gauge_read(talk, load.id, heard),
                _READING,
                check=load.id,
                prompted=first,
            )
        )
        return
    good, bad = ("weight_rocking", "weight_quiet") if kind == "weighted" else ("boiling", "boil_lost")

    def answer(heard: Heard) -> bool:
        report = {"yes": good, "no": bad, good: good}.get(heard.intent)
        if report is None:
            return False
        talk.question = None
        reports.take_for_id(talk, load.id, report, {}, heard)
        return True

    expects = "weight_check" if kind == "weighted" else "boil_check"
    talk.ask(Question(expects, prompt, answer, frozenset({good, bad}), check=load.id, prompted=first))


def ask_steam(talk: Talk, load: Load) -> None:
    """Ask whether the steam of a vent that counts is steady. A no, or no answer, lets it start over."""

    def take(report: str) -> None:
        reports.take_for_id(talk, load.id, report, {}, Heard(report, {}, "", talk.t))

    def steady(heard: Heard) -> bool:
        if heard.intent != "steam_steady":
            return False
        talk.question = None
        take("steam_steady")
        return True

    talk.ask_yes_no(
        talk.language.say("facts", "check_steam", values_of(talk, {}, load)),
        lambda: take("steam_steady"),
        lambda: take("steam_stopped"),
        lapse=lambda _: take("steam_stopped"),
        instead=steady,
        keep=True,
        at_stake=frozenset({load.id}),
    )


def _check_prompt(talk: Talk, load: Load, kind: str) -> str:
    """Ask; once in each silence say how long nothing was reported."""
    prompt = talk.language.say("facts", f"check_{kind}", values_of(talk, {}, load))
    if load.asks != _SILENT or load.heard_t is None:
        return prompt
    values = values_of(talk, {"since_s": talk.t - load.heard_t}, load)
    bare = talk.language.say("facts", f"check_{kind}", {**values, "load_dot": ""})
    return talk.language.say("facts", "check_unheard", {**values, "check": bare})


def _gauge_read(talk: Talk, load_id: int, heard: Heard) -> bool:
    """Take the bare number, or the report that answers the question, for the load that it was about."""
    if heard.intent == "pressure_low" and not heard.addressed:
        talk.question = None
        reports.take_for_id(talk, load_id, "pressure_low", dict(heard.slots), heard)
        return True
    said = {"number": "value", "pressure_is": "pressure"}.get(heard.intent)
    if said is None or heard.slots.get(said) is None:
        return False
    talk.question = None
    rival = None if heard.rival is None else {"pressure": heard.rival.get(said)}
    asked = Heard("pressure_is", {"pressure": heard.slots[said]}, heard.text, heard.t, heard.addressed, rival)
    reports.take_for_id(talk, load_id, "pressure_is", asked.slots, asked)
    return True


# ---------------------------------------------------------------- challenges of a step


def ask_step(talk: Talk) -> None:
    """Listen for the answer to the challenge that was just spoken; nobody is asked twice."""
    load = talk.focus
    step = step_of(load) if load is not None else None
    if load is None or step is None or not step.check or talk.question is not None:
        return
    if not talk.tells_step(load):
        return
    text = talk.step_text(load)
    load_id, step_id = load.id, step.id

    def answer(heard: Heard) -> bool:
        now = talk.kitchen.load(load_id)
        if heard.intent != "step_done" or now is None or now.step != step_id:
            return False
        talk.question = None
        talk.record("step_done", load_id, heard.text, step=step_id)
        return True

    question = Question("step_check", text, answer, frozenset({"step_done"}), prompted=1, passive=True)
    talk.ask(question, spoken=False)


# ---------------------------------------------------------------- after a gap


def ask_doubts(talk: Talk) -> None:
    """Ask about each load that nobody watched whether it held. A no, or no answer, lets it start over."""
    load = next((load for load in talk.kitchen.open_loads if load.doubt), None)
    if load is None:
        return
    gauge = load.process.gauge or ""
    kind = "vent" if not load.holding else {"dial": "pressure", "weighted": "weight"}.get(gauge, "boil")
    prompt = talk.language.say("talk", f"gap_{kind}", values_of(talk, {}, load))
    load_id = load.id

    def answered(*, ok: bool, said: bool = True) -> None:
        talk.record("was_steady", load_id, ok=ok, answered=said)
        ask_doubts(talk)

    yes: Callable[[], None] = lambda: answered(ok=True)  # noqa: E731
    talk.ask_yes_no(
        prompt,
        yes,
        lambda: answered(ok=False),
        lapse=lambda _: answered(ok=False, said=False),
        keep=True,
        at_stake=frozenset({load_id}),
    )
