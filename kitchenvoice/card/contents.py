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
from kitchenvoice.grammar import grammar_folder, written
from kitchenvoice.language import Language, load_language

__all__ = ["STAGE_BLOCKS", "CardSection", "Phrase", "blocks", "register"]

_BLOCKS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "idle": ("ask_yield", "ask_sheet", "load_start", "ask_shelf", "opened"),
        "pack": ("packed", "lid_box", "used", "acid_forgotten"),
        "canner": ("jars_in", "lid_locked", "heat_on"),
        "vent": ("steam_steady", "steam_stopped", "weight_on"),
        "come_up": ("weight_rocking", "pressure_is", "boiling"),
        "hold": ("weight_quiet", "pressure_low", "boil_lost", "heat_down"),
        "cool": ("heat_off", "gauge_zero", "lid_off", "jars_out"),
        "count": ("seal_count", "all_sealed", "liquid_lost", "jar_outcome"),
        "keep": ("load_close",),
        "any": (
            "step_done",
            "next_step",
            "previous_step",
            "repeat",
            "why",
            "where_are_we",
            "missed",
            "help",
            "yes",
            "no",
            "scratch",
            "cancel",
            "answer_call",
            "not_yet",
            "jar_broke",
            "take_note",
            "load_select",
            "load_given_up",
        ),
        "ask": (
            "ask_time",
            "ask_hold",
            "ask_pressure",
            "ask_headspace",
            "ask_salt",
            "ask_acid",
            "ask_water",
            "ask_vent",
            "ask_jars",
            "ask_count",
            "ask_open",
            "ask_failed_jar",
            "ask_altitude",
        ),
        "timer": ("timer_start", "timer_stop", "crock_start"),
        "voice": (
            "quiet",
            "louder",
            "softer",
            "other_microphone",
            "slower",
            "faster",
            "brief",
            "full",
            "sleep",
            "wake",
        ),
        "kitchen": (
            "setup",
            "set_altitude",
            "change_setting",
            "change_canner",
            "add_canner",
            "forget_canner",
            "sound_check",
        ),
    }
)
"""The commands of each block, each once, in the order of a day: a report stands where it is made first."""

STAGE_BLOCKS = ("idle", "pack", "canner", "vent", "come_up", "hold", "cool", "count", "keep")
"""Names of the blocks that are stages, in the order of a day."""

_BESIDE: Mapping[str, str] = MappingProxyType({"rest": "count"})
"""Stages that stand in the block of another one."""

_FEW = 2
"""In how many stages a sentence of a help is made, for it to stand in one of them."""

_SAYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "ask_time": ("how long is left on <load>",),
        "ask_yield": ("how many <jar> will <amount> <unit> of <food> make",),
        "jar_outcome": ("reprocess it", "put it in the refrigerator", "freeze it", "throw it out"),
        "not_yet": ("the gauge is not at zero",),
    }
)
"""The register's sentences that are shown, where it isn't the one with the most slots."""

_SAMPLES: Mapping[str, str] = MappingProxyType(
    {
        "jar": "quarts",
        "food": "carrots",
        "pack": "hot pack",
        "ask_hold.food": "peaches",
        "crock_start.food": "sauerkraut",
        "ask_shelf.food": "peaches",
        "opened.food": "peaches",
        "opened.count": "two",
        "jar_broke.count": "two",
        "liquid_lost.count": "two",
        "ask_time.load": "the carrots",
        "pressure_is.pressure": "ten",
        "pressure_low.pressure": "nine",
        "seal_count.sealed": "six",
    }
)
"""What is shown in a slot: one day's carrots in a weighted canner and peaches in boiling water."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """One sentence of the card, its intent, and a stage in which it is understood."""

    say: str
    intent: str
    stage: str


@dataclass(frozen=True, slots=True)
class CardSection:
    """One block of the card: `name` is a stage, or `any`, `ask`, `timer`, `voice`, `kitchen`."""

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
    """Return the blocks in the order of a day, then the commands for any time.

    The register is of the first language; another one has those of its core commands that its help names.
    """
    titles = language or load_language()
    if titles.tag != load_language().tag:
        return _helped(titles)
    commands: Mapping[str, Any] = register()["commands"]
    return tuple(
        CardSection(
            block,
            titles.say("card", block),
            tuple(
                Phrase(_filled(say, intent), intent, _stage(block, commands[intent]["when"]))
                for intent in intents
                for say in _says(intent, commands[intent])
            ),
        )
        for block, intents in _BLOCKS.items()
    )


def _helped(language: Language) -> tuple[CardSection, ...]:
    """Return the sentences of a language's help, each once: in its stage, or for any time where several have it.

    What it lacks is in the words of the first language, which its grammars don't know.
    """
    said: dict[str, list[str]] = {}
    for key in language.table("help"):
        stage = next((each for each in STAGE_BLOCKS if key.startswith(each)), _BESIDE.get(key, "any"))
        for phrase in language.choices("help", key):
            if phrase not in load_language().choices("help", key):
                said.setdefault(phrase, []).append(stage)
    said |= {language.table("help_first")["check"]: []}
    of = {phrase: stages[0] if 0 < len(set(stages)) <= _FEW else "any" for phrase, stages in said.items()}
    parts = ((name, [phrase for phrase in said if of[phrase] == name]) for name in (*STAGE_BLOCKS, "any"))
    return tuple(
        CardSection(name, language.say("card", name), tuple(Phrase(each, "", name) for each in phrases))
        for name, phrases in parts
        if phrases
    )


def _stage(block: str, when: object) -> str:
    """Return a stage for a command: that of its block, if understood there."""
    if not isinstance(when, list):
        return "idle"
    return block if block in when else str(when[0])


def _says(intent: str, entry: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the example of a command: the chosen sentence, else the first with the most slots."""
    return _SAYS.get(intent) or (max(entry["say"], key=lambda say: say.count("<")),)


def _filled(say: str, intent: str) -> str:
    filled = written(re.sub(r"<(\w+)>", lambda found: _sample(found[1], intent), say))
    return re.sub(r"\bi\b", "I", filled)


def _sample(slot: str, intent: str) -> str:
    chosen = _SAMPLES.get(f"{intent}.{slot}") or _SAMPLES.get(slot)
    return chosen or str(register()["slots"][slot]["spoken"][0])
