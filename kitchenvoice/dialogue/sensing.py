"""Likeliest meaning of a typed sentence by all its words, where no wording is near enough.

A question or a wish that is likely enough is answered; else it is asked back, as a report always is.
"""

from __future__ import annotations

from kitchenvoice.dialogue import doubting, frames, knowing, perils, statements
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import SPOKEN_IN, without_name
from kitchenvoice.dialogue.subjects import clauses_of_ours
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.grammar import Grammar, grade, written
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Stage, step_of
from kitchenvoice.reference.food_talk import particulars, particulars_alone
from kitchenvoice.reference.knowledge import families, family
from kitchenvoice.reference.nearness import asks, is_beside, likest, named
from kitchenvoice.reference.senses import RATHER, Sense, senses
from kitchenvoice.reference.weighing import likelihood

__all__ = ["HANDLERS", "answer_asked", "answer_sense", "ask_back", "reports", "speak_of_told", "take_flaw"]

_PERHAPS, _LIKELY, _SURE = 0.3, 0.5, 0.8
"""Least likelihoods of a question that is asked back, of a report that is, and of a question that is answered at once:
of those at 0.8 or more 96 of 102 and 54 of 60 were right, in two lists of 240 sentences never learnt from."""
_OF_A_FOOD = frozenset({*knowing.BY_FOOD, *knowing.BY_FOOD.values()})
"""What is answered by the numbers of a load, though another food may be named."""
_STARTS = "start_load"
_MOST = 60
"""The largest number that a report may leave out, whose sentence then isn't what was told."""
_FLAWS, _SOUND = ("gear", "air"), "checks_clear"
"""The faults of what a check of the canner finds, and the report that it found none."""
_FLAWED, _TWICE, _ALL = 0.25, 2.0, 1000
_INFORMS = "information"
_WISHES = frozenset({"brief", "faster", "full", "louder", "missed", "quiet", "slower", "softer"})


def answer_sense(talk: Talk, said: str, live: Grammar, *, sure: bool = False, rather_than: str = "") -> bool:
    """Answer what a text most likely means, or ask back whether it is meant; tell whether anything is likely enough.

    `sure`: only if it may be answered at once, or is a report that can be made now and as likely; `rather_than` what it
    is near to: only if it is something else, and likely by far.
    """
    asking = asks(said)
    best = next(iter(senses(said, _is_asked if asking else _is_told, talk.under_way)), None)
    least = _SURE if sure else RATHER if rather_than else _PERHAPS if asking else _LIKELY
    if best is None or best.likelihood < least or best.name == rather_than:
        return False
    may_tell = not asking and talk.kitchen.open_loads and likelihood(said) >= statements.LIKELY_TOLD
    if may_tell and best.name not in named() - families().keys():
        return _speak_of(talk, said, best)
    if best.name in talk.language.table("senses"):
        return _ask_back_report(talk, said, live, talk.language.phrase("senses", best.name))
    if best.name == _STARTS:
        return _start(talk, said)
    if best.name in _WISHES:
        if statements.tells_of_loss(talk, said):
            return False  # "down a notch" may be said of the stove
        talk.note("wished", said, intent=best.name)
        talk.obey(Heard(best.name, {}, said, talk.t))
        return True
    if best.name not in named() or (best.name in _OF_A_FOOD and particulars(said).keys() & {"food", "food_group"}):
        return False
    if (found := likest(said, best.name)) is None:
        return False
    asked, wording = found
    if is_beside(asked) and best.likelihood < _SURE:
        return False  # a guess at a greeting greets nobody
    if best.likelihood < _SURE or (asked.doubt and family(best.name).fault):
        return ask_back(talk, said, asked, wording)
    answer_asked(talk, said, asked)
    return True


def reports(talk: Talk, said: str) -> bool:
    """True if a text that asks nothing is likely a report, whether or not it can be made now."""
    best = next(iter(senses(said, _is_told, talk.under_way)), None)
    kinds = talk.language.table("senses")
    return best is not None and best.name in kinds and best.likelihood >= RATHER and not asks(said)


def speak_of_told(talk: Talk, said: str) -> bool:
    """Say what is known of what is surely told, and ask of a fault whose it is; tell whether anything is known."""
    best = next(iter(senses(said, _is_told, talk.under_way, 1)), None)
    if best is None or not _speak_of(talk, said, best):
        return False
    if fault := family(best.name).fault:
        loads = talk.kitchen.claiming
        heard = Heard("fault", {"fault": fault}, said, talk.t)
        doubting.raise_doubt(talk, "fault", loads, heard, {"fault": fault}, among=loads if len(loads) > 1 else ())
    return True


def take_flaw(talk: Talk, text: str) -> bool:
    """Take a canner for unsound while it is being checked, where a clause of a statement likely tells of a flaw, or
    names a part and a flaw and is surely nothing else: whatever else is clear, and whoever says that it will do."""
    step = None if talk.focus is None or talk.language.tag != SPOKEN_IN else step_of(talk.focus)
    if step is None or "gear" not in step.traits or asks(without_name(talk, text)):
        return False
    clauses = (without_name(talk, each) for each in clauses_of_ours(talk.language, text.lower()))
    if told := any(_tells_flaw(talk, clause) for clause in clauses):
        talk.note("wished", text, intent="fault")
        talk.obey(Heard("fault", {"fault": "gear"}, text, talk.t))
    return told


def _tells_flaw(talk: Talk, clause: str) -> bool:
    found = senses(clause, _is_told, talk.under_way, _ALL)
    flawed = sum(each.likelihood for each in found if each.name in families() and family(each.name).fault in _FLAWS)
    sound = sum(each.likelihood for each in found if each.name == _SOUND)
    part = any(talk.language.hears(each, clause) for each in ("thing", "of_gear"))
    named = part and talk.language.hears("flaw", clause)
    named = named and max(sound, *(each.likelihood for each in found)) - flawed < _SURE
    return (named or flawed > _FLAWED) and flawed + named > _TWICE * sound and likelihood(clause) > _FLAWED


def _start(talk: Talk, said: str) -> bool:
    """Begin a load with the food, jar and pack that are named, if a food is: the rest is asked, all is read back."""
    slots = particulars_alone(said)
    if not slots.keys() & {"food", "food_group"}:
        return False
    talk.note("wished", said, intent="load_start")
    talk.obey(Heard("load_start", slots, said, talk.t))
    return True


def _speak_of(talk: Talk, said: str, best: Sense) -> bool:
    """Say what is known of a matter that is surely told; what it tells of the load is asked as if nothing was said."""
    if best.name not in families() or best.likelihood < _SURE:
        return False
    talk.note("spoken_of", said, family=best.name)
    knowing.speak_family(talk, best.name, text=said)
    return True


def _is_asked(name: str) -> bool:
    return name in _WISHES or name in named()


def _is_told(_name: str) -> bool:
    return True


def _ask_back_report(talk: Talk, said: str, live: Grammar, sentence: str) -> bool:
    """Ask whether a report is meant, if it can be made now and nothing denies it; tell whether it is asked."""
    reading = next(iter(live.parse(sentence)), None)
    numbers = range(_MOST + 1)
    counts = talk.language.names_one(numbers, said) and not talk.language.names_one(numbers, sentence)
    if reading is None or counts or talk.language.hears("limits", said):
        return False
    talk.note("guessed", said, intent=reading.intent, slots=reading.slots)
    prompt = talk.language.say("unmatched", "did_you_say", said=written(sentence))
    frames.ask_yes_no(talk, "said", prompt, Heard(reading.intent, reading.slots, said, talk.t), as_heard=sentence)
    return True


def ask_back(talk: Talk, said: str, asked: knowing.Asked, wording: str) -> bool:
    """Ask whether a question, or what is told in one, is meant in one of its wordings; not over what is read back."""
    if talk.question is not None and talk.question.expects == "load_ok":
        return False  # whose yes would it be?
    if perils.is_of_another(talk, said, asked.family) or (not asks(said) and statements.names_less(talk, said)):
        return False
    if asks(said) and asks(wording) and _answers_anyway(talk, said, asked):
        answer_asked(talk, said, asked)
        talk.lead(talk.language.say("sensing", "taken_as", question=written(wording)), Urgency.READBACK)
        return True
    key = "did_you_ask" if asks(wording) else "did_you_mean"
    prompt = talk.language.say("sensing", key, question=written(wording))
    told = {"obeyed": True} if asked.command else {"doubt": asked.doubt}
    talk.note("asked_back", said, family=asked.family, **told)
    slots = {"family": asked.family, "doubt": asked.doubt, "command": asked.command}
    frames.ask_yes_no(talk, "said", prompt, Heard("ask_family", slots, said, talk.t))
    return True


def _answers_anyway(talk: Talk, said: str, asked: knowing.Asked) -> bool:
    """True if a question is likely meant, and its answer changes nothing: what it is taken for is said before it."""
    best = next(iter(senses(said, _is_asked, talk.under_way)), None)
    likely = best is not None and best.name == asked.family and best.likelihood >= _LIKELY
    return likely and not asked.doubt and (not asked.command or grade(asked.family) == _INFORMS)


def answer_asked(talk: Talk, said: str, found: knowing.Asked) -> None:
    """Answer a family, or obey the command that is asked: of a food, jar or pack that is named, by the look-up."""
    command = found.family if found.command else knowing.BY_FOOD.get(found.family)
    slots = particulars_alone(said) if command in knowing.BY_FOOD.values() else {}
    if found.command or (slots and command):
        talk.note("answered", said, family=found.family, obeyed=True)
        talk.obey(Heard(str(command), slots, said, talk.t))
    else:
        knowing.answer(talk, said, found)


def _family(talk: Talk, heard: Heard) -> None:
    """Answer a family; words of pressure in a vent are a report: its weight is on."""
    load, told = talk.focus, heard.slots["family"] == "pressure_in_vent" and not asks(heard.text)
    if told and load is not None and load.stage is Stage.VENT:
        talk.obey(Heard("weight_rocking", {}, heard.text, heard.t, of=load.id))
        return
    slots = heard.slots
    found = knowing.Asked(str(slots["family"]), bool(slots.get("doubt")), bool(slots.get("command")))
    answer_asked(talk, heard.text, found)


HANDLERS = {"ask_family": _family}
"""What is done with a question that was asked back."""
