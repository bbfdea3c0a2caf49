"""Contradictions: words not known to be harmless, against what is claimed: a zero, a vent, a hold, what is in the jars.

A zero doesn't outlive what may tell of heat: the gauge has to be read again. Words of a loss put every vent and hold
in question at once. What is typed and tells of no loss is kept, and asked about at the end, by what it names: acid,
food, jars and lids, vent, stove, or nothing that we know; not if its words together are harmless. What a sentence
tells is read in `statements`; which intents are harmless is in intents.toml.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from kitchenvoice.dialogue import checks, denying, doubting, frames
from kitchenvoice.dialogue.answering import stands_above
from kitchenvoice.dialogue.choosing import ask_of_closed
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import was_on, without_name
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.statements import (
    HOT,
    LIKELY_TOLD,
    PLAINLY_TOLD,
    SURELY_TOLD,
    beside,
    is_filler,
    is_of_gauge,
    is_of_other_matters,
    is_of_the_hold,
    is_past,
    may_be_of_hold,
    may_be_of_the_stove,
    may_be_read,
    may_tell,
    may_tell_of_heat,
    named_loads,
    names_less,
    names_other_food,
    only_denies,
    presses_beside,
    reads_enough,
    stated,
    tells_of_loss,
    tells_what_was,
    things,
    was_away,
    was_opened,
)
from kitchenvoice.dialogue.subjects import supposed
from kitchenvoice.dialogue.told_outright import ask_outright
from kitchenvoice.dialogue.turn import TranscriptNote, tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that
from kitchenvoice.ports import Urgency
from kitchenvoice.process import BEFORE_HOLD, Kitchen, Load, Stage, ends_late, waits_at_zero
from kitchenvoice.reference.answer_models import Family
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.knowledge import family
from kitchenvoice.reference.nearness import asks, question_in
from kitchenvoice.reference.weighing import likelihood

__all__ = ["Before", "contradict", "weigh"]

_WELL, _LOSSES, _COUNTS = intents_that("well"), intents_that("loss"), intents_that("counts")
_TELLS, _CALM, _LOOKS = intents_that("report", "of_load", "tells"), intents_that("calm"), intents_that("looks_up")
_HARMLESS = intents_that("harmless")
_STATUS = frozenset({"where_are_we", "next_or_where", "missed"})
_ANSWERS = intents_that("bare") | {"both", "neither", "not_load", "cancel"}
_OF_STOVE = frozenset({"steam", "heat", "burning", "weight", "pressure", "reading", "zero"})
"""Of what a denial isn't harmless."""
_ASKS_BACK = frozenset({"said", "heard"})
"""Questions whether something was said: after a no something else was."""
_OF_A_ZERO, _MOST_MISSES = _ASKS_BACK | {"zero_so_soon", "zero_again"}, 2
_SMALL_TALK = ("design_note",)
_TAKEN = ("answered", "refused", "guessed", "asked_back", "warned")
"""What became of a sentence that wasn't missed altogether."""
_LEAST_TOLD = 0.15
"""Likelihood to tell of something below which nothing is made of what is typed and wasn't understood."""
_TELLING = ("loss", "past", "happening", "limits", "of_addition", "of_acid", "of_altitude", "of_weight")
"""Kinds of words that tell something; the mere name of jars, food or stove is kept only if all words likely do."""


class Before(NamedTuple):
    """State before a turn: the kitchen, the open question, and the one that could be answered."""

    kitchen: Kitchen
    question: Frame | None
    asked: Frame | None


def weigh(talk: Talk, said: Understanding, was: Before, *, called: bool, text: str = "") -> None:
    """Let a turn contradict what was claimed before it. `called`: it was said to us by name. `text`: all of it."""
    if said.reject_reason == "silence" or talk.noted("misnamed") or (talk.noted("ignored") and not called):
        return
    away = talk.written and was_away(talk, said.text)
    if talk.asleep:
        if said.intent is None and tells_of_loss(talk, said.text):
            doubting.put_in_question(talk, said.text)
    elif said.intent is not None and talk.noted("answered") is None:
        _weigh_understood(talk, said, was)
        if said.intent == "lid_off" and presses_beside(talk, text, said.text):
            doubting.came_off(talk, text)
        else:
            _weigh_left_out(talk, said, text)
    elif ask_outright(talk, said.text) or is_filler(talk, said.text) or (away and not tells_of_loss(talk, said.text)):
        pass
    elif called or (was.asked is not None and was.asked.kind == "loss"):
        _weigh_strange(talk, stated(talk, text) or said.text, was)
    if talk.written and not talk.asleep:
        doubting.keep(talk, "in_question", talk.kitchen.claiming if away else (), said.text)
        if was_opened(talk, said.text):
            doubting.opened(talk, said.text)
        if is_of_gauge(talk, said.text) and not (asks(without_name(talk, said.text)) or talk.told):
            _keep(talk, without_name(talk, said.text))
        unasked = talk.asks_nothing and (talk.asked is None or talk.asked.kind == "check")
        if unasked and away and (holding := [x for x in talk.kitchen.claiming if x.holding]):
            checks.ask_about(talk, holding[0])
        elif unasked and not may_be_read(talk, said.text):
            doubting.ask_whether_meant(talk)
    if not _spares_zero(talk, said, was.asked, called=called):
        _deny_zeros(talk, was)
    _put_off(talk, was.question)


# ---------------------------------------------------------------- a vent or hold, and what is in the jars


def _weigh_understood(talk: Talk, said: Understanding, was: Before) -> None:
    """Raise a doubt for an understood sentence that leaves a hold open, if nothing else did.

    It names less than the target, says that all is well again, tells of a loss that lost nothing or was before, calls
    something wrong, tells something of a load of which nothing came, or sounds like a look-up but tells of these jars.
    """
    intent, text, hears = said.intent or "", said.text, talk.language.hears
    counted, counts = was.kitchen.claiming, talk.kitchen.claiming
    if intent in _LOOKS and hears("of_this", text) and counted:
        _keep(talk, text)  # "it's chicken in pints" begins nothing, and looks nothing up
    moved = [load.id for load in counted] != [load.id for load in counts]
    if was.kitchen.doubts or talk.kitchen.doubts or intent in _COUNTS or moved:
        return
    idle = talk.last_seq == was.kitchen.seq and talk.question is was.question
    may_be_read_off = was.question is None or was.question.passive or was.question.of_stove
    past = intent == "untrue" or (hears("past", text) and intent in _LOSSES)
    above = stands_above(talk, said.slots)
    risen = talk.language.unheard("rises", text) if above else text  # from the target, as far as anybody told
    back = hears("returned", risen) and not said.slots.get("correct")  # "I said ten but it's eleven" tells of no fall
    again = hears("recovered", text) or (intent in _WELL and back)
    if intent == "not_yet" and hears("at_no_time", text) and said.slots.get("about") in _OF_STOVE - {"burning"}:
        doubting.put_in_question(talk, text, [load for load in talk.kitchen.open_loads if load.stands])
    elif past or again or (may_be_read_off and names_less(talk, text)):
        meant = _meant(talk, past=past)
        if intent == "gauge_zero" or hears("cools", text):  # as a load has to whose heat is off
            named = {event.load for event in talk.told if event.kind == "load_select"} or {load.id for load in meant}
            meant = [load for load in meant if load.id in named and not load.heat_off]
        doubting.put_in_question(talk, text, meant)
    elif intent in _LOSSES - {"heat_off"} and not (intent == "boil_lost" and is_of_other_matters(talk, text)):
        doubting.put_in_question(talk, text, counts, told=True)
    elif intent in _TELLS - _WELL - _CALM and idle and counts:
        _keep(talk, text)
    elif intent in _STATUS and talk.written and not asks(text) and tells_what_was(talk, text):
        _keep(talk, text, tells=True)  # where the load is was no answer to it


def _weigh_left_out(talk: Talk, said: Understanding, text: str) -> None:
    """Keep what is typed beside the words that were understood, if it tells of something by itself."""
    left = beside(talk, text, said.text) if talk.written else ""
    if left and may_tell(talk, left) and _is_told(talk, left) and likelihood(left) >= SURELY_TOLD:
        _keep(talk, " ".join(without_name(talk, text).split()), tells=True)


def _weigh_strange(talk: Talk, said: str, was: Before) -> None:
    """Weigh what wasn't understood, or only as something near: the statement in it, whatever was answered."""
    text, answered, refused = without_name(talk, said), talk.noted("answered"), talk.noted("refused")
    ends, warned = None if asks(text) else question_in(text), talk.noted("warned")
    if talk.noted("goes_off") is not None:
        contradict(talk, text, kept=False)  # it is asked about as what it is
    elif answered is not None and ends is None:
        _weigh_answered(talk, text, answered)
    elif refused is not None:
        tells = refused.data["intent"] in _TELLS - _CALM or tells_of_loss(talk, text)
        if talk.written and tells and not refused.data["moot"] and talk.last_seq == was.kitchen.seq:
            contradict(talk, text, past=is_past(talk, text))
    elif not (talk.noted("wished") or (warned is not None and (warned.data or talk.language.hears("future", text)))):
        _weigh_missed(talk, text, text.removesuffix(ends) if answered is not None and ends else text)
    if not (talk.kitchen.open_loads or refused or asks(text)) and talk.written and _tells_of_closed(talk, text):
        ask_of_closed(talk, text)


def _tells_of_closed(talk: Talk, text: str) -> bool:
    known = _family_of(talk.noted("answered"))
    told = _missed(talk) or (known is not None and (known.ends_hold or known.fault != ""))
    return tells_of_loss(talk, text) or (told and likelihood(text) >= SURELY_TOLD)


def _weigh_answered(talk: Talk, text: str, answered: TranscriptNote) -> None:
    """Weigh what an answer hasn't: what the text supposes, or tells beside it. A command near to it left words out."""
    known = _family_of(answered)
    if answered.data.get("normal") and not tells_of_loss(talk, text):
        return
    small = answered.data["family"] in _HARMLESS if known is None else known.source == _SMALL_TALK
    likely = talk.written and likelihood(text) >= (LIKELY_TOLD if small else SURELY_TOLD)
    if known is None:
        tells = tells_of_loss(talk, text) or talk.language.hears("happening", text) or any(things(talk, text))
        if not asks(text) and (tells or likely):
            contradict(talk, text)
    elif talk.language.hears("supposes", text):
        meant = _meant(talk, past=is_past(talk, text))  # of jars at hand it is asked, where the lid is off
        doubting.put_in_question(talk, text, [x for x in meant if not x.lid_off or may_be_of_the_stove(talk, text)])
    elif asks(text):
        if told := supposed(talk.language, text) or (text if talk.language.hears("whether_enough", text) else ""):
            contradict(talk, told, past=is_past(talk, told))
    elif talk.written:
        _keep_what_is_in(talk, text)  # an answer tells that it isn't tested, and undoes nothing
        if (small and likely) or (tells_what_was(talk, text) and not known.harmless):
            _keep(talk, text, tells=True)


def _weigh_missed(talk: Talk, text: str, told: str) -> None:
    """Weigh what nothing came of, but for an answer to the question at its end: `told` is without that."""
    told = supposed(talk.language, text) or told if asks(text) and talk.written else told
    loss = contradict(talk, told, past=is_past(talk, told) and talk.noted("warned") is None)
    if talk.written and not loss and asks(text) and _claimed(talk) and likelihood(text, supposed=True) >= SURELY_TOLD:
        _keep(talk, text, tells=True)
    if not loss and talk.misses >= _MOST_MISSES:
        doubting.not_understood(talk, text)


def contradict(talk: Talk, text: str, *, past: bool = False, kept: bool = True) -> bool:
    """Put in question what a sentence may have ended; tell whether its words tell of a loss of the stove's.

    A typed statement is `kept` for what else it may tell. Of a hold that has been over for long only the `past` tells.
    """
    if reads_enough(talk, without_name(talk, text)):
        return False
    one = talk.kitchen.claiming[0] if len(talk.kitchen.claiming) == 1 else None
    if one and one.holding and one.process.is_dial and not one.heat_off and names_less(talk, text):
        talk.record("doubt", None, text, {"kind": "pressure_low", "loads": (one.id,)})
        return True
    kept, told = kept and may_tell(talk, text), without_name(talk, text)
    of_things = kept and any(things(talk, text)) and not talk.language.hears("of_stove", text)
    likely = likelihood(told) if talk.written else 1.0
    may_be = (likely >= _LEAST_TOLD or names_less(talk, text)) and tells_of_loss(talk, text)
    loss = may_be and (not of_things or names_less(talk, text))  # else it is kept, as both
    touched = _meant(talk, past=past) if loss else []
    vague = kept and not may_be_of_the_stove(talk, text)  # of jars at hand it is told, then
    meant = [load for load in touched if not (vague and load.lid_off)]
    doubting.put_in_question(talk, text, meant, told=True)
    likely, vague = likely if kept and not only_denies(talk, told) else 0.0, touched != meant
    if vague or likely >= (_LEAST_TOLD if _is_told(talk, told) else LIKELY_TOLD) or (kept and _may_be_a_loss(talk)):
        least = PLAINLY_TOLD  # else it may tell what is done meanwhile
        if _claimed(talk) or past or is_past(talk, told):
            least = LIKELY_TOLD if _missed(talk) and _claimed(talk) else SURELY_TOLD
        _keep(talk, told, but="in_question" if meant else "", tells=vague or likely >= least)
    return loss


def _is_told(talk: Talk, text: str) -> bool:
    """True if a text has a word that tells something, not only the name of a thing."""
    return may_be_read(talk, text) or any(talk.language.hears(each, text) for each in _TELLING)


def _keep(talk: Talk, text: str, but: str = "", *, tells: bool = False) -> None:
    """Keep words to ask about at the end; where nothing counts, before the loads are closed.

    `but` is asked about already; `tells`: by all of its words something happened, whatever it names.

    | what they name | kept as | where a load only comes up or cools, and nothing tells of what was |
    | --- | --- | --- |
    | acid, food, jars, vent, altitude, how far the gauge is off | that | that |
    | the stove, or a loss | in question, which is asked first; of a hold that is over at once | moot: nothing |
    | the gauge, or another part of the canner, before a hold | a fault, unless it is put right | that |
    | nothing that we know, but they tell of something | unexplained | unexplained |
    """
    hot = [load for load in talk.kitchen.open_loads if load.stage in HOT and load.processed_t is None]
    packed = [load for load in talk.kitchen.open_loads if load.stage is Stage.PACK]
    loads = hot or [load for load in talk.kitchen.open_loads if load.stands] or packed
    own = [load for load in talk.kitchen.open_loads if load.food == particulars(text).get("food")]
    loads = [load for load in own if load in (*hot, *packed) or load.stands] or loads
    if not hot:
        _keep_what_is_in(talk, text)
    kinds, hears = [*things(talk, text)], talk.language.hears
    of_stove = may_be_read(talk, text) or any(hears(each, text) for each in ("of_stove", "loss"))
    happened = loads != packed and (hears("happening", text) or _may_be_a_loss(talk))
    waits = all(load.stage is Stage.COME_UP or (load.stage is Stage.COOL and load.heat_off) for load in loads)
    if waits and not kinds and hears("slowly", text):
        return
    of_gear = hears("of_gear", text) and (happened or likelihood(text) >= LIKELY_TOLD)
    of_gear = of_gear and all(load.stage in BEFORE_HOLD for load in loads)
    lost = talk.asks_nothing and all(load.hold is not None and load.hold.lost_t is not None for load in loads)
    moot = of_stove and (lost or (waits and not (happened or hears("past", text))))  # nothing is left to lose
    first = ["of_fault"] if of_gear else ["in_question"] if of_stove and not moot else []
    kinds = kinds if "of_gauge" in kinds else first + kinds
    unexplained = (happened or tells) and not (but or (moot and not any(load.heat_off for load in loads)))
    to_come = talk.noted("answered") is not None and hears("to_come", text) and not is_past(talk, text)
    over = loads != packed and not hot and may_be_of_hold(talk, text)  # no end is left to ask at
    vented = kinds == ["of_vent"] and all(load.vented_s and load.processed_t is None for load in loads)
    kinds = kinds or (["unexplained"] if unexplained and not to_come else [])
    for kind in (each for each in kinds if each != but):
        doubting.keep(talk, kind, loads, text, now=vented or (over and kind == "in_question"))


def _keep_what_is_in(talk: Talk, text: str) -> None:
    """Keep what a statement puts into jars that it isn't the food of, from the packing on."""
    loads = [load for load in talk.kitchen.open_loads if not load.processed_t]
    names_load = talk.language.hears("of_stove", text) and named_loads(talk, text)
    if not (names_load or is_of_other_matters(talk, text)) and names_other_food(talk, text, *talk.kitchen.open_loads):
        doubting.keep(talk, "of_food", loads, text)


def _meant(talk: Talk, *, past: bool) -> list[Load]:
    """Return the loads that count, have just ended or are in doubt; of the `past`, those that were over long before.

    Of a load whose lid is off, only the past can be told.
    """

    def is_meant(load: Load) -> bool:
        just = ends_late(load, talk.t) and not load.heat_off  # with the heat off it falls
        return load.claims or (load.stands and (past or load.lid_off or load.doubt or just))

    return [load for load in talk.kitchen.open_loads if is_meant(load)]


def _claimed(talk: Talk) -> bool:
    return any(load.claims or load.stands for load in talk.kitchen.open_loads)


def _missed(talk: Talk) -> bool:
    """True if nothing became of a sentence."""
    return all(talk.noted(each) is None for each in _TAKEN)


def _family_of(near: TranscriptNote | None) -> Family | None:
    """Return the question that was answered or asked back, if one was: else a command was."""
    return None if near is None or "obeyed" in near.data else family(str(near.data["family"]))


def _may_be_a_loss(talk: Talk) -> bool:
    """True if the words were asked back as a possible loss: unanswered, they stay open."""
    guess, known = talk.noted("guessed"), _family_of(talk.noted("asked_back"))
    return (guess is not None and guess.data["intent"] in _LOSSES) or bool(known and (known.ends_hold or known.fault))


# ---------------------------------------------------------------- a zero


def _put_off(talk: Talk, before: Frame | None) -> None:
    """Ask of the one that is named whether it is at zero: something else was said since."""
    asked = talk.question
    said = None if asked is None or asked.kind != "which" or before is None or not asked.same(before) else asked.said
    if asked is not None and said is not None and tells_zero(said.intent, said.slots):
        talk.question = replace(asked, said=replace(said, intent="gauge_zero", slots={"reading": "fell"}))


def _deny_zeros(talk: Talk, was: Before) -> None:
    """Take back the zeros told before this turn that it wasn't of another load, and ask to look again; ask anew about
    one that is only asked about: a yes from now on is to what was said since."""
    asked = was.asked
    if asked is not None and asked.about in _OF_A_ZERO and talk.question is not None and talk.question.same(asked):
        cools = talk.kitchen.load(asked.load)
        if cools is not None and asked.said is not None and tells_zero(asked.said.intent, asked.said.slots):
            talk.withhold(Urgency.CAUTION)
            frames.close(talk, asked)
            denying.ask_zero(talk, cools)
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
    of_hold = any(event.kind == "doubt" and event.data.keys() >= {"words", "told"} for event in talk.told)
    of_hold = of_hold or was_on(talk, asked, said.text)
    if talk.written and (of_hold or is_of_the_hold(talk, without_name(talk, said.text))):
        return True
    if answered is not None:
        known = _family_of(answered)
        if asks(without_name(talk, said.text)):
            return known is None or not (answered.data["doubt"] or known.shut)
        told = known is not None and (known.fault or known.ends_hold) and said.intent != "yes"  # that was weighed
        calm = known is None or not (known.shut or told)
        return talk.written and calm and not may_tell_of_heat(talk, said.text)
    if said.intent in _ANSWERS and asked is not None and not asked.passive:
        return not (said.intent == "no" and asked.about in _ASKS_BACK)
    if said.intent is None:
        form = asked is not None and asked.kind == "form" and not called
        return is_filler(talk, said.text) or form or (talk.written and not may_tell_of_heat(talk, said.text))
    if said.intent == "heat_off" and not talk.language.hears("just_now", said.text):
        return talk.written  # as it was, or of weight or lid
    if said.intent in _HARMLESS:
        return said.slots.get("about") not in _OF_STOVE
    return said.intent in ("pressure_is", "number") and said.slots.get("pressure", said.slots.get("value")) == 0
