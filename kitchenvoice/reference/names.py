"""Spoken names of foods: one food, a question between several, a refusal by name, or nothing known."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from itertools import chain
from typing import Any, Literal

from .inputs import PARTICULARS, normalise
from .inputs import jar as jar_word
from .library import product, product_ids, raw

__all__ = [
    "Food",
    "Found",
    "chosen_food",
    "find_food",
    "food_name",
    "foods",
    "foods_beside",
    "refused_entry",
    "says_nothing",
    "similar_names",
    "spoken_names",
    "typed_names",
]

_SIMILAR = 0.77  # of 0 to 1, as difflib counts: a slip or two in a word. Common practice, no source
_PACK_WORDS = frozenset(word for said in PARTICULARS["pack"] for word in said.split())
_WORD = re.compile(r"[\w-]+")
_UNMARKED = str.maketrans("éèñ", "een")


@dataclass(frozen=True)
class Food:
    """One food: names, acidity, methods, packs and jar sizes that have a tested table."""

    id: str
    name: str
    spoken_names: tuple[str, ...]
    title: str
    acidity: str
    methods: tuple[str, ...]
    packs: tuple[str, ...]
    jars: tuple[str, ...]


@dataclass(frozen=True)
class Found:
    """What a spoken name means.

    ``food``: ``food`` is the product id. ``ambiguous``: ``candidates`` are ids to choose from (foods, or refused
    names) and ``ask`` is the question. ``refused``: ``refused`` is the id of a named refusal. ``unknown``: nothing.
    ``packs`` limits the packs of a named variety.
    """

    kind: Literal["food", "ambiguous", "refused", "unknown"]
    said: str
    food: str | None = None
    candidates: tuple[str, ...] = ()
    group: str | None = None
    ask: str | None = None
    refused: str | None = None
    packs: tuple[str, ...] | None = None
    caution: str | None = None
    source: tuple[str, ...] = ()
    decide: Mapping[str, Any] = field(default_factory=dict)


def _wording() -> Mapping[str, Any]:
    return raw("names")["wording"]  # type: ignore[no-any-return]


@cache
def says_nothing() -> frozenset[str]:
    """Return the words beside the name of a food that leave it the same."""
    return frozenset(_wording()["little"])


@cache
def _fillers() -> frozenset[str]:
    return says_nothing() | {_wording()["of"]}


@cache
def _beside_words() -> frozenset[str]:
    words = _wording()
    return _fillers() | {words["either"], words["also"], *words["between"]}


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Return the words around a name, "x of y", and what joins foods in one jar."""
    beside, of = "|".join(sorted(_beside_words())), _wording()["of"]
    edges = re.compile(rf"^(?:(?:{beside})\b ?)+|(?: (?:{beside}))+$")
    return edges, re.compile(rf"(\w+) {of} (\w+)"), re.compile(rf" (?:{'|'.join(_wording()['joints'])}) ")


@cache
def _refused() -> dict[str, dict[str, Any]]:
    return {entry["id"]: entry for entry in raw("refused")}


def refused_entry(entry_id: str) -> dict[str, Any] | None:
    """Return a named refusal (spoken, reason, instead, source), or None."""
    return _refused().get(entry_id)


def _entries() -> Iterator[tuple[Found, tuple[str, ...], Sequence[str], Sequence[str]]]:
    """Yield what is meant by its id, by which phrases, and by which names that are only typed.

    The data have lower-case words.
    """
    names = raw("names")
    for food_id, entry in names["foods"].items():
        own, phrases = (food_id.replace("_", " "),), (entry["spoken"], *entry["also"])
        yield Found("food", food_id, food=food_id), own, phrases, entry.get("typed", ())
    for item in names["varieties"]:
        packs = tuple(item["packs"]) if "packs" in item else None
        source = tuple(item["source"])
        meant = Found("food", "", food=item["food"], packs=packs, caution=item.get("caution"), source=source)
        yield meant, (), item["phrases"], item.get("typed", ())
    for item in names["groups"]:
        candidates, decide = tuple(item["candidates"]), item.get("decide", {})
        meant = Found("ambiguous", "", candidates=candidates, group=item["id"], ask=item["ask"], decide=decide)
        yield meant, (), item["phrases"], item.get("typed", ())
    for item in raw("refused"):
        spoken = item["spoken"].replace("-", " ").replace(",", "")
        own, phrases = (item["id"].replace("_", " "),), (spoken, *item["phrases"])
        yield Found("refused", "", refused=item["id"]), own, phrases, item.get("typed", ())


@cache
def _phrases() -> dict[str, Found]:
    """Return the meaning of every phrase: a food's name before a refused one."""
    table: dict[str, Found] = {}
    for meant, own, phrases, _ in _entries():
        for phrase in (*own, *phrases):
            if meant.refused is None or phrase not in table:
                table[phrase] = meant
    return table


_Key = frozenset[tuple[str, int]] | tuple[str, ...]


@cache
def _typed() -> dict[_Key, tuple[Found, ...]]:
    """Return the meanings of all names, the guide's headings too, by their words."""
    table: dict[_Key, tuple[Found, ...]] = {}
    for meant, own, phrases, typed in _entries():
        for name in (*own, *phrases, *typed):
            for words in (each for each in _keys(name) if len(each) > 1 or name in typed):
                known = table.setdefault(words, ())
                table[words] = known if meant in known else (*known, meant)
    return table


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", text)) - {_wording()["either"], _wording()["also"]}


def _keys(name: str) -> Iterator[_Key]:
    """Yield the words of a name, each in its plain form: one of many, the usual one of the same meaning.

    They may come in any order; but two nouns only in their own ("cherry pie", "pie cherries"), and a noun before what
    was done to it ("peach slices" for "sliced peaches"). A word that stands alone keeps its form.
    """
    wording = _wording()
    usual = _patterns()[1].sub(r"\2 \1", name.translate(_UNMARKED))
    for spelling, other in wording["rewritten"].items():
        usual = usual.replace(spelling, other)
    words = [word for word in _WORD.findall(usual) if word not in _beside_words()]
    at_an_edge = bool(words) and not {*wording["edges"]}.isdisjoint((words[0], words[-1]))
    if not words or (at_an_edge and wording["edge_of_a_name"] not in usual):
        return  # "berry syrup in" is no berries in syrup
    plain = tuple(map(_plain, words)) if len(words) > 1 else tuple(words)
    done = [word.endswith(wording["done"]) for word in words]
    yield frozenset(Counter(plain).items()) if len(words) != 2 or any(done) else plain
    if done == [True, False]:
        yield plain[::-1]


@cache
def _plain(word: str) -> str:
    same: Mapping[str, str] = raw("names")["same_words"]
    ends = _wording()["singular"].items()
    one = next((word.removesuffix(end) + by for end, by in ends if word.endswith(end)), word)
    return same.get(word) or same.get(one, one)


def find_food(text: object) -> Found:
    """Find what a name, a heading of the guide or a product id means; never guesses between foods and never raises."""
    return _meant_by(normalise(text))


@lru_cache(maxsize=4096)  # one turn asks for the same runs of words again and again
def _meant_by(name: str) -> Found:
    said, table = name, _phrases()
    if said not in table:
        bare = " ".join(word for word in said.split() if word not in _fillers())
        said = bare if bare in table else _patterns()[0].sub("", said)[:60]
    if said in table:
        return replace(table[said], said=said)
    meant = _typed().get(next(_keys(name), ()), ()) or _made_of(name) or _made_into(name)
    if len(meant) > 1:
        several = (each.candidates or (each.food or each.refused or "",) for each in meant)
        return Found("ambiguous", said, candidates=tuple(dict.fromkeys(chain(*several))), ask="Which one")
    return replace(meant[0], said=said) if meant else Found("unknown", said)


def _made_of(name: str) -> tuple[Found, ...]:
    """Return what a food is meant for: "cabbage for sauerkraut" is sauerkraut, which is made of it."""
    of, _, made = name.partition(f" {_wording()['made_for']} ")
    if not made or _meant_by(of).kind == "unknown":
        return ()
    meant, main = _meant_by(made), _plain(of.split()[-1])
    foods = (meant.food,) if meant.food else meant.candidates
    return (meant,) if any(main in _made_mainly_of(food) for food in foods) else ()


def _made_into(name: str) -> tuple[Found, ...]:
    """Return the refusal of what a known food is made into: "mashed butternut squash", "tomatoes in olive oil"."""
    for refusal in _refused().values():
        made: Mapping[str, Any] = refusal.get("made", {})
        for before, after in (called.split("{}") for called in made.get("called", ())):
            of = name.removeprefix(before).removesuffix(after)
            if f"{before}{of}{after}" != name or of == name:
                continue
            meant = _meant_by(of)
            foods = {meant.food, meant.refused, *meant.candidates} - {None}
            if foods.intersection(made.get("of", foods)) and not foods.intersection(made.get("but_of", ())):
                return (Found("refused", "", refused=refusal["id"]),)
    return ()


@cache
def _made_mainly_of(food: str) -> frozenset[str]:
    """Return the words of what a food's recipes take mainly, or else of its names, each in its plain form."""
    entry = raw("names")["foods"].get(food)
    if entry is None:
        return frozenset()  # refused by name
    taken = [each for recipe in product(food).recipes for each in recipe.ingredients]
    main = [each.what for each in taken if each.keep == "main"]
    names = main or (entry["spoken"], *entry["also"], *entry.get("typed", ()))
    return frozenset(_plain(word) for name in names for word in _WORD.findall(name))


def foods_beside(text: str) -> tuple[str, ...]:
    """Return the foods that a text names beside each other ("green beans and corn"), each with a table; else none."""
    named = _patterns()[2].split(normalise(text))
    return tuple(named) if len(named) > 1 and all(map(_has_table, named)) else ()


def _has_table(name: str) -> bool:
    return find_food(name).kind in ("food", "ambiguous")


def chosen_food(candidates: Sequence[str], text: str) -> str | None:
    """Return the one of several foods told apart by its particular: "with meat", "slicing tomatoes".

    The words that it alone has come before words of its name, and these before words of its other names.
    """
    wording = _wording()
    said, none = _words(normalise(text)) - _fillers() - {*wording["choice"]}, wording["none"]
    if none in said:
        said = said - {none} | {wording["without"]} if len(said) > 1 else frozenset()
    entries = [raw("names")["foods"].get(food) or _refused()[food] for food in candidates]
    names = {food: _words(entry["spoken"]) for food, entry in zip(candidates, entries, strict=True)}
    others = [[_words(each) for each in (*entry.get("also", ()), *entry.get("typed", ()))] for entry in entries]
    shared = frozenset.intersection(*names.values()) if names else said
    tiers = (
        [food for food in names if names[food] - shared == said - shared],
        [food for food in names if said <= names[food]],
        [food for food, known in zip(names, others, strict=True) if any(said <= each for each in known)],
    )
    fits = next(filter(None, tiers), ())
    return fits[0] if said - shared and len(fits) == 1 else None


def similar_names(said: str) -> tuple[str, ...]:
    """Return up to three known names that are spelled much like this one, or else have all its words.

    For a question only; nothing ever goes on with one of them by itself.
    """
    from difflib import get_close_matches

    best: dict[tuple[str | None, ...], str] = {}
    plural = next(said.removesuffix(end) + by for end, by in _wording()["plural"].items() if said.endswith(end))
    if plural in _phrases():
        return (plural,)
    spellings = (
        (said,) if said.endswith(_wording()["plural"][""]) else (plural, said)
    )  # most foods are listed in the plural
    close = [name for spelling in spellings for name in get_close_matches(spelling, _phrases(), n=8, cutoff=_SIMILAR)]
    for name in close or [name for name in _phrases() if said and set(said.split()) <= set(name.split())]:
        meant = _phrases()[name]
        best.setdefault((meant.food, meant.group, meant.refused), name)
    bare = " ".join(word for word in said.split() if word not in _PACK_WORDS)
    return tuple(best.values())[:3] or (similar_names(bare) if bare not in ("", said) else ())


def decided(found: Found, qualifiers: Mapping[str, object], jar: object) -> str | None:
    """Return the food that a qualifier (bones, medium, ground) or the jar size settles, if one does."""
    if not found.decide:
        return None
    name, values = found.decide["qualifier"], found.decide["values"]
    if name == "jar":
        return values.get(jar_word(jar).value)  # type: ignore[no-any-return]
    given, wording = qualifiers.get(name), _wording()
    if isinstance(given, bool):
        given = "yes" if given else "no"
    said = normalise(given)
    return values.get({wording["with_any"]: "yes", wording["without"]: "no"}.get(said, said))  # type: ignore[no-any-return]


def food_name(food_id: str) -> str:
    """Return the preferred spoken name of a food or a refused name, as used in read-back."""
    entry = raw("names")["foods"].get(food_id) or _refused().get(food_id)
    return str(entry["spoken"]) if entry else food_id.replace("_", " ")


def spoken_names() -> dict[str, str]:
    """Return every phrase that can be said as a food, with the id of its food, question group or refusal.

    Words that the speech model lacks can only be typed; each has another spelling here that it hears. What nobody says
    isn't listened for: an id ("peas green"), a heading over what has no table ("pasta, noodles or rice").
    """
    typed_only = set(raw("names")["typed_only_words"])
    table: dict[str, str] = {}
    for phrase in chain.from_iterable(phrases for _, _, phrases, _ in _entries()):
        found, words = _phrases()[phrase], phrase.split()
        target = found.food or found.group or found.refused
        unsaid = typed_only if found.food else typed_only | {_wording()["either"]}
        if target and all(word.isalpha() for word in words) and not unsaid.intersection(words):
            table[phrase] = target
    return table


def typed_names() -> dict[str, str]:
    """Return every name of one thing that is only typed, with a name of the same thing that is heard, too."""
    heard = spoken_names()
    names: dict[str, str] = {}
    for _, own, phrases, typed in _entries():
        known = next((phrase for phrase in phrases if phrase in heard), None)
        alone = (name for name in typed if len(_typed().get(next(_keys(name), ()), ())) == 1)
        if known is not None:
            names |= {name: known for name in (*own, *phrases, *alone) if name not in heard}
    return names


@cache
def foods() -> tuple[Food, ...]:
    """List every food that has a table, in alphabetical order of its id."""
    spoken = spoken_names()
    listed = []
    for food_id in product_ids():
        item = product(food_id)
        packs = {pack for process in item.processes for pack in process.packs}
        listed.append(
            Food(
                id=food_id,
                name=food_name(food_id),
                spoken_names=tuple(p for p, target in spoken.items() if target == food_id),
                title=item.title,
                acidity=item.acidity,
                methods=tuple(m.replace("_", "-") for m in item.methods),
                packs=tuple(p.replace("_", "-") for p in ("raw", "hot", "see_procedure") if p in packs),
                jars=tuple(size.replace("_", "-") for size in item.sizes),
            )
        )
    return tuple(listed)
