"""Doubts: what may have ended a vent or hold is an event, open until an answer or silence settles it.

Of one report of a loss it is asked which load it was, of all else whether it is so. What was told and then withdrawn,
and words that may have told of a loss, put it in question whether all held the whole time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from kitchenvoice.dialogue import filling, frames, taking_back
from kitchenvoice.dialogue.checks import CHECKS
from kitchenvoice.dialogue.choosing import ask_which, called_in, spoken_of
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.statements import other_jar
from kitchenvoice.dialogue.taking_back import standing
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import BEFORE_HOLD, THINGS, Doubt, Load, Stage, kind_for
from kitchenvoice.reference.library import product

__all__ = [
    "OF_ONE_REPORT",
    "YES_HELD",
    "acid_is_in",
    "acid_told",
    "answered_by_report",
    "ask",
    "ask_again",
    "ask_of_what",
    "ask_open",
    "ask_whether_meant",
    "came_off",
    "can_wait",
    "denied",
    "doubt_of",
    "explained",
    "forget_all",
    "frame_of",
    "ids_of",
    "keep",
    "meant",
    "not_understood",
    "opened",
    "put_in_question",
    "question",
    "raise_doubt",
    "settle",
    "time_of",
    "told_so",
    "withdraw",
]

OF_ONE_REPORT = intents_that("loss") | {"weight_on"}
"""Doubts of a report that was of one load: with it the others are settled."""
YES_HELD = frozenset({"gap", "unheard", "low_number", "steam_stopped", "in_question", *THINGS} - {"of_size"})
"""Doubts that are asked about so that a yes says that it held; of the others a yes says that it was lost."""
_BY_THEIR_WORDS = frozenset({"unexplained", "of_fault"})
"""Doubts of what only the words name that raised them."""
_WORDS = 20
"""Most words of a sentence that are said back."""
_KEYS = MappingProxyType({"dial": "pressure", "weighted": "weight", "bath": "boil", "steam": "steam"})


def raise_doubt(
    talk: Talk, kind: str, loads: Sequence[Load], heard: Heard, data: Mapping[str, Any], among: Sequence[Load] = ()
) -> None:
    """Write down what may have ended a vent or hold, and ask. `among` are the loads that the sentence may be of."""
    fresh = [load for load in loads if load.doubted(kind) is None]
    if fresh:
        said = {name: value for name, value in data.items() if name != "asked"}
        talk.record("doubt", None, heard.text, {**said, "kind": kind, "loads": tuple(load.id for load in fresh)})
    now = [talk.kitchen.load(load.id) for load in loads]
    doubt = next((found for load in now if load is not None and (found := load.doubted(kind))), None)
    if doubt is None:
        return
    if len(among) > 1:
        ask_which(talk, among, heard, doubt.id)
    else:
        ask(talk, doubt)


def not_understood(talk: Talk, text: str, loads: Sequence[Load] | None = None) -> None:
    """Ask what each hold does that counts: what was said to us and not understood may have been a loss."""
    holding = talk.kitchen.open_loads if loads is None else loads
    _note(talk, "unheard", [load for load in holding if load.holding], text)


def put_in_question(talk: Talk, text: str, loads: Sequence[Load] | None = None, *, told: bool = False) -> None:
    """Ask of each hold that counts, or can still go back, whether all held the whole time.

    `told`: it was told that it didn't, and a yes says so again. From a zero, if it was one, it vents again.
    """
    asked = [load for load in (talk.kitchen.open_loads if loads is None else loads) if load.claims or load.stands]
    if len(called := called_in(text, asked)) == 1:
        spoken_of(talk, called[0], text)  # it is asked about first
    if told and talk.language.hears("vent_shut", text):
        shut = [load for load in asked if load.timer("vent")]
        _note(talk, "weight_on", shut, text)
        asked = [load for load in asked if load not in shut]
    _note(talk, "in_question", asked, text, told=told, air=talk.language.names_one([0], text))


def opened(talk: Talk, text: str) -> None:
    """Ask of each canner that cools under pressure whether it has stayed shut."""
    shut = [load for load in talk.kitchen.open_loads if load.stage is Stage.COOL and load.process.is_pressure]
    _note(talk, "opened", [load for load in shut if load.stands and not (load.at_zero or load.all_unfit)], text)


def came_off(talk: Talk, text: str, loads: Sequence[Load] = (), zero: Heard | None = None) -> None:
    """Ask whether all pressure was gone before the lid came off, or the weight of these; a yes tells a `zero`."""
    open_now = [x for x in talk.kitchen.open_loads if x.stage is Stage.COOL and x.lid_off and x.process.is_pressure]
    meant = [load for load in loads or open_now if load.stands and not load.all_unfit]
    _note(talk, "opened", meant, text, off=True)
    if meant and zero is not None and (doubt := (talk.kitchen.load(meant[0].id) or meant[0]).doubted("opened")):
        ask(talk, doubt, said=zero)


def keep(talk: Talk, kind: str, loads: Sequence[Load], text: str, *, now: bool = False) -> None:
    """Keep words that may have told of something, to ask about them at the end of vent and hold, or `now`."""
    words = " ".join(text.split()[:_WORDS])
    loads = [load for load in loads if not (now and (load.doubted(kind) or load.all_unfit))]
    data: dict[str, Any] = {"kind": kind, "loads": tuple(load.id for load in loads), "words": words}
    if not (now and kind in THINGS):  # of those it is always asked whether all is well
        data["told" if now else "kept"] = True
    if loads:
        talk.record("doubt", None, text, data)


def ask_whether_meant(talk: Talk) -> None:
    """Ask at once whether words that are kept were about the load at all."""
    kept = [event for event in talk.told if event.kind == "doubt" and event.data.get("kept")]
    heard = Heard("kept", {}, kept[0].heard if kept else "", talk.t)
    fresh = [(load, doubt) for load in talk.kitchen.open_loads for doubt in load.kept if doubt.t == talk.t]
    told = [(x, doubt) for x, doubt in fresh if doubt.kind == "of_size" or doubt == acid_told(x)]
    if len(told) == 1:
        load, doubt = told[0]
        frames.ask_yes_no(talk, doubt.kind, question(talk, doubt, load), heard, load.id, kept=doubt.kind == "of_size")
    elif kept and not any(event.data["kind"] == "of_size" for event in kept):
        key = "whether_meant_any" if len(talk.kitchen.open_loads) > 1 else "whether_meant"
        frames.ask_yes_no(talk, "kept", talk.language.say("doubting", key), heard)


def acid_told(load: Load) -> Doubt | None:
    """Return what is kept of a load's acid: how much it takes settles it, before any time starts."""
    return next((each for each in load.kept if each.kind == "of_acid" and load.process.acid), None)


def meant(talk: Talk, text: str) -> None:
    """Ask what was kept of these words, which were about the load; else whether it held."""
    ids = {event.seq for event in standing(talk) if event.heard == text and event.data.get("kept")}
    loads = [load for load in talk.kitchen.open_loads if any(doubt.id in ids for doubt in load.kept)]
    if loads:
        talk.record("doubt", None, text, {"kind": "kept", "loads": tuple(load.id for load in loads)})
        now = [talk.kitchen.load(load.id) or load for load in loads]
        put_in_question(talk, text, [x for x in now if not any(map(x.doubted, ("unexplained", "of_cooling")))])


def explained(talk: Talk, text: str = "", *, kind: str = "") -> None:
    """Forget what was kept in these words, or of this kind, now that it was confirmed what was meant."""
    kept = [event for event in standing(talk) if event.kind == "doubt" and event.data.get("kept")]
    for event in kept:
        if event.data["kind"] == kind or event.heard == text:
            talk.take_back(event)


def acid_is_in(talk: Talk) -> None:
    """Forget what was told of the acid, and of jars in the same words: by its amount it is in every one."""
    kept = [event for event in standing(talk) if event.kind == "doubt" and event.data.get("kept")]
    told = {event.heard for event in kept if event.data["kind"] == "of_acid"}
    for event in kept:
        if event.heard in told and event.data["kind"] in ("of_acid", "of_jars"):
            talk.take_back(event)


def _note(talk: Talk, kind: str, loads: Sequence[Load], text: str, **more: bool) -> None:
    fresh = tuple(load.id for load in loads if load.doubted(kind) is None)
    if fresh:
        more = {name: value for name, value in more.items() if value}
        talk.record("doubt", None, text, {"kind": kind, "loads": fresh, **more})
        talk.question = None if talk.question is not None and talk.question.kind == "check" else talk.question


def withdraw(talk: Talk, doubt: Doubt, text: str = "") -> None:
    """Put in question what a report may have ended, now that nobody wants to have said it: that isn't an answer."""
    loads = talk.kitchen.in_doubt(doubt.id)
    _note(talk, "in_question", loads, text)
    settle(talk, doubt.id, "withdrawn", held=[load.id for load in loads])


def ask_of_what(talk: Talk, doubt: Doubt, load: Load) -> None:
    """Ask one by one of all that may have changed: nobody knows what a yes was of."""
    for kind in ("in_question", "of_acid", "of_food", "of_jars"):
        if kind_for(load, kind) == kind and load.doubted(kind) is None:
            talk.record("doubt", None, "", {**doubt.data, "kind": kind, "loads": (load.id,), "kept": False})
    settle(talk, doubt.id, "withdrawn", held=(load.id,))


def denied(talk: Talk, doubt: int, load: int) -> None:
    """Give a doubt back to the other loads: the one that was named wasn't it, if all held there."""
    wrong = talk.kitchen.load(load)
    asked = wrong is not None and (same := wrong.doubted("in_question")) is not None and same.id == doubt
    if talk.kitchen.in_doubt(doubt) and wrong is not None and not asked:  # else it is asked once more as it is
        put_in_question(talk, "", [wrong])
        settle(talk, doubt, "no", held=(load,))


def doubt_of(talk: Talk, frame: Frame) -> Doubt | None:
    """Return the doubt that a frame asks about, if it is still open."""
    return next((each for each in talk.kitchen.doubts if each.id == frame.doubt), None)


def ids_of(talk: Talk, doubt: Doubt) -> list[int]:
    """Return the numbers of the loads that a doubt may touch."""
    return [load.id for load in talk.kitchen.in_doubt(doubt.id)]


def frame_of(talk: Talk, doubt: Doubt, load: Load) -> Frame:
    """Return a frame that is the same as any that asks about this doubt, with the other loads that it was asked of."""
    asked = [each for each in (talk.question, *talk.parked) if each is not None and each.doubt == doubt.id]
    said = next((each.said for each in asked if each.kind == "loss" and each.said), None)
    named = {number for each in asked for number in (each.load, *each.values.get("named", ())) if number is not None}
    values = {"doubt": doubt.id, "named": tuple(named - {load.id}), "told": told_so(doubt)}
    return Frame(kind="loss", about=doubt.kind, expects="yes_no", prompt="", load=load.id, said=said, values=values)


# ---------------------------------------------------------------- asking


def ask_open(talk: Talk) -> bool:
    """Ask about the oldest doubt that is open, unless something presses; tell whether it did.

    What was answered just now may hang on it: then nobody is left to rest, or to wait.
    """
    if talk.asleep or (talk.question is not None and talk.question.pressing):
        return False
    asked = (each for each in (talk.question, *talk.parked) if each is not None)
    hangs = talk.noted("hangs") is not None
    waiting = {each.doubt for each in asked if each.prompted < 2 or (each.rests(talk.t) and not hangs)}
    pressing = (each for each in talk.kitchen.doubts if hangs or each.t == talk.t or not can_wait(talk, each))
    doubt = next((each for each in pressing if each.id not in waiting), None)
    if doubt is not None:
        ask(talk, doubt)
    return doubt is not None


def told_so(doubt: Doubt) -> bool:
    """True if a loss was told in so many words: it is asked whether it is so, not whether all held."""
    return doubt.data.get("told") is True


def can_wait(talk: Talk, doubt: Doubt) -> bool:
    """True if nothing presses: every load that it may touch is out of its canner, and can't be closed before."""
    return all(load.lid_off for load in talk.kitchen.in_doubt(doubt.id))


def ask(talk: Talk, doubt: Doubt, load: Load | None = None, said: Heard | None = None) -> None:
    """Ask which load it is, or whether it is so of the one that is left; `said` is taken after the answer."""
    loads = talk.kitchen.in_doubt(doubt.id)
    if load is None and len(loads) > 1 and doubt.kind in OF_ONE_REPORT:
        ask_which(talk, loads, None, doubt.id)
        return
    chosen = [each for each in loads if doubt.kind == "in_question" and each.id == talk.kitchen.focus]
    load = load or (chosen or loads)[0]
    prompt = question(talk, doubt, load)
    expects = CHECKS[load.process.watched] if doubt.kind in ("unheard", "low_number") else "yes_no"
    frame = frame_of(talk, doubt, load)
    frames.ask(talk, replace(frame, expects=expects, prompt=prompt, said=said or frame.said))


def ask_again(talk: Talk, load: Load) -> None:
    """Ask about the first doubt of a load: of one report which load it was, while it may be of several."""
    doubt = load.doubts[0]
    ask(talk, doubt, None if doubt.kind in OF_ONE_REPORT else load)


def question(talk: Talk, doubt: Doubt, load: Load, *, again: bool = False) -> str:
    """Say what is asked, by what is left now; `again` without the words that raised it, if it says enough itself."""
    values, say = filling.values_of(talk, doubt.data, load), talk.language.say
    gauge = load.process.watched
    if doubt.kind == "heat_off" and not load.claims:
        return say("doubting", "heat_off_first", load=filling.load_name(talk, load))
    if doubt.kind == "heat_off":
        key, told = time_of(talk, load)
        return filling.named(talk, load, say("objecting", key, told))
    if doubt.kind == "gap":
        return say("doubting", "gap_vent" if not load.holding else f"gap_{_KEYS[gauge]}", values)
    if doubt.kind == "in_question":
        of = "vent" if load.stage is Stage.VENT else gauge
        asked = say("doubting", f"any_{of}" if told_so(doubt) else f"all_{of}", values)
        asked = say("doubting", "of_what_was", asked=asked) if load.stands and load.heat_off else asked
        return _quoted(talk, doubt, load, asked, again=again)
    if doubt.kind in THINGS or doubt.kind == "unexplained":
        of_jars = "of_jars_out" if load.lid_off else "of_jars" if load.process.is_pressure else "of_jars_bath"
        key = of_jars if doubt.kind == "of_jars" else "came_off" if doubt.data.get("off") else doubt.kind
        key = f"{key}_{gauge}" if key == "gauge_stuck" else key
        phrase = talk.language.phrase
        named = {
            "watched": phrase("doubting", f"watched_{'steam' if load.stage in BEFORE_HOLD else _KEYS[gauge]}"),
            "pack": phrase("names", f"pack_{load.pack}"),
            "acid": _amount_of_acid(talk, load),
        }
        vent, jar = filling.vent_time(talk), other_jar(talk, str(doubt.data.get("words")), load)
        altitude = talk.language.altitude(load.process.altitude_ft)
        named |= {"food": load.food_name, "jars": talk.language.jars(load.jar), "vent": vent, "altitude": altitude}
        named |= {"told": phrase("doubting", "another") if jar is None else talk.language.jars(jar)}
        asked = say("doubting", key, {**values, **named})
        return _quoted(talk, doubt, load, filling.named(talk, load, asked), again=again)
    if doubt.kind in ("unheard", "low_number"):
        return say("checks", f"check_{gauge}" if load.holding else "check_vent", values)
    if doubt.kind == "steam_stopped":
        return say("checks", "check_vent", values)
    if doubt.kind == "taken_back":
        return taking_back.question(talk, doubt, load)
    if doubt.kind == "late" or (doubt.kind in OF_ONE_REPORT - {"fault"} and load.may_go_back):
        return filling.named(talk, load, say("doubting", f"late_{_KEYS[gauge]}", values))
    return filling.named(talk, load, say("doubting", doubt.kind, values))


def _amount_of_acid(talk: Talk, load: Load) -> str:
    rule = product(load.food).acid
    note = "" if rule is None else talk.language.in_words(rule.note or "")
    return load.process.acid.removesuffix(note).strip()


def time_of(talk: Talk, load: Load) -> tuple[str, dict[str, str]]:
    """Return what to say of the time that heat which is off would end, a vent's or a hold's, and its values."""
    timer = load.timer("hold") or load.timer("vent")
    left = max(0.0, timer.left_s(talk.t)) if timer is not None else 0.0
    values = filling.values_of(talk, {"left_s": left, "unsure": timer is not None and timer.unsure}, load)
    if load.stage is Stage.VENT:
        values["hold_word"] = talk.language.phrase("names", "vent")
    return "hold_not_done" if left > 0 else "hold_over", values


def _quoted(talk: Talk, doubt: Doubt, load: Load, asked: str, *, again: bool) -> str:
    """Put the words that are asked about before the question, where they are known; at the end, that the time is up.

    Of many words on a matter that is asked about by name the first stand for all.
    """
    first, *more = str(doubt.data.get("words") or "").split(". ")
    named = doubt.kind not in _BY_THEIR_WORDS
    if not first or (named and again):
        return asked
    words = ". ".join([first, *more])
    if named and more:
        words = talk.language.phrase("doubting", "and_more", words=first)
    timer = load.timer("hold") or load.timer("vent")
    over = timer is not None and timer.left_s(talk.t) <= 0
    return talk.language.say("doubting", "said_at_end" if over else "said", asked=asked, words=words)


# ---------------------------------------------------------------- settling


def settle(
    talk: Talk, doubt: int, by: str, *, lost: Sequence[int] = (), held: Sequence[int] = (), heard: str = ""
) -> None:
    """Write down the answer."""
    load = next(iter((*lost, *held)), None)
    answer = {"doubt": doubt, "lost": tuple(lost), "held": tuple(held), "by": by}
    facts = talk.record("doubt_settled", load, heard, answer)
    gone = next((fact.load for fact in facts if fact.kind in ("hold_lost", "vent_stopped")), None)
    if gone is not None and gone != talk.kitchen.focus:
        talk.record("load_select", gone)  # what is asked next is of the one in trouble


def answered_by_report(talk: Talk, load: Load) -> None:
    """Settle what a report that it holds answers: something not understood, or a number that said nothing."""
    for doubt in load.doubts:
        if doubt.kind in ("unheard", "low_number"):
            frames.close(talk, frame_of(talk, doubt, load))
            settle(talk, doubt.id, "report", held=(load.id,))


def forget_all(talk: Talk) -> None:
    """Nobody will answer: whatever is in doubt counts as lost."""
    for doubt in talk.kitchen.doubts:
        if can_wait(talk, doubt):
            continue
        if doubt.kind in ("heat_off", "late"):
            talk.say("doubting", "nobody_said_no", urgency=Urgency.CAUTION)
        settle(talk, doubt.id, "sleep", lost=ids_of(talk, doubt))
