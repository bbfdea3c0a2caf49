"""Questions that want a yes: a sentence waits, and with a yes it counts as it was said. Only yes is a yes.

Without one all stays as it was. What is said after a no, and what else a yes or a no brings, hangs on what was asked.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import catching_up, checks, contradicting, doubting, filling, forgotten, frames, statements
from kitchenvoice.dialogue.choosing import find_loads, named_in, where
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.how_many import SIZE, ask_jars_in, ask_size
from kitchenvoice.dialogue.objecting import objection_text
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import Frame, Kind
from kitchenvoice.dialogue.turn import Heard, tells_zero
from kitchenvoice.ports import Urgency

__all__ = ["YES_NO"]

_COUNTS = frozenset({"packed", "packed_in_all", "jars_in"})
_OF_SIZE = _COUNTS | {"choice", "change_load"}
"""What tells the size of the jars where that is asked."""
_NEVER_MIND = frozenset({"disown", "mistake", "not_load"})
Then = Callable[[Talk, Frame], None]


def _take(talk: Talk, frame: Frame, heard: Heard) -> bool:
    says = heard.intent
    if frame.about == "kept" and _vague(talk, frame, heard):
        return True
    if says not in ("yes", "no"):
        as_well = _AS_WELL.get(frame.about)
        if as_well is None or not as_well[1](talk, frame, heard):
            instead = _INSTEAD.get(frame.about)
            return instead is not None and instead(talk, frame, heard)
        says = as_well[0]
    frames.close(talk, frame)
    if frame.about == "change_load" and frame.said is not None and (says == "yes" or _only_wished(frame.said)):
        doubting.explained(talk, frame.said.text)
    (_YES.get(frame.about, _obey) if says == "yes" else _NO.get(frame.about, _decline))(talk, frame)
    return True


def _only_wished(said: Heard) -> bool:
    """True if a change of the load was no word of what is in its jars: of the size it may be so, wanted or not."""
    return "wished" in said.slots or said.slots.get("jar") is None


def _obey(talk: Talk, frame: Frame) -> None:
    if frame.said is not None:
        if frame.about == "said" and frame.said.intent != "ask_family":
            doubting.explained(talk, without_name(talk, frame.said.text))
        talk.obey(frame.said.sure(frame.about, of=frame.load))


def _decline(talk: Talk, frame: Frame) -> None:
    """Tell which record stands."""
    load = talk.kitchen.load(frame.load)
    key = frame.about if talk.language.has("confirming", frame.about) else "any"
    text = talk.language.say(
        "confirming", key, {**filling.values_of(talk, frame.values, load), **_of_load(talk, frame)}
    )
    talk.speak(filling.named_once(talk, load, text, "confirming", key), Urgency.READBACK)


def _of_load(talk: Talk, frame: Frame) -> dict[str, str]:
    load = talk.kitchen.load(frame.load)
    return {} if load is None else filling.values_of(talk, {}, load)


def _how_many(talk: Talk, frame: Frame) -> None:
    load = talk.kitchen.load(frame.load)
    if load is not None and frame.said is not None:
        text = talk.language.say("confirming", "jars_in_differ", _of_load(talk, frame))
        ask_jars_in(talk, frame.said, load.id, filling.named(talk, load, text))


def _heat_off_first(talk: Talk, frame: Frame) -> None:
    """Take both reports in their order."""
    load, said = talk.kitchen.load(frame.load), frame.said
    if load is None or said is None:
        return
    talk.record("heat_off", load.id, said.text, before=True)
    talk.obey(replace(said.sure(of=load.id), intent=str(frame.values["report"]), slots=dict(frame.values["data"])))


def _said_again(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take the same report for a yes: that is what somebody says who has looked again."""
    shut = [load.id for load in talk.kitchen.open_loads if load.process.is_pressure and not load.lid_off]
    meant = heard.of if heard.of is not None or len(shut) != 1 else shut[0]
    return tells_zero(heard.intent, heard.slots) and frame.load == meant


def _count_instead(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take one number of a count for a correction of the one that was read back, or for more of it: the other follows
    from it."""
    load, slots = talk.kitchen.load(frame.load), heard.slots
    given = slots.keys() & {"sealed", "failed"}
    if heard.intent != "seal_count" or load is None or len(given) != 1 or heard.of not in (None, load.id):
        return False
    if "bare" in slots and not slots.get("sealed"):
        frames.again(talk, frame)  # "none" of them sealed, or failed
        return True
    frames.close(talk, frame)
    name = given.copy().pop()
    before = frame.said.slots.get(name, 0) if frame.said is not None and slots.get("more") else 0
    told = int(before) + int(slots[name])
    other = max(0, load.standing - told)
    counts = {"sealed": other, "failed": other, name: told}
    talk.obey(replace(heard, slots=counts, of=load.id))
    return True


def _number_instead(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take a bare number for the one in the report that waits, whatever it would count by itself."""
    waits, names = frame.said, ("sealed", "failed", "count")
    if waits is None or ("bare" not in heard.slots and heard.intent != "number") or heard.of not in (None, waits.of):
        return False
    told = [name for name in names if name in waits.slots]
    given = [heard.slots[name] for name in (*names, "value") if name in heard.slots]
    if len(told) != 1 or len(given) != 1:
        return False
    frames.close(talk, frame)
    talk.obey(replace(waits.sure(frame.about, of=frame.load), slots={**waits.slots, told[0]: int(given[0])}))
    return True


def _of_that_one(talk: Talk, frame: Frame) -> None:
    """Take a report for the canner that was meant."""
    if frame.said is not None:
        doubting.explained(talk, frame.said.text)
        _obey(talk, frame)


def _names_it(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take the name of the load that is asked about for a yes."""
    named = named_in(heard) if heard.intent in ("load_select", "choice") else None
    return named is not None and [load.id for load in find_loads(talk, named)] == [frame.load]


def _acid_again(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Ask again where something is done: of what nobody knows."""
    if heard.intent == "step_done":
        frames.again(talk, frame)
    return heard.intent == "step_done"


def _steady(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take "it's steady" for a yes where steady steam was asked about."""
    steady = heard.intent == "steam_steady" or (heard.intent == "fine" and heard.slots.get("about") == "steady")
    return frame.said is not None and frame.said.intent == "steam_steady" and steady


def _not_off(talk: Talk, frame: Frame) -> None:
    load = talk.kitchen.load(frame.load)
    if load is not None:
        talk.speak(where(talk, load))


def _said_otherwise(talk: Talk, frame: Frame) -> None:
    """Nobody knows what was said, then; of what was typed, only that it wasn't that."""
    talk.say(*(("confirming", "otherwise") if talk.written else ("not_understood", "again")))
    load = talk.kitchen.load(None if frame.said is None else frame.said.of)
    if load is not None and load.holding and frame.said is not None and frame.said.intent == "pressure_is":
        checks.ask_now(talk, load)
    _left_open(talk, frame)


def _left_open(talk: Talk, frame: Frame) -> None:
    if frame.about == "said" and frame.said is not None:
        contradicting.contradict(talk, frame.said.text)
    load = talk.kitchen.load(frame.load)
    if load is None or frame.said is None:
        return
    if frame.about == "disown":
        doubting.put_in_question(talk, frame.said.text, [load])
    elif frame.about == "disown_late" and statements.may_tell(talk, frame.said.text):
        doubting.keep(talk, "in_question", [load], frame.said.text)


def _meant(talk: Talk, frame: Frame) -> None:
    if frame.said is not None:
        doubting.meant(talk, frame.said.text)
        if not talk.letters and talk.asks_nothing:
            talk.say("confirming", "asked_later")


def _acid_is_in(talk: Talk, frame: Frame) -> None:
    """Forget what was told of the acid, and of the jars beside it: it was asked by its amount."""
    if frame.about == "of_acid":
        talk.say("confirming", "acid_is_in")
    else:
        _obey(talk, frame)
    doubting.acid_is_in(talk)


def _acid_is_out(talk: Talk, frame: Frame) -> None:
    text = "" if frame.said is None else frame.said.text
    talk.obey(Heard("fault", {"fault": "acid"}, text, talk.t, of=frame.load))


def _is_its_size(talk: Talk, frame: Frame) -> None:
    load = talk.kitchen.load(frame.load)
    doubting.explained(talk, kind=SIZE)
    if frame.said is not None and frame.said.intent != "kept":
        talk.obey(frame.said)
    elif load is not None:
        talk.say("confirming", "size_is_so", jars=talk.language.jars(load.jar))


def _names_its_size(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Take the size alone for a no where it is that of the load, and a report of such jars as what is so."""
    load, named = talk.kitchen.load(frame.load), {*statements.jars_named(talk, heard.text)}
    if load is None or named != {load.jar} or heard.intent not in _OF_SIZE:
        return False
    frames.close(talk, frame)
    told = heard.intent in _COUNTS
    _is_its_size(talk, replace(frame, said=heard.sure(SIZE, of=load.id)) if told else frame)
    return True


def _is_another_size(talk: Talk, frame: Frame) -> None:
    """Begin the load anew by the size that was told; one that is on the heat is on other numbers."""
    load, text = talk.kitchen.load(frame.load), "" if frame.said is None else frame.said.text
    told = "" if load is None else " ".join(str(each.data["words"]) for each in load.kept if each.kind == SIZE)
    jar = None if load is None else statements.other_jar(talk, told, load)
    intent, slots = ("fault", {"fault": "numbers"}) if jar is None else ("change_load", {"jar": jar})
    talk.obey(Heard(intent, slots, text, talk.t, of=frame.load))


def _not_changed(talk: Talk, frame: Frame) -> None:
    load = talk.kitchen.load(frame.load)
    if load is None or frame.said is None or not ask_size(talk, replace(frame.said, intent="kept"), load):
        _decline(talk, frame)


def _vague(talk: Talk, frame: Frame, heard: Heard) -> bool:
    """Leave words that are kept to be asked about, where it isn't said that they were of something else."""
    if heard.intent != "fine" and not talk.language.hears("vague", heard.text):
        return False
    frames.close(talk, frame)
    talk.say("confirming", "asked_later")
    return True


def _of_nothing(talk: Talk, frame: Frame) -> None:
    if frame.said is not None:
        doubting.explained(talk, frame.said.text)
    talk.say("confirming", "answered_no")


_YES: Mapping[str, Then] = MappingProxyType(
    {
        **dict.fromkeys(("of_acid", "acid_unconfirmed"), _acid_is_in),
        "kept": _meant,
        SIZE: _is_another_size,
        "empty_canner": _of_that_one,
        "catch_up": catching_up.go_on,
        "heat_off_first": _heat_off_first,
        "forgotten": forgotten.close_it,
    }
)
_NO: Mapping[str, Then] = MappingProxyType(
    {
        "catch_up": catching_up.leave,
        "jars_in_differ": _how_many,
        "heat_off_first": _not_off,
        "forgotten": forgotten.leave_it,
        "said": _said_otherwise,
        **dict.fromkeys(("kept", "empty_canner"), _of_nothing),
        SIZE: _is_its_size,
        "change_load": _not_changed,
        "of_acid": _acid_is_out,
        **dict.fromkeys(
            ("give_up", "scratch", "disown", "disown_late"), lambda talk, _: talk.say("confirming", "cancelled")
        ),
    }
)
_AS_WELL: Mapping[str, tuple[str, Callable[[Talk, Frame, Heard], bool]]] = MappingProxyType(
    {
        "zero_so_soon": ("yes", _said_again),
        "said": ("yes", _steady),
        "empty_canner": ("yes", _names_it),
        "kept": ("no", lambda _talk, _frame, heard: heard.intent in _NEVER_MIND),
        "water_unconfirmed": ("yes", lambda _talk, _frame, heard: heard.intent == "step_done"),
    }
)
"""What else is a yes or a no to a question."""
_INSTEAD: Mapping[str, Callable[[Talk, Frame, Heard], bool]] = MappingProxyType(
    {
        "acid_unconfirmed": _acid_again,
        "forgotten": forgotten.count_it,
        "seal_count": _count_instead,
        **dict.fromkeys(("said", "heard"), _number_instead),
        SIZE: _names_its_size,
    }
)
"""What else answers one."""


def _prompt(talk: Talk, frame: Frame) -> str:
    load = talk.kitchen.load(frame.load)
    if frame.load is not None and (load is None or load not in talk.kitchen.open_loads):
        return ""
    if load is not None and frame.about == SIZE and all(each.kind != SIZE for each in load.kept):
        return ""
    if load is None or frame.said is None or not talk.language.has("objecting", frame.about):
        return frame.prompt
    text = objection_text(talk, load, frame.about, frame.values, talk.t - frame.said.t)
    return filling.named_once(talk, load, text, "objecting", frame.about)


def _lapse(talk: Talk, frame: Frame) -> None:
    _left_open(talk, frame)
    if frame.about == "forgotten":
        frames.close(talk, frame)
        forgotten.leave_it(talk, frame)
    elif frame.about == "closed" and frame.said is not None and statements.tells_of_loss(talk, frame.said.text):
        frames.close(talk, frame)
        _obey(talk, frame)  # nobody took it back


def _cancel(talk: Talk, frame: Frame) -> None:
    if frame.about == "forgotten":
        forgotten.leave_it(talk, frame)
    elif frame.about in ("kept", SIZE):
        talk.say("confirming", "asked_later")
    else:
        talk.say("confirming", "cancelled")
        _left_open(talk, frame)


def _intents(_: Talk, frame: Frame) -> frozenset[str]:
    return forgotten.COUNTS if frame.about in ("forgotten", "seal_count") else frozenset()


YES_NO = Kind(_take, _prompt, _lapse, _cancel, _intents)
"""A sentence that waits for a yes."""
