"""No room compares or searches the words of a language, and no module keeps one in a global."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import kitchenvoice
from kitchenvoice.language import load_language

PACKAGE = Path(kitchenvoice.__file__).parent
ROOMS = ("dialogue", "process", "app", "board", "rehearsal", "card", "logbook", "speaking", "paper")
FILES = [path for room in ROOMS for path in sorted((PACKAGE / room).rglob("*.py"))]
TREES = {path: ast.parse(path.read_text("utf-8")) for path in (*FILES, PACKAGE / "grammar" / "wording.py")}
WORDING = [*FILES, *sorted((PACKAGE / "grammar").glob("*.py")), PACKAGE / "reference" / "names.py"]
"""What makes sentences or takes them apart."""
ENGLISH = load_language("en")
WHOLE = [ENGLISH.number(value) for value in (*range(20), *range(20, 100, 10))]
LITTLE = "hundred thousand dozen half quarter a an the of in with some my our from for plus n these are was not"
EVERYDAY = frozenset((*WHOLE, *LITTLE.split(), "and", "or", "then", "no"))
"""Words of English that are nothing else: a table with two of them is one of words."""
REMINDERS = frozenset({"half", "five", "one"})
"""Marks of a timer that runs (process/schedule.py)."""

LOOKING = frozenset(
    {"startswith", "endswith", "removeprefix", "removesuffix", "replace", "find", "index", "count", "partition"}
    | {"rpartition", "split", "rsplit"}
)
SHARING = frozenset({"isdisjoint", "intersection", "issubset", "issuperset"})
SPOKEN = frozenset({"text", "prompt", "last_said", "phrases", "said", "sentence", "answers", "word", "words"})
"""Names of variables that hold a sentence, or are made of one."""
SAYING = frozenset({"say", "phrase", "tell_step", "step_text", "words_of", "in_words"})
"""Functions that make a sentence."""
WORDS = re.compile(r"[A-Za-z]{2,}[ ,?!]|[ ,?!][A-Za-z]{2,}|^[A-Z][a-z]+")
"""More than a key: a word next to a blank or a punctuation mark, or with a capital letter."""


def is_words(node: ast.expr) -> bool:
    """True if a constant, or one of a tuple of them, belongs to a language."""
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return any(map(is_words, node.elts))
    if isinstance(node, ast.JoinedStr):
        return any(map(is_words, node.values))
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and bool(WORDS.search(node.value))


def is_spoken(node: ast.expr) -> bool:
    """True if an expression is a sentence, or a part of one."""
    if isinstance(node, ast.Attribute):
        return node.attr in SPOKEN
    if isinstance(node, ast.Name):
        return node.id in SPOKEN
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        return node.func.attr in SAYING or is_spoken(node.func.value)
    return isinstance(node, ast.Subscript) and is_spoken(node.value)


def is_text(node: ast.expr, of_texts: frozenset[str] = frozenset()) -> bool:
    """True if a constant has letters, a collection has one that does, or the name is one of such constants."""
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return any(is_text(each) for each in node.elts)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "frozenset":
        return any(map(is_text, node.args))
    if isinstance(node, ast.Name):
        return node.id in of_texts
    return isinstance(node, ast.Constant) and isinstance(node.value, str) and bool(re.search("[A-Za-z]", node.value))


def constants(tree: ast.Module) -> frozenset[str]:
    """Return the names of the module's constants that are made of text."""
    found = (node for node in tree.body if isinstance(node, ast.Assign) and is_text(node.value))
    return frozenset(target.id for node in found for target in node.targets if isinstance(target, ast.Name))


def symbols(tree: ast.Module) -> frozenset[str]:
    """Return the names of the module's constants that are symbols, not words ("[unk]")."""
    found = (node for node in tree.body if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant))
    return frozenset(
        target.id
        for node in found
        for target in node.targets
        if isinstance(target, ast.Name) and not str(node.value.value)[:1].isalpha()
    )


def looks(tree: ast.Module) -> Iterator[int]:
    """Yield the lines that compare words or search a sentence."""
    marks = symbols(tree)
    named = constants(tree) - marks
    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            sides = (node.left, *node.comparators)
            inside = any(isinstance(op, ast.In | ast.NotIn) for op in node.ops) and is_spoken(node.comparators[-1])
            inside = inside and not (isinstance(node.left, ast.Name) and node.left.id in marks)
            if (
                any(map(is_words, sides))
                or inside
                or (any(map(is_spoken, sides)) and any(is_text(side, named) for side in sides))
            ):
                yield node.lineno
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in LOOKING:
            of_sentence = is_spoken(node.func.value) and any(is_text(each) or is_spoken(each) for each in node.args)
            if any(map(is_words, node.args)) or of_sentence:
                yield node.lineno
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in SHARING:
            sides = (node.func.value, *node.args)
            if any(map(is_spoken, sides)) and any(is_text(side, named) for side in sides):
                yield node.lineno
        elif isinstance(node, ast.MatchValue) and is_words(node.value):
            yield node.lineno


def test_no_words_of_a_language_decide_anything(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        assert list(looks(TREES[path])) == []

    every(check, FILES)


def tables_of_words(tree: ast.Module) -> Iterator[int]:
    """Yield the lines where a table of English words begins."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Dict | ast.Tuple | ast.List | ast.Set):
            items = node.keys if isinstance(node, ast.Dict) else node.elts
            words = {str(each.value) for each in items if isinstance(each, ast.Constant)} & EVERYDAY
            if len(words) > 1 and not words <= REMINDERS:
                yield node.lineno


def test_words_of_a_language_stand_in_no_table_of_the_code(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        assert list(tables_of_words(ast.parse(path.read_text("utf-8")))) == []

    every(check, WORDING)


def test_a_table_of_words_is_found(every: Callable[..., None]) -> None:
    def check(code: str) -> None:
        assert list(tables_of_words(ast.parse(code))) == [1]

    every(
        check,
        ['_UNITS = {"a": 1, "an": 1}', 'x = frozenset({"in", "with"})', 'ONES = ["zero", "one"]', '("my", "our")'],
    )


def test_what_is_said_and_matched_is_written_in_tables(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        beside = {id(node.value) for node in ast.walk(TREES[path]) if isinstance(node, ast.Expr)}
        beside |= {id(each) for node in ast.walk(TREES[path]) if isinstance(node, ast.Raise) for each in ast.walk(node)}
        texts = (node for node in ast.walk(TREES[path]) if isinstance(node, ast.Constant) and id(node) not in beside)
        assert [text.value for text in texts if re.search(r"[a-z] [a-z]|^ [a-z]|[a-z] $", str(text.value))] == []

    every(check, [path for path in TREES if path.parent.name in ("dialogue", "grammar")])


def test_the_cook_is_nobody_in_particular(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        assert re.findall(r"(?i)\b(?:she|her|hers|herself)\b", path.read_text("utf-8")) == []

    every(check, sorted(PACKAGE.rglob("*.py")))


def test_words_that_decide_are_found(every: Callable[..., None]) -> None:
    def check(code: str) -> None:
        assert list(looks(ast.parse(code))) == [1]

    every(
        check,
        [
            'text.startswith("Partly checked")',
            'x == "Left as it was."',
            '"steam" in heard.text.split()',
            "part in prompt",
            'a.text == "no"',
            'talk.say("talk", "again") == "no"',
            'x.replace("your timer", "it")',
            'x in ("Hot pack", "b")',
            'word in ("a", "the")',
            '{"a", "the"}.isdisjoint(text.split())',
            '"half" in words',
        ],
    )


def test_keys_are_no_words(every: Callable[..., None]) -> None:
    def check(code: str) -> None:
        assert list(looks(ast.parse(code))) == []

    every(check, ['fact.kind == "hold_lost"', 'key.startswith("timer_done:")', '"psi" in data', 'name.endswith("_s")'])
