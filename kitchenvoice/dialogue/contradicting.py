"""What isn't known to be harmless contradicts what is claimed: a zero, a vent, a hold, what is in the jars.

One rule for all that is said to us. A zero doesn't outlive what may tell of heat: the gauge has to be read again.
Words of a loss put every vent and hold in question at once. What is typed and tells of no loss is kept, and asked
about at the end, by what it names: acid, food, jars and lids, vent, stove, or nothing that we know; not if its words
together are harmless. What a sentence tells is read in `statements`; which intents are harmless is in intents.toml,
which questions suppose pressure in the knowledge base.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import NamedTuple

from kitchenvoice.dialogue import denying, doubting, frames, reports
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import without_name
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.statements import (
    HOT,
    LIKELY_TOLD,
    PLAINLY_TOLD,
    SURELY_TOLD,
    is_filler,
    is_of_other_matters,
    is_past,
    may_be_read,
    may_tell,
    may_tell_of_heat,
    names_less,
    names_other_food,
    tells_of_loss,
    things,
    was_away,
    was_opened,
)
from kitchenvoice.dialogue.subjects import supposed
from kitchenvoice.dialogue.turn import Heard, tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that, normalise
from kitchenvoice.ports import Urgency
from kitchenvoice.process import Kitchen, Load, Stage, ends_late, waits_at_zero
from kitchenvoice.reference.knowledge import family
from kitchenvoice.reference.nearness import asks, particulars, question_in
from kitchenvoice.reference.weighing import likelihood

__all__ = ["Before", "contradict", "weigh"]

_WELL, _LOSSES, _COUNTS = intents_that("well"), intents_that("loss"), intents_that("counts")
_TELLS = intents_that("report", "of_load", "tells")
_HARMLESS = intents_that("harmless")
_LOOKS = intents_that("looks_up")
_STATUS = frozenset({"where_are_we", "next_or_where", "missed"})
_ANSWERS = intents_that("bare") | {"both", "neither", "not_load", "cancel"}
_OF_STOVE = frozenset({"steam", "heat", "weight", "pressure", "reading", "zero"})
"""Of what a denial isn't harmless."""
_ASKS_BACK = frozenset({"said", "heard"})
"""Questions whether something was said: after a no something else was."""
_OF_A_ZERO = _ASKS_BACK | {"zero_so_soon", "zero_again"}
_MOST_MISSES = 2
_BEFORE_HOLD = frozenset({Stage.PACK, Stage.CANNER, Stage.VENT, Stage.COME_UP})
_FEW = 3
"""Fewest words that tell of something by themselves."""
_BETWEEN = re.compile("[,.;:?!]")
_SMALL_TALK = ("design_note",)
"""The source of answers that tell nothing of the trade."""
_TAKEN = ("answered", "refused", "guessed", "asked_back", "warned")
"""What became of a sentence that wasn't missed altogether."""
_LEAST_TOLD = 0.15
"""Likelihood to tell of something below which nothing is kept of what wasn't understood."""


class Before(NamedTuple):
    """What was so before a turn: the kitchen, the question, and the one that could be answered."""

    kitchen: Kitchen
    question: Frame | None
    asked: Frame | None


def weigh(talk: Talk, said: Understanding, was: Before, *, called: bool, text: str = "") -> None:
    """Let a turn contradict what was claimed before it. `called`: it was said to us by name. `text`: all of it."""
    if said.reject_reason == "silence" or (talk.noted("ignored") is not None and not called):
        return
    if talk.asleep:
        if said.intent is None and tells_of_loss(talk, said.text):
            doubting.put_in_question(talk, said.text)
    elif said.intent is not None and talk.noted("answered") is None:
        _weigh_understood(talk, said, was)
        _weigh_left_out(talk, said, text)
    elif (called or (was.asked is not None and was.asked.kind == "loss")) and not is_filler(talk, said.text):
        stated = _stated(talk, text)
        _weigh_strange(talk, replace(said, text=stated) if stated else said, was)
    if talk.written and not talk.asleep and was_away(talk, said.text):
        doubting.keep(talk, "in_question", [load for load in talk.kitchen.open_loads if load.claims], said.text)
    if talk.written and not talk.asleep and was_opened(talk, said.text):
        doubting.opened(talk, said.text)
    unasked = talk.asks_nothing and not _asks_fully(talk.question) and not may_be_read(talk, said.text)
    if talk.written and unasked:
        doubting.ask_whether_meant(talk)
    if not _spares_zero(talk, said, was.asked, called=called):
        _deny_zeros(talk, was)
    asked = talk.question
    before = was.question
    if asked is not None and before is not None and asked.same(before) and asked.kind == "which" and asked.said:
        _put_off(talk, asked, asked.said)


def _stated(talk: Talk, text: str) -> str:
    """Return what is stated beside a typed question, by its punctuation; nothing where nothing is."""
    parts = [part for part in map(str.strip, _BETWEEN.split(text)) if part]
    asked = [part for part in parts if asks(without_name(talk, part))]
    stated = [part for part in parts if part not in asked]
    return normalise(" ".join(stated)) if talk.written and asked and len(" ".join(stated).split()) >= _FEW else ""


def _asks_fully(asked: Frame | None) -> bool:
    return asked is not None and not asked.passive and asked.kind != "check"


# ---------------------------------------------------------------- a vent or hold, and what is in the jars


def _weigh_understood(talk: Talk, said: Understanding, was: Before) -> None:
    """Put in question what a sentence leaves open that was understood, if nothing else did.

    It names less than the target, says that all is well again, tells of a loss that lost nothing or was before, calls
    something wrong, tells something of a load of which nothing came, or sounds like a look-up but tells of these jars.
    """
    intent, text = said.intent or "", said.text
    if intent in _LOOKS and talk.language.hears("of_this", text) and _counting(was.kitchen):
        _keep(talk, text)  # "it's chicken in pints" begins nothing, and looks nothing up
    moved = _counting(talk.kitchen) != _counting(was.kitchen)
    if was.kitchen.doubts or talk.kitchen.doubts or intent in _COUNTS or moved:
        return
    idle = talk.last_seq == was.kitchen.seq and talk.question is was.question
    asked = was.question
    past = intent == "untrue" or (talk.language.hears("past", text) and intent in _LOSSES)
    less = (asked is None or asked.passive or asked.of_stove) and names_less(talk, text)
    if intent == "not_yet" and talk.language.hears("at_no_time", text) and said.slots.get("about") in _OF_STOVE:
        doubting.put_in_question(talk, text, [load for load in talk.kitchen.open_loads if load.stands])
    elif past or less or talk.language.hears("recovered", text) or _returned(talk, intent, text):
        doubting.put_in_question(talk, text, _meant(talk, past=past))
    elif intent in _LOSSES - {"heat_off"}:
        doubting.put_in_question(talk, text, [load for load in talk.kitchen.open_loads if load.claims])
    elif intent in _TELLS - intents_that("well", "calm") and idle and _counting(talk.kitchen):
        _keep(talk, text)
    elif intent in _STATUS and talk.written and not asks(text) and _tells_what_was(talk, text):
        _keep(talk, text, tells=True)  # where the load is was no answer to it


def _weigh_left_out(talk: Talk, said: Understanding, text: str) -> None:
    """Keep what is typed beside the words that were understood, if it tells of something by itself."""
    whole, taken = without_name(talk, text).split(), without_name(talk, said.text).split()
    at = next((place for place in range(len(whole)) if whole[place : place + len(taken)] == taken), None)
    if at is not None and talk.written and len(whole) >= len(taken) + _FEW:
        left = " ".join(whole[:at] + whole[at + len(taken) :])
        if may_tell(talk, left) and likelihood(left) >= SURELY_TOLD:
            _keep(talk, " ".join(whole), tells=True)


def _weigh_strange(talk: Talk, said: Understanding, was: Before) -> None:
    """Weigh what wasn't understood, or only as something near: the statement in it, whatever was answered."""
    text, answered = without_name(talk, said.text), talk.noted("answered")
    ends = None if asks(text) else question_in(text)
    if answered is not None and ends is None:  # an answer has weighed what it tells, but not what it supposes
        obeyed = "obeyed" in answered.data
        known = None if obeyed else family(str(answered.data["family"]))
        small = answered.data["family"] in _HARMLESS if known is None else known.source == _SMALL_TALK
        likely = talk.written and likelihood(text) >= (LIKELY_TOLD if small else SURELY_TOLD)
        tells = tells_of_loss(talk, text) or talk.language.hears("happening", text) or any(things(talk, text))
        if known is None and not asks(text) and (tells or likely):
            contradict(talk, text)  # a command near to it left words out
        elif known is not None and talk.language.hears("supposes", text):
            doubting.put_in_question(talk, text, _meant(talk, past=is_past(talk, text)))
        elif known is not None and asks(text) and (told := supposed(talk.language, text)):
            contradict(talk, told, past=is_past(talk, told))
        elif known is not None and talk.written and not asks(text):
            _keep_what_is_in(talk, text)  # an answer tells that it isn't tested, and undoes nothing
            if (small and likely) or (_tells_what_was(talk, text) and not known.harmless):
                _keep(talk, text, tells=True)
        return
    refused = talk.noted("refused")
    if refused is not None:
        tells = refused.data["intent"] in _TELLS - intents_that("calm") or tells_of_loss(talk, text)
        if talk.written and tells and not refused.data["moot"] and talk.last_seq == was.kitchen.seq:
            contradict(talk, text, past=is_past(talk, text))
        return
    told = text.removesuffix(ends) if answered is not None and ends else text
    told = supposed(talk.language, text) or told if asks(text) and talk.written else told
    warned = talk.noted("warned") is not None
    if warned and talk.language.hears("future", text):
        return
    loss = contradict(talk, told, past=is_past(talk, told) and not warned)
    missed = talk.written and all(talk.noted(each) is None for each in _TAKEN)
    asked_of_it = _claimed(talk) and not loss and asks(text)
    if talk.written and asked_of_it and likelihood(text, supposed=True) >= SURELY_TOLD:
        _keep(talk, text, tells=True)
    if (
        missed
        and not talk.kitchen.open_loads
        and (loss or tells_of_loss(talk, text) or likelihood(text) >= SURELY_TOLD)
    ):
        reports.ask_of_closed(talk, text)
    if not loss and talk.misses >= _MOST_MISSES:
        doubting.not_understood(talk, text)


def contradict(talk: Talk, text: str, *, past: bool = False, kept: bool = True) -> bool:
    """Put in question what a sentence may have ended; tell whether its words tell of a loss of the stove's.

    A typed statement is `kept` for what else it may tell. Of a hold that has been over for long only the `past` tells.
    """
    counting = [load for load in talk.kitchen.open_loads if load.claims]
    if len(counting) == 1 and _is_read_off(counting[0]) and names_less(talk, text):
        talk.record("doubt", None, text, {"kind": "pressure_low", "loads": (counting[0].id,)})
        return True
    kept = kept and may_tell(talk, text)
    loss = tells_of_loss(talk, text)
    of_jars = kept and list(things(talk, text)) and not talk.language.hears("of_stove", text)
    loss = loss and (not of_jars or names_less(talk, text))  # else it is kept, as both
    meant = [load for load in _meant(talk, past=past) if load.claims or load.stands] if loss else []
    doubting.put_in_question(talk, text, meant)
    told = without_name(talk, text)
    likely = likelihood(told) if kept and not _only_denies(talk, told) else 0.0
    if likely >= _LEAST_TOLD or (kept and _may_be_a_loss(talk)):
        missed = all(talk.noted(each) is None for each in _TAKEN)
        least = PLAINLY_TOLD  # else it may tell what is done meanwhile
        if _claimed(talk) or past or is_past(talk, told):
            least = LIKELY_TOLD if missed and _claimed(talk) else SURELY_TOLD
        _keep(talk, told, but="in_question" if meant else "", tells=likely >= least)
    return loss


def _claimed(talk: Talk) -> bool:
    return any(load.claims or load.stands for load in talk.kitchen.open_loads)


def _only_denies(talk: Talk, text: str) -> bool:
    """Tell whether a text denies a loss, and tells of nothing else."""
    rest = talk.language.unheard("denied", text)
    return rest != text and not (talk.language.hears("happening", rest) or names_less(talk, rest))


def _is_read_off(load: Load) -> bool:
    return load.holding and load.process.is_dial and not load.heat_off


def _meant(talk: Talk, *, past: bool) -> list[Load]:
    """Return the loads that count, have just ended or are in doubt; of the `past`, those that were over long before.

    Of a load whose lid is off, only the past can be told.
    """

    def is_meant(load: Load) -> bool:
        just = ends_late(load, talk.t) and not load.heat_off  # with the heat off it falls
        return past or load.lid_off or load.claims or load.doubt or just

    return [load for load in talk.kitchen.open_loads if is_meant(load)]


def _keep(talk: Talk, text: str, but: str = "", *, tells: bool = False) -> None:
    """Keep words to ask about at the end, by what they name; where nothing counts, before the loads are closed.

    `but` is asked about already; `tells`: by all of its words something happened, whatever it names.
    """
    plain = talk.language.hears("loss", text) or may_be_read(talk, text)
    of_stove = plain or talk.language.hears("of_stove", text)
    kinds = [*(["in_question"] if of_stove else []), *things(talk, text)]  # what the time hangs on is asked first
    if "of_weight" in kinds and not any(load.process.watched == "weighted" for load in talk.kitchen.open_loads):
        kinds = [kind for kind in kinds if kind != "of_weight"]  # a dial tells the pressure, whatever the weight
    named = particulars(text).get("food")
    hot = [load for load in talk.kitchen.open_loads if load.stage in HOT and load.processed_t is None]
    packed = [load for load in talk.kitchen.open_loads if load.stage is Stage.PACK]
    loads = hot or [load for load in talk.kitchen.open_loads if load.stands] or packed
    own = [load for load in talk.kitchen.open_loads if load.food == named]
    loads = [load for load in own if load in (*hot, *packed) or load.stands] or loads
    if not hot:
        _keep_what_is_in(talk, text)
    happened = loads != packed and (talk.language.hears("happening", text) or _may_be_a_loss(talk))
    waits = all(load.stage is Stage.COME_UP or (load.stage is Stage.COOL and load.heat_off) for load in loads)
    if waits and {*kinds} <= {"in_question"} and talk.language.hears("slowly", text):
        return
    early = all(load.stage in _BEFORE_HOLD for load in loads) and (happened or likelihood(text) >= LIKELY_TOLD)
    if early and talk.language.hears("of_gear", text):
        kinds = ["of_fault", *(kind for kind in kinds if kind != "in_question")]
    if waits and not happened and not talk.language.hears("past", text):
        kinds = [kind for kind in kinds if kind != "in_question"]  # what the stove does before a time counts is moot
        of_stove = of_stove and not any(load.heat_off for load in loads)
        tells = tells and not of_stove
    for kind in kinds or (["unexplained"] if (happened or tells) and not but else []):
        if kind != but:
            doubting.keep(talk, kind, loads, text)


def _tells_what_was(talk: Talk, text: str) -> bool:
    told = talk.language.hears("happening", text) or is_past(talk, text)
    return told and likelihood(text) >= SURELY_TOLD


def _may_be_a_loss(talk: Talk) -> bool:
    """Tell whether what was said is asked back as what may end a hold: unanswered, it is still open."""
    guess, near = talk.noted("guessed"), talk.noted("asked_back")
    known = None if near is None or "obeyed" in near.data else family(str(near.data["family"]))
    return (guess is not None and guess.data["intent"] in _LOSSES) or bool(known and (known.ends_hold or known.fault))


def _keep_what_is_in(talk: Talk, text: str) -> None:
    """Keep what a statement puts into jars that it isn't the food of, from the packing on."""
    loads = [load for load in talk.kitchen.open_loads if not load.processed_t]
    if not is_of_other_matters(talk, text):
        doubting.keep(talk, "of_food", [load for load in loads if names_other_food(talk, text, load)], text)


def _returned(talk: Talk, intent: str, text: str) -> bool:
    return intent in _WELL and talk.language.hears("returned", text)


def _counting(kitchen: Kitchen) -> frozenset[int]:
    return frozenset(load.id for load in kitchen.open_loads if load.claims)


# ---------------------------------------------------------------- a zero


def _put_off(talk: Talk, asked: Frame, said: Heard) -> None:
    """Ask of the one that is named whether it is at zero: something else was said since."""
    if tells_zero(said.intent, said.slots):
        talk.question = replace(asked, said=replace(said, intent="gauge_zero", slots={"reading": "fell"}))


def _deny_zeros(talk: Talk, was: Before) -> None:
    """Take back the zeros told before this turn that it wasn't of another load, and ask to look again."""
    asked = was.asked
    if asked is not None and asked.about in _OF_A_ZERO and talk.question is not None and talk.question.same(asked):
        cools = talk.kitchen.load(asked.load)
        if cools is not None and asked.said is not None and tells_zero(asked.said.intent, asked.said.slots):
            talk.withhold(Urgency.CAUTION)
            frames.close(talk, asked)
            denying.ask_zero(talk, cools)  # a yes from now on is to what was said since
            return
    at_zero = [load.id for load in was.kitchen.open_loads if waits_at_zero(load)]
    now = [load for load in talk.kitchen.open_loads if load.id in at_zero and waits_at_zero(load)]
    meant = {event.load for event in talk.told if event.load is not None}
    loads = [load for load in now if not meant or load.id in meant]
    if loads:
        told = any(event.kind not in ("load_select", "doubt") for event in talk.told)
        talk.withhold(Urgency.READBACK if told else Urgency.CAUTION)  # where it stood isn't so any more
        if talk.question is not None and not (was.asked is not None and talk.question.same(was.asked)):
            frames.close(talk, talk.question)
    for load in loads:
        denying.deny_zero(talk, load, look_again=True)


def _spares_zero(talk: Talk, said: Understanding, asked: Frame | None, *, called: bool) -> bool:
    answered = talk.noted("answered") or talk.noted("asked_back")
    if answered is not None:
        if not asks(without_name(talk, said.text)):
            known = None if "obeyed" in answered.data else family(str(answered.data["family"]))
            calm = known is None or not (known.shut or known.fault or known.ends_hold)
            return talk.written and calm and not may_tell_of_heat(talk, said.text)
        return "obeyed" in answered.data or not (answered.data["doubt"] or family(str(answered.data["family"])).shut)
    if said.intent in _ANSWERS and asked is not None and not asked.passive:
        return not (said.intent == "no" and asked.about in _ASKS_BACK)
    if said.intent is None:
        form = asked is not None and asked.kind == "form" and not called
        return is_filler(talk, said.text) or form or (talk.written and not may_tell_of_heat(talk, said.text))
    zero = said.slots.get("pressure", said.slots.get("value")) == 0
    if said.intent == "heat_off" and not talk.language.hears("just_now", said.text):
        return talk.written  # as it was, or of weight or lid
    if said.intent in _HARMLESS:
        return said.slots.get("about") not in _OF_STOVE
    return zero and said.intent in ("pressure_is", "number")
