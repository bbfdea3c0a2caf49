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
from kitchenvoice.grammar import grammar_folder
from kitchenvoice.language import load_language, sentence
from kitchenvoice.process import REPORT_STAGES
from kitchenvoice.process.steps import all_steps

PACKAGE = Path(kitchenvoice.process.__file__).parents[1]
TABLES = tomllib.loads((PACKAGE / "language" / "texts" / "en.toml").read_text("utf-8"))
TEXTS = [(table, key, text) for table, entries in TABLES.items() for key, text in entries.items()]
REGISTER = yaml.safe_load((PACKAGE.parent / "grammars" / "register.yaml").read_text("utf-8"))
STEP_IDIOMS = ("safe", "bear in mind", "keep an eye", "make sure", "no worries", "you're all set")


def _names_in_code():
    """Every text in the code, and a pattern for every text that is put together."""
    literals, patterns = set(), []
    rooms = ("dialogue", "language", "app", "card", "cli", "kitchen", "process", "rehearsal")
    for file in (file for room in rooms for file in (PACKAGE / room).glob("*.py")):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                literals.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                parts = [re.escape(x.value) if isinstance(x, ast.Constant) else r"[\w-]+" for x in node.values]
                fixed = "".join(x.value for x in node.values if isinstance(x, ast.Constant))
                if len(re.sub(r"\W", "", fixed)) >= 4:
                    patterns.append(re.compile("".join(parts)))
    return literals, patterns


LITERALS, PATTERNS = _names_in_code()
DATA = {
    "outcomes": {"reprocess", "refrigerate", "freeze", "discard"},
    "stages": {stage.value for stage in kitchenvoice.process.Stage},
    "months": set(map(str, range(1, 13))),
    "attention": set(re.findall(r"\{set phrase (\w+)\}", (grammar_folder() / "question.jsgf").read_text("utf-8"))),
    "help": {stage.value for stage in kitchenvoice.process.Stage},
}


@pytest.mark.parametrize(("table", "key"), [(table, key.removesuffix(".brief")) for table, key, _ in TEXTS])
def test_every_sentence_is_said_somewhere(table, key):
    known = key in LITERALS or key in DATA.get(table, set()) or key in REPORT_STAGES
    assert known or any(pattern.fullmatch(key) for pattern in PATTERNS), f"{table}.{key} is said nowhere"


@pytest.mark.parametrize(("table", "key", "text"), TEXTS)
def test_every_sentence_is_fit_to_be_heard(table, key, text):
    assert not re.search(r"\d", re.sub(r"\{.*?\}", "", text)), "numbers are words"
    assert not any(idiom in text.lower() for idiom in STEP_IDIOMS)
    assert len(text.split()) <= 60
    if table in ("facts", "objections", "talk", "start", "answers", "declined", "whys"):
        assert text.rstrip()[-1:] in ".?!}" or key.startswith(("vessel_", "process_", "answer_")), text


@pytest.mark.parametrize("step", all_steps(), ids=lambda step: step.id)
def test_every_step_is_fit_to_be_heard(step):
    for text in (step.say, step.brief, step.why, step.caution):
        assert not re.search(r"\d", re.sub(r"\{.*?\}", "", text))
        assert not any(idiom in text.lower() for idiom in STEP_IDIOMS)
    assert len(step.brief.split()) <= len(step.say.split())


def test_an_old_hand_hears_less():
    for key, text in TABLES["facts"].items():
        if key.endswith(".brief"):
            assert len(text) <= len(TABLES["facts"][key.removesuffix(".brief")]), key


@pytest.mark.parametrize("key", [key for key in TABLES["facts"] if not key.startswith("outcome_re")])
def test_every_fact_can_be_filled_from_a_load(key, holding):
    load = holding.load
    data = dict.fromkeys(("psi", "packed", "loaded", "out", "sealed", "failed", "left", "count", "minutes"), 3)
    data |= {"left_s": 60.0, "since_s": 60.0, "ran_s": 60.0, "rested_s": 60.0, "standing": 6, "outcome": "freeze"}
    data |= {"unanswered": 2, "heard_s": 600.0}
    values = values_of(holding.talk, data, load)
    needed = {name for _, name, _, _ in Formatter().parse(TABLES["facts"][key]) if name}
    assert needed <= values.keys() | {"within", "food", "check", "other"}


def test_every_intent_of_the_register_has_a_handler():
    missing = set(REGISTER["commands"]) - HANDLERS.keys()
    assert not missing


def test_every_report_that_can_be_taken_back_has_a_name():
    reports = set(REPORT_STAGES) - {"was_steady"} | {"load_start", "timer_start", "timer_stop", "opened", "was_steady"}
    assert reports <= TABLES["undo"].keys()


def test_an_unknown_sentence_is_an_error():
    with pytest.raises(KeyError):
        load_language().say("talk", "no such sentence")


def test_sentences_begin_with_a_capital_and_have_single_blanks():
    assert sentence("one  two. three? four") == "One two. Three? Four"


def test_brief_falls_back_to_full():
    texts = load_language()
    assert texts.say("facts", "heat_on", brief=True) == texts.say("facts", "heat_on")
    assert texts.say("facts", "vent_started", {"minutes": "ten minutes"}, brief=True) == "Venting, ten minutes."
