from __future__ import annotations

import pytest

from kitchenvoice.errors import BadGrammar
from kitchenvoice.grammar.jsgf import (
    Alternatives,
    OptionalPart,
    Reference,
    RuleToken,
    Sequence,
    Tag,
    Tagged,
    read_file,
    read_jsgf,
)

HEAD = "#JSGF V1.0;\ngrammar test;\n"


def rule(body: str):
    return read_jsgf(f"{HEAD}public <x> = {body};", "test.jsgf").rules["x"].expansion


def test_header_name_imports_and_rules_are_read():
    found = read_jsgf(
        "#JSGF V1.0 UTF-8 en;\ngrammar pack; // jars\nimport <things.*>;\nimport <numbers.count>;\n"
        "/* two\nlines */ public <pack> = done;\n<own> = clear;",
        "pack.jsgf",
    )
    assert found.name == "pack"
    assert found.imports == (("things.*", 3), ("numbers.count", 4))
    assert [(each.name, each.public, each.line) for each in found.rules.values()] == [
        ("pack", True, 6),
        ("own", False, 7),
    ]


@pytest.mark.parametrize(
    ("body", "expansion"),
    [
        ("lid is off", Sequence((RuleToken("lid"), RuleToken("is"), RuleToken("off")))),
        ("on | off", Alternatives((RuleToken("on"), RuleToken("off")))),
        ("/0.7/ on | /2/ off", Alternatives((RuleToken("on"), RuleToken("off")))),
        ("[the] lid", Sequence((OptionalPart(RuleToken("the")), RuleToken("lid")))),
        ("(a | b) c", Sequence((Alternatives((RuleToken("a"), RuleToken("b"))), RuleToken("c")))),
        ("<things.jar>", Reference("things.jar", 3)),
        ("what's", RuleToken("what's")),
        ("(a b) {intent do_it}", Tagged(Sequence((RuleToken("a"), RuleToken("b"))), Tag("intent", "do_it"))),
        ("a b {set n -1}", Sequence((RuleToken("a"), Tagged(RuleToken("b"), Tag("set", "n", -1))))),
        ("a {set n 1.5} {intent i}", Tagged(Tagged(RuleToken("a"), Tag("set", "n", 1.5)), Tag("intent", "i"))),
        ("<n> {slot count count}", Tagged(Reference("n", 3), Tag("slot", "count", "count"))),
        ("a {set method boiling-water}", Tagged(RuleToken("a"), Tag("set", "method", "boiling-water"))),
    ],
)
def test_expansions_are_read(body, expansion):
    assert rule(body) == expansion


def test_a_tag_binds_to_the_part_before_it_and_alternatives_bind_last():
    assert rule("a b | c {set x 1}") == Alternatives(
        (Sequence((RuleToken("a"), RuleToken("b"))), Tagged(RuleToken("c"), Tag("set", "x", 1)))
    )


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("grammar test;\n<x> = a;", 1),
        (HEAD + "<x> = a\n<y> = b;", 4),
        (HEAD + "<x> = (a | b;", 3),
        (HEAD + "<x> = ;", 3),
        (HEAD + "\n<x> = a\n  more*;", 5),
        (HEAD + "<x> = (a b)+;", 3),
        (HEAD + "<x> = a {unknown tag here};", 3),
        (HEAD + "<x> = a {return 1};", 3),
        (HEAD + "<x> = a;\n<x> = b;", 4),
        (HEAD + "<x> = <things.*>;", 3),
        (HEAD + "<things.x> = a;", 3),
        (HEAD + "import <things>;\n<x> = a;", 3),
        (HEAD + '<x> = "quoted words";', 3),
        (HEAD + "<x> = Upper;", 3),
    ],
)
def test_mistakes_are_refused_with_file_and_line(text, line):
    with pytest.raises(BadGrammar, match=rf"test\.jsgf line {line}\b"):
        read_jsgf(text, "test.jsgf")


def test_a_file_is_named_after_its_grammar(tmp_path):
    file = tmp_path / "other.jsgf"
    file.write_text(HEAD + "<x> = a;")
    with pytest.raises(BadGrammar, match=r"other\.jsgf line 2"):
        read_file(file)


def test_a_missing_or_garbled_file_is_refused_by_name(tmp_path):
    with pytest.raises(BadGrammar, match=r"gone\.jsgf"):
        read_file(tmp_path / "gone.jsgf")
    (tmp_path / "bytes.jsgf").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadGrammar, match=r"bytes\.jsgf"):
        read_file(tmp_path / "bytes.jsgf")


@pytest.mark.parametrize("pair", ["()", "[]"])
def test_brackets_are_nested_so_far_and_no_further(pair):
    assert rule(f"yes // {'(' * 60}\n {pair[0] * 50} no {pair[1] * 50} {'[no] ' * 60}")
    with pytest.raises(BadGrammar, match=r"test\.jsgf nests its brackets too deeply"):
        rule(pair[0] * 51 + "no" + pair[1] * 51)
