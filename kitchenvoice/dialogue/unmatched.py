"""What becomes of a sentence that isn't one of those that can be said now.

It may be one of another stage, a question of the knowledge base, an answer that wasn't sure, or have a word in it that
may tell of a loss. Else the prompts taper: a short one, then what can be said, then silence until called.
"""

from __future__ import annotations

from dataclasses import replace

from kitchenvoice.dialogue import choosing, contradicting, doubting, frames, overheard, reports, sayable, steering
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.frames import Frame, window_s
from kitchenvoice.dialogue.knowing import answer_question, is_question
from kitchenvoice.dialogue.missing import answer_nearest, is_worded, three_to_say
from kitchenvoice.dialogue.rewording import guessed
from kitchenvoice.dialogue.taking import told_apart
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import Grammar, intents_that, normalise, written
from kitchenvoice.grammar.typos import mistyped
from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.reference.nearness import asks

__all__ = ["answer_unmatched", "doubt_check", "wait_on"]

_BARE = intents_that("bare")
_READ_BACK = frozenset({"altitude", "attention"})
"""Slots whose answer counts only after a yes, so that one that isn't sure is read back as well."""
_YES_OR_NO = frozenset({"yes_no", "load_ok"})
_FILLS = frozenset({"choice", "change_load"})
"""What may fill another slot of a form than the one that was asked."""
_OF_OURS = ("of_stove", "of_vent", "of_jars", "of_food")
"""What a sentence is about that gets offers of what can be said; any other may be talk of the kitchen."""
_MOST_MISSES = 2
_LONGEST_ANSWER = 5
_A_FEW, _MANY = 1, 5
"""Most unknown words of a statement that is asked back, before and after a question that is near."""


def answer_unmatched(talk: Talk, utterance: Utterance, understood: Understanding, t: float, *, typed: bool) -> None:
    """Answer with tapered prompts: a short one, then what can be said, then silence until called."""
    question = sayable.open_question(talk, t)
    called = understood.attention or typed or t <= talk.attention_until
    form_of = talk.forms[question.about] if question is not None and question.kind == "form" else None
    longest = form_of.longest if form_of is not None else _LONGEST_ANSWER
    asked = question is not None and not question.passive and len(understood.text.split()) <= longest
    unasked = understood.reject_reason == "silence" or (understood.reject_reason == "no_attention" and not called)
    if talk.asleep and called:
        _note_asleep(talk, utterance)
    if talk.asleep or unasked or not (called or asked):
        talk.note("ignored", understood.text, reason=understood.reject_reason or "")
        return
    if (
        question is not None
        and form_of is not None
        and form_of.missed(talk, question, utterance.dictation or understood.text)
    ):
        return
    if (
        question is not None
        and question.values.get("slot") in _READ_BACK
        and _read_back_unsure(talk, understood, t, typed=typed)
    ):
        return
    if understood.reject_reason == "too_soft" or utterance.trouble == "too_loud":
        talk.say("talk", utterance.trouble or "too_soft")
        return
    if called and understood.reject_reason == "unsure" and _ask_back(talk, understood, t, typed=typed):
        return
    if called and understood.reject_reason != "unsure" and _elsewhere(talk, utterance, typed=typed):
        return
    live = sayable.grammar(talk, t, typed=typed)
    form = question is not None and question.kind == "form" and question.expects not in _YES_OR_NO
    answer = question is not None and not question.passive and not asks(overheard.without_name(talk, understood.text))
    worded = typed and not form and not answer and is_worded(talk, understood.text)
    if called and (answer_nearest if worded else answer_question)(talk, understood.text, live):
        return
    if typed and (question is None or question.passive) and contradicting.is_filler(talk, understood.text):
        talk.obey(Heard("waiting", {}, understood.text, t))
        return
    if typed and not form and not answer:
        said = understood.text
        if _guess(talk, said, live, _A_FEW) or answer_nearest(talk, said, live) or _guess(talk, said, live, _MANY):
            talk.misses = 0
            return
    talk.misses += 1
    if question is not None and talk.language.hears("hedge", understood.text):
        talk.misses = 0
        if doubt_check(talk, question, understood.text):
            return
    if called and overheard.warn(talk, understood.text):
        return
    counts = any(load.claims for load in talk.kitchen.open_loads)
    strange = _strange_word(talk, understood.text, t, answer=form) if typed else None
    if strange is not None:
        talk.say("talk", "mistyped", word=strange[0], known=strange[1])
    elif question is not None and form and talk.misses != _MOST_MISSES and (called or talk.misses <= 1):
        talk.say("talk", "again_asked", prompt=frames.words(talk, question))
    elif talk.misses <= 1 and counts and contradicting.tells_of_loss(talk, understood.text):
        talk.say("talk", "not_sure")
    elif talk.misses <= 1 and (not typed or (question is not None and not question.passive)):
        talk.say("talk", "again")
    elif typed and talk.misses <= 1 and asks(overheard.without_name(talk, understood.text)):
        talk.say("everyday", "unanswered")
    elif talk.misses == _MOST_MISSES:
        talk.say("talk", "no_match_help", help=steering.help_text(talk))
    elif talk.kitchen.open_loads and talk.misses <= 1 and not _is_of_ours(talk, understood.text):
        talk.say("talk", "not_sure")
    elif talk.misses <= 1:
        said = talk.language.say("talk", "help", phrases=three_to_say(talk, understood.text))
        talk.say("talk", "no_match_help", help=said)
    elif called:
        talk.say("talk", "cant_answer", attention=talk.profile.attention)
    else:
        talk.note("ignored", understood.text, reason="missed_often")
    if question is not None and talk.misses <= _MOST_MISSES and talk.question == question:
        wait_on(talk, question)


def _is_of_ours(talk: Talk, text: str) -> bool:
    return any(talk.language.hears(each, text) for each in _OF_OURS)


def _strange_word(talk: Talk, text: str, t: float, *, answer: bool) -> tuple[str, str] | None:
    return mistyped(text, sayable.grammar(talk, t, typed=not answer), talk.book.words, answer=answer)


def _read_back_unsure(talk: Talk, understood: Understanding, t: float, *, typed: bool) -> bool:
    """Take an unsure answer where it is read back and wants a yes anyway; tell whether it was one."""
    if understood.reject_reason != "unsure":
        return False
    readings = sayable.grammar(talk, t, typed=typed).parse(understood.text)
    reading = next((each for each in readings if each.intent in ("number", "choice", "set_altitude")), None)
    if reading is None:
        return False
    talk.misses = 0
    return frames.take(talk, Heard(reading.intent, reading.slots, understood.text, t, understood.attention))


def _ask_back(talk: Talk, understood: Understanding, t: float, *, typed: bool) -> bool:
    """Ask whether she said what was heard best, where something else is nearly as likely; a yes makes it count."""
    readings = sayable.grammar(talk, t, typed=typed).parse(understood.text)
    reading = next((each for each in readings if each.intent not in (*_BARE, "attention")), None)
    if reading is None or (talk.question is not None and talk.question.pressing):
        return False
    heard = Heard(reading.intent, reading.slots, understood.text, t, True, None)
    rival = {} if understood.rival is None else understood.rival.slots
    said = understood.text.removeprefix(normalise(talk.profile.attention)).strip()
    told = written(said + told_apart(talk, reading.slots, rival))
    prompt = talk.language.say("talk", "did_you_say", said=told)
    talk.ask_yes_no("said", prompt, heard, as_heard=said)
    return True


def _guess(talk: Talk, text: str, grammar: Grammar, strange: int) -> bool:
    """Ask back the report that a statement may be; what it may tell besides is looked for first."""
    loss = contradicting.tells_of_loss(talk, text) and any(load.claims for load in talk.kitchen.open_loads)
    guess = None if loss or asks(overheard.without_name(talk, text)) else guessed(text, grammar, strange)
    if guess is None:
        return False
    sentence, reading = guess
    of_gauge = contradicting.may_be_read(talk, text)
    if ("count" in reading.slots and of_gauge) or (reading.slots.get("pressure") and not of_gauge):
        return False
    talk.note("guessed", text, intent=reading.intent, slots=reading.slots)
    overheard.warn(talk, text)
    prompt = talk.language.say("talk", "did_you_say", said=written(sentence))
    talk.ask_yes_no("said", prompt, Heard(reading.intent, reading.slots, text, talk.t), as_heard=sentence)
    return True


def _note_asleep(talk: Talk, utterance: Utterance) -> None:
    """Write down what may be a loss, though nobody listens."""
    text = " ".join(utterance.alternatives[:1])
    readings = sayable.anywhere(talk).parse(text)
    for reading in readings[:1]:
        doubting.note_asleep(talk, Heard(reading.intent, reading.slots, text, talk.t))
    if not readings and contradicting.tells_of_loss(talk, text):
        talk.say("talk", "not_taken_asleep", urgency=Urgency.CAUTION, attention=talk.profile.attention)


def _elsewhere(talk: Talk, utterance: Utterance, *, typed: bool) -> bool:
    """Say where she is if the sentence is a whole one of another stage."""
    anywhere = sayable.anywhere(talk, typed=typed)
    for text in utterance.alternatives[:1]:
        if not talk.kitchen.open_loads and is_question(talk, text):
            return False  # without a load it can only be a question
        readings = anywhere.parse(text)
        of_jars = anywhere.food_in(text) or ("", False)
        if not readings and typed and not of_jars[1] and not is_question(talk, text):
            worded = ((each.text, anywhere.parse(each.text)) for each in anywhere.other_words(text))
            kept = (found for each, found in worded if found and not anywhere.leaves_out(text, each, found[0].intent))
            readings = next(kept, ())
        if readings and readings[0].intent != "attention":
            talk.misses = 0
            fills = talk.question is not None and talk.question.kind == "form" and readings[0].intent in _FILLS
            if fills and frames.take(talk, Heard("choice", readings[0].slots, text, talk.t, True)):
                return True
            said = choosing.named_in(Heard(readings[0].intent, readings[0].slots, text, talk.t))
            named = () if said is None else choosing.find_loads(talk, said)
            reports.refuse_stage(talk, readings[0].intent, text, named, readings[0].slots)
            talk.note("refused", text, intent=readings[0].intent)
            return True
    return False


def doubt_check(talk: Talk, question: Frame, text: str) -> bool:
    """Take what is no clear answer to a question about the stove for a doubt, which is asked about."""
    load = talk.kitchen.load(question.load)
    if question.kind != "check" or load is None:
        return False
    talk.say("talk", "no_answer")
    doubting.not_understood(talk, text, [load])
    return True


def wait_on(talk: Talk, question: Frame) -> None:
    window_t = max(question.window_t, talk.t + window_s(question.prompt))
    talk.question = replace(question, window_t=window_t)
