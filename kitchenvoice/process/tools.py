"""Small things that the handlers of reports share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from kitchenvoice.ports import Event, Value
from kitchenvoice.process.changing import replace
from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Doubt, Stage
from kitchenvoice.process.state import Call
from kitchenvoice.process.steps import steps_of

__all__ = [
    "OF_STEAM",
    "Fact",
    "Outcome",
    "as_float",
    "as_int",
    "as_text",
    "asked_of",
    "call_key",
    "confirmed",
    "enter",
    "go_to",
    "keep",
]

_NOTHING: Mapping[str, Value] = MappingProxyType({})

OF_STEAM: Mapping[str, str] = MappingProxyType({"steam_steady": "boiling", "steam_stopped": "boil_lost"})
"""Reports of a steam canner's column, and what they are to its load: the boil that its time counts by, kept or lost."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something that came of an event: its kind, its load, and the values a sentence about it needs."""

    kind: str
    load: int | None = None
    data: Mapping[str, Value] = field(default_factory=lambda: _NOTHING)


@dataclass(frozen=True, slots=True)
class Outcome:
    """A load after a report, with its facts and its open calls."""

    load: Load
    facts: tuple[Fact, ...] = ()
    calls: tuple[Call, ...] = ()


def as_float(value: Value) -> float:
    """Return a number from event data. Raises: TypeError for anything else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"{value!r} isn't a number")
    return float(value)


def as_int(value: Value) -> int:
    """Return a whole number from event data. Raises: TypeError for anything else."""
    number = as_float(value)
    if number != int(number):
        raise TypeError(f"{value!r} isn't a whole number")
    return int(number)


def as_text(value: Value) -> str:
    """Return text from event data. Raises: TypeError for anything else."""
    if not isinstance(value, str):
        raise TypeError(f"{value!r} isn't text")
    return value


def asked_of(data: Mapping[str, Value]) -> frozenset[str]:
    """Return the objections that an explicit yes has overruled already."""
    asked = data.get("asked", ())
    return frozenset({asked} if isinstance(asked, str) else map(str, asked) if isinstance(asked, tuple | list) else ())


_CHECKED_BY = MappingProxyType({"acid_unconfirmed": "acid", "water_unconfirmed": "water_over"})
"""The check that a yes to each of these questions answers."""


def confirmed(load: Load, event: Event) -> Load:
    """Return the load with the checks that the yes to a report has answered."""
    checks = (_CHECKED_BY[kind] for kind in sorted(asked_of(event.data) & _CHECKED_BY.keys()))
    return replace(load, checked=tuple(dict.fromkeys((*load.checked, *checks))))


def call_key(name: str, of: int | str) -> str:
    """Return the key under which a call is repeated and answered."""
    return f"{name}:{of}"


def enter(load: Load, stage: Stage) -> Load:
    """Return the load at the first step of `stage`."""
    return replace(load, stage=stage, step=steps_of(stage, load.process)[0].id)


def go_to(load: Load, stage: Stage, step: str) -> Load:
    """Return the load at that step. Raises: ValueError if this load has no such step."""
    if step not in {each.id for each in steps_of(stage, load.process)}:
        raise ValueError(f"{load.food} has no step {step} in {stage}")
    return replace(load, stage=stage, step=step)


def keep(load: Load, event: Event) -> Load:
    """Keep a doubt for the end of vent or hold. What more is said of the same is asked about with it."""
    kind, said = as_text(event.data["kind"]), as_text(event.data.get("words") or "")
    before = next((doubt for doubt in load.kept if doubt.kind == kind), None)
    told = "" if before is None else as_text(before.data.get("words") or "")
    data: dict[str, Value] = {"words": told if said in told else f"{told}. {said}".removeprefix(". ")}
    if load.stage is Stage.VENT:
        data["in_vent"] = True
    doubt = Doubt(id=event.seq, kind=kind, t=event.t, since_t=event.t, data=MappingProxyType(data))
    return replace(load, kept=(*(each for each in load.kept if each is not before), doubt))
