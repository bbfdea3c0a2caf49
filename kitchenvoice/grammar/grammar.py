"""The sentences that can be said at one moment: parsed, read, listened for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property

from kitchenvoice.grammar.answers import Answers
from kitchenvoice.grammar.consequences import consequences
from kitchenvoice.grammar.covering import Cover
from kitchenvoice.grammar.foods import in_usual_names
from kitchenvoice.grammar.intents import graded
from kitchenvoice.grammar.jsgf import Tag
from kitchenvoice.grammar.matching import Walk
from kitchenvoice.grammar.meaning import Meanings, Reading
from kitchenvoice.grammar.network import NOTHING, Node, branch, chain, marked, optional, phrase, words_of
from kitchenvoice.grammar.spelling import normalise
from kitchenvoice.grammar.wording import Wording, Wordings
from kitchenvoice.ports import WordGraph

__all__ = ["Grammar"]

_CALLED = "attention"
_OTHER_WORDS = 2
"""Most other words in place of the beginning of the wake phrase. With two instead of one 5 more of 448 commands at
10 dB and below were right (a diphone voice's "kitchen" is "the fifth" there), with three none more."""
_MOST_KNOWN = 500


class Grammar:
    """The sentences that can be said now. Implements `kitchenvoice.ports.ListeningGrammar`."""

    def __init__(
        self,
        body: Node,
        wake_phrase: str,
        without: Node | None,
        meanings: Meanings,
        cover: Callable[[], Cover],
        everything: Callable[[], WordGraph],
        written: Node = NOTHING,
        wordings: Wordings | None = None,
        loads: Sequence[str] = (),
        answers: Answers | None = None,
    ) -> None:
        """Make the grammar of `body`; `without` holds the sentences without the wake phrase, if any.

        `everything` gives the graph of all sentences in any stage. `written` is parsed as well, for typed input; the
        ear neither listens nor waits for it. `wordings`, and the names of the open `loads`, are for typed input too.
        `answers` are those of the open question alone.
        """
        self._loads = loads
        self._wordings = wordings or Wordings()
        self._called = wake_phrase
        called = marked(phrase(wake_phrase), Tag(_CALLED, _CALLED))
        addressed = chain((called, optional(body)))
        self._root = addressed if without is None else branch((addressed, without))
        self._written = branch((chain((called, written)), written if without is body else NOTHING))
        self._everything = everything
        self._bare = body
        self._meanings = meanings
        self._cover = cover
        self._known: dict[tuple[int, str], tuple[Reading, ...]] = {}
        self._vocabulary: dict[int, frozenset[str]] = {}
        self.answers = answers
        self.attention_required = without is None
        self.asks_for_words = False
        self.alike: Sequence[tuple[str, str]] = ()

    @property
    def graph(self) -> WordGraph:
        """All sentences of this kitchen, in any stage: what the ear listens for."""
        return self._everything()

    @cached_property
    def phrases(self) -> tuple[str, ...]:
        """Sentences for the recogniser's phrase list: every bigram, not every sentence."""
        return tuple(" ".join(words) for words in self._cover().of(self._root) if words)

    @property
    def words(self) -> frozenset[str]:
        """Every word that can be said."""
        return self._words_of(self._root)

    def parse(self, text: str) -> tuple[Reading, ...]:
        """Return every meaning of `text` as one whole sentence of the grammar; none if it isn't one."""
        return self._read(self._root, text) or self._read(self._written, text)

    def other_words(self, text: str) -> Iterator[Wording]:
        """Yield typed `text` in other words, without the wake phrase; first with its foods called as they are heard."""
        said = normalise(text).removeprefix(self._called).strip()
        if (named := in_usual_names(said)) != said:
            yield Wording(named, False)  # before a part of a name is left out: "cabbage for sauerkraut"
        yield from self._wordings.of(said, self._loads)
        if named != said:
            yield from self._wordings.of(named, self._loads)

    def leaves_out(self, text: str, wording: str, intent: str) -> bool:
        """True if a wording of typed `text` lacks what says when or whether, where `intent` takes a load further."""
        return self._wordings.leaves_out(normalise(text), wording, intent)

    def is_wished(self, text: str, wording: str, intent: str) -> bool:
        """True if a wording of typed `text` lacks what makes a wish of it, where `intent` takes a load further."""
        return self._wordings.is_wished(normalise(text), wording, intent)

    def guesses(self, text: str, strange: int) -> Iterator[tuple[str, Reading]]:
        """Yield possible meanings of typed `text` by its telling words, with up to `strange` unknown words."""
        for each in self._wordings.guesses(normalise(text).removeprefix(self._called).strip(), strange):
            yield from ((each, reading) for reading in self.parse(each)[:1])

    def halves(self, text: str, *, joined: bool = False, short: bool = False) -> Iterator[tuple[str, str]]:
        """Yield typed `text` parted between two statements, or at a word between them; without the wake phrase."""
        said = normalise(text).removeprefix(self._called).strip()
        return self._wordings.halves(said, self._loads, joined=joined, short=short)

    def food_in(self, text: str) -> tuple[str, bool] | None:
        """Return the words of typed `text` where a food is named, known or not; `None` if nothing does.

        Second whether jars or loads of it are named before it.
        """
        return self._wordings.food_in(normalise(text).removeprefix(self._called).strip())

    def addressed(self, text: str) -> bool:
        """True if `text` begins with the wake phrase."""
        return f"{normalise(text)} ".startswith(f"{self._called} ")

    def takes_words(self, text: str) -> bool:
        """True if `text` may be a note: no sentence, after the wake phrase or where a note is asked for."""
        return (self.asks_for_words or self.addressed(text)) and self.sentence(text) is None

    def with_name_mended(self, text: str) -> str:
        """Return `text` with the wake phrase restored where one or two other words stand before its last one.

        "Different voice a jar broke" and "the fifth voice a jar broke" are "kitchen voice a jar broke" in noise. Only
        if the rest is a command and the text itself isn't; a wake phrase of one word is never restored.
        """
        words, called = text.split(), self._called.split()
        if len(called) < 2 or self.addressed(text) or self.parse(text):
            return text
        for others in range(1, _OTHER_WORDS + 1):
            if words[others : others + 1] == called[-1:] and len(words) > others + 1:
                mended = " ".join([*called, *words[others + 1 :]])
                if self.parse(mended):
                    return mended
        return text

    def parse_unaddressed(self, text: str) -> tuple[Reading, ...]:
        """Return every meaning of `text` without the wake phrase, allowed or not."""
        return self._read(self._bare, text)

    def is_sentence(self, text: str) -> bool:
        """True if `text` is one whole sentence of the grammar (wake phrase included where needed)."""
        return bool(self.parse(text))

    def can_continue(self, text: str) -> bool:
        """True if a word could follow `text`. A closing "please" doesn't count: the ear doesn't wait for it."""
        return Walk(self._root, normalise(text).split()).goes_on

    def only_asks(self, text: str) -> bool:
        """True if `text` is one whole sentence whose answer changes nothing, in each of its meanings."""
        intents = {reading.intent for reading in self.parse(text)}
        return bool(intents) and intents <= graded("information") - {_CALLED}

    def sentence(self, text: str) -> str | None:
        """Return `text` in the grammar's spelling, wake phrase restored, if that is a whole sentence."""
        spelt = normalise(text)
        if self.parse(spelt):
            return spelt
        mended = self.with_name_mended(spelt)
        return mended if mended != spelt else None

    def punctuated(self, sentence: str) -> str:
        """Return a sentence in print: "Kitchen voice, a jar broke."."""
        rest = sentence[len(self._called) :] if self.addressed(sentence) else ""
        text = f"{self._called},{rest}" if rest else sentence
        return f"{text[:1].upper()}{text[1:]}."

    def heard_as(self, sentence: str) -> tuple[str, ...]:
        """Return the sentences known to be misheard as this one (`misheard` in consequences.toml), by this cook too."""
        return self._instead(sentence, (*((said, heard) for heard, said in consequences().misheard), *self.alike))

    def said_alike(self, sentence: str) -> tuple[str, ...]:
        """Return the sentences that this one may have been, by what this cook's words are heard as."""
        return self._instead(sentence, self.alike)

    def _instead(self, sentence: str, pairs: Sequence[tuple[str, str]]) -> tuple[str, ...]:
        text = f" {sentence} "
        others = [text.replace(f" {heard} ", f" {said} ", 1) for said, heard in pairs if f" {heard} " in text]
        return tuple(other.strip() for other in others if self.parse(other))

    def _read(self, root: Node, text: str) -> tuple[Reading, ...]:
        """Return what was read before, or read it: one turn asks for the same texts again and again. Thread-safe."""
        found = self._known.get((id(root), text))
        if found is None:
            words = tuple(normalise(text).split())
            known = words and self._words_of(root).issuperset(words)  # most are no sentence for one word alone
            found = self._meanings.of(words, Walk(root, words).readings) if known else ()
            if len(self._known) >= _MOST_KNOWN:
                self._known.clear()
            self._known[id(root), text] = found
        return found

    def _words_of(self, root: Node) -> frozenset[str]:
        found = self._vocabulary.get(id(root))
        if found is None:
            found = self._vocabulary[id(root)] = frozenset(words_of(root))
        return found
