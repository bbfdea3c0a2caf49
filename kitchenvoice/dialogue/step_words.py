"""The words of the step a load is at, its caution first, and what is said in place of a step that has to wait."""

from __future__ import annotations

from dataclasses import replace

from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.filling import over_lids, values_of
from kitchenvoice.dialogue.now import other_numbers, window_shut
from kitchenvoice.language import Language, sentence
from kitchenvoice.process import Load, Stage, Step, skips, step_of
from kitchenvoice.reference.rules import rules

__all__ = ["cautions_passed", "step_caution", "step_text", "tell_step", "worded", "words_of"]


def tell_step(talk: Talk, load: Load, *, brief: bool = False, again: bool = False) -> str:
    """Return the words of a load's step to be said in this turn; said in full they ask what the step asks."""
    text = step_text(talk, load, brief=brief, again=again)
    if text and brief <= talk.brief:
        talk.note_step(load)
    return text


def step_text(talk: Talk, load: Load, *, brief: bool = False, again: bool = False) -> str:
    """Return the words of the step a load is at, its caution first.

    What is published of the food itself is said to an old hand for the first load of it only, and to nobody `again`.
    """
    step, brief = step_of(load), brief or talk.brief
    if step is None:
        return ""
    known = any(other.food == load.food and other.id < load.id for other in talk.kitchen.loads)
    return _instead_of(talk, step, load) or words_of(
        talk.language, load, worded(talk, step), brief=brief, of_food=not (again or (brief and known))
    )


def step_caution(talk: Talk, load: Load) -> str:
    """Return the caution with which the words of a load's step begin; nothing where they have none."""
    step = step_of(load)
    return "" if step is None or _instead_of(talk, step, load) else worded(talk, step).caution


def _instead_of(talk: Talk, step: Step, load: Load) -> str:
    """Say what is said in place of a step that has to wait, or whose numbers don't hold any more."""
    if load.stage is Stage.KEEP and load.timer("rest") is not None:
        return talk.language.say("step_words", "rest_on")
    if load.stage in (Stage.PACK, Stage.CANNER) and load.fault("gear") is not None:
        return talk.language.say("objecting", "gear_failed", values_of(talk, {}, load))
    if load.stage is Stage.PACK and load.packed >= load.planned:
        return talk.language.say("step_words", "all_packed", brief=talk.brief)
    if load.stage is Stage.KEEP and load.doubt:
        talk.note("hangs")
        return talk.language.say("objecting", "in_doubt", values_of(talk, {}, load))
    if load.undecided and window_shut(load, talk.t):
        return talk.language.say("asking", "failed_jar_late")
    if load.undecided and load.spoiled:
        return talk.language.say("objecting", "spoiled_first")
    if load.undecided and load.unfit:
        return talk.language.say("step_words", "unfit")
    if load.stage is Stage.KEEP and not load.shelved:
        return talk.language.say("step_words", "none_to_shelve")
    return other_numbers(talk, load) if load.processed_t is None and "by_numbers" in step.traits else ""


def worded(talk: Talk, step: Step) -> Step:
    """Return the step in the words of the language, where it has some."""
    own, key = talk.language.table("steps"), step.worded_as
    step = replace(step, check=own.get(f"{key}.check", step.check), why=own.get(f"{key}.why", step.why))
    said = own.get(f"{key}.say")
    return step if said is None else replace(step, say=said, brief=said, caution=own.get(f"{key}.caution", ""))


def words_of(language: Language, load: Load, step: Step, *, brief: bool = False, of_food: bool = True) -> str:
    """Return the words of a step: the caution it needs first, then what to do.

    The food's own come before its acid, which goes in by them; before filling, where it has none. Of a ferment the
    preparation alone waits for the filling: the rest is of what made the acid.
    """
    process = load.process
    values = {
        "salt": language.spoon(process.salt_tsp) if process.salt_tsp else "",
        "acid": process.acid,
        "water": process.water,
        "pack": language.phrase("names", f"pack_{load.pack}"),
        "jar": language.jar(load.jar),
        "headspace": process.headspace,
        "target": language.number(process.target_psi) if process.target_psi is not None else "",
        "over": over_lids(language, process) if not process.is_pressure else "",
        "bath": _bath(language, load.pack),
    }
    body = (step.brief if brief else step.say).format_map(values)
    parts = {_step_of_food(load): process.cautions}
    if process.acid_in == "ferment":
        parts = {"fill": process.cautions[:1], "acid": process.cautions[1:]}
    published = parts.get(step.id, ()) if of_food else ()
    return sentence(" ".join(part for part in (*published, step.caution, body) if part))


def cautions_passed(talk: Talk, old: Load, load: Load) -> str:
    """Return what is published of a food besides its preparation, where a report went past the step that says it.

    That is for the first load of it only.
    """
    known = any(other.food == load.food and other.id < load.id for other in talk.kitchen.loads)
    if known or not skips(old, load, _step_of_food(load)):
        return ""
    asked = sentence(" ".join(load.process.cautions[1:]))
    return asked and talk.language.say("step_words", "asked_of_food", food=load.food_name, cautions=asked)


def _step_of_food(load: Load) -> str:
    """Return the step before which what is published of the food itself is said."""
    return "acid" if load.process.acid else "fill"


def _bath(language: Language, pack: str) -> str:
    """How hot the water is to be; for both packs where the guide leaves the pack to the food's procedure."""
    figures = {"raw": rules().water_raw_pack_f, "hot": rules().water_hot_pack_f}
    packs = (pack,) if pack in figures else tuple(figures)
    return ", ".join(
        language.phrase("names", f"bath_{each}", degrees=language.number(figures[each].value)) for each in packs
    )
