"""Every sentence of the register, in every stage that it names, has the register's meaning and no other."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import yaml

from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar import STAGES, grade, grammar_folder
from kitchenvoice.grammar.jsgf import Alternatives, OptionalPart, Sequence, Tagged, read_file
from kitchenvoice.ports import Utterance

REGISTER = yaml.safe_load((Path(__file__).parents[2] / "grammars" / "register.yaml").read_text(encoding="utf-8"))
VALUES = {
    "seven": 7,
    "twenty five": 25,
    "a dozen": 12,
    "fifteen": 15,
    "none": 0,
    "one": 1,
    "eleven": 11,
    "ten and a half": 10.5,
    "nine point five": 9.5,
    "eleven pounds": 11,
    "eleven psi": 11,
    "twenty five minutes": 25,
    "an hour": 60,
    "an hour and a half": 90,
    "ninety seconds": 1.5,
    "half a minute": 0.5,
    "one inch": 1,
    "half an inch": 0.5,
    "a quarter inch": 0.25,
    "an inch and a quarter": 1.25,
    "five thousand two hundred feet": 5200,
    "twelve hundred feet": 1200,
    "sixteen hundred meters": 5250,
    "sea level": 0,
    "twenty eight": 28,
    "two and a half": 2.5,
    "half a": 0.5,
    "pounds": "pound",
    "bushel": "bushel",
    "kilograms": "kilogram",
    "carrots": "carrots",
    "green beans": "snap_beans",
    "corn": None,
    "raw pack": "raw",
    "packed hot": "hot",
    "half pints": "half-pint",
    "pints": "pint",
    "pint and a halfs": "pint-and-half",
    "quarts": "quart",
    "canner one": 1,
    "the second canner": 2,
    "load two": 2,
    "the second load": 2,
    "the carrots": None,
    "freeze it": "freeze",
    "throw it out": "discard",
    **{name: name for name in ("egg", "brine", "bread", "rice")},
}
SAID_ALONE = {
    "<count>": ("count", "value"),
    "<pressure>": ("pressure", "value"),
    "<amount>": ("amount", "value"),
    "<altitude_ft>": ("altitude", "value"),
    "<inches>": ("inches", "value"),
    "<food>": ("food", "food"),
    "<pack>": ("pack", "pack"),
    "<jar>": ("jar", "jar"),
    "<canner>": ("canner", "canner"),
    "<load>": ("load", "load"),
    "<outcome>": ("outcome", "outcome"),
}


def filled(say):
    """Fill a sentence with every spoken value, the slots' lists side by side."""
    names = re.findall(r"<(\w+)>", say)
    lists = [REGISTER["slots"][name]["spoken"] for name in names]
    for place in range(max(map(len, lists), default=1)):
        chosen = [spoken[place % len(spoken)] for spoken in lists]
        queue = iter(chosen)
        text = re.sub(r"<\w+>", lambda found, queue=queue: next(queue), say)
        yield text, {name: VALUES[spoken] for name, spoken in zip(names, chosen, strict=True)}


COMMANDS = [name for name, entry in REGISTER["commands"].items() if entry["when"] != "open question"]


def live_in(name):
    when = REGISTER["commands"][name]["when"]
    return STAGES if when == "all" else when


def sentences_of(name):
    for say in REGISTER["commands"][name]["say"]:
        yield from filled(say)


def hear(book, text, **live):
    return understand(Utterance((text,)), book.grammar(**live))


def test_a_command_is_understood_in_its_stages(book, every):
    def check(name):
        known = {slot.rstrip("?") for slot in REGISTER["commands"][name].get("slots", [])} | {"food", "food_group"}
        for (text, slots), stage in itertools.product(sentences_of(name), live_in(name)):
            called = text if name == "attention" else f"kitchen voice {text}"
            for heard in (hear(book, called, stages=[stage]), hear(book, text, stages=[stage], attention="optional")):
                assert heard.intent == name, (text, stage, heard)
                assert {key: heard.slots[key] for key in slots} == slots, (text, stage)
                assert set(heard.slots) <= known, (text, stage)

    every(check, COMMANDS)


def test_a_command_is_no_other_command_when_all_stages_are_open(book, every):
    def check(name):
        for text, _ in sentences_of(name):
            heard = hear(book, text, stages=STAGES, attention="optional")
            assert heard.intent == name, (text, heard)

    every(check, COMMANDS)


def test_required_slots_are_never_missing():
    for name, entry in REGISTER["commands"].items():
        required = {slot for slot in entry.get("slots", []) if not slot.endswith("?")} - {"value"}
        for say in entry["say"]:
            bare = {"packed": {"count"}, "jar_outcome": {"outcome"}, "opened": {"count"}}.get(name, set())
            assert required - bare <= set(re.findall(r"<(\w+)>", say)), say


def test_the_outcomes_of_failed_jars_have_their_words(book):
    said = {"reprocess it": "reprocess", "put it in the refrigerator": "refrigerate"}
    said |= {"freeze it": "freeze", "throw it out": "discard"}
    heard = {text: hear(book, text, stages=["count"], attention="optional").slots for text in said}
    assert heard == {text: {"outcome": outcome} for text, outcome in said.items()}


def test_an_answer_is_understood_only_while_its_question_is_open(book, every):
    def check(stage, say):
        question, slot = SAID_ALONE[say]
        intent = "number" if slot == "value" else "choice"
        for text, values in filled(say):
            heard = hear(book, text, stages=[stage], attention="optional", question=question)
            assert (heard.intent, heard.slots.get(slot)) == (intent, next(iter(values.values()))), text
            closed = hear(book, text, stages=[stage], attention="optional")
            assert closed.intent not in ("number", "choice"), text

    every(check, itertools.product(STAGES, SAID_ALONE))


def intents(part):
    """Return the intents of an expansion of a grammar file."""
    match part:
        case Tagged(inner, tag):
            return intents(inner) | ({tag.name} if tag.kind == "intent" else set())
        case Sequence(parts) | Alternatives(parts):
            return set().union(*map(intents, parts))
        case OptionalPart(inner):
            return intents(inner)
    return set()


def test_every_intent_of_the_grammar_files_is_in_the_register_and_has_a_grade():
    files = {path.stem: read_file(path) for path in grammar_folder().glob("*.jsgf")}
    found = {
        name: set().union(*(intents(rule.expansion) for rule in file.rules.values())) for name, file in files.items()
    }
    only_typed = found.pop("written")
    spoken = set().union(*found.values()) | {"attention"}
    assert spoken == set(REGISTER["commands"])
    assert {grade(intent) for intent in spoken | only_typed} == {"information", "reversible", "safety"}


def test_a_report_is_understood_in_no_other_stage(book, every):
    """Except for reports that the register puts there as well."""

    def check(stage):
        grammar = book.grammar([stage], attention="optional")
        for name, entry in REGISTER["commands"].items():
            if isinstance(entry["when"], list) and stage not in entry["when"]:
                for say in entry["say"]:
                    for text, _ in filled(say):
                        assert name not in {reading.intent for reading in grammar.parse(text)}, text

    every(check, STAGES)


def test_a_pressure_of_zero_while_it_cools_is_the_gauge_at_zero(book, every):
    def check(phrase):
        said = phrase.replace("<pressure>", "zero")
        assert hear(book, said, stages=["cool"], attention="optional").intent == "gauge_zero"
        holding = hear(book, said, stages=["hold"], attention="optional")
        assert (holding.intent, holding.slots) == ("pressure_is", {"pressure": 0})

    every(check, REGISTER["commands"]["pressure_is"]["say"])
