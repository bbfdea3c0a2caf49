"""The conversation itself: repeat, help, cancel, quiet, louder, brief, scratch, calls."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from kitchenvoice.dialogue import checks, filling, render
from kitchenvoice.dialogue.choosing import select, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.starting import start
from kitchenvoice.dialogue.turn import Heard, Question
from kitchenvoice.grammar import QUESTIONS
from kitchenvoice.language import capital
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Event, Load, Stage, Value, fold

__all__ = ["HANDLERS", "answer_calls", "answers", "help_text", "phrases"]

ATTENTION_WINDOW_S = 8.0
_AT_ONCE_S = 60.0
"""For so long after a report "scratch that" takes it back without a question. Common practice, no source."""

_NOT_HERS = frozenset(
    {"timer_due", "call_again", "session_start", "answer_call", "load_select", "scratched", "step_entered"}
)
_ANSWERS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("yes_no", "weight_check", "boil_check"), "answer_yes_no"),
        **dict.fromkeys(("count", "pressure", "gauge_reading", "altitude"), "answer_number"),
        **dict.fromkeys(("pack", "jar", "canner", "gauge", "method", "load", "which_timer"), "answer_choice"),
        **dict.fromkeys((each for each in QUESTIONS if each.startswith("setup_")), "answer_setup"),
    }
)


def help_text(talk: Talk) -> str:
    """Say what can be said here."""
    question = talk.question
    if question is not None and not question.passive:
        return talk.language.say("talk", "help_question", prompt=question.prompt, answers=answers(talk, question))
    *some, last = phrases(talk)
    return talk.language.say(
        "talk", "help", phrases=talk.language.phrase("names", "one_of", some=", ".join(some), last=last)
    )


def answers(talk: Talk, question: Question) -> str:
    """Name the kind of answer that a question takes."""
    return talk.language.phrase("talk", _ANSWERS.get(question.expects, "answer_name"))


def phrases(talk: Talk) -> tuple[str, ...]:
    """Name what a load of this kind can be told at its stage."""
    load = talk.focus
    if load is None:
        return talk.language.choices("help", "idle")
    kind = (load.process.gauge or "weighted") if load.process.is_pressure else "bath"
    keys = (f"{load.stage.value}_{kind}", load.stage.value)
    return talk.language.choices("help", next(key for key in keys if talk.language.has("help", key)))


def _help(talk: Talk, heard: Heard) -> None:
    talk.speak(help_text(talk))


def _repeat(talk: Talk, heard: Heard) -> None:
    if talk.last_said:
        talk.repeat()
    else:
        talk.say("talk", "nothing_said")


def _cancel(talk: Talk, heard: Heard) -> None:
    if talk.question is None:
        talk.say("talk", "not_asked")
    else:
        question, talk.question = talk.question, None
        talk.checks = [load for load in talk.checks if load != question.check]
        left = "" if question.lapse is not None else talk.language.say("talk", "cancelled")
        talk.speak(question.stands or question.dropped or left, Urgency.READBACK)
        if question.lapse is not None and not question.dropped:
            question.lapse(talk.t)


def _quiet(talk: Talk, heard: Heard) -> None:
    talk.control("stop")


def _setting(name: str, key: str, step: int) -> Callable[[Talk, Heard], None]:
    def handle(talk: Talk, heard: Heard) -> None:
        talk.control(name, step=step)
        talk.say("talk", key)

    return handle


def _brief(talk: Talk, heard: Heard) -> None:
    talk.brief = True
    talk.control("level", brief=True)
    talk.say("talk", "brief")


def _full(talk: Talk, heard: Heard) -> None:
    talk.brief = False
    talk.control("level", brief=False)
    talk.say("talk", "full")


def _sleep(talk: Talk, heard: Heard) -> None:
    """Listen no more. A loss that waits for its answer counts, as without one."""
    asked, talk.question, talk.parked = (talk.question, *talk.parked), None, []
    for question in asked:
        if question is not None and question.at_stake and question.lapse is not None:
            question.lapse(talk.t)
    talk.question = None
    talk.asleep = True
    talk.say("talk", "asleep", attention=talk.profile.attention)


def _wake(talk: Talk, heard: Heard) -> None:
    talk.asleep = False
    talk.say("talk", "awake")
    if talk.kitchen.calls:
        _missed(talk, heard)


def _attention(talk: Talk, heard: Heard) -> None:
    talk.attention_until = talk.t + ATTENTION_WINDOW_S
    talk.say("talk", "attention")


def _stray_answer(talk: Talk, heard: Heard) -> None:
    talk.say("talk", "not_asked")


# ---------------------------------------------------------------- calls


def _answer_call(talk: Talk, heard: Heard) -> None:
    if not talk.kitchen.calls:
        talk.say("talk", "no_calls")
        return
    answer_calls(talk, tuple(call.key for call in talk.kitchen.calls), heard.text)


def answer_calls(talk: Talk, keys: tuple[str, ...], heard: str = "") -> None:
    """Take these calls as answered, and say what each of their loads waits for."""
    talk.record("answer_call", None, heard, keys=keys)
    called = [load for load in talk.kitchen.open_loads if any(key.endswith(f":{load.id}") for key in keys)]
    if any(key.startswith("timer_done:") for key in keys) or not called:
        talk.say("talk", "answered")
    for load in called:
        talk.speak(f"{capital(filling.load_name(talk, load))}. {talk.tell_step(load, brief=True)}")


def _missed(talk: Talk, heard: Heard) -> None:
    calls = [render.call_text(talk, call) for call in talk.kitchen.calls]
    if calls:
        talk.say("talk", "missed", calls=" ".join(calls))
    elif talk.question is None or talk.question.passive:
        talk.say("talk", "nothing_missed")
    if talk.question is not None and not talk.question.passive:
        talk.ask(talk.question)


def _not_yet(talk: Talk, heard: Heard) -> None:
    """Something isn't so: nothing is recorded, and the step says what to report.

    In a hold what is so is asked for, and in a vent if it was of the steam. A zero that she reported is taken back, so
    that nobody calls her to the lid.
    """
    about = heard.slots.get("about")
    load = talk.focus if about is None else _venting(talk) if about == "steam" else _under_pressure(talk)
    if about == "pressure" and load is not None and _waits_at_zero(load):
        _take_back(talk, _zero_of(talk, load))
        return
    ask = None
    if load is not None and not load.doubt and load.holding:
        ask = checks.ask_now
    elif load is not None and not load.doubt and load.timer("vent") is not None and about == "steam":
        ask = checks.ask_steam
    talk.say("talk", "not_yet", step="" if load is None or ask is not None else talk.tell_step(load))
    if load is not None and ask is not None:
        ask(talk, load)


def _venting(talk: Talk) -> Load | None:
    """Return the load whose steam is spoken of: the only one with a vent that counts, else the present one."""
    venting = [each for each in talk.kitchen.open_loads if each.timer("vent") is not None]
    return venting[0] if len(venting) == 1 else talk.focus


def _under_pressure(talk: Talk) -> Load | None:
    """Return the load whose pressure is spoken of: the only one that holds or stands at zero, else the present one."""
    loads = [each for each in talk.kitchen.open_loads if each.process.is_pressure]
    under = [each for each in loads if each.holding or _waits_at_zero(each)]
    return under[0] if len(under) == 1 else talk.focus


def _waits_at_zero(load: Load) -> bool:
    return load.at_zero and not load.lid_off


def _zero_of(talk: Talk, load: Load) -> Event | None:
    told = (event for event in _standing(talk) if event.load == load.id)
    return next((event for event in told if event.kind == "gauge_zero" or event.data.get("pressure") == 0), None)


# ---------------------------------------------------------------- taking back


def _scratch(talk: Talk, heard: Heard) -> None:
    question, talk.question = talk.question, None
    talk.parked = [each for each in talk.parked if each.at_stake]
    if question is not None and question.dropped:
        talk.speak(question.dropped, Urgency.READBACK)  # what she said last went into the form, not into the record
        return
    if question is not None and question.at_stake and question.lapse is not None:
        question.lapse(talk.t)  # what she denied isn't so because she takes something back
        return
    event = _last_of_hers(talk)
    hangs = None if event is None or talk.t - event.t <= _AT_ONCE_S else _hangs_on(talk, event)
    if event is None or hangs is None:
        _take_back(talk, event)
    else:
        load = talk.kitchen.load(event.load)
        values = {
            "what": render.undone(talk, event),
            "hold_word": "" if load is None else filling.hold_word(talk, load),
        }
        talk.ask_yes_no(
            talk.language.say("talk", hangs, values),
            lambda: _take_back(talk, event),
            lambda: talk.say("talk", "cancelled"),
        )


def _hangs_on(talk: Talk, event: Event) -> str | None:
    """Name the question to ask where taking this back ends a hold or vent that counts, or lets a lost one count on."""
    scratched: dict[str, Value] = {"seq": event.seq, "kind": event.kind}
    gone = Event(seq=talk.last_seq + 1, t=talk.t, kind="scratched", load=event.load, data=scratched)
    without = fold([*talk.history, gone])
    now, then = _counts(talk.kitchen.load(event.load)), _counts(without.load(event.load))
    if now == then:
        return None
    return "scratch_ends" if now is not None else f"scratch_revives_{then[0]}" if then is not None else None


def _counts(load: Load | None) -> tuple[str, float] | None:
    """Return what counts of a load, its vent or its hold, and since when; what is done counts too."""
    timer = None if load is None else load.timer("hold") or load.timer("vent")
    if timer is not None:
        return timer.name, timer.started_t
    if load is not None and load.processed_t is not None:
        return "hold", load.holds[-1].started_t
    return None if load is None or not load.vented_s or load.holds else ("vent", load.vented_s)


def _take_back(talk: Talk, event: Event | None) -> None:
    if event is None:
        talk.say("talk", "nothing_to_take_back")
        return
    what = render.undone(talk, event)
    talk.take_back(event)
    talk.say("talk", "taken_back", what=what)
    load = talk.kitchen.load(event.load)
    if load is not None and load.stage is not Stage.CLOSED:
        if load.stage is Stage.PACK and event.kind == "packed":
            values = filling.values_of(talk, {"packed": load.packed}, load)
            talk.speak(filling.named(talk, load, talk.language.say("facts", "packed", values)))
        else:
            talk.speak(where(talk, load))
    elif not talk.kitchen.open_loads:
        talk.say("talk", "no_load_left")


def _last_of_hers(talk: Talk) -> Event | None:
    hers = (event for event in _standing(talk) if talk.language.has("undo", event.kind))
    return next((event for event in hers if event.kind not in _NOT_HERS and "of" not in event.data), None)


def _standing(talk: Talk) -> Iterator[Event]:
    """Yield what was recorded and not taken back, the latest first."""
    gone = {event.data["seq"] for event in talk.history if event.kind == "scratched"}
    return (event for event in reversed(talk.history) if event.seq not in gone)


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "load_start": start,
        "load_select": select,
        "help": _help,
        "repeat": _repeat,
        "cancel": _cancel,
        "quiet": _quiet,
        "louder": _setting("volume", "louder", 1),
        "softer": _setting("volume", "softer", -1),
        "faster": _setting("rate", "faster", 1),
        "slower": _setting("rate", "slower", -1),
        "brief": _brief,
        "full": _full,
        "sleep": _sleep,
        "wake": _wake,
        "attention": _attention,
        "yes": _stray_answer,
        "no": _stray_answer,
        "number": _stray_answer,
        "choice": _stray_answer,
        "answer_call": _answer_call,
        "missed": _missed,
        "not_yet": _not_yet,
        "scratch": _scratch,
    }
)
"""What is done with each of the words about the conversation."""
