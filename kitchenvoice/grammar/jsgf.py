"""Parser of JSGF V1.0 grammar files.

Read: the `#JSGF` header, the `grammar` name, `import <file.rule>` and `import <file.*>`, public and private rules,
sequences, alternatives `|`, groups `( )`, options `[ ]`, references `<rule>` and `<file.rule>`, comments of both kinds.

Limitations:
- Recursion, `*` and `+` are refused: the languages here are finite.
- Weights (`/0.5/`) are allowed and ignored; quoted words, Unicode escapes, `<NULL>` and `<VOID>` are not known.
- Tags are literals of three forms only, each belonging to the expansion just before it: `{intent NAME}`,
  `{slot NAME TYPE}` (the words covered are converted by code) and `{set NAME VALUE}` (a constant).
- A file is named after its grammar: grammar `pack` is `pack.jsgf`. Grammar names have no dots.
"""

from __future__ import annotations

import re
from bisect import bisect
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from kitchenvoice.errors import BadGrammar
from kitchenvoice.files import read_small

__all__ = [
    "Alternatives",
    "Expansion",
    "GrammarFile",
    "GrammarRule",
    "OptionalPart",
    "Reference",
    "RuleToken",
    "Sequence",
    "Tag",
    "Tagged",
    "read_file",
    "read_jsgf",
]

_MAX_BYTES = 1_000_000
_DEEPEST = 50
_TOKEN = re.compile(
    r"""(?P<blank>(?:\s+|//[^\n]*|/\*[\s\S]*?\*/)+)
    |(?P<word>[a-zß-öø-ÿ][a-z0-9_'ß-öø-ÿ]*)
    |(?P<name><[A-Za-z_][\w.]*(?:\.\*)?>)
    |(?P<tag>\{[^{}]*\})
    |(?P<weight>/\d+(?:\.\d+)?/)
    |(?P<header>\#JSGF[ \t]+V1\.0[^;\n]*)
    |(?P<sign>[\s\S])""",
    re.VERBOSE,
)
_CLOSED_BY = {"(": ")", "[": "]"}
_BEGINS = frozenset({"word", "name", *_CLOSED_BY})
_TAG = re.compile(
    r"\{\s*(?:intent\s+(?P<intent>\w+)|slot\s+(?P<slot>\w+)\s+(?P<type>\w+)|set\s+(?P<name>\w+)\s+(?P<value>[\w.-]+))\s*\}"
)


@dataclass(frozen=True, slots=True)
class Tag:
    """Meaning of an expansion. `kind` is `intent`, `slot` or `set`; `value` is a slot's type or a constant."""

    kind: str
    name: str
    value: str | int | float = ""


@dataclass(frozen=True, slots=True)
class RuleToken:
    """One spoken word."""

    text: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A reference to another rule. `name` is written as in the file, without brackets."""

    name: str
    line: int


@dataclass(frozen=True, slots=True)
class Sequence:
    """Parts in order."""

    parts: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True)
class Alternatives:
    """A choice of one part."""

    choices: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True)
class OptionalPart:
    """A part that may be left out."""

    part: Expansion


@dataclass(frozen=True, slots=True)
class Tagged:
    """An expansion with its tag."""

    part: Expansion
    tag: Tag


Expansion = RuleToken | Reference | Sequence | Alternatives | OptionalPart | Tagged


@dataclass(frozen=True, slots=True)
class GrammarRule:
    """One rule of a file."""

    name: str
    public: bool
    expansion: Expansion
    line: int


@dataclass(frozen=True, slots=True)
class GrammarFile:
    """One file: its name, its imports (as written, with their lines) and its rules."""

    name: str
    imports: tuple[tuple[str, int], ...]
    rules: dict[str, GrammarRule]


@lru_cache(maxsize=32)
def read_jsgf(text: str, name: str) -> GrammarFile:
    """Read one grammar; those of a kitchen stay in memory. `name` is its file's name, for messages.

    Raises: BadGrammar naming file and line.
    """
    return _Reader(text, name).file()


class _Reader:
    """Recursive descent, a method for each part of the syntax: a parser generator took a start 1.5 s more."""

    def __init__(self, text: str, name: str) -> None:
        self._text, self._name = text, name
        self._line_ends = [found.start() for found in re.finditer("\n", text)]
        found = ((each.lastgroup or "", each.group(), each.start()) for each in _TOKEN.finditer(text))
        tokens = [(what if kind == "sign" else kind, what, at) for kind, what, at in found if kind != "blank"]
        self._tokens = [*tokens, ("end", "", tokens[-1][2] if tokens else 0)]
        self._at = 0
        self._depth = 0

    def file(self) -> GrammarFile:
        """Read the header, the name, the imports, the rules."""
        self._take("header")
        self._take(";")
        if not self._took_word("grammar"):
            raise self._unreadable()
        name = self._take("word")
        self._take(";")
        imports: list[tuple[str, int]] = []
        while self._took_word("import"):
            imports.append(self._import())
        rules: dict[str, GrammarRule] = {}
        while self._kind != "end":
            rule = self._rule()
            if rule.name in rules:
                raise self._wrong(rule.line, f"<{rule.name}> is there twice. Remove one.")
            rules[rule.name] = rule
        return GrammarFile(name, tuple(imports), rules)

    def _import(self) -> tuple[str, int]:
        line = self._line
        name = self._take("name")
        self._take(";")
        if "." not in name:
            raise self._wrong(line, f"{name} names no file. Write <file.rule> or <file.*>.")
        return name[1:-1], line

    def _rule(self) -> GrammarRule:
        line, public = self._line, self._took_word("public")
        name = self._take("name")
        self._take("=")
        expansion = self._choice()
        self._take(";")
        if "." in name:
            raise self._wrong(line, f"{name} is another file's rule. Define it there.")
        return GrammarRule(name[1:-1], public, expansion, line)

    def _choice(self) -> Expansion:
        choices = [self._row()]
        while self._kind == "|":
            self._at += 1
            choices.append(self._row())
        return choices[0] if len(choices) == 1 else Alternatives(tuple(choices))

    def _row(self) -> Expansion:
        if self._kind == "weight":
            self._at += 1
        parts = [self._tagged()]
        while self._kind in _BEGINS:
            parts.append(self._tagged())
        return parts[0] if len(parts) == 1 else Sequence(tuple(parts))

    def _tagged(self) -> Expansion:
        part = self._part()
        if self._kind in ("*", "+"):
            raise self._wrong(self._line, f"{self._kind} repeats without end. Write out how often.")
        while self._kind == "tag":
            part = Tagged(part, self._tag())
        return part

    def _part(self) -> Expansion:
        kind, text, _ = self._tokens[self._at]
        if kind == "word":
            self._at += 1
            return RuleToken(text)
        if kind in _CLOSED_BY:
            return self._bracket(kind)
        line, name = self._line, self._take("name")
        if name.endswith(".*>"):
            raise self._wrong(line, f"{name} can only be imported. Name one rule.")
        return Reference(name[1:-1], line)

    def _bracket(self, opening: str) -> Expansion:
        self._at += 1
        self._depth += 1
        if self._depth > _DEEPEST:
            raise BadGrammar(f"{self._name} nests its brackets too deeply. Give the inner part a rule of its own.")
        inner = self._choice()
        self._take(_CLOSED_BY[opening])
        self._depth -= 1
        return inner if opening == "(" else OptionalPart(inner)

    def _tag(self) -> Tag:
        line, text = self._line, self._take("tag")
        match = _TAG.fullmatch(text)
        if match is None:
            raise self._wrong(line, f"{text} is no tag. Use intent, slot or set.")
        found = match.groupdict()
        if found["intent"]:
            return Tag("intent", found["intent"])
        if found["slot"]:
            return Tag("slot", found["slot"], found["type"])
        return Tag("set", found["name"], _literal(found["value"]))

    @property
    def _kind(self) -> str:
        """What comes next: the name of its pattern, or the sign itself."""
        return self._tokens[self._at][0]

    @property
    def _line(self) -> int:
        return bisect(self._line_ends, self._tokens[self._at][2]) + 1

    def _take(self, kind: str) -> str:
        """Go past what comes next, which has to be of this kind, and return it."""
        found, text, _ = self._tokens[self._at]
        if found != kind:
            raise self._unreadable()
        self._at += 1
        return text

    def _took_word(self, word: str) -> bool:
        """Go past this word if it comes next; tell whether it did."""
        taken = self._tokens[self._at][:2] == ("word", word)
        self._at += taken
        return taken

    def _unreadable(self) -> BadGrammar:
        lines = self._text.splitlines()
        seen = lines[self._line - 1].strip() if self._line <= len(lines) else "the end"
        return BadGrammar(f"{self._name} line {self._line} can't be read near: {seen}. Correct it.")

    def _wrong(self, line: int, what: str) -> BadGrammar:
        return BadGrammar(f"{self._name} line {line}: {what}")


def _literal(text: str) -> str | int | float:
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and "." not in text else number


def read_file(path: Path) -> GrammarFile:
    """Read one grammar file. Raises: BadGrammar naming file and line, also where name and file differ."""
    try:
        text = read_small(path, _MAX_BYTES).decode("utf-8").replace("\r\n", "\n")
    except (OSError, ValueError) as exc:
        raise BadGrammar(f"{path.name} can't be read. Put the grammar files back.") from exc
    found = read_jsgf(text, path.name)
    if found.name != path.stem:
        raise BadGrammar(f"{path.name} line 2: it calls itself {found.name}. Name the grammar after its file.")
    return found
