"""Signs in the words of a sentence: of a loss, a reading, other food, heat that is left, or nothing of the canning.

Which words those are is data of the language. Nothing is written down here.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence

from kitchenvoice.dialogue.belonging import may_have
from kitchenvoice.dialogue.choosing import called_in
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.overheard import SPOKEN_IN, without_name
from kitchenvoice.dialogue.subjects import clauses_of_ours, supposed
from kitchenvoice.dialogue.turn import tells_zero
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import intents_that, normalise
from kitchenvoice.kitchen.profile import JAR_SIZES
from kitchenvoice.process import THINGS, Load, Stage
from kitchenvoice.reference.food_talk import particulars
from kitchenvoice.reference.names import refused_entry
from kitchenvoice.reference.nearness import asks
from kitchenvoice.reference.weighing import likelihood

__all__ = [
    "HOT",
    "LEAST_PSI",
    "LIKELY_TOLD",
    "MOST_PSI",
    "PLAINLY_TOLD",
    "SURELY_TOLD",
    "beside",
    "goes_off",
    "is_filler",
    "is_idle",
    "is_not_of_now",
    "is_of_gauge",
    "is_of_other_matters",
    "is_of_the_hold",
    "is_over",
    "is_past",
    "may_be_of_hold",
    "may_be_of_the_stove",
    "may_be_read",
    "may_tell",
    "may_tell_of_heat",
    "named_for",
    "named_loads",
    "names_less",
    "names_other_food",
    "names_under",
    "off_under_pressure",
    "only_denies",
    "presses_beside",
    "reads_enough",
    "reads_nothing",
    "spoils_zero",
    "stated",
    "tells_of_hold",
    "tells_of_loss",
    "tells_what_was",
    "things",
    "was_away",
    "was_opened",
]

HOT = frozenset({Stage.CANNER, Stage.VENT, Stage.COME_UP, Stage.HOLD})
"""Stages of a load that is on the heat, or about to be."""
LIKELY_TOLD, SURELY_TOLD, PLAINLY_TOLD = 0.25, 0.55, 0.85
"""Least likelihoods, by all its words, of a text that tells of something: of nothing that was made of it, whatever it
names, and in any stage."""
_OFF = ("lid_off", "weight_off")
_BESIDE_ZERO = intents_that("after_heat") | {"fine", "checked", "weight_off", "heat_off", "waiting", "thanked"}
"""What may be said together with a zero; beside all else it is asked whether it is one."""
_NOT_NOW = ("on_again", "foreign")
"""What is said beside heat that went off, if it isn't off now."""
_FEW = 3
"""Fewest words that tell of something by themselves."""
_BETWEEN = re.compile("[,.;:?!]")
LEAST_PSI, MOST_PSI = 5, 20
"""Smaller numbers, and that one, are of jars, or of no gauge."""
_NAMED = [kind for kind in THINGS if kind not in ("of_fault", "of_size", "of_cooling", "opened", "gauge_stuck")]
"""Kinds of doubt that words name; the others are told outright."""
_TELLING = ("of_stove", "happening", "past", "lid", "heat_on", "future", "supposes", "hoped", "of_vent", "limits")
"""Kinds of words by which what is said beside a report may tell more."""


def named_loads(talk: Talk, text: str) -> list[Load]:
    """Return the loads on the heat, or off it, that a text names by their food: only those are touched by it."""
    if talk.language.hears("another", text):
        return []
    return called_in(text, [load for load in talk.kitchen.open_loads if load.stage is not Stage.PACK])


def named_for(talk: Talk, text: str, report: Understanding, told: Iterable[Understanding]) -> int | None:
    """Return the one load that a text names, or the only other one if a report can't be of it beside all that is
    `told` in it."""
    named, beside = named_loads(talk, text.lower()), {each.intent for each in told}
    if len(named) != 1 or may_have(named[0], report.intent, beside):
        return named[0].id if len(named) == 1 else None
    steams = (load for load in talk.kitchen.open_loads if load.process.is_pressure and load.stage is not Stage.PACK)
    others = [load.id for load in steams if load.process.is_dial is not named[0].process.is_dial]
    return others[0] if len(others) == 1 else None


def tells_of_loss(talk: Talk, text: str) -> bool:
    """Tell whether a sentence has a word of a loss, by itself or said of a thing of the stove, or a low number."""
    told = [
        talk.language.unheard("denied", talk.language.unheard("tag", x)) for x in _told(talk, without_name(talk, text))
    ]
    text = " ".join(told)
    if not text or talk.language.hears("hoped", text):
        return False
    only = asks(text) and not supposed(talk.language, text)
    if only and talk.language.hears("on_condition", text):
        return False
    of = "asked_of" if only and talk.language.hears("plain_question", text) else "loss_of"
    said_of_a_thing = talk.language.hears(of, text) and talk.language.hears("thing", text)
    lost = any(talk.language.hears(each, text) for each in ("loss", "recovered", "doubted")) or was_off(talk, text)
    return lost or said_of_a_thing or any(names_less(talk, each) for each in (text, *told))


def tells_of_hold(talk: Talk, text: str) -> bool:
    """Tell whether a sentence tells of a loss in a hold that counts, or one that was in a hold that is over."""
    over = any(load.stands for load in talk.kitchen.open_loads) and may_be_of_hold(talk, text)
    return bool(talk.kitchen.claiming or over) and tells_of_loss(talk, text)


def may_be_of_hold(talk: Talk, text: str) -> bool:
    """Tell whether a text may be of a hold that is over: of what was, and not of lid, weight or what is hot now."""
    hears = talk.language.hears
    at_zero = any(hears(each, text) for each in ("lid", "warm", "heat_on")) and not hears("loss", text)
    return is_past(talk, text) and not (at_zero or talk.language.names_one(range(1, LEAST_PSI), text))


def may_be_of_the_stove(talk: Talk, text: str) -> bool:
    """True if a text names a thing of the stove, a loss or a hold, so that it isn't only of something ("it's down")."""
    named = any(talk.language.hears(each, text) for each in ("of_stove", "loss", "of_the_hold", "doubted"))
    return named or names_less(talk, text) or was_off(talk, text)


def names_less(talk: Talk, text: str) -> bool:
    """Tell whether a text has a number below the target of a hold in it that may be read off a gauge."""
    claiming = talk.kitchen.claiming
    dials = [load for load in claiming if load.process.is_dial] or claiming  # a weight reads no number
    least = min((load.process.target_psi or 0 for load in dials), default=0)
    below = range(LEAST_PSI, math.ceil(least))
    asked = [each for each in _told(talk, text) if talk.language.hears("whether_enough", each)]
    return any(talk.language.names_one(below, each) for each in asked) or names_under(talk, text, least)


def names_under(talk: Talk, text: str, psi: float) -> bool:
    """True if a text has a number below the given pressure that may be a gauge reading."""
    below, language = range(LEAST_PSI, math.ceil(psi)), talk.language
    return any(language.reads_one(below, each) or language.tells_one(below, each) for each in _told(talk, text))


def may_be_read(talk: Talk, text: str) -> bool:
    """Tell whether a number in a text may be one off a gauge."""
    return any(talk.language.reads_one(range(LEAST_PSI, MOST_PSI), each) for each in _told(talk, text))


def is_of_gauge(talk: Talk, text: str) -> bool:
    """Tell whether a text tells of the gauge itself, how far it is off or why it may be: no number in it is read."""
    return talk.language.hears("of_gauge", text)


def reads_nothing(talk: Talk, said: Understanding) -> bool:
    """True if what was taken for a reading or a loss tells of the gauge itself, or names a canner ("the dial one")."""
    named = said.slots.get("pressure") == 1 and talk.language.hears("named_one", said.text)
    return named or is_of_gauge(talk, said.text)


def may_tell(talk: Talk, text: str) -> bool:
    """True if a text is a typed statement that may be of the canning."""
    told = talk.written and talk.language.tag == SPOKEN_IN and not asks(without_name(talk, text))
    if not told or is_filler(talk, text):
        return False
    return not is_of_other_matters(talk, text) or likelihood(without_name(talk, text)) >= SURELY_TOLD


def stated(talk: Talk, text: str) -> str:
    """Return the statement beside a typed question, by its punctuation; nothing if there is none."""
    parts = [part for part in map(str.strip, _BETWEEN.split(text)) if part]
    told = [part for part in parts if not asks(without_name(talk, part))]
    words = " ".join(told)
    return normalise(words) if talk.written and len(told) < len(parts) and len(words.split()) >= _FEW else ""


def beside(talk: Talk, text: str, taken: str, fewest: int = _FEW) -> str:
    """Return the words of a text beside those that were taken; nothing where they are too few."""
    whole, words = without_name(talk, text).split(), without_name(talk, taken).split()
    at = next((place for place in range(len(whole)) if whole[place : place + len(words)] == words), None)
    left = [] if at is None else whole[:at] + whole[at + len(words) :]
    return " ".join(left) if len(left) >= fewest else ""


def only_denies(talk: Talk, text: str) -> bool:
    """True if a text denies a loss, and tells of nothing else."""
    rest = talk.language.unheard("denied", text)
    return rest != text and not (talk.language.hears("happening", rest) or names_less(talk, rest))


def tells_what_was(talk: Talk, text: str) -> bool:
    """True if a text surely tells of what happened, or was."""
    return (talk.language.hears("happening", text) or is_past(talk, text)) and likelihood(text) >= SURELY_TOLD


def was_away(talk: Talk, text: str) -> bool:
    """True if nobody watched for a while, so that nobody knows what the canner did."""
    return talk.language.hears("absent", text) and not talk.language.hears("another_day", text)


def was_opened(talk: Talk, text: str) -> bool:
    """True if somebody opened or moved a canner, by what is told of it."""
    text = without_name(talk, text)
    return talk.language.hears("opened", text) and not (asks(text) or talk.language.hears("limits", text))


def goes_off(talk: Talk, text: str) -> bool:
    """True if a text says that the heat goes off, or a canner off the heat; a food stands for its canner."""
    canner = talk.language.phrase("overheard", "canner")
    for load in talk.kitchen.open_loads:
        for name in (load.food_name, load.food_name.split()[-1]):
            text = text.replace(name, canner)
    return _heat_goes_off(talk, text) and not (asks(text) or any(talk.language.hears(x, text) for x in _NOT_NOW))


def was_off(talk: Talk, text: str) -> bool:
    """True if a text says that the heat went off for a while, at a time that it tells of."""
    return _heat_goes_off(talk, text) and any(talk.language.hears(each, text) for each in ("on_again", "narrated"))


def _heat_goes_off(talk: Talk, text: str) -> bool:
    return talk.language.hears("goes_off", text) and not talk.language.hears("not_off", text)


def is_over(talk: Talk, text: str) -> bool:
    """True if a text tells of what is over, and of nothing that is so now."""
    return talk.language.hears("narrated", text) and not talk.language.hears("now_so", text)


def is_not_of_now(talk: Talk, text: str) -> bool:
    """True if a text tells what was, or should be, and not of just now."""
    return talk.language.hears("not_of_now", text) and not talk.language.hears("just_now", text)


def is_past(talk: Talk, text: str) -> bool:
    """True if a text is of what was, or doubts it, so that it is of a hold that is over as well."""
    return any(talk.language.hears(each, text) for each in ("past", "doubted", "narrated"))


def names_other_food(talk: Talk, text: str, *loads: Load) -> bool:
    """Tell whether a text puts anything into jars that is no food of these loads, or says that theirs isn't it.

    Of several loads a food names one, of which something else may not be so.
    """
    if talk.language.hears("of_addition", text):
        return True
    own = {word for load in loads for word in load.food_name.split()}
    named = _foods(talk.language.unheard("of_acid", text))
    return bool(named) and (own.isdisjoint(text.split()) or (len(loads) == 1 and talk.language.hears("not_so", text)))


def _foods(text: str) -> set[str]:
    """Return the slots of the food that a text names; a kettle or an oven goes into no jar."""
    named = particulars(text)
    refused = refused_entry(str(named.get("food"))) or {"kind": "food"}
    return {*named} & {"food", "food_group"} if refused["kind"] == "food" else set()


def things(talk: Talk, text: str) -> Iterator[str]:
    """Yield the kinds of doubt that a text is of by what it names. A food named beside the stove names a load."""
    other = names_other_food(talk, text, *talk.kitchen.open_loads) and not talk.language.hears("of_stove", text)
    food = other and (talk.language.hears("of_addition", text) or _foods(text))
    weighted = any(load.process.watched == "weighted" for load in talk.kitchen.open_loads)
    dial = any(load.process.is_dial for load in talk.kitchen.open_loads)
    moot = {
        *(() if weighted else ("of_weight",)),
        *(() if dial else ("of_gauge",)),
    }  # a dial tells more than its weight
    named = (kind for kind in _NAMED if kind not in moot)
    if not food and other_jar(talk, text, *talk.kitchen.open_loads):  # of another food all numbers are asked about
        moot.add("of_jars")
        yield "of_size"
    yield from (kind for kind in named if talk.language.hears(kind, text) or (food and kind == "of_food"))


def other_jar(talk: Talk, text: str, *loads: Load) -> str | None:
    """Return a jar size that a text names and none of these loads has."""
    own = {load.jar for load in loads}
    return next((jar for jar in jars_named(talk, text) if own and jar not in own), None)


def jars_named(talk: Talk, text: str) -> list[str]:
    """Return the jar sizes that a text names, in its order."""
    words = {form: jar for jar in JAR_SIZES for form in (talk.language.jars(jar), talk.language.jar(jar))}
    longest = "|".join(sorted(map(re.escape, words), key=len, reverse=True))
    return [words[each] for each in re.findall(rf"\b(?:{longest})\b", text.lower())]


def _ours(talk: Talk, text: str) -> list[str]:
    own = {word for load in talk.kitchen.open_loads for word in load.food_name.split()}
    several = sum(load.stage in HOT for load in talk.kitchen.open_loads) > 1
    said = talk.language.unheard("another", text) if several else text  # "the other burner" is ours too, then
    boils = any(not load.process.is_pressure for load in talk.kitchen.open_loads)
    return clauses_of_ours(talk.language, said, own, boils=boils)


def _told(talk: Talk, text: str) -> list[str]:
    return [each for each in _ours(talk, text) if not is_of_gauge(talk, each)]


def is_of_other_matters(talk: Talk, text: str) -> bool:
    """True if a text is of something else than canning, all of it."""
    return not _ours(talk, text)


def may_tell_of_heat(talk: Talk, text: str) -> bool:
    """True if a text may say that pressure or heat is left: it names a sign of it, denies, or reads a gauge."""
    ours = " ".join(_ours(talk, without_name(talk, text)))
    signs = any(talk.language.hears(each, ours) for each in ("warm", "warm_of", "heat_on"))
    return signs or talk.language.reads_one(range(2, 100), ours) or talk.language.tells_one(range(1, 100), ours)


def presses_beside(talk: Talk, text: str, taken: str) -> bool:
    """Tell whether a text says, beside the words that were taken, that a canner told to be at zero has pressure."""
    at_zero = any(load.stage is Stage.COOL and load.at_zero for load in talk.kitchen.open_loads)
    left = beside(talk, text, taken, 1)
    return (
        at_zero and may_tell_of_heat(talk, left) and not (is_of_the_hold(talk, left) or asks(without_name(talk, text)))
    )


def off_under_pressure(
    talk: Talk, said: Understanding, parts: Sequence[str], meant_by: Callable[[str], Understanding]
) -> Understanding | None:
    """Return what counts where a text begins with a lid or weight that is off, or has it for one of its parts, and
    tells of pressure beside it: the lid, but not the weight, which is then as good as not understood."""
    told = [meant_by(each) for each in parts]
    whole = len(told) > 1 or [each.intent for each in told] == ["lid_off"]  # all of it was known
    if not presses_beside(talk, said.text, "") or (whole and all(map(_is_calm, told))):
        return None
    words = said.text.split()
    begins = (meant_by(" ".join(words[:end])) for end in range(2, len(words)))
    off = next((each for each in (*told, *begins) if each.intent in _OFF), None)
    if off is None or not presses_beside(talk, said.text, off.text):
        return None
    return off if off.intent == "lid_off" else said


def spoils_zero(said: Sequence[Understanding]) -> bool:
    """True if a zero is said beside something else."""
    return any(tells_zero(each.intent, each.slots) for each in said) and not all(map(_is_calm, said))


def _is_calm(told: Understanding) -> bool:
    return told.intent in _BESIDE_ZERO or tells_zero(told.intent, told.slots)


def is_of_the_hold(talk: Talk, text: str) -> bool:
    """Tell whether a text is of what was in a hold, and names no sign that pressure is left: no zero is less so by it.

    It says when it was, or tells of a loss without a reading.
    """
    left, hears = talk.language.unheard("loss", text), talk.language.hears
    now = hears("now_so", text) or hears("warm", left)
    of_loss = (left != text and not talk.language.names_one(range(1, 100), left)) or was_off(talk, text)
    return is_past(talk, text) and (of_loss or hears("of_the_hold", text)) and not now


def reads_enough(talk: Talk, text: str) -> bool:
    """True if all that a text tells of a hold is a reading that was enough."""
    left = text
    for each in ("of_the_hold", "lead", "soft", "warm_of"):
        left = talk.language.unheard(each, left)
    dials = [load for load in talk.kitchen.open_loads if load.stands and load.process.is_dial]
    least = max((math.ceil(load.process.target_psi or 0) for load in dials), default=MOST_PSI)
    told = is_of_the_hold(talk, text) and talk.language.names_one(range(least, MOST_PSI), left)
    return told and len(left.split()) == 1


def is_idle(talk: Talk, text: str, grave: bool) -> bool:
    """True if what is said beside a report tells nothing of stove or jars; a `grave` one leaves no words open."""
    said = without_name(talk, text)
    told = likelihood(said)
    nothing = is_filler(talk, said) or (is_of_other_matters(talk, said) and told < SURELY_TOLD)
    if not nothing and (grave or told >= LIKELY_TOLD):
        return False
    named = any(talk.language.hears(each, said) for each in _TELLING) or {*things(talk, said)} - {"of_jars"}
    return not (asks(said) or named or tells_of_loss(talk, said) or talk.language.names_one(range(100), said))


def is_filler(talk: Talk, text: str) -> bool:
    """True if a text is made of words alone that tell nothing ("okay then")."""
    return not talk.language.unheard("filler", without_name(talk, text))
