"""Contents of the kitchen card, derived from the register of the grammars; no sentence is written here."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

import yaml

from kitchenvoice.errors import BadGrammar
from kitchenvoice.grammar import grade, grammar_folder, written
from kitchenvoice.language import Language, load_language

__all__ = ["STAGE_BLOCKS", "CardSection", "Phrase", "blocks", "register"]

_STAGES = (
    ("idle", ("idle", "plan")),
    ("pack", ("gear", "pack")),
    ("canner", ("canner",)),
    ("vent", ("vent",)),
    ("come_up", ("come_up",)),
    ("hold", ("hold",)),
    ("cool", ("cool",)),
    ("count", ("rest", "count")),
    ("keep", ("keep",)),
)
"""Blocks of the card that are stages, with the register's stages in each."""

STAGE_BLOCKS = tuple(name for name, _ in _STAGES)
"""Names of those blocks, in the order of a day."""

_ANSWERING = ("yes", "no", "scratch", "cancel", "answer_call", "repeat", "missed", "where_are_we", "load_select")
_MOST_BLOCKS = 2
"""Sentences of more blocks than this appear once, under "in most stages", unless a process depends on them."""

_SAMPLES: Mapping[str, str] = MappingProxyType(
    {"jar": "quarts", "food": "green beans", "pressure_low.pressure": "nine point five", "timer_name": "bread"}
)
"""The register's spoken value that is shown, where it isn't the first."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """One sentence of the card, its intent, and a stage in which it is understood."""

    say: str
    intent: str
    stage: str


@dataclass(frozen=True, slots=True)
class CardSection:
    """One block of the card: `name` is a stage, or `any`, `jars`, `ask`, `timer`, `voice`, `kitchen`."""

    name: str
    title: str
    phrases: tuple[Phrase, ...]


@cache
def register() -> Mapping[str, Any]:
    """Return the register of all sentences. Raises: BadGrammar if it is missing."""
    try:
        text = (grammar_folder() / "register.yaml").read_text(encoding="utf-8")
    except OSError as exc:
        raise BadGrammar("The register of the grammars can't be read. Install kitchenvoice again.") from exc
    found: Mapping[str, Any] = yaml.safe_load(text)
    return found


def blocks(language: Language | None = None) -> tuple[CardSection, ...]:
    """Return the blocks in the order of a day, then the commands for any time."""
    titles = language or load_language("en")
    commands: Mapping[str, Any] = register()["commands"]
    made: dict[str, list[Phrase]] = {name: [] for name, _ in _STAGES}
    made |= {name: [] for name in ("jars", "any", "ask", "timer", "voice", "kitchen")}
    for intent, entry in commands.items():
        for block, stage in _places(intent, entry):
            made[block] += [Phrase(_filled(say, intent), intent, stage) for say in _examples(entry)]
    return tuple(CardSection(name, titles.say("card", name), tuple(said)) for name, said in made.items() if said)


def _places(intent: str, entry: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the blocks of a command, each with a stage in which it is understood."""
    when = entry["when"]
    if intent == "attention":
        return []  # it is in the head of the card
    if when == "all":
        return [(_any_time(intent), "idle")]
    if not isinstance(when, list):
        return []  # an answer: the question itself lists the answers
    if _of_kitchen(intent):
        return [("kitchen", when[0])]
    places = [
        (block, next(each for each in stages if each in when)) for block, stages in _STAGES if {*stages} & {*when}
    ]
    often = len(places) > _MOST_BLOCKS and grade(intent) != "safety"
    return [("jars", places[0][1])] if often else places


def _any_time(intent: str) -> str:
    if intent.startswith("ask_"):
        return "ask"
    if intent.startswith("timer_"):
        return "timer"
    if intent in _ANSWERING or intent in ("next_step", "previous_step", "why", "help", "load_given_up"):
        return "any"
    return "voice"


def _of_kitchen(intent: str) -> bool:
    return intent in ("setup", "sound_check", "set_altitude") or intent.startswith(("change_", "add_", "forget_"))


def _examples(entry: Mapping[str, Any]) -> list[str]:
    """Return the first sentence with the most slots; all of them where each means something else ("freeze it")."""
    says = entry["say"]
    needed = {slot for slot in entry.get("slots", ()) if not slot.endswith("?")}
    if needed and not any("<" in say for say in says):
        return list(says)
    return [max(says, key=lambda say: say.count("<"))]


def _filled(say: str, intent: str) -> str:
    return written(re.sub(r"<(\w+)>", lambda found: _sample(found[1], intent), say))


def _sample(slot: str, intent: str) -> str:
    spoken: list[str] = register()["slots"][slot]["spoken"]
    wanted = _SAMPLES.get(f"{intent}.{slot}") or _SAMPLES.get(slot)
    return wanted if wanted in spoken else str(spoken[0])
