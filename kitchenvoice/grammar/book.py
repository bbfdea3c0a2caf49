"""The grammars of a kitchen: loaded once, then one `Grammar` for each set of stages."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from hashlib import sha256
from pathlib import Path
from typing import Any, Literal, TypedDict

from kitchenvoice.errors import BadGrammar
from kitchenvoice.grammar.answers import Answers
from kitchenvoice.grammar.consequences import consequences
from kitchenvoice.grammar.covering import Cover, words_of
from kitchenvoice.grammar.files import grammar_folder
from kitchenvoice.grammar.foods import SpokenNames, reference_foods, reference_groups
from kitchenvoice.grammar.intents import graded
from kitchenvoice.grammar.jsgf import GrammarFile, Tag, read_file
from kitchenvoice.grammar.linking import Linker, check_imports
from kitchenvoice.grammar.matching import Walk
from kitchenvoice.grammar.meaning import Meanings, Reading
from kitchenvoice.grammar.network import NOTHING, Node, branch, chain, lexicon, marked, optional, phrase
from kitchenvoice.grammar.spelling import normalise
from kitchenvoice.grammar.word_graph import PromisedGraph, word_graph
from kitchenvoice.grammar.wording import Wording, Wordings
from kitchenvoice.ports import WordGraph, content_hash

__all__ = ["QUESTIONS", "STAGES", "Grammar", "GrammarBook", "Scope"]

_PACKAGE = Path(__file__).parents[1]
_REMEMBERED = 64
_MORE_ANSWERS = {
    "altitude": ("unknown",),
    "altitude_ok": ("yes_no",),
    "food": ("the_food",),
    "load_ok": ("yes_no",),
    "canner": ("which_canner",),
    "pack": ("yes_no",),
    "gauge_reading": ("pressure", "pressure_report"),
    "weight_check": ("yes_no", "weight_report"),
    "boil_check": ("yes_no", "boil_report"),
    "step_check": ("yes_no", "step_report"),
    "load": ("of_several", "denial"),
    "denial": ("yes_no", "of_several", "load"),
}
_SETUP = "setup_"
_CALLED = "attention"
_OTHER_WORDS = 2
"""Most other words in place of the beginning of the wake phrase. With two instead of one 5 more of 448 commands at
10 dB and below were right (a diphone voice's "kitchen" is "the fifth" there), with three none more."""
_Key = tuple[frozenset[str], str, str, str | None, tuple[tuple[int, str], ...] | None, bool]
_REPORTING = frozenset({"gauge_reading", "weight_check", "boil_check", "step_check"})

Attention = Literal["required", "optional", "answers"]


class Scope(TypedDict):
    """What can be said now, as plain data: the arguments of `GrammarBook.grammar`."""

    stages: tuple[str, ...]
    attention: Attention
    wake_phrase: str
    question: str | None
    loads: Mapping[int, str] | None
    typed: bool


STAGES = (
    "idle",
    "plan",
    "gear",
    "start",
    "pack",
    "canner",
    "vent",
    "come_up",
    "hold",
    "cool",
    "rest",
    "count",
    "keep",
)
_OF_A_LOAD = frozenset({"pack", "canner", "vent", "come_up", "hold", "cool", "rest", "count", "keep"})
QUESTIONS = (
    "yes_no",
    "count",
    "pressure",
    "altitude",
    "altitude_ok",
    "load_ok",
    "minutes",
    "inches",
    "amount",
    "food",
    "pack",
    "jar",
    "canner",
    "load",
    "denial",
    "outcome",
    "gauge",
    "method",
    "gauge_reading",
    "weight_check",
    "boil_check",
    "step_check",
    "which_timer",
    "setup_yes_no",
    "setup_units",
    "setup_altitude",
    "setup_altitude_ok",
    "setup_canners",
    "setup_name",
    "setup_gauge",
    "setup_jars",
    "setup_jars_ok",
    "setup_layers",
    "setup_tested",
    "setup_error",
    "setup_error_ok",
    "setup_jar",
    "setup_attention",
    "setup_attention_ok",
    "setup_level",
    "setup_sound",
    "any",
)
"""Kinds of open questions; `setup_...` are those of the first evening. `any` stands for all the others but
`load`, which is a command at any time, `which_timer`, and the three questions about the stove and the challenge of a
step, whose answers are reports."""


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
        self.answers = answers
        self.attention_required = without is None

    @property
    def graph(self) -> WordGraph:
        """All sentences of this kitchen, in any stage: what the ear listens for."""
        return self._everything()

    @cached_property
    def phrases(self) -> tuple[str, ...]:
        """Sentences for the recogniser's phrase list: every bigram, not every sentence."""
        return tuple(" ".join(words) for words in self._cover().of(self._root) if words)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that can be said."""
        return frozenset(word for text in self.phrases for word in text.split())

    def parse(self, text: str) -> tuple[Reading, ...]:
        """Return every meaning of `text` as one whole sentence of the grammar; none if it isn't one."""
        return self._read(self._root, text) or self._read(self._written, text)

    def other_words(self, text: str) -> Iterator[Wording]:
        """Yield typed `text` in other words, the wake phrase left out."""
        return self._wordings.of(normalise(text).removeprefix(self._called).strip(), self._loads)

    def food_in(self, text: str) -> str | None:
        """Return what stands in typed `text` where a food is named, known or not; `None` if nothing does."""
        return self._wordings.food_in(normalise(text).removeprefix(self._called).strip())

    def addressed(self, text: str) -> bool:
        """True if `text` begins with the wake phrase."""
        return f"{normalise(text)} ".startswith(f"{self._called} ")

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
        """Return the sentences known to be misheard as this one (`misheard` in consequences.toml)."""
        text = f" {sentence} "
        pairs = [(f" {heard} ", f" {said} ") for heard, said in consequences().misheard]
        others = [text.replace(heard, said, 1).strip() for heard, said in pairs if heard in text]
        return tuple(other for other in others if self.parse(other))

    def _read(self, root: Node, text: str) -> tuple[Reading, ...]:
        words = tuple(normalise(text).split())
        return self._meanings.of(words, Walk(root, words).readings) if words else ()


class GrammarBook:
    """All grammar files, linked once for each set of open loads."""

    def __init__(
        self,
        files: Mapping[str, GrammarFile],
        names: SpokenNames,
        made_from: str = "",
        common: tuple[str, ...] = (),
        wordings: Wordings | None = None,
    ) -> None:
        """Link the files. `made_from` is the hash of their text and of the code; `""` where that is unknown.

        `common` are words of everyday talk, for the ear's filler; `wordings` are other words for typed sentences.
        """
        check_imports(files)
        self._files = files
        self._made_from = made_from
        self._common = common
        self._wordings = wordings or Wordings()
        self._names = names
        self._base = self._link_all()
        self._linked: dict[tuple[tuple[int, str], ...], _Linked] = {}
        self._made: dict[object, Grammar] = {}
        self._graphs: dict[str, WordGraph] = {}

    @classmethod
    def load(
        cls,
        folder: Path | None = None,
        foods: Mapping[str, str] | None = None,
        canners: Mapping[str, int] | None = None,
        groups: Mapping[str, tuple[str, ...]] | None = None,
    ) -> GrammarBook:
        """Read the grammar files.

        Args:
            folder: the grammar files; by default those of the package.
            foods: spoken name -> id of a food or a group; by default the reference's.
            canners: name in the profile -> number of the canner.
            groups: id of a group of foods -> ids to choose from; by default the reference's.
        Raises: BadGrammar naming file and line.
        """
        place = folder or grammar_folder()
        paths = sorted(place.glob("*.jsgf"))
        files = {path.stem: read_file(path) for path in paths}
        missing = [name for name in (*STAGES, "always", "question") if name not in files]
        if missing:
            raise BadGrammar(f"{missing[0]}.jsgf is missing. Put the grammar files back.")
        said = {normalise(name): target for name, target in (reference_foods() if foods is None else foods).items()}
        called = {normalise(name): number for name, number in (canners or {}).items()}
        names = SpokenNames(said, reference_groups() if groups is None else groups, called)
        common = place / "common_words.txt"
        made_from = content_hash([*(path for path in paths if path.stem != "written"), *_there(common), *_code()])
        return cls(files, names, made_from, _words(common), Wordings.load(place / "wording.toml"))

    def grammar(
        self,
        stages: Collection[str],
        *,
        attention: Attention = "required",
        wake_phrase: str = "kitchen voice",
        question: str | None = None,
        loads: Mapping[int, str] | None = None,
        typed: bool = False,
    ) -> Grammar:
        """Return the grammar of the sentences that can be said now; cached.

        Args:
            stages: stages whose reports are live; commands for any time are added.
            attention: whether the wake phrase must come first (`required`), may (`optional`), or must for all
                but an answer to the question (`answers`).
            wake_phrase: its words, all in the model's vocabulary.
            question: the kind of the open question, one of `QUESTIONS`; its answers are then live.
            loads: open loads, number -> food id, so that "the carrots" is a load; `None` if they aren't known.
            typed: whether sentences that are only typed are live too.

        Raises: ValueError for an unknown stage or question.
        """
        wrong = [*(set(stages) - set(STAGES)), *({question} - {*QUESTIONS, None})]
        if wrong:
            raise ValueError(f"{wrong[0]} is no stage and no question of the grammars.")
        named = None if loads is None else tuple(sorted(loads.items()))
        key = (frozenset(stages), attention, wake_phrase, question, named, typed)
        if key not in self._made:
            _make_room(self._made)
            self._made[key] = self._make(key)
        return self._made[key]

    def _make(self, key: _Key) -> Grammar:
        stages, attention, wake_phrase, question, named, typed = key
        linked = self._link(named)
        answers = _known_answers(linked.linker, question)
        parts = [("always", "always"), *((stage, stage) for stage in STAGES if stage in stages), *answers]
        body = branch((*(linked.linker.node(*part) for part in parts), _named_first(linked.linker, stages)))
        bare = branch(linked.linker.node(*part) for part in [("always", "answering"), *answers])
        without = {"required": None, "optional": body, "answers": bare}[attention]
        called = normalise(wake_phrase)
        named_first = [_named_first(linked.linker, stages, name) for name in ("load_of", "load_bare")]
        written = branch((*named_first, *(_only_typed(linked.linker, stages) if typed else ())))
        everything: Callable[[], WordGraph] = lambda: self.everything(called)  # noqa: E731
        wordings = self._wordings if typed else None
        alone = Answers(bare, linked.meanings) if without is not None and question is not None else None
        return Grammar(
            body, called, without, linked.meanings, self._covers, everything, written, wordings, linked.named, alone
        )

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word of any command and any answer."""
        linker = self._base.linker
        return words_of(linker.node(file.name, rule) for file in self._files.values() for rule in file.rules)

    def everything(self, wake_phrase: str = "kitchen voice") -> WordGraph:
        """Return the graph of every command and every answer, with and without the phrase; the same each time.

        Seldom said: a command without the phrase (only after a call), an answer with it.

        The ear listens for all of it at any time and the stage selects among what it heard: listening for the stage
        alone was hardly better (417 and 414 of 469 commands, synthetic voices), and needs a graph for each stage.
        """
        called = normalise(wake_phrase)
        if called not in self._graphs:
            _make_room(self._graphs)
            self._graphs[called] = PromisedGraph(partial(self._everything, called), self._fingerprint(called))
        return self._graphs[called]

    def _everything(self, called: str) -> WordGraph:
        linker = self._base.linker
        live = [("always", "always"), *((stage, stage) for stage in STAGES)]
        asked = [answer for question in QUESTIONS for answer in _known_answers(linker, question)]
        commands = branch((*(linker.node(*part) for part in live), _named_first(linker, STAGES)))
        answers = branch(linker.node(grammar, rule) for grammar, rule in [("always", "answering"), *asked])
        usual = branch((answers, chain((phrase(called), optional(commands)))))
        seldom = branch((commands, chain((phrase(called), answers))))
        return word_graph(usual, seldom, called, self._common)

    def _fingerprint(self, called: str) -> str:
        """Cache key of the graph: files, code, names of foods and canners, wake phrase."""
        if not self._made_from:
            return ""
        names = (self._made_from, called, list(self._names.foods), list(self._names.canners))
        return sha256(repr(names).encode()).hexdigest()

    def _link(self, named: tuple[tuple[int, str], ...] | None) -> _Linked:
        """Return the network for these open loads; parts that don't name loads are shared."""
        if named is None:
            return self._base
        if named not in self._linked:
            _make_room(self._linked)
            names = replace(self._names, loads=dict(named))
            linker = self._base.linker.changed(loaded_food=lexicon(names.loaded()))
            self._linked[named] = _Linked(linker, Meanings(names), tuple(names.loaded()))
        return self._linked[named]

    def _link_all(self) -> _Linked:
        """Link every rule of every file, so that an error shows at once."""
        names = self._names
        linker = Linker(
            self._files,
            {
                "food": lexicon(names.foods),
                "loaded_food": lexicon(names.loaded()),
                "canner_name": lexicon(names.canners),
                "please": chain((optional(phrase("please")),), polite=True),
            },
        )
        for file in self._files.values():
            for rule in file.rules:
                linker.node(file.name, rule)
        return _Linked(linker, Meanings(names))

    def _covers(self) -> Cover:
        """Return a `Cover` with the parts that grammars share; only phrase lists need it."""
        return Cover(self._shared)

    @cached_property
    def _shared(self) -> Cover:
        cover = Cover()
        for stage in STAGES:
            cover.of(self._base.linker.node(stage, stage))
        return cover


@dataclass(frozen=True, slots=True)
class _Linked:
    linker: Linker
    meanings: Meanings
    named: tuple[str, ...] = ()


def _named_first(linker: Linker, stages: Collection[str], name: str = "load_by_number") -> Node:
    """Return the sentences with a load in front: what is reported of it in these stages.

    The ear listens for numbers in front ("load two, weight is on"). A food there ("the carrots, weight is on") is
    understood only in typed input: it would treble the number of bigrams and add a second to the start; every short
    word at the beginning could be a food.
    """
    told = [linker.node(stage, stage) for stage in STAGES if stage in stages and stage in _OF_A_LOAD]
    known = told and linker.knows("things", name)
    return chain((linker.node("things", name), branch(told))) if known else NOTHING


def _only_typed(linker: Linker, stages: Collection[str]) -> list[Node]:
    """Return the sentences of these stages that are only typed, alone or with a load in front."""
    if "written" not in linker.files:
        return []
    rules = ["always", *(["in_load"] if _OF_A_LOAD.intersection(stages) else []), *(x for x in STAGES if x in stages)]
    typed = [linker.node("written", rule) for rule in rules if linker.knows("written", rule)]
    told = branch(linker.node("written", x) for x in stages if x in _OF_A_LOAD and linker.knows("written", x))
    named = branch(linker.node("things", name) for name in ("load_by_number", "load_of", "load_bare"))
    asked = branch((linker.node("written", "always"), linker.node("always", "always")))
    return [*typed, chain((named, branch((told, asked))))]


def _words(file: Path) -> tuple[str, ...]:
    """Return the words of a file, one a line below its comments; none if a language has no such file."""
    lines = (line for path in _there(file) for line in path.read_text("utf-8").split("\n"))
    return tuple(line for line in lines if line and not line.startswith("#"))


def _code() -> list[Path]:
    """Return the source files that make a graph of the grammars."""
    return [_PACKAGE / "ports.py", *(_PACKAGE / "grammar").glob("*.py"), *(_PACKAGE / "language").glob("*.py")]


def _there(file: Path) -> list[Path]:
    return [file] if file.is_file() else []


def _make_room(kept: dict[Any, Any]) -> None:
    """Evict the oldest entry of a full cache."""
    if len(kept) >= _REMEMBERED:
        kept.pop(next(iter(kept)))


def _known_answers(linker: Linker, question: str | None) -> list[tuple[str, str]]:
    """Return the rules with the answers to an open question; languages other than English may lack some."""
    return [("question", rule) for rule in _answers(question) if linker.knows("question", rule)]


def _answers(question: str | None) -> list[str]:
    """Return the names of the rules of question.jsgf for an open question."""
    if question == "any":
        without = ("load", "which_timer", "any", *_REPORTING)
        return [each for each in QUESTIONS if each not in without and not each.startswith(_SETUP)]
    if question is None:
        return []
    return [*((question,) if question not in _REPORTING else ()), *_MORE_ANSWERS.get(question, ())]
