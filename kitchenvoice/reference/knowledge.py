"""Answers to cooks' questions around a load: look one up, and choose its answer by the situation.

Words only, each with its source. Times and pressures of a food come from :func:`.lookup`; an answer here takes such a
number from the load it is asked about, or does without.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache, reduce
from operator import and_
from types import MappingProxyType
from typing import Literal

from .answer_models import Family, Topic, Variant, slots_of
from .building import build
from .inputs import normalise
from .library import data_names, table
from .wordings import Pattern, parse

__all__ = [
    "NEARNESS",
    "Asked",
    "Reply",
    "Situation",
    "alarm",
    "asked",
    "families",
    "family",
    "is_calm",
    "likenesses",
    "of_topic",
    "patterns",
    "phrases",
    "reply",
    "stages_of",
]

_FOLDER = "answers/"
_PHRASES = "answers/phrases.toml"
NEARNESS = "answers/nearness.toml"
"""The words by which :mod:`.nearness` compares questions."""
_LEADS = "answers/leads.toml"
_AT_THE_CANNER = frozenset({"vent", "come_up", "hold", "cool"})
_EMPTY: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, kw_only=True)
class Situation:
    """The facts known of the load in question; None for an unknown one.

    ``slots`` are the load's own figures, as they are to be spoken: ``{"psi": "11", "headspace": "1 inch"}``. ``canner``
    is the state of the canner that is most under pressure, as ``leads.toml`` names it, "" if none may be; ``at_zero``:
    the load that is asked about was reported there. ``unfit`` tells whether all of its jars, or some, weren't processed
    as tested, or aren't yet; ``open``: something that was told of it isn't settled.
    """

    stage: str | None = None
    method: str | None = None
    gauge: str | None = None
    acidity: str | None = None
    slots: Mapping[str, str] = field(default_factory=lambda: _EMPTY)
    canner: str = ""
    at_zero: bool = False
    unfit: Literal["", "open", "yet", "all", "some"] = ""


@dataclass(frozen=True)
class Asked:
    """Which family a sentence asks.

    ``doubt``: it says or implies that the thing happened, so a hold that runs is in doubt until somebody settles it.
    ``command``: it is no family, but a command of that name, which only informs.
    """

    family: str
    doubt: bool
    command: bool = False


@dataclass(frozen=True)
class Reply:
    """Reply to a question; ``hazard``: it is a warning; ``normal``: what was told is as it should be;
    ``hangs``: it hangs on what isn't settled.
    """

    family: str
    topic: str
    text: str
    source: tuple[str, ...]
    hazard: bool
    normal: bool = False
    hangs: bool = False


@cache
def _topics() -> Mapping[str, Topic]:
    """Return every family's topic by the id of the family."""
    found: dict[str, Topic] = {}
    for name in data_names():
        if name.startswith(_FOLDER) and name not in (_PHRASES, NEARNESS, _LEADS):
            topic = build(Topic, table(name))
            for each in topic.family:
                if found.setdefault(each.id, topic) is not topic:
                    raise ValueError(f"two families are called {each.id}")
    return MappingProxyType(found)


@cache
def families() -> Mapping[str, Family]:
    """Return every family of questions by id."""
    return MappingProxyType({each.id: each for topic in _topics().values() for each in topic.family})


def family(family_id: str) -> Family:
    """Return one family.

    Raises:
        KeyError: there is no such family; :func:`families` lists them.
    """
    return families()[family_id]


def of_topic(name: str) -> frozenset[str]:
    """Return the families of a topic."""
    return frozenset(each for each, topic in _topics().items() if topic.topic == name)


@cache
def stages_of(family_id: str) -> tuple[str, ...]:
    """Return the stages in which a family is asked more than in others; none if it is asked in all alike."""
    return family(family_id).stages or _topics()[family_id].stages


@cache
def phrases() -> Mapping[str, Pattern]:
    """Return the phrases that patterns share, by name; each may use those before it."""
    found: dict[str, Pattern] = {}
    for name, text in table(_PHRASES).items():
        found[name] = parse(text, found)
    return MappingProxyType(found)


@cache
def patterns() -> tuple[tuple[Asked, Pattern], ...]:
    """Return every pattern, with the question it stands for.

    Raises:
        ValueError: a text isn't a pattern; it is named.
    """
    return tuple(
        (Asked(each.id, doubt), parse(text, phrases()))
        for each in families().values()
        for doubt, texts in ((False, each.say), (True, each.doubts))
        for text in texts
    )


@cache
def likenesses() -> tuple[tuple[Asked, Pattern], ...]:
    """Return the patterns with the wordings beside them that are only compared, and those of commands.

    Raises:
        ValueError: a text isn't a pattern; it is named.
    """
    beside = [
        (Asked(each.id, doubt), parse(text, phrases()))
        for each in families().values()
        for doubt, text in ((False, each.like), (True, each.tells))
        if text
    ]
    commands = dict(table(NEARNESS)["commands"])
    named = [(Asked(name, doubt=False, command=True), parse(text, phrases())) for name, text in commands.items()]
    return (*patterns(), *beside, *named)


@cache
def _around() -> tuple[Pattern, Pattern]:
    """Return the words that may surround any question."""
    before, after = (Pattern(((), *phrases()[name].rows)) for name in ("before", "after"))
    return before, after


@cache
def _having() -> Mapping[str, int]:
    """Return of each word which patterns have it, as bits: a sentence fits only where all of its words are."""
    places: dict[str, bytearray] = {}
    length = len(patterns()) // 8 + 1
    for place, (_, pattern) in enumerate(patterns()):
        for word in pattern.words:
            places.setdefault(word, bytearray(length))[place // 8] |= 1 << place % 8
    return {word: int.from_bytes(bits, "little") for word, bits in places.items()}


@lru_cache(maxsize=64)  # one turn wants it five times
def asked(text: object) -> Asked | None:
    """Return the question that a sentence matches word by word; None without one.

    No sentence asks two things: the tests spell out every sentence and hold the patterns to that.

    Raises:
        TablesDamaged: the answers' files aren't as they were recorded.
    """
    spelled = table(NEARNESS)["spelled"]
    words = [spelled.get(word, word) for word in normalise(text).split()]
    before, after = _around()
    last = range(max(len(words) - after.longest, 1), len(words) + 1)
    ends = [end for end in last if len(words) in after.ends(words, end)] if words else []
    parts = [words[begin:end] for begin in before.ends(words, 0) for end in ends if begin < end]
    place = _place(words)
    if place is None:
        place = min((found for part in parts if (found := _place(part)) is not None), default=None)
    return None if place is None else patterns()[place][0]


def _place(words: Sequence[str]) -> int | None:
    """Return where the first pattern is that these words, all of them, are a sentence of."""
    having = _having()
    places = reduce(and_, (having.get(word, 0) for word in words)) if words else 0
    while places:
        place = (places & -places).bit_length() - 1
        if patterns()[place][1].fits(words):
            return place
        places &= places - 1
    return None


@cache
def _alarms() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Return the wordings in an emergency, by family; reassuring ones come first."""
    words = ((each.id, each.words) for each in families().values())
    return tuple((name, re.compile(rf"\b({'|'.join(those)})\b")) for name, those in words if those)


def alarm(text: object) -> str:
    """Return the family of the emergency that a sentence tells of in any words; "" if it tells of none.

    Raises:
        TablesDamaged: the answers' files aren't as they were recorded.
    """
    said = normalise(text)
    return "" if is_calm(said) else next((name for name, words in _alarms() if words.search(said)), "")


def is_calm(text: object) -> bool:
    """True if a sentence denies an emergency, or tells of another thing."""
    return re.search(rf"\b({table(_LEADS)['no_alarm']})\b", normalise(text)) is not None


def reply(family_id: str, situation: Situation | None = None) -> Reply:
    """Return the answer of a family in a situation: its first fitting variant, else its own answer.

    A variant with slots fits only if the load fills all of them. While a canner may be under pressure, what is said of
    lid, weight, vent and pressure begins with what to leave alone, unless it was written for this very stage; while it
    cools nothing tells to heat; without pressure nothing tells of weight, vent or pressure; and of jars that weren't
    processed as tested nothing tells how to eat or keep them.

    Raises:
        KeyError: there is no such family.
        TablesDamaged: the answers' files aren't as they were recorded.
    """
    here, found = situation or Situation(), family(family_id)
    chosen = next((each for each in found.variants if _fits(each, here)), None)
    own = chosen is not None and bool(chosen.stages or chosen.at_zero) and here.stage in _AT_THE_CANNER
    told = found if chosen is None else chosen
    text = told.answer.format_map(here.slots)
    said = Reply(
        family=found.id,
        topic=_topics()[family_id].topic,
        text=text[:1].upper() + text[1:],
        source=told.source or found.source,
        hazard=told.hazard,
        normal=chosen is not None and chosen.normal,
    )
    leads = table(_LEADS)
    if here.unfit and (found.keeps or (found.praises and here.unfit != "yet")):
        return replace(said, text=leads["keeps"][here.unfit], hazard=True, hangs=here.unfit == "open")
    if found.heats and here.stage == "cool" and not own:
        return replace(said, text=leads["heats"]["zero" if here.at_zero else here.method or "pressure"], hazard=True)
    without = leads["no_pressure"].get(here.method)
    if found.pressure and without and not here.canner and (chosen is None or not chosen.method):
        return replace(said, text=without, hazard=False)
    if found.at_canner and here.canner and not own:
        return replace(said, text=f"{leads['at_canner'][here.canner]} {said.text}", hazard=True)
    return said


def _fits(variant: Variant, here: Situation) -> bool:
    given = ((variant.method, here.method), (variant.gauge, here.gauge), (variant.acidity, here.acidity))
    return (
        (not variant.stages or here.stage in variant.stages)
        and all(wanted in (None, known) for wanted, known in given)
        and (here.at_zero or not variant.at_zero)
        and slots_of(variant.answer) <= here.slots.keys()
    )
