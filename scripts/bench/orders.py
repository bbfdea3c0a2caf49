"""Orders at a coffee counter: a grammar that isn't ours, plugged into our ear, and what an order holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property, reduce

from kitchenvoice.ports import WordGraph

__all__ = ["SLOTS", "SlotGrammar", "order", "order_grammar"]

_SHOTS = ("single shot", "double shot", "triple shot")
_ROASTS = ("light roast", "medium roast", "dark roast")
_SIZES = ("small", "medium", "large", "eight ounce", "twelve ounce", "sixteen ounce", "twenty ounce")
_DRINKS = (
    *("americano", "cappuccino", "coffee", "drip coffee", "espresso", "house coffee", "iced coffee"),
    *("iced mocha", "latte", "mocha"),
)
_HOW_MUCH = ("", "some", "a bit of", "a little bit of", "a lot of", "lots of")
_MILKS = ("milk", "cream", "whole milk", "skim milk", "soy milk", "almond milk")
_SUGARS = ("sugar", "brown sugar", "sweetener")
_MORE = tuple(f"{much} {what}".strip() for much in _HOW_MUCH for what in (*_MILKS, *_SUGARS))
_LEADS = (
    *(f"{may} {who} {have}" for may in ("can", "may", "could") for who in ("i", "we") for have in ("have", "get")),
    *("i want", "i'd like", "i would like", "give me", "make me", "get me", "brew", "brew me", "make"),
)
SLOTS: Mapping[str, Sequence[str]] = {
    "numberOfShots": _SHOTS,
    "roast": _ROASTS,
    "size": _SIZES,
    "coffeeDrink": _DRINKS,
    "milkAmount": tuple(more for more in _MORE if more.endswith(_MILKS)),
    "sugarAmount": tuple(more for more in _MORE if more.endswith(_SUGARS)),
}
_Position = tuple[int, tuple[str, ...]]


class SlotGrammar:
    """Sentences of one phrase from each slot in turn, `""` for none. The whole of `ListeningGrammar`."""

    only_asks = staticmethod(lambda _text: False)
    heard_as = staticmethod(lambda _sentence: ())
    takes_words = staticmethod(lambda _text: False)

    def __init__(self, *slots: Sequence[str]) -> None:
        self._slots = [[tuple(phrase.split()) for phrase in slot] for slot in (*slots, ("",))]
        self._end = (len(slots), ())
        self.phrases = tuple(phrase for slot in slots for phrase in slot if phrase)

    def _from(self, slot: int) -> frozenset[_Position]:
        now = {(slot, words) for words in self._slots[slot] if words or slot == self._end[0]}
        return frozenset(now) | (self._from(slot + 1) if slot < self._end[0] and () in self._slots[slot] else set())

    def _after(self, here: frozenset[_Position], word: str) -> frozenset[_Position]:
        said = ((slot, words[1:]) for slot, words in here if words[:1] == (word,))
        return frozenset().union(*(({(slot, rest)} if rest else self._from(slot + 1)) for slot, rest in said))

    def _walk(self, text: str) -> frozenset[_Position]:
        return reduce(self._after, text.split(), self._from(0))

    @cached_property
    def graph(self) -> WordGraph:
        found, steps = [self._from(0)], []
        for here in found:  # which grows meanwhile
            after = {word: self._after(here, word) for word in sorted({words[0] for _, words in here if words})}
            found += [state for state in dict.fromkeys(after.values()) if state not in found]
            steps.append(tuple((word, found.index(state)) for word, state in after.items()))
        return WordGraph(0, tuple(steps), tuple(self._end in here for here in found))

    def is_sentence(self, text: str) -> bool:
        return self._end in self._walk(text)

    def can_continue(self, text: str) -> bool:
        return any(words for _, words in self._walk(text))

    def sentence(self, text: str) -> str | None:
        return text if self.is_sentence(text) else None

    def punctuated(self, sentence: str) -> str:
        return f"{sentence.capitalize()}."


def order_grammar() -> SlotGrammar:
    """Return what may be said at the counter: a lead, up to three of size, shots and roast, a drink, what goes in."""
    choice = ("", *_SHOTS, *_ROASTS, *_SIZES)
    return SlotGrammar(
        _LEADS, ("", "a", "an", "the", "some"), choice, choice, choice, _DRINKS,
        ("", *(f"with {more}" for more in _MORE)), ("", *(f"and {more}" for more in _MORE)),
    )  # fmt: skip


def order(sentence: str) -> dict[str, str]:
    """Return the slots of an order: the longest phrases, from left to right."""
    told = [(phrase, slot) for slot, phrases in SLOTS.items() for phrase in phrases]
    slots: dict[str, str] = {}
    rest = sentence
    while rest:
        fitting = [(phrase, slot) for phrase, slot in told if f"{rest} ".startswith(f"{phrase} ")]
        phrase, slot = max(fitting, key=lambda pair: len(pair[0]), default=(rest.split()[0], ""))
        if slot:
            slots[slot] = phrase
        rest = rest[len(phrase) :].strip()
    return slots
