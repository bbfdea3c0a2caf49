"""The grammars of a kitchen: loaded once, then one `Grammar` for each set of stages."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from hashlib import sha256
from pathlib import Path
from typing import Any

from kitchenvoice.errors import BadGrammar
from kitchenvoice.files import content_hash
from kitchenvoice.grammar.answers import Answers
from kitchenvoice.grammar.covering import Cover
from kitchenvoice.grammar.foods import SpokenNames, reference_foods, reference_groups, reference_typed
from kitchenvoice.grammar.grammar import Grammar
from kitchenvoice.grammar.grammar_folder import grammar_folder
from kitchenvoice.grammar.jsgf import GrammarFile, read_file
from kitchenvoice.grammar.linking import Linker, check_imports
from kitchenvoice.grammar.meaning import Meanings
from kitchenvoice.grammar.network import branch, chain, lexicon, optional, phrase, words_of
from kitchenvoice.grammar.spelling import normalise
from kitchenvoice.grammar.stages import QUESTIONS, STAGES, Attention, answers_to, named_first, only_typed
from kitchenvoice.grammar.word_graph import PromisedGraph, word_graph
from kitchenvoice.grammar.wording import Wordings
from kitchenvoice.ports import WordGraph

__all__ = ["GrammarBook"]

_PACKAGE = Path(__file__).parents[1]
_REMEMBERED = 64
_Key = tuple[frozenset[str], str, str, str | None, tuple[tuple[int, str], ...] | None, bool]


class GrammarBook:
    """All grammar files, linked once for each set of open loads."""

    def __init__(
        self,
        files: Mapping[str, GrammarFile],
        names: SpokenNames,
        made_from: str = "",
        common: tuple[str, ...] = (),
        wordings: Wordings | None = None,
        alike: Sequence[tuple[str, str]] = (),
    ) -> None:
        """Link the files. `made_from` is the hash of their text and of the code; `""` if unknown.

        `common` are words of everyday talk, for the ear's filler; `wordings` are other words for typed sentences;
        `alike` are words of this cook, each with what it is heard as.
        """
        check_imports(files)
        self._files = files
        self._made_from = made_from
        self._common = common
        self._wordings = wordings or Wordings()
        self._alike = alike
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
        alike: Sequence[tuple[str, str]] = (),
    ) -> GrammarBook:
        """Read the grammar files.

        Args:
            folder: the grammar files; by default those of the package.
            foods: spoken name -> id of a food or a group; by default the reference's.
            canners: name in the profile -> number of the canner.
            groups: id of a group of foods -> ids to choose from; by default the reference's.
            alike: words of this cook, each with what it is heard as.
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
        return cls(
            files,
            names,
            made_from,
            _words(common),
            Wordings.load(place / "wording.toml", reference_typed() if foods is None else {}),
            alike,
        )

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
        answers = answers_to(linked.linker, question)
        parts = [("always", "always"), *((stage, stage) for stage in STAGES if stage in stages), *answers]
        body = branch((*(linked.linker.node(*part) for part in parts), named_first(linked.linker, stages)))
        bare = branch(linked.linker.node(*part) for part in [("always", "answering"), *answers])
        without = {"required": None, "optional": body, "answers": bare}[attention]
        called = normalise(wake_phrase)
        loads_first = [named_first(linked.linker, stages, name) for name in ("load_of", "load_bare")]
        written = branch((*loads_first, *(only_typed(linked.linker, stages, question) if typed else ())))
        everything: Callable[[], WordGraph] = lambda: self.everything(called)  # noqa: E731
        wordings = self._wordings if typed else None
        alone = Answers(bare, linked.meanings) if without is not None and question is not None else None
        made = Grammar(
            body,
            called,
            without,
            linked.meanings,
            self._covers,
            everything,
            written,
            wordings,
            linked.named,
            alone,
        )
        made.asks_for_words = question == "note"
        made.alike = () if typed else self._alike
        return made

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word of any command and any answer."""
        linker = self._base.linker
        rules = branch(linker.node(file.name, rule) for file in self._files.values() for rule in file.rules)
        return frozenset(words_of(rules))

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
        asked = [answer for question in QUESTIONS for answer in answers_to(linker, question)]
        commands = branch((*(linker.node(*part) for part in live), named_first(linker, STAGES)))
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
                "canner_short": lexicon(names.short_canners),
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
