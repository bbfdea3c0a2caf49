"""Every sentence is said somewhere, can be filled, and is fit to be heard."""

from __future__ import annotations

import ast
import re
import tomllib
from pathlib import Path
from string import Formatter

import pytest
import yaml

import kitchenvoice.process
from kitchenvoice.dialogue.conversation import HANDLERS
from kitchenvoice.dialogue.filling import values_of
from kitchenvoice.dialogue.replies import KINDS, SIGNS
from kitchenvoice.grammar import grammar_folder
from kitchenvoice.language import load_language, sentence
from kitchenvoice.process import REPORT_STAGES, Stage
from kitchenvoice.process.steps import all_steps
from kitchenvoice.reference.library import product, product_ids

PACKAGE = Path(kitchenvoice.process.__file__).parents[1]
TABLES = tomllib.loads((PACKAGE / "language" / "texts" / "en.toml").read_text("utf-8"))
GERMAN = tomllib.loads((PACKAGE / "language" / "texts" / "de.toml").read_text("utf-8"))
TEXTS = [
    (table, key, text)
    for table, entries in TABLES.items()
    if table not in ("several", "same", "senses", "units")
    for key, text in entries.items()
]
REGISTER = yaml.safe_load((PACKAGE.parent / "grammars" / "register.yaml").read_text("utf-8"))
STEP_IDIOMS = ("safe", "bear in mind", "keep an eye", "make sure", "no worries", "you're all set")


def _files_of(*rooms):
    return [file for room in rooms for file in (PACKAGE / room).glob("*.py")]


def _names_in(files):
    """Every text in the code but its docstrings, and a pattern for every name that is put together."""
    literals, patterns = set(), set()
    for file in files:
        tree = ast.parse(file.read_text("utf-8"))
        alone = {node.value for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node not in alone:
                literals.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                fixed = "".join(x.value for x in node.values if isinstance(x, ast.Constant))
                if re.fullmatch(r"\w{4,}", fixed):
                    parts = (re.escape(x.value) if isinstance(x, ast.Constant) else r"([\w-]+?)" for x in node.values)
                    patterns.add("".join(parts))
    return literals, patterns


SAYERS = _files_of("dialogue", "app", "card", "cli", "rehearsal")
BELOW = [*_files_of("kitchen", "language", "process", "speaking"), PACKAGE / "reference" / "ferments.py"]
LITERALS, PATTERNS = _names_in([*SAYERS, *BELOW])
LITERALS |= REPORT_STAGES.keys() | {step.id for step in all_steps()} | {stage.value for stage in Stage}
LITERALS |= {
    each.replace("_", "-") for food in product_ids() for block in product(food).processes for each in block.packs
}
LITERALS |= {method for food in product_ids() for method in product(food).methods}
DATA = {
    "outcomes": {"reprocess", "refrigerate", "freeze", "discard"},
    "crocks": {"too_warm", "too_cold"},  # what reference/ferments makes of a temperature
    "months": set(map(str, range(1, 13))),
    "replying": {*SIGNS, *(f"{name}_{kind}" for name in (*SIGNS, "things") for kind in KINDS)},
    "attention": set(re.findall(r"\{set phrase (\w+)\}", (grammar_folder() / "question.jsgf").read_text("utf-8"))),
}


def is_said(table, key, literals=LITERALS, patterns=PATTERNS):
    """Tell whether code names this sentence: whole, or put together of parts that the program names."""
    if key in literals or key in DATA.get(table, ()):
        return True
    found = (re.fullmatch(pattern, key) for pattern in patterns)
    return any(match and all(is_said("", part) for part in match.groups()) for match in found)


SHARED = {
    "text_normalisation", "units",  # of speaking: what figures and signs are called
    "names", "digits", "months", "clock", "stages", "outcomes",  # words that many put into their sentences
    "several", "same", "senses", "farewells", "attention",  # what a cook says, to compare with
    "help", "help_first", "whys", "undo",  # by the name of a stage, a slot or a report; the card prints them too
    "language", "foods", "foods_too", "steps",  # of another language than English
}  # fmt: skip
FRAGMENTS = SHARED - {"whys"} | {
    "awaited", "overheard", "replying", "noting",  # words to listen for
    "card", "catching_up", "crocks", "described", "doubting", "plan_day", "planning", "practice_report", "refusing",
    "setup_canner", "setup_kitchen", "sheets", "start", "unmatched",  # with parts of sentences among them
}  # fmt: skip
BY_KIND = {"render", "objecting", "confirming", "overheard"}
"""Tables whose keys are kinds of facts and objections, or of words: some of them are asked for by others as well."""
SAYING = {"say", "phrase", "choices", "gaps"}


def _said_by_name():
    """Yield table and key of each sentence that is said by its name."""
    for call in (node for file in SAYERS for node in ast.walk(ast.parse(file.read_text("utf-8")))):
        if isinstance(call, ast.Call) and getattr(call.func, "attr", getattr(call.func, "id", "")) in SAYING:
            named = call.args[:2]
            if [type(each) for each in named] == [ast.Constant, ast.Constant]:
                yield named[0].value, named[1].value


def test_a_table_has_the_name_of_the_module_that_says_it():
    modules = {file.stem: _names_in([each for each in SAYERS if each.stem == file.stem]) for file in SAYERS}
    assert sorted((TABLES.keys() | GERMAN.keys()) - SHARED - modules.keys()) == []
    named = {(table, key) for table, key in _said_by_name() if table in TABLES.keys() - SHARED - BY_KIND}
    assert len(named) > 200
    assert sorted((table, key) for table, key in named if not is_said("", key, *modules[table])) == []


def test_every_sentence_is_said_somewhere():
    keys = {(table, key.removesuffix(".brief")) for table, key, _ in TEXTS}
    assert len(keys) > 500
    assert sorted(key for key in keys if not is_said(*key)) == []


@pytest.mark.parametrize("key", ["vent_stopped_gravel", "check_gravel", "gravel_bath", "mark_hold_gravel", "gravel"])
def test_a_sentence_that_nothing_says_is_found(key):
    assert not is_said("render", key)


def unfit(text):
    """Name what no sentence may have: figures instead of words, idioms."""
    spoken = re.sub(r"\{.*?\}", "", text)
    return [*re.findall(r"\d", spoken), *(idiom for idiom in STEP_IDIOMS if idiom in text.lower())]


def ends_well(table, key, text):
    return (
        table in FRAGMENTS or text.rstrip()[-1:] in tuple(".?!}") or key.startswith(("vessel_", "process_", "answer_"))
    )


def test_every_sentence_is_fit_to_be_heard():
    wrong = {
        (table, key): text
        for table, key, text in TEXTS
        if (table, key) != ("noting", "alone") and table not in ("overheard", "replying", "timer_names")
        if unfit(text) or len(text.split()) > 60 or not ends_well(table, key, text)
    }
    assert wrong == {}


def test_what_is_not_fit_to_be_heard_is_found():
    assert unfit("Wait 10 minutes, no worries.") == ["1", "0", "no worries"]
    assert not ends_well("render", "heat_on", "The heat is on")


def test_every_step_is_fit_to_be_heard():
    assert {step.id: text for step in all_steps() for text in _texts(step) if unfit(text)} == {}
    assert [step.id for step in all_steps() if len(step.brief.split()) > len(step.say.split())] == []


def _texts(step):
    return step.say, step.brief, step.why, step.caution


def test_an_old_hand_hears_less():
    for key, text in TABLES["render"].items():
        if key.endswith(".brief"):
            assert len(text) <= len(TABLES["render"][key.removesuffix(".brief")]), key


def test_every_fact_can_be_filled_from_a_load(holding):
    data = dict.fromkeys(("psi", "packed", "loaded", "out", "sealed", "failed", "left", "count", "minutes"), 3)
    data |= {"left_s": 60.0, "since_s": 60.0, "ran_s": 60.0, "rested_s": 60.0, "standing": 6, "outcome": "freeze"}
    data |= {"unanswered": 2, "heard_s": 600.0, "jars": 2}
    filled = values_of(holding.talk, data, holding.load).keys() | {"within", "food", "other", "step", "checks"}
    needed = {
        key: {name for _, name, _, _ in Formatter().parse(text) if name}
        for key, text in TABLES["render"].items()
        if not key.startswith("outcome_re")
    }
    assert any(needed.values())
    assert {key: names - filled for key, names in needed.items() if names - filled} == {}


def test_every_intent_of_the_register_has_a_handler():
    missing = set(REGISTER["commands"]) - HANDLERS.keys()
    assert not missing


def test_every_report_that_can_be_taken_back_has_a_name():
    reports = set(REPORT_STAGES) - {"was_steady"} | {"load_start", "timer_start", "timer_stop", "opened", "was_steady"}
    assert reports <= TABLES["undo"].keys()


def test_an_unknown_sentence_is_an_error():
    with pytest.raises(KeyError):
        load_language().say("not_understood", "no such sentence")


def test_sentences_begin_with_a_capital_and_have_single_blanks():
    assert sentence("one  two. three? four") == "One two. Three? Four"


def test_brief_falls_back_to_full():
    texts = load_language()
    assert texts.say("render", "heat_on", brief=True) == texts.say("render", "heat_on")
    assert texts.say("render", "vent_started", {"minutes": "ten minutes"}, brief=True) == "Venting, ten minutes."
