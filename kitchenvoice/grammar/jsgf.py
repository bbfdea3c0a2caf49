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
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import accumulate
from pathlib import Path

from lark import Lark, Token, Transformer
from lark.exceptions import UnexpectedInput

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
_BRACKETS = re.compile(r"//[^\n]*|/\*[\s\S]*?\*/|\{[^{}]*\}|[()\[\]]")

_SYNTAX = r"""
start: HEADER ";" "grammar" WORD ";" import_* rule*
import_: "import" NAME ";"
rule: [PUBLIC] NAME "=" alternatives ";"
alternatives: sequence ("|" sequence)*
sequence: (WEIGHT)? tagged+
tagged: atom TAG*
?atom: WORD -> word
     | NAME -> reference
     | "(" alternatives ")" -> group
     | "[" alternatives "]" -> option
     | atom REPEAT -> repeated
HEADER: /#JSGF[ \t]+V1\.0[^;\n]*/
PUBLIC: "public"
NAME: /<[A-Za-z_][\w.]*(\.\*)?>/
WORD: /[a-zß-öø-ÿ][a-z0-9_'ß-öø-ÿ]*/
TAG: /\{[^{}]*\}/
WEIGHT: /\/\d+(\.\d+)?\//
REPEAT: /[*+]/
COMMENT: /\/\/[^\n]*/ | /\/\*(.|\n)*?\*\//
%ignore COMMENT
%ignore /\s+/
"""
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
    try:
        found: object = _parser().parse(text)
    except UnexpectedInput as exc:
        seen = text.splitlines()[exc.line - 1].strip() if 0 < exc.line <= len(text.splitlines()) else "the end"
        raise BadGrammar(f"{name} line {max(exc.line, 1)} can't be read near: {seen}. Correct it.") from exc
    except BadGrammar as exc:
        raise BadGrammar(f"{name} {exc}") from exc
    if _depth(text) > _DEEPEST:
        raise BadGrammar(f"{name} nests its brackets too deeply. Give the inner part a rule of its own.")
    assert isinstance(found, GrammarFile)
    return found


def _depth(text: str) -> int:
    """Return how deep the brackets are nested, those in comments and tags left out."""
    steps = [{"(": 1, "[": 1, ")": -1, "]": -1}.get(found, 0) for found in _BRACKETS.findall(text)]
    return max(accumulate(steps), default=0)


@cache
def _parser() -> Lark:
    return Lark(_SYNTAX, parser="lalr", transformer=_Builder())


class _Builder(Transformer[Token, object]):
    """Make rules while lark reads: a tree of all files in between took a start 0.5 s more processor time."""

    def _wrong(self, line: int | None, what: str) -> BadGrammar:
        return BadGrammar(f"line {line}: {what}")

    def word(self, found: list[Token]) -> Expansion:
        return RuleToken(str(found[0]))

    def reference(self, found: list[Token]) -> Expansion:
        if str(found[0]).endswith(".*>"):
            raise self._wrong(found[0].line, f"{found[0]} can only be imported. Name one rule.")
        return Reference(str(found[0])[1:-1], found[0].line or 0)

    def group(self, found: list[Expansion]) -> Expansion:
        return found[0]

    def option(self, found: list[Expansion]) -> Expansion:
        return OptionalPart(found[0])

    def repeated(self, found: list[Token]) -> Expansion:
        raise self._wrong(found[-1].line, f"{found[-1]} repeats without end. Write out how often.")

    def tagged(self, found: list[Expansion | Token]) -> Expansion:
        part, *tags = found
        for text in tags:
            part = Tagged(part, self._tag(text))  # type: ignore[arg-type]
        return part  # type: ignore[return-value]

    def _tag(self, text: Token) -> Tag:
        match = _TAG.fullmatch(text)
        if match is None:
            raise self._wrong(text.line, f"{text} is no tag. Use intent, slot or set.")
        found = match.groupdict()
        if found["intent"]:
            return Tag("intent", found["intent"])
        if found["slot"]:
            return Tag("slot", found["slot"], found["type"])
        return Tag("set", found["name"], _literal(found["value"]))

    def sequence(self, found: list[Expansion | Token]) -> Expansion:
        parts = tuple(part for part in found if not isinstance(part, Token))
        return parts[0] if len(parts) == 1 else Sequence(parts)

    def alternatives(self, found: list[Expansion]) -> Expansion:
        return found[0] if len(found) == 1 else Alternatives(tuple(found))

    def rule(self, found: tuple[Token | None, Token, Expansion]) -> GrammarRule:
        public, name, expansion = found
        line = (public or name).line or 0
        if "." in name:
            raise self._wrong(line, f"{name} is another file's rule. Define it there.")
        return GrammarRule(str(name)[1:-1], public is not None, expansion, line)

    def import_(self, found: list[Token]) -> tuple[str, int]:
        name = str(found[0])[1:-1]
        if "." not in name:
            raise self._wrong(found[0].line, f"{found[0]} names no file. Write <file.rule> or <file.*>.")
        return name, found[0].line or 0

    def start(self, found: list[object]) -> GrammarFile:
        _, name, *rest = found
        rules: dict[str, GrammarRule] = {}
        for rule in rest:
            if isinstance(rule, GrammarRule):
                if rule.name in rules:
                    raise self._wrong(rule.line, f"<{rule.name}> is there twice. Remove one.")
                rules[rule.name] = rule
        imports = tuple(item for item in rest if isinstance(item, tuple))
        return GrammarFile(str(name), imports, rules)


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
