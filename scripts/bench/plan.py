"""Extent of the short and the long form, and the assignment of voices, sentences and conditions."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import TypeAlias

from bench.corpus import CONDITIONS, human_numbers, human_recordings
from bench.ear import Attention
from bench.sentences import Sentence, sentences
from bench.tasks import CommandTask, HumanNumberTask, NoiseTask, TalkTask, expected
from kitchenvoice.rehearsal.cook import voices
from kitchenvoice.rehearsal.kitchen_noise import STEADY_KINDS

__all__ = ["LONG", "SEED", "SHORT", "Plan", "Task", "tasks"]

SEED = 97_381
Task: TypeAlias = CommandTask | HumanNumberTask | NoiseTask | TalkTask


@dataclass(frozen=True, slots=True)
class Plan:
    """Numbers of one form of the bench.

    `share` of the register's sentences go into each condition; `compared` of them also into the other ears under
    `compared_conditions`. Talk and noise are in minutes.
    """

    name: str
    rounds: int
    share: float
    compared: float
    compared_conditions: tuple[str, ...]
    talk_minutes: int
    open_talk_minutes: int
    noise_minutes: int
    human_conditions: tuple[str, ...]


SHORT = Plan("short", 1, 0.4, 0.25, ("clean", "10 dB", "3 m"), 10, 4, 4, ("clean", "10 dB"))
LONG = Plan(
    "long", 2, 1.0, 0.5, ("clean", "20 dB", "10 dB", "5 dB", "3 m", "3 m + 20 dB"), 360, 60, 60,
    ("clean", "20 dB", "10 dB", "5 dB", "3 m"),
)  # fmt: skip

_TALK = ("everyday", "near miss", "by name", "person", "radio", "babble")
_TALK_CONDITIONS = ("clean", "20 dB", "3 m", "1 m + 20 dB", "10 dB")


def tasks(plan: Plan, register: Path, cache: Path) -> tuple[list[Task], list[Sentence]]:
    """Return all tasks, shuffled so that a run cut short is a fair sample, and the sentences for which the grammar and
    the register disagree."""
    said = sentences(register, SEED, rounds=plan.rounds)
    disputed = [sentence for sentence in said if expected(sentence) is None]
    groups = _commands(plan, said, cache)
    groups += [[task] for task in (*_talk(plan, cache), *_noise(plan), *_numbers(plan))]
    Random(SEED).shuffle(groups)
    made = [task for group in groups for task in group]
    return made, disputed


def _commands(plan: Plan, said: tuple[Sentence, ...], cache: Path) -> list[list[Task]]:
    """Return the tasks of each clip: for the product, and for some clips for the other ears too."""
    people = voices()
    made: list[list[Task]] = []
    for place, condition in enumerate(CONDITIONS):
        for number, sentence in enumerate(said):
            random = Random(f"{SEED} {condition.name} {number}")
            draw = random.random()
            if draw >= plan.share:
                continue
            cook = people[(number + place + SEED) % len(people)]
            rate = random.choice((0.9, 1.0, 1.0, 1.1, 1.2))
            systems = ["ear"]
            if draw < plan.compared * plan.share and condition.name in plan.compared_conditions:
                systems += ["alone", "uncleaned", "stage", "big", "free"]
            noise = number + SEED
            made.append([CommandTask(sentence, cook, rate, condition.name, s, noise, cache) for s in systems])
    return made


def _talk(plan: Plan, cache: Path) -> list[Task]:
    kinds = [kind for kind in _TALK if kind != "person" or human_recordings()]
    made: list[Task] = []
    amounts: tuple[tuple[Attention, int], ...] = (
        ("required", plan.talk_minutes),
        ("optional", plan.open_talk_minutes),
    )
    for attention, minutes in amounts:
        for minute in range(minutes):
            kind = kinds[minute % len(kinds)]
            condition = _TALK_CONDITIONS[minute // len(kinds) % len(_TALK_CONDITIONS)]
            made.append(TalkTask(kind, condition, attention, minute, 60.0, cache))
    return made


def _noise(plan: Plan) -> list[Task]:
    made: list[Task] = []
    for part in range(plan.noise_minutes * 3):
        kind = STEADY_KINDS[part % len(STEADY_KINDS)]
        attention: Attention = "optional" if part % 2 else "required"
        made.append(NoiseTask(kind, attention, part, 20.0))
    return made


def _numbers(plan: Plan) -> list[Task]:
    spoken = list(human_numbers())
    step = 1 if plan.name == "long" else 3
    return [HumanNumberTask(number, condition) for condition in plan.human_conditions for number in spoken[::step]]
