"""The conversation itself: repeat, help, cancel, quiet, louder, brief, scratch, calls."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import (
    checks,
    contradicting,
    denying,
    doubting,
    filling,
    frames,
    render,
    statements,
    step_words,
)
from kitchenvoice.dialogue.belonging import steaming
from kitchenvoice.dialogue.choosing import find_loads, named_in, refuse_without_load, select
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.now import window_shut
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.reports import take
from kitchenvoice.dialogue.starting import start
from kitchenvoice.dialogue.statements import tells_of_loss
from kitchenvoice.dialogue.taking_back import disown, scratch
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import QUESTIONS
from kitchenvoice.kitchen.loudness import next_rate, next_volume
from kitchenvoice.language import capital
from kitchenvoice.process import Load, Stage, step_of, waits_at_zero

__all__ = ["HANDLERS", "answer_calls", "answers", "help_text", "one_of", "phrases"]

ATTENTION_WINDOW_S = 8.0
_RESTS_ON = frozenset({"steam", "weight", "lid"})
_ANSWERS: Mapping[str, str] = MappingProxyType(
    {
        **dict.fromkeys(("yes_no", "pack_ok", "load_ok", "weight_check", "boil_check", "steam_check"), "answer_yes_no"),
        **dict.fromkeys(("count", "how_many_in", "pressure", "gauge_reading", "altitude"), "answer_number"),
        **dict.fromkeys(
            ("pack", "jar", "canner", "gauge", "method", "load", "which_timer", "which_crock"), "answer_choice"
        ),
        "note": "answer_words",
        **dict.fromkeys((each for each in QUESTIONS if each.startswith("setup_")), "answer_setup"),
    }
)


def help_text(talk: Talk) -> str:
    """Say what can be said here."""
    if talk.asked is not None:
        asked = {"prompt": frames.words(talk, talk.asked), "answers": answers(talk, talk.asked)}
        return talk.language.say("steering", "help_question", asked)
    return talk.language.say("steering", "help", phrases=one_of(talk, phrases(talk)))


def one_of(talk: Talk, some: Sequence[str]) -> str:
    """Say phrases one of which can be said."""
    return talk.language.phrase("names", "one_of", some=", ".join(some[:-1]), last=some[-1])


def answers(talk: Talk, question: Frame) -> str:
    """Name the kind of answer that a question takes."""
    return talk.language.phrase("steering", _ANSWERS.get(question.expects, "answer_name"))


def phrases(talk: Talk) -> tuple[str, ...]:
    """Name what a load of this kind can be told at its stage; first what ends the present step."""
    load = talk.focus
    if load is None:
        return talk.language.choices("help", "idle")
    kind = load.process.watched
    late = load.stage is Stage.COUNT and window_shut(load, talk.t)
    keys = ("count_late",) if late else (f"{load.stage.value}_{kind}", load.stage.value)
    here = talk.language.choices("help", next(key for key in keys if talk.language.has("help", key)))
    ends = _ending(talk, load)
    return (*ends, *(each for each in here if each not in ends))


def _ending(talk: Talk, load: Load) -> tuple[str, ...]:
    """Name what ends the present step of a load: a word for its check, or the reports that it waits for."""
    step = step_of(load)
    if step is None:
        return ()
    reports = ("check",) if step.check else step.done_by
    return tuple(phrase for report, phrase in talk.language.table("help_first").items() if report in reports)


def _repeat(talk: Talk, heard: Heard) -> None:
    if talk.last_said:
        talk.repeat()
    else:
        talk.say("steering", "nothing_said")


def _cancel(talk: Talk, heard: Heard) -> None:
    if talk.question is None:
        talk.say("steering", "not_asked")
    else:
        frames.cancel(talk)


def _setting(name: str, key: str, step: int) -> Callable[[Talk, Heard], None]:
    """Change loudness or pace by a step, and keep it; at the bound say so, and what else helps."""

    def handle(talk: Talk, heard: Heard) -> None:
        profile = talk.profile
        then: dict[str, float] = {"volume": next_volume(profile.volume, step)}
        if name == "rate":
            then = {"speech_rate_wpm": next_rate(profile.speech_rate_wpm, step)}
        if all(getattr(profile, field) == value for field, value in then.items()):
            talk.say("steering", f"{key}_bound")
            return
        talk.control(name, step=step)
        talk.profile = replace(profile, **then)  # type: ignore[arg-type]
        talk.control("profile", **then)
        talk.say("steering", key)

    return handle


def _level(talk: Talk, heard: Heard) -> None:
    talk.brief = heard.intent == "brief"
    talk.control("level", brief=talk.brief)
    talk.say("steering", heard.intent)


def _sleep(talk: Talk, heard: Heard) -> None:
    """Listen no more. What is in doubt counts as lost, as without an answer."""
    talk.question, talk.parked = None, ()
    doubting.forget_all(talk)
    talk.question = None
    talk.asleep = True
    talk.say("steering", "asleep", attention=talk.profile.attention)


def _wake(talk: Talk, heard: Heard) -> None:
    talk.asleep = False
    talk.say("steering", "awake")
    if talk.kitchen.calls:
        _missed(talk, heard)


def _attention(talk: Talk, heard: Heard) -> None:
    talk.attention_until = talk.t + ATTENTION_WINDOW_S
    talk.say("steering", "attention")


def _stray_answer(talk: Talk, heard: Heard) -> None:
    step = step_of(talk.focus) if talk.focus is not None else None
    checks_it = step is not None and step.check and heard.intent in ("yes", "no")
    if heard.intent == "choice" and len(find_loads(talk, named_in(heard))) == 1:
        talk.obey(replace(heard, intent="load_select"))
        return
    talk.say("steering", "say_checked" if checks_it else "not_asked")


def _stray_no(talk: Talk, heard: Heard) -> None:
    """Take a no for the denial of what was told last; "no it didn't" denies a fall, and nothing that was told."""
    if talk.language.hears("no_fall", heard.text) and talk.kitchen.claiming:
        talk.obey(Heard("fine", {}, heard.text, talk.t))
    elif not denying.deny(talk, heard):
        talk.say("steering", "not_asked")
        contradicting.contradict(talk, heard.text, kept=False)


# ---------------------------------------------------------------- calls


def _answer_call(talk: Talk, heard: Heard) -> None:
    if not talk.kitchen.calls:
        talk.say("steering", "no_calls")
        return
    answer_calls(talk, tuple(call.key for call in talk.kitchen.calls), heard.text)


def answer_calls(talk: Talk, keys: tuple[str, ...], heard: str = "") -> None:
    """Take these calls as answered, and say what each of their loads waits for."""
    talk.record("answer_call", None, heard, keys=keys)
    called = [load for load in talk.kitchen.open_loads if any(key.endswith(f":{load.id}") for key in keys)]
    if any(key.startswith("timer_done:") for key in keys) or not called:
        talk.say("steering", "answered")
    for load in called:
        talk.speak(f"{capital(filling.load_name(talk, load))}. {step_words.tell_step(talk, load, brief=True)}")


def _missed(talk: Talk, heard: Heard) -> None:
    calls = [render.call_text(talk, call) for call in talk.kitchen.calls]
    if calls:
        talk.say("steering", "missed", calls=" ".join(calls))
    elif talk.asked is None:
        talk.say("steering", "nothing_missed")
    if talk.asked is not None:
        frames.again(talk, talk.asked)


def _not_yet(talk: Talk, heard: Heard) -> None:
    """Something isn't so: nothing is recorded, and the step says what to report.

    In a hold what is so is asked for, and in a vent if it was of the steam. A reported zero is taken back, so that
    nobody calls the cook to the lid.
    """
    about, loads = heard.slots.get("about"), [load for load in talk.kitchen.open_loads if load.claims or load.stands]
    was = talk.language.hears("at_no_time", heard.text)
    if loads and was and (about == "heat" or (about == "pressure" and tells_of_loss(talk, heard.text))):
        doubting.put_in_question(talk, heard.text, loads, told=True)
        return
    columns = [each for each in steaming(talk) if about == "steam" and each.process.is_steam]
    doubting.put_in_question(talk, heard.text, columns)
    venting = [each for each in talk.kitchen.open_loads if each.timer("vent") and heard.of in (None, each.id)]
    if about == "steam" and len(venting) > 1:
        doubting.raise_doubt(talk, "steam_stopped", venting, heard, {}, among=venting)
        return
    whose = {
        "steam": _venting,
        **dict.fromkeys(("pressure", "reading", "zero", "weight", "rocking", "stopping", "lid"), _under_pressure),
    }
    load = whose[about](talk) if about in whose else talk.focus
    if about == "pressure" and load is not None and waits_at_zero(load):
        if not statements.is_of_the_hold(talk, heard.text):  # that is put in question, and of the hold
            denying.deny_zero(talk, load)
        return
    if about == "gear":
        take(talk, replace(heard, intent="fault"), "fault", {"fault": "gear"})
        return
    if about in _RESTS_ON and load is not None and _is_past(load, str(about)):
        if about == "steam" and (load.claims or load.stands):  # of what was, or of steam that isn't expected now
            doubting.raise_doubt(talk, "of_vent", [load], heard, {})
            return
        take(talk, replace(heard, intent="fault"), "fault", {"fault": "air"})
        return
    if about in ("heat", "burning") and load is not None and load.stage is Stage.COOL and not load.lid_off:
        take(talk, replace(heard, intent="heat_on"), "heat_on", {})
        return
    if load is None and talk.kitchen.crocks and not talk.kitchen.open_loads:
        refuse_without_load(talk, heard.text)
        return
    if load is None or load.doubt or not (load.holding or (load.timer("vent") and about in ("steam", "heat"))):
        talk.say("steering", "not_yet", step="" if load is None else step_words.tell_step(talk, load, again=True))
        return
    talk.say("steering", "not_yet", step="")
    if load.holding and about in ("reading", "stopping"):
        checks.ask_now(talk, load)  # a question, or good news: neither denies anything
    else:
        doubting.raise_doubt(talk, "unheard" if load.holding else "steam_stopped", [load], heard, {})


def _vent_anew(talk: Talk, heard: Heard) -> None:
    """Ask whether the vent is to start over; a yes counts as steam that stopped."""
    load = _venting(talk)
    if load is None or load.timer("vent") is None:
        talk.obey(replace(heard, intent="where_are_we"))
        return
    said = Heard("steam_stopped", {}, heard.text, heard.t, of=load.id)
    frames.ask_yes_no(
        talk, "said", filling.named(talk, load, talk.language.say("steering", "vent_anew")), said, load.id
    )


def _is_past(load: Load, about: str) -> bool:
    """True if that was reported long ago, and what came of it rests on it: the steam of the vent, weight and lid
    until the pressure is gone."""
    shut = load.stage in (Stage.COME_UP, Stage.HOLD) or (load.stage is Stage.COOL and not load.at_zero)
    shut = shut or (about == "lid" and load.timer("vent") is not None)
    vented = shut or load.processed_t is not None
    return load.process.is_pressure and load.given_up_t is None and (vented if about == "steam" else shut)


def _venting(talk: Talk) -> Load | None:
    """Return the load whose steam is spoken of: the only one with a vent that counts, else the present one."""
    venting = [each for each in talk.kitchen.open_loads if each.timer("vent") is not None]
    return venting[0] if len(venting) == 1 else talk.focus


def _under_pressure(talk: Talk) -> Load | None:
    """Return the load whose pressure is spoken of: the only one that holds or stands at zero, else the present one."""
    loads = [each for each in talk.kitchen.open_loads if each.process.is_pressure]
    under = [each for each in loads if each.holding or waits_at_zero(each)]
    return under[0] if len(under) == 1 else talk.focus


def _untrue(talk: Talk, heard: Heard) -> None:
    """Say that it is heard: of each hold that counts, or counted, it is asked next whether all held."""
    counted = any(load.claims or load.stands for load in talk.kitchen.open_loads)
    talk.say(*(("steering", "untrue") if counted else ("taking_back", "nothing_to_take_back")))


HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        "load_start": start,
        "load_select": select,
        "help": lambda talk, _: talk.speak(help_text(talk)),
        "repeat": _repeat,
        "cancel": _cancel,
        "quiet": lambda talk, _: talk.control("stop"),
        "louder": _setting("volume", "louder", 1),
        "softer": _setting("volume", "softer", -1),
        "faster": _setting("rate", "faster", 1),
        "slower": _setting("rate", "slower", -1),
        "other_microphone": lambda talk, _: talk.control("microphone"),
        **dict.fromkeys(("brief", "full"), _level),
        "sleep": _sleep,
        "wake": _wake,
        "attention": _attention,
        "yes": _stray_answer,
        "no": _stray_no,
        "number": _stray_answer,
        "choice": _stray_answer,
        **dict.fromkeys(("both", "neither", "not_load"), _stray_answer),
        "answer_call": _answer_call,
        "missed": _missed,
        "not_yet": _not_yet,
        "vent_anew": _vent_anew,
        "scratch": scratch,
        "disown": disown,
        "mistake": disown,
        "untrue": _untrue,
    }
)
"""What is done with each of the words about the conversation."""
