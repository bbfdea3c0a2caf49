"""The steps of a load as data, read from `steps.toml`: task, reason, completing report."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib.resources import files

from kitchenvoice.process.load import Load
from kitchenvoice.process.load_parts import Process, Stage
from kitchenvoice.process.own_words import bits, made_after
from kitchenvoice.reference.rules import rules

__all__ = [
    "Step",
    "all_steps",
    "following",
    "gone_past",
    "maybe_shut",
    "preceding",
    "step_of",
    "steps_of",
    "unchecked",
    "up_to",
    "vent_lost",
]

_TAGS = {"pressure", "boiling-water", "atmospheric-steam", "dial", "weighted"}
_STEAM_ONLY = {"atmospheric-steam"}
_TRAITS = {"maybe_shut", "vent_lost", "by_numbers", "gear", "told"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step: `say` in full, `brief` for an old hand, `why` on request, `caution` before it, `done_by` reports.

    `check` names a challenge that is not skipped in silence, `""` for the rest. `when` is `salt`, `short_boil`,
    `own_water`, `usual_water`, `bubbles`, `no_bubbles`, where the acid goes: `acid_in_jar`, `acid_in_recipe`,
    `acid_in_ferment`, or what is said of the food itself in steps of its own: its bits `bit_1`, `bit_2` ... and
    `made_after` its ferment. The step is there only if the food or the process wants it. `traits` are those of `is` in
    steps.toml. After `remind_s` seconds without a report it is said again; 0 for never. `source` names where the
    advice is published.
    """

    stage: Stage
    id: str
    say: str
    brief: str
    why: str
    source: tuple[str, ...]
    caution: str = ""
    check: str = ""
    when: str = ""
    applies_to: frozenset[str] = frozenset()
    done_by: frozenset[str] = frozenset()
    traits: frozenset[str] = frozenset()
    remind_s: float = 0.0

    @property
    def worded_as(self) -> str:
        """What its words are called in another language: a steam canner has other ones at the steps of a bath."""
        if self.bit:
            return self.id.rpartition("_")[0]
        return f"{self.id}_steam" if self.applies_to == _STEAM_ONLY else self.id

    @property
    def bit(self) -> int:
        """Which of the food's bits it says, 0 for none."""
        return int(self.when.rpartition("_")[2]) if self.when.startswith("bit_") else 0

    def applies(self, process: Process) -> bool:
        """True if a load with this process has this step."""
        if self.when == "salt" and not process.salt_tsp:
            return False
        if self.when.startswith("acid") and (not process.acid or self.when != f"acid_in_{process.acid_in}"):
            return False
        if self.when in ("own_water", "usual_water") and (self.when == "own_water") is not bool(process.water):
            return False
        if self.bit > len(bits(process)) or (self.when == "made_after" and not made_after(process)):
            return False
        if self.when in ("bubbles", "no_bubbles") and (self.when == "no_bubbles") is not process.no_bubbles:
            return False
        if self.when == "short_boil" and (process.is_pressure or process.minutes >= rules().sterilize_minutes.value):
            return False
        kinds = {process.method, process.gauge if process.is_pressure else None}
        return not self.applies_to or bool(self.applies_to & kinds)


@cache
def all_steps() -> tuple[Step, ...]:
    """Read every step, in order. Raises: ValueError naming the step that is written wrong."""
    raw = tomllib.loads(files("kitchenvoice.process").joinpath("steps.toml").read_text("utf-8"))
    return tuple(_step(each) for entry in raw["step"] for each in _each(entry))


def _each(entry: dict[str, object]) -> tuple[dict[str, object], ...]:
    """Return a step that is there several times, each by its number."""
    times = int(str(entry.pop("times", 0)))
    return tuple(
        {**entry, "id": f"{entry['id']}_{n}", "when": f"{entry['when']}_{n}"} for n in range(1, times + 1)
    ) or (entry,)


def _step(entry: dict[str, object]) -> Step:
    fields = dict(entry)
    applies_to = frozenset(map(str, fields.pop("for", ())))  # type: ignore[call-overload]
    if not applies_to <= _TAGS:
        raise ValueError(f"steps.toml: step {entry.get('id')}: 'for' takes {sorted(_TAGS)}")
    done_by = frozenset(map(str, fields.pop("done_by", ())))  # type: ignore[call-overload]
    traits = frozenset(map(str, fields.pop("is", ())))  # type: ignore[call-overload]
    if not traits <= _TRAITS:
        raise ValueError(f"steps.toml: step {entry.get('id')}: 'is' takes {sorted(_TRAITS)}")
    remind_s = float(str(fields.pop("remind_s", 0)))
    source = tuple(map(str, fields.pop("source", ())))  # type: ignore[call-overload]
    if not source:
        raise ValueError(f"steps.toml: step {entry.get('id')} names no source")
    texts = {name: str(value) for name, value in fields.items() if name != "stage"}
    sets = {"applies_to": applies_to, "done_by": done_by, "traits": traits}
    return Step(stage=Stage(str(fields["stage"])), source=source, remind_s=remind_s, **sets, **texts)  # type: ignore[arg-type]


@lru_cache(maxsize=1024)
def steps_of(stage: Stage, process: Process) -> tuple[Step, ...]:
    """Return the steps of that stage for that process, in order."""
    return tuple(step for step in all_steps() if step.stage is stage and step.applies(process))


def step_of(load: Load) -> Step | None:
    """Return the step the load is at."""
    return next((step for step in steps_of(load.stage, load.process) if step.id == load.step), None)


def maybe_shut(load: Load) -> bool:
    """True if a vent has its weight on, or had: there may be pressure."""
    return _is(load, "maybe_shut")


def vent_lost(load: Load) -> bool:
    """True if what vented before doesn't count any more."""
    return _is(load, "vent_lost")


def _is(load: Load, trait: str) -> bool:
    step = step_of(load)
    return step is not None and trait in step.traits


def following(load: Load) -> Step | None:
    """Return the next step of the same stage, `None` at its end."""
    steps = steps_of(load.stage, load.process)
    index = next((i for i, step in enumerate(steps) if step.id == load.step), -1)
    return steps[index + 1] if index + 1 < len(steps) else None


def up_to(load: Load, step_id: str) -> Load | None:
    """Return the load at this step of its stage, `None` if it is behind or one before it wants a report or answer."""
    while (step := step_of(load)) is not None and step.id != step_id:
        after = following(load)
        if step.check or step.done_by or after is None:
            return None
        load = replace(load, step=after.id)
    return load if step is not None else None


def gone_past(old: Load, load: Load) -> tuple[Step, ...]:
    """Return the steps that a report went past within a stage, and that are said all the same."""
    if old.stage is not load.stage:
        return ()
    steps = steps_of(load.stage, load.process)
    at = {step.id: place for place, step in enumerate(steps)}
    between = steps[at.get(old.step, len(steps)) + 1 : at.get(load.step, 0)]
    return tuple(step for step in between if "told" in step.traits)


def skips(old: Load, load: Load, step_id: str) -> bool:
    """True if a report went past this step of the old stage before it was said."""
    ids = [step.id for step in steps_of(old.stage, old.process)]
    if step_id not in ids or old.step not in ids:
        return False
    reached = ids.index(load.step) if load.stage is old.stage and load.step in ids else len(ids)
    return ids.index(old.step) < ids.index(step_id) < reached


def preceding(load: Load) -> Step | None:
    """Return the step before in the same stage, `None` at its beginning."""
    steps = steps_of(load.stage, load.process)
    index = next((i for i, step in enumerate(steps) if step.id == load.step), 0)
    return steps[index - 1] if index > 0 else None


def unchecked(load: Load, stage: Stage) -> tuple[Step, ...]:
    """Return the challenges of `stage` that nobody has answered."""
    return tuple(step for step in steps_of(stage, load.process) if step.check and step.id not in load.checked)
