"""Handling of sentences that aren't among those that can be said now.

It may be one of another stage, a question of the knowledge base, an answer that wasn't sure, or have a word in it that
may tell of a loss. Else the prompts taper.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from kitchenvoice.dialogue import altitude, choosing, doubting, frames, overheard, perils, reports, sayable, statements
from kitchenvoice.dialogue.belonging import is_moot
from kitchenvoice.dialogue.catching_up import is_ahead
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.crocks import name_crocks
from kitchenvoice.dialogue.form import SLOTS
from kitchenvoice.dialogue.going_off import tells_heat_off
from kitchenvoice.dialogue.knowing import Asked, answer, answer_question, is_question
from kitchenvoice.dialogue.missing import answer_nearest, is_worded
from kitchenvoice.dialogue.not_understood import Miss, ask_for_number, doubt_check, slip, taper
from kitchenvoice.dialogue.question import OF_WORDS
from kitchenvoice.dialogue.reading_off import ask_reading
from kitchenvoice.dialogue.replying import says_no
from kitchenvoice.dialogue.rewording import guessed, spots
from kitchenvoice.dialogue.sensing import answer_sense, take_flaw
from kitchenvoice.dialogue.sheets import tell_added, tell_part
from kitchenvoice.dialogue.taking import told_apart
from kitchenvoice.dialogue.turn import Heard
from kitchenvoice.dialogue.understand import Understanding, meant
from kitchenvoice.grammar import intents_that, normalise, written
from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.process import Stage, raised_by
from kitchenvoice.reference.ferments import ferment_of, said_of_ferment
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.nearness import asks, question_in
from kitchenvoice.reference.weighing import likelihood

__all__ = ["answer_unmatched", "note_asleep"]

_BARE, _AT_THE_LID = intents_that("bare"), intents_that("at_lid")
_MAY_END = intents_that("loss") | {"not_yet"}
_READ_BACK = frozenset({"altitude", "attention"})
"""Slots whose answer counts only after a yes, so that one that isn't sure is read back as well."""
_FILLS = frozenset({"choice", "change_load"})
"""What may fill another slot of a form than the one that was asked."""
_NUMBERS = frozenset({"packed_in_all", "pressure_is", "other_count"})
"""Reports of a number that may be another one, where that is awaited."""
_FILLS_A_FORM = frozenset({"choice", "number"})
_OF_A_LOAD = frozenset({"load_start", "consult"})
"""Forms that are filled by what is named among other words."""
_OFF_THE_STOVE = frozenset({Stage.PACK, Stage.REST, Stage.COUNT, Stage.KEEP})
_LONGEST_ANSWER = 5
_MOST_WORDS, _LONGEST_HEIGHT, _LEAST_HEIGHT = 60, 12, 300
"""Of how many words an altitude is looked for, how many may tell one, and the least without its unit."""
_A_FEW, _MANY = 1, 5
"""Most unknown words of a statement that is asked back, before and after a question that is near."""


def answer_unmatched(talk: Talk, utterance: Utterance, understood: Understanding, t: float, *, typed: bool) -> None:
    """Find another meaning, or answer that it wasn't understood; ignore words not addressed to the program."""
    question = sayable.open_question(talk, t)
    called = understood.attention or typed or t <= talk.attention_until
    longest = (
        talk.forms[question.about].longest if question is not None and question.kind == "form" else _LONGEST_ANSWER
    )
    asked = question is not None and not question.passive and len(understood.text.split()) <= longest
    unasked = understood.reject_reason == "silence" or (understood.reject_reason == "no_attention" and not called)
    if talk.asleep and called:
        _note_asleep(talk, utterance)
    if talk.asleep or unasked or not (called or asked):
        talk.note("ignored", understood.text, reason=understood.reject_reason or "")
        return
    live = sayable.grammar(talk, t, typed=typed)
    miss = Miss(utterance, understood, question, live, typed=typed, called=called)
    if not any(taken(talk, miss) for taken in _MAY_BE):
        taper(talk, miss)
    perils.lead(talk, miss.typed_text)


# ---------------------------------------------------------------- what it may be, each of which tells whether it was


def _no_sentence(talk: Talk, miss: Miss) -> bool:
    """Leave to a form what it does with words that are no sentence."""
    asked, said = miss.question, miss.utterance.dictation or miss.text
    return asked is not None and asked.kind == "form" and talk.forms[asked.about].missed(talk, asked, said)


def _both_ways(talk: Talk, miss: Miss) -> bool:
    """Ask again where yes and no were said in one."""
    both = miss.question is not None and miss.typed and talk.language.hears("both_ways", miss.text)
    if both and miss.question is not None:
        frames.again(talk, miss.question)
    return both


def _denies(talk: Talk, miss: Miss) -> bool:
    """Take for a no what says that the stove doesn't do what is asked, or only should, and tells of no known loss."""
    asked, should = talk.question if miss.typed else None, talk.language.hears("only_should", miss.text)
    no = asked is not None and (says_no(talk, miss.text) or (asked.of_stove and should))
    return asked is not None and no and doubt_check(talk, asked, miss.text)


def _not_sure(talk: Talk, miss: Miss) -> bool:
    """Take an unsure answer where it is read back and wants a yes anyway."""
    if miss.question is None or miss.question.values.get("slot") not in _READ_BACK or not miss.unsure:
        return False
    readings = miss.live.parse(miss.text)
    reading = next((each for each in readings if each.intent in ("number", "choice", "set_altitude")), None)
    if reading is None:
        return False
    talk.misses = 0
    return frames.take(talk, Heard(reading.intent, reading.slots, miss.text, talk.t, miss.understood.attention))


def _too_soft_or_loud(talk: Talk, miss: Miss) -> bool:
    trouble = "too_soft" if miss.understood.reject_reason == "too_soft" else miss.utterance.trouble
    if trouble not in ("too_soft", "too_loud"):
        return False
    talk.say("unmatched", miss.utterance.trouble or trouble)
    return True


def _of_a_ferment(talk: Talk, miss: Miss) -> bool:
    """Take for the ferment that is going, or in the jars, what is likely said of one; a crock beside jars is named."""
    text, loads, crocks = overheard.without_name(talk, miss.text), talk.kitchen.open_loads, talk.kitchen.crocks
    named = {*(crock.food for crock in crocks), *(load.food for load in loads)}
    foods = {food for food in named if ferment_of(food) is not None}
    off_the_stove = _OFF_THE_STOVE.issuperset(load.stage for load in loads)
    if not (foods and off_the_stove and miss.called and _is_compared(talk, miss)):
        return False
    family = said_of_ferment(text) if particulars(text).get("food") in (None, *foods) else None
    if family is not None:
        answer(talk, miss.text, Asked(family, doubt=False))
        if crocks and loads:
            talk.lead(talk.language.say("unmatched", "of_the_crock", {"crocks": name_crocks(talk)}), Urgency.CAUTION)
    return family is not None


def _of_recipe(talk: Talk, miss: Miss) -> bool:
    said = overheard.without_name(talk, miss.text)
    asked = miss.called and _is_compared(talk, miss) and asks(said)
    return asked and (tell_part(talk, said) or tell_added(talk, said))


def _nearly_as_likely(talk: Talk, miss: Miss) -> bool:
    """Ask whether it was said as it was heard best, where something else is nearly as likely; a yes makes it count."""
    if not (miss.called and miss.unsure):
        return False
    reading = next((each for each in miss.live.parse(miss.text) if each.intent not in (*_BARE, "attention")), None)
    if reading is None or (talk.question is not None and talk.question.pressing):
        return False
    rival = {} if miss.understood.rival is None else miss.understood.rival.slots
    said = miss.text.removeprefix(normalise(talk.profile.attention)).strip()
    told = written(said + told_apart(talk, reading.slots, rival))
    prompt = talk.language.say("unmatched", "did_you_say", said=told)
    frames.ask_yes_no(
        talk, "said", prompt, Heard(reading.intent, reading.slots, miss.text, talk.t, True, None), as_heard=said
    )
    return True


def _of_another_stage(talk: Talk, miss: Miss) -> bool:
    """Say where the load is if it is a whole sentence of another stage."""
    if not miss.called or miss.unsure or statements.is_of_gauge(talk, miss.text):
        return False
    anywhere = sayable.anywhere(talk, typed=miss.typed)
    for text in miss.utterance.alternatives[:1]:
        if not talk.kitchen.open_loads and (is_question(talk, text) or (miss.typed and question_in(text))):
            return False  # without a load it can only be a question
        readings = sorted(anywhere.parse(text), key=lambda each: each.intent == "where_are_we")  # of any stage
        of_jars = anywhere.food_in(text) or ("", False)
        if not readings and miss.typed and not of_jars[1] and not is_question(talk, text):
            worded = ((each.text, anywhere.parse(each.text)) for each in anywhere.other_words(text))
            kept = (found for each, found in worded if found and not anywhere.leaves_out(text, each, found[0].intent))
            readings = list(next(kept, ()))
        told = miss.typed and talk.kitchen.claiming and likelihood(text) >= statements.SURELY_TOLD
        if told and readings and readings[0].intent in _MAY_END:
            return False  # "it died down" is said of steam as of pressure: it is asked about
        if readings and readings[0].intent != "attention":
            talk.misses = 0
            heard = Heard(readings[0].intent, readings[0].slots, text, talk.t)
            if heard.intent == "set_altitude" and altitude.is_another(talk, heard):
                talk.obey(heard)  # at any time: what is asked now waits for it
            elif not _fills(talk, heard) and not _is_unlike(talk, text) and not _surely_else(talk, miss):
                said = choosing.named_in(heard)
                named = () if said is None else choosing.find_loads(talk, said)
                ahead = talk.focus is not None and is_ahead(talk, talk.focus)
                of_gauge = ahead or talk.language.hears("of_stove", text)
                if said is not None and not named and talk.kitchen.open_loads:
                    choosing.no_such_load(talk, talk.kitchen.open_loads)
                elif of_gauge or not (miss.typed and heard.intent in _NUMBERS and ask_for_number(talk)):
                    frames.give_way(talk)
                    reports.refuse_stage(talk, heard.intent, text, named, heard.slots)
                catches_up = talk.question is not None and talk.question.about == "catch_up"
                moot = catches_up or is_moot(talk, heard.intent, heard.slots)
                talk.note("refused", text, intent=heard.intent, moot=moot)
            return True
    return False


def _surely_else(talk: Talk, miss: Miss) -> bool:
    """Take it for what it surely means by all of its words, rather than for a sentence of another stage."""
    said = overheard.without_name(talk, miss.text)
    return _is_compared(talk, miss) and not asks(said) and answer_sense(talk, said, miss.live, sure=True)


def _fills(talk: Talk, heard: Heard) -> bool:
    fills = talk.question is not None and talk.question.kind == "form" and heard.intent in _FILLS
    return fills and frames.take(talk, Heard("choice", heard.slots, heard.text, talk.t, True))


def _unlike(talk: Talk, miss: Miss) -> bool:
    return slip(talk, miss) is None and _is_unlike(talk, miss.text)


def _is_unlike(talk: Talk, text: str) -> bool:
    """True if a form takes it for something else than what was read back of it."""
    question = talk.question
    return question is not None and question.kind == "form" and talk.forms[question.about].unlike(talk, question, text)


def _height(talk: Talk, miss: Miss) -> bool:
    """Read an altitude back that is told among other words: no load starts until it is settled."""
    text = overheard.without_name(talk, miss.text)
    if not _is_compared(talk, miss) or asks(text):
        return False
    words, heights = text.split()[:_MOST_WORDS], sayable.heights(talk)
    ends = ((at, end) for at in range(len(words)) for end in range(min(len(words), at + _LONGEST_HEIGHT), at, -1))
    spans = (" ".join(words[at:end]) for at, end in ends)
    placed, slots = talk.language.hears("of_place", text), (x.slots for span in spans for x in heights.parse(span))
    read = ({"altitude_ft": each["value"], **each} if "value" in each else each for each in slots)
    high = (each for each in read if each.get("said_in") or (placed and each.get("altitude_ft", 0) >= _LEAST_HEIGHT))
    told = (Heard("set_altitude", {**each, "told": 1}, text, talk.t) for each in high)
    found = next((each for each in told if altitude.is_another(talk, each)), None)
    if found is None:
        return False
    talk.misses = 0
    talk.obey(found)
    return True


def _goes_off(talk: Talk, miss: Miss) -> bool:
    """Take words that tell of heat that goes off for that report, whatever else there is to say of them."""
    told = tells_heat_off(talk, miss.text)
    if told is not None:
        _question(talk, miss)
        talk.note("goes_off", miss.text)
        talk.misses = 0
        talk.obey(told)
    return told is not None


def _question(talk: Talk, miss: Miss) -> bool:
    worded = _is_compared(talk, miss) and is_worded(talk, miss.text)
    return miss.called and (answer_nearest if worded else answer_question)(talk, miss.text, miss.live)


def _is_compared(talk: Talk, miss: Miss) -> bool:
    """True if it may be near to a question or a report: typed, no answer to what is asked, and not in a set-up."""
    asked = miss.question
    open_to_all = asked is None or asked.passive or asked.about in OF_WORDS
    answers = not open_to_all and not asks(overheard.without_name(talk, miss.text))
    return miss.typed and not answers and not (miss.form and asked is not None and asked.about == "setup")


def _filler(talk: Talk, miss: Miss) -> bool:
    """Wait where only small words are said; ask a question again that a hold hangs on: they answer none."""
    idle, asked = miss.question is None or miss.question.passive, talk.question
    hangs = asked is not None and asked.kind == "loss"
    if not (miss.typed and (idle or hangs) and statements.is_filler(talk, miss.text)):
        return False
    if hangs and asked is not None:
        frames.again(talk, asked)
    else:
        talk.obey(Heard("waiting", {}, miss.text, talk.t))
    return True


def _flawed(talk: Talk, miss: Miss) -> bool:
    return _is_compared(talk, miss) and take_flaw(talk, miss.typed_text)


def _reading(talk: Talk, miss: Miss) -> bool:
    return _is_compared(talk, miss) and ask_reading(talk, miss)


def _hurries(talk: Talk, miss: Miss) -> bool:
    return _is_compared(talk, miss) and perils.let_cool(talk, miss.typed_text)


def _near(talk: Talk, miss: Miss) -> bool:
    """Ask back what it is near to: a report of nearly these words, a question, a report of some of them."""
    if not _is_compared(talk, miss):
        return False
    near = _guess(talk, miss, _A_FEW) or answer_nearest(talk, miss.text, miss.live) or _guess(talk, miss, _MANY)
    talk.misses = 0 if near else talk.misses
    return near


def _guess(talk: Talk, miss: Miss, strange: int) -> bool:
    """Ask back the report that a statement may be; what it may tell besides is looked for first."""
    text = miss.text
    loss = statements.tells_of_hold(talk, text)
    asking = asks(overheard.without_name(talk, text)) or question_in(text) is not None
    guess = None if loss or asking else guessed(text, miss.live, strange)
    if guess is None:
        return False
    sentence, reading = guess
    likely = likelihood(overheard.without_name(talk, text)) if reading.intent == "jars_in" else 0.0
    if talk.kitchen.open_loads and (talk.language.hears("of_addition", text) or likely >= statements.PLAINLY_TOLD):
        return False  # it tells more than that
    of_gauge = statements.may_be_read(talk, text)
    other = "bare" in reading.slots or (reading.slots.get("sealed") and talk.language.hears("wet", text))
    if other or ("count" in reading.slots and of_gauge) or (reading.slots.get("pressure") and not of_gauge):
        return False
    talk.note("guessed", text, intent=reading.intent, slots=reading.slots)
    perils.warn(talk, text)
    prompt = talk.language.say("unmatched", "did_you_say", said=written(sentence))
    named = [load.id for load in talk.kitchen.open_loads if load.food == particulars(text).get("food")]
    heard = Heard(reading.intent, reading.slots, text, talk.t, of=named[0] if len(named) == 1 else None)
    frames.ask_yes_no(talk, "said", prompt, heard, as_heard=sentence)
    return True


def _spotted(talk: Talk, miss: Miss) -> bool:
    """Fill a form by what is named in a typed sentence among other words: all of it is read back."""
    asked, text = miss.question, overheard.without_name(talk, miss.text)
    one = talk.language.number(1)
    slot = asked.values.get("slot") if asked is not None and asked.about in _OF_A_LOAD else None
    if asked is None or slot not in SLOTS or not miss.typed or asks(text) or talk.language.hears("not_spotted", text):
        return False
    found = dict[str, Any]()

    def read(span: str) -> Mapping[str, Any] | None:
        each = meant(miss.live.parse(span))
        return None if each is None or each.intent not in _FILLS_A_FORM else each.slots

    for at, (span, slots) in enumerate(spots(text, _LONGEST_ANSWER, read)):
        bare = slots is not None and slots.keys() <= {"count", "value"} and " " not in span and slot != "count"
        if slots is not None and not bare and not (at and span == one):  # "the other one" is no number
            found |= {name: value for name, value in slots.items() if name != "food" or slot == "food"}
    count = found.pop("value", None)
    slots = {**found, **({"count": int(count)} if count is not None else {})}
    return bool(slots) and frames.take(talk, Heard("choice", slots, miss.text, talk.t))


_MAY_BE: tuple[Callable[[Talk, Miss], bool], ...] = (
    _no_sentence,
    _both_ways,
    _not_sure,
    _too_soft_or_loud,
    _of_a_ferment,
    _of_recipe,
    _nearly_as_likely,
    _flawed,
    _of_another_stage,
    _unlike,
    _spotted,
    _goes_off,
    _height,
    _denies,
    _filler,
    _question,
    _reading,
    _hurries,
    _near,
)
"""In this order."""


def note_asleep(talk: Talk, heard: Heard) -> None:
    """Record a possible loss while not listening: it is asked about on waking, or counts."""
    psi = heard.slots.get("pressure")
    for load in talk.kitchen.open_loads:
        below = psi is not None and psi < (load.process.target_psi or 0)
        late = raised_by(load, heard.intent, dict(heard.slots), talk.t)
        if heard.intent in doubting.OF_ONE_REPORT or below or heard.intent == "gauge_zero":
            kind = (
                late[0]
                if late is not None
                else heard.intent
                if heard.intent in doubting.OF_ONE_REPORT
                else "pressure_low"
            )
            talk.record("doubt", None, heard.text, {**(late[1] if late else {}), "kind": kind, "loads": (load.id,)})


def _note_asleep(talk: Talk, utterance: Utterance) -> None:
    """Write down what may be a loss, though nobody listens."""
    text = " ".join(utterance.alternatives[:1])
    readings = sayable.anywhere(talk).parse(text)
    for reading in readings[:1]:
        note_asleep(talk, Heard(reading.intent, reading.slots, text, talk.t))
        if reading.intent in _AT_THE_LID:
            overheard.warn_of_the_lid(talk)
    if not readings and statements.tells_of_loss(talk, text):
        talk.say("conversation", "not_taken_asleep", urgency=Urgency.CAUTION, attention=talk.profile.attention)
