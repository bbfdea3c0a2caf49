"""Linker: the rules of all files become one network, with references resolved and nodes shared."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from kitchenvoice.errors import BadGrammar
from kitchenvoice.grammar.jsgf import (
    Alternatives,
    Expansion,
    GrammarFile,
    GrammarRule,
    OptionalPart,
    Reference,
    RuleToken,
    Sequence,
    Tagged,
)
from kitchenvoice.grammar.network import Arc, Node, branch, chain, marked, optional

__all__ = ["OUTSIDE", "Linker"]

OUTSIDE = "kitchen"
"""The grammar whose rules are filled in by code: `<kitchen.food>` and the like."""


class Linker:
    """Link rules on demand; each becomes one node, however often it is used."""

    def __init__(self, files: Mapping[str, GrammarFile], outside: Mapping[str, Node]) -> None:
        self._files = files
        self._outside = dict(outside)
        self._nodes: dict[str, Node] = {}
        self._steps: dict[str, Arc] = {}
        self._open: list[str] = []
        self._users: dict[str, set[str]] = {}

    def changed(self, **outside: Node) -> Linker:
        """Return a linker with other outside rules; nodes that don't use them are shared with this one."""
        other = Linker(self._files, {**self._outside, **outside})
        stale = {name for rule in outside for name in self._users_of(f"{OUTSIDE}.{rule}")}
        other._nodes = {name: node for name, node in self._nodes.items() if name not in stale}
        other._steps = self._steps
        return other

    def _users_of(self, name: str) -> set[str]:
        direct = self._users.get(name, set())
        return direct.union(*(self._users_of(user) for user in direct))

    def node(self, grammar: str, rule: str) -> Node:
        """Return the node of a rule. Raises: BadGrammar for an undefined reference, and for recursion."""
        return self._rule(self._files[grammar], self._files[grammar].rules[rule])

    @property
    def files(self) -> Collection[str]:
        """Names of the grammars."""
        return self._files.keys()

    def knows(self, grammar: str, rule: str) -> bool:
        """True if there is such a rule."""
        return rule in self._files[grammar].rules

    def _rule(self, file: GrammarFile, rule: GrammarRule) -> Node:
        full = f"{file.name}.{rule.name}"
        self._note_use(full)
        if full in self._open:
            way = " to ".join([*self._open[self._open.index(full) :], full])
            raise BadGrammar(
                f"{file.name}.jsgf line {rule.line}: the rule leads back to itself ({way}). Break the circle."
            )
        if full not in self._nodes:
            self._open.append(full)
            self._nodes[full] = self._expansion(file, rule.expansion)
            self._open.pop()
        return self._nodes[full]

    def _note_use(self, name: str) -> None:
        if self._open:
            self._users.setdefault(name, set()).add(self._open[-1])

    def _expansion(self, file: GrammarFile, part: Expansion) -> Node:
        match part:
            case RuleToken(text):
                if text not in self._steps:
                    self._steps[text] = Arc(text)
                return self._steps[text]
            case Sequence(parts):
                return chain(self._expansion(file, each) for each in parts)
            case Alternatives(choices):
                return branch(self._expansion(file, each) for each in choices)
            case OptionalPart(inner):
                return optional(self._expansion(file, inner))
            case Tagged(inner, tag):
                return marked(self._expansion(file, inner), tag)
            case Reference():
                return self._reference(file, part)

    def _reference(self, file: GrammarFile, reference: Reference) -> Node:
        name = reference.name
        if name in file.rules:
            return self._rule(file, file.rules[name])
        for imported, _ in file.imports:
            grammar, _, what = imported.rpartition(".")
            wanted = name.removeprefix(f"{grammar}.")
            if what not in ("*", wanted) or "." in wanted:
                continue
            if grammar == OUTSIDE and wanted in self._outside:
                self._note_use(f"{OUTSIDE}.{wanted}")
                return self._outside[wanted]
            found = self._files[grammar].rules.get(wanted) if grammar in self._files else None
            if found is not None and found.public:
                return self._rule(self._files[grammar], found)
        raise BadGrammar(
            f"{file.name}.jsgf line {reference.line}: there is no rule <{name}>. Define it, or import a public one."
        )


def check_imports(files: Mapping[str, GrammarFile]) -> None:
    """Raise BadGrammar if an import names a missing file or public rule."""
    for file in files.values():
        for imported, line in file.imports:
            grammar, _, what = imported.rpartition(".")
            if grammar == OUTSIDE:
                continue
            rule = files[grammar].rules.get(what) if grammar in files else None
            if grammar not in files or (what != "*" and (rule is None or not rule.public)):
                raise BadGrammar(f"{file.name}.jsgf line {line}: <{imported}> isn't there. Correct the import.")
