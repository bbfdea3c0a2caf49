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
from bisect import bisect_left
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
    r"(?>\s+|//[^\n]*|/\*[\s\S]*?\*/)*+"
    r"(?:(?P<word>[a-zß-öø-ÿ][a-z0-9_'ß-öø-ÿ]*)|(?P<sign>[;=|()\[\]*+])|(?P<name><[A-Za-z_][\w.]*(?:\.\*)?>)"
    r"|(?P<tag>\{[^{}]*\})|(?P<weight>/\d+(?:\.\d+)?/)|(?P<header>\#JSGF[ \t]+V1\.0[^;\n]*)|(?P<end>\Z)|(?P<wrong>.))"
)
_CLOSES = {"(": ")", "[": "]"}
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
    """Recursive descent over the tokens of one file. Its kind is its group's name, of a sign the sign itself."""

    def __init__(self, text: str, name: str) -> None:
        self._text, self._name = text, name
        self._kinds, self._texts, self._starts = list[str](), list[str](), list[int]()
        for found in _TOKEN.finditer(text):
            kind = str(found.lastgroup)
            token = found[kind]
            self._kinds.append(token if kind == "sign" else kind)
            self._texts.append(token)
            self._starts.append(found.start(kind))
            if kind == "wrong":
                break  # nothing takes it
        self._ends_of_lines = [each.start() for each in re.finditer("\n", text)]
        self._at = 0
        self._depth = 0

    def file(self) -> GrammarFile:
        self._take("header")
        self._take(";")
        self._take("word", "grammar")
        name = self._take("word")
        self._take(";")
        imports = []
        while self._texts[self._at] == "import":
            imports.append(self._import())
        rules: dict[str, GrammarRule] = {}
        while self._kinds[self._at] != "end":
            rule = self._rule()
            if rule.name in rules:
                raise self._wrong(rule.line, f"<{rule.name}> is there twice. Remove one.")
            rules[rule.name] = rule
        return GrammarFile(name, tuple(imports), rules)

    def _import(self) -> tuple[str, int]:
        line = self._line(self._at + 1)
        self._at += 1
        name = self._take("name")
        self._take(";")
        if "." not in name:
            raise self._wrong(line, f"{name} names no file. Write <file.rule> or <file.*>.")
        return name[1:-1], line

    def _rule(self) -> GrammarRule:
        line, public = self._line(self._at), self._texts[self._at] == "public"
        self._at += public
        name = self._take("name")
        self._take("=")
        expansion = self._alternatives(";")
        if "." in name:
            raise self._wrong(line, f"{name} is another file's rule. Define it there.")
        return GrammarRule(name[1:-1], public, expansion, line)

    def _alternatives(self, closing: str) -> Expansion:
        choices = [self._sequence()]
        while self._kinds[self._at] == "|":
            self._at += 1
            choices.append(self._sequence())
        self._take(closing)
        return choices[0] if len(choices) == 1 else Alternatives(tuple(choices))

    def _sequence(self) -> Expansion:
        self._at += self._kinds[self._at] == "weight"
        parts = []
        while (part := self._part()) is not None:
            parts.append(part)
        if not parts:
            raise self._unreadable()
        return parts[0] if len(parts) == 1 else Sequence(tuple(parts))

    def _part(self) -> Expansion | None:
        """Return the next part of a sequence with its tags; `None` at the sequence's end."""
        at, kind = self._at, self._kinds[self._at]
        part: Expansion
        if kind == "word":
            part = _token(self._texts[at])
        elif kind == "name":
            part = self._reference(at)
        elif kind in _CLOSES:
            part = self._bracketed(kind)
        else:
            return None
        self._at = max(self._at, at + 1)
        if self._kinds[self._at] in ("*", "+"):
            raise self._wrong(
                self._line(self._at), f"{self._texts[self._at]} repeats without end. Write out how often."
            )
        while self._kinds[self._at] == "tag":
            part = Tagged(part, self._tag())
        return part

    def _bracketed(self, opening: str) -> Expansion:
        self._at += 1
        self._depth += 1
        if self._depth > _DEEPEST:
            raise BadGrammar(f"{self._name} nests its brackets too deeply. Give the inner part a rule of its own.")
        inside = self._alternatives(_CLOSES[opening])
        self._depth -= 1
        return OptionalPart(inside) if opening == "[" else inside

    def _reference(self, at: int) -> Reference:
        name = self._texts[at]
        if name.endswith(".*>"):
            raise self._wrong(self._line(at), f"{name} can only be imported. Name one rule.")
        return Reference(name[1:-1], self._line(at))

    def _tag(self) -> Tag:
        text, line = self._texts[self._at], self._at
        match = _TAG.fullmatch(text)
        if match is None:
            raise self._wrong(self._line(line), f"{text} is no tag. Use intent, slot or set.")
        self._at += 1
        found = match.groupdict()
        if found["intent"]:
            return Tag("intent", found["intent"])
        if found["slot"]:
            return Tag("slot", found["slot"], found["type"])
        return Tag("set", found["name"], _literal(found["value"]))

    def _take(self, kind: str, text: str = "") -> str:
        """Return the next token, which has to be of this kind."""
        found = self._texts[self._at]
        if self._kinds[self._at] != kind or (text and found != text):
            raise self._unreadable()
        self._at += 1
        return found

    def _line(self, at: int) -> int:
        """Return the line of a token."""
        return bisect_left(self._ends_of_lines, self._starts[at]) + 1

    def _wrong(self, line: int, what: str) -> BadGrammar:
        return BadGrammar(f"{self._name} line {line}: {what}")

    def _unreadable(self) -> BadGrammar:
        line = self._line(self._at)
        seen = self._text.split("\n")[line - 1].strip() if self._kinds[self._at] != "end" else "the end"
        return BadGrammar(f"{self._name} line {line} can't be read near: {seen}. Correct it.")


@lru_cache(maxsize=4096)
def _token(word: str) -> RuleToken:
    return RuleToken(word)


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
