"""Conversations in two languages in one process, each with its own numbers."""

from __future__ import annotations

import importlib
import itertools
import pkgutil
from collections.abc import Callable
from dataclasses import FrozenInstanceError, replace
from types import FunctionType, MappingProxyType, ModuleType
from typing import get_args

import pytest

import kitchenvoice
from kitchenvoice.app.languages import book_for, in_language
from kitchenvoice.dialogue.conversation import Conversation
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.kitchen.profile import LANGUAGES
from kitchenvoice.language import Language, Noun, load_language
from kitchenvoice.ports import Utterance

MORNING = 1_786_521_600.0
KITCHEN = replace(PRACTICE_KITCHEN, canners=PRACTICE_KITCHEN.canners[:1])
LINES = {
    "en": ("kitchen voice start seven quarts of green beans raw pack", "yes"),
    "de": ("hallo küche sieben quartgläser grüne bohnen roh eingelegt", "ja"),
}
PRESSURE = {"en": "kitchen voice what pressure", "de": "hallo küche welcher druck"}
TIMER = {"en": "kitchen voice set a timer for ten minutes", "de": "hallo küche stell eine uhr auf zehn minuten"}


class Kitchen:
    def __init__(self, language: str) -> None:
        profile = in_language(KITCHEN, language)
        self.conversation, self.t = Conversation(book_for(profile), profile), MORNING

    def say(self, text: str) -> str:
        self.t += 1.0
        turn = self.conversation.hear(Utterance((text,)), self.t)
        return " ".join(each.text for each in turn.announcements)


def test_each_of_two_conversations_counts_in_its_own_language() -> None:
    german = Kitchen("de")
    english = Kitchen("en")
    opened = german.say(LINES["de"][0])
    assert "Sieben Quartgläser" in opened
    assert "Fünfundzwanzig Minuten" in opened
    opened = english.say(LINES["en"][0])
    assert "Seven quarts" in opened
    assert "Twenty five minutes" in opened
    english.say(LINES["en"][1])
    german.say(LINES["de"][1])
    assert "elf Pfund Druck" in german.say(PRESSURE["de"])
    assert "eleven pounds pressure" in english.say(PRESSURE["en"])
    assert german.say(TIMER["de"]) == "Uhr gestellt auf zehn Minuten."
    assert english.say(TIMER["en"]) == "Timer set for ten minutes."


@pytest.mark.parametrize("tag", LANGUAGES)
def test_a_language_cannot_be_changed(tag: str) -> None:
    language = load_language(tag)
    assert load_language(tag) is language
    with pytest.raises(FrozenInstanceError):
        language.tag = "xx"  # type: ignore[misc]
    with pytest.raises(TypeError):
        language.tables["not_understood"] = {}  # type: ignore[index]
    with pytest.raises(TypeError):
        language.tables["not_understood"]["again"] = ""  # type: ignore[index]


def test_a_language_has_a_word_for_whatever_is_counted(every: Callable[..., None]) -> None:
    def check(tag: str, noun: Noun) -> None:
        language = load_language(tag)
        said = {language.counted(count, noun) for count in (0.5, 1, 2)}
        assert len(said) == 3
        if tag != "en":
            assert not said & {load_language("en").counted(count, noun) for count in (0.5, 1, 2)}

    every(check, itertools.product(LANGUAGES, get_args(Noun)))


MODULES = [
    importlib.import_module(info.name)
    for info in pkgutil.walk_packages(kitchenvoice.__path__, "kitchenvoice.")
    if not info.name.endswith("__main__")
]
CHANGEABLE = (list, dict, set, bytearray)


def of_module(module: ModuleType) -> dict[str, object]:
    return {name: value for name, value in vars(module).items() if not name.startswith("__")}


def holds_language(value: object) -> bool:
    """True if something mutable holds a language, or the code of one."""
    if isinstance(value, Language):
        return True
    if isinstance(value, dict | MappingProxyType):
        return any(map(holds_language, value.values()))
    if isinstance(value, list | set | tuple | frozenset):
        return any(map(holds_language, value))
    return isinstance(value, str) and value in LANGUAGES


def test_no_module_keeps_a_language_that_can_be_exchanged() -> None:
    kept = [
        f"{module.__name__}.{name}"
        for module in MODULES
        for name, value in of_module(module).items()
        if isinstance(value, CHANGEABLE) and holds_language(value)
    ]
    assert kept == []


def test_the_room_of_languages_keeps_nothing_that_can_change() -> None:
    modules = [module for module in MODULES if module.__name__.startswith("kitchenvoice.language")]
    assert len(modules) >= 6
    kept = [
        f"{module.__name__}.{name}"
        for module in modules
        for name, value in of_module(module).items()
        if isinstance(value, CHANGEABLE)
    ]
    assert kept == []
    rebound = {
        f"{module.__name__}.{name}"
        for module in MODULES
        for name, value in vars(module).items()
        if isinstance(value, FunctionType)
        and value.__module__ == module.__name__
        and set(value.__code__.co_names) & {"load_language"}
        and "STORE_GLOBAL" in _operations(value)
    }
    assert rebound == set()


def _operations(function: FunctionType) -> set[str]:
    import dis

    return {each.opname for each in dis.get_instructions(function)}
