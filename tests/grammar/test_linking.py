from __future__ import annotations

import pytest

from kitchenvoice.errors import BadGrammar
from kitchenvoice.grammar.jsgf import read_jsgf
from kitchenvoice.grammar.linking import Linker, check_imports
from kitchenvoice.grammar.matching import Walk
from kitchenvoice.grammar.network import lexicon


def files(**bodies):
    return {name: read_jsgf(f"#JSGF V1.0;\ngrammar {name};\n{body}", f"{name}.jsgf") for name, body in bodies.items()}


def says(node, text):
    return bool(Walk(node, text.split()).readings)


def test_public_rules_of_another_file_are_used_by_name_or_by_star():
    found = files(
        a="import <b.*>;\nimport <c.one>;\n<x> = <two> <one> <b.two>;", b="public <two> = two;", c="public <one> = one;"
    )
    check_imports(found)
    assert says(Linker(found, {}).node("a", "x"), "two one two")


def test_a_rule_of_the_file_itself_comes_before_an_imported_one():
    found = files(a="import <b.*>;\n<x> = <n> <b.n>;\n<n> = mine;", b="public <n> = theirs;")
    assert says(Linker(found, {}).node("a", "x"), "mine theirs")


@pytest.mark.parametrize(
    ("bodies", "message"),
    [
        ({"a": "<x> = <gone>;"}, r"a\.jsgf line 3: there is no rule <gone>"),
        ({"a": "import <b.*>;\n<x> = <own>;", "b": "<own> = b;"}, r"a\.jsgf line 4: there is no rule <own>"),
        (
            {"a": "<x> = a <y>;\n<y> = [<x>];"},
            r"a\.jsgf line 3: the rule leads back to itself \(a\.x to a\.y to a\.x\)",
        ),
        (
            {"a": "import <b.x>;\npublic <x> = <b.x>;", "b": "import <a.x>;\npublic <x> = <a.x>;"},
            "leads back to itself",
        ),
    ],
)
def test_references_to_nothing_and_circles_are_refused(bodies, message):
    found = files(**bodies)
    with pytest.raises(BadGrammar, match=message):
        Linker(found, {}).node("a", "x")


@pytest.mark.parametrize("wanted", ["gone.*", "b.gone", "b.own"])
def test_imports_of_nothing_are_refused(wanted):
    found = files(a=f"import <{wanted}>;\n<x> = a;", b="<own> = b;")
    with pytest.raises(BadGrammar, match=r"a\.jsgf line 3"):
        check_imports(found)


def test_a_changed_outside_rule_renews_only_what_uses_it():
    found = files(a="import <kitchen.*>;\npublic <x> = <y> now | <z>;\n<y> = the <food>;\n<z> = no food;")
    first = Linker(found, {"food": lexicon(["peas"])})
    old = {name: first.node("a", name) for name in "xyz"}
    second = first.changed(food=lexicon(["corn"]))
    new = {name: second.node("a", name) for name in "xyz"}
    assert says(old["x"], "the peas now") and not says(old["x"], "the corn now")
    assert says(new["x"], "the corn now") and not says(new["x"], "the peas now")
    assert new["z"] is old["z"] and new["x"] is not old["x"] and new["y"] is not old["y"]


def test_a_list_of_names_that_is_empty_makes_its_sentences_unsayable():
    found = files(a="import <kitchen.*>;\n<x> = start <food> now | stop;")
    node = Linker(found, {"food": lexicon([])}).node("a", "x")
    assert says(node, "stop")
    assert not Walk(node, ["start"]).goes_on
