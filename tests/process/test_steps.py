"""The steps as data: each has a reason and a source, and each can be said."""

import itertools
import re
from dataclasses import replace

import pytest

from kitchenvoice.dialogue.step_words import words_of
from kitchenvoice.language import load_language
from kitchenvoice.process import OF_STEAM, Load, Process, Stage, steps_of
from kitchenvoice.process.objections import REPORT_STAGES
from kitchenvoice.process.steps import Step, _step, all_steps, skips, up_to
from kitchenvoice.reference.library import citation_id, sources

PROCESSES = {
    "dial": Process(
        method="pressure", minutes=25, psi=11, target_psi=11, gauge="dial", salt_tsp=1, headspace="one inch"
    ),
    "weighted": Process(method="pressure", minutes=25, psi=10, target_psi=10, gauge="weighted", headspace="one inch"),
    "bath": Process(method="boiling-water", minutes=35, headspace="half an inch", acid="one tablespoon in each jar"),
    "short_bath": Process(method="boiling-water", minutes=5, headspace="half an inch"),
    "own_water": Process(
        method="pressure", minutes=160, psi=11, target_psi=11, gauge="dial", headspace="one inch", water="Three quarts."
    ),
}
"""Green beans in quarts (guide 4:9), crushed tomatoes in pints (3:8); five minutes is made up, to be below ten."""
STEPS = all_steps()
NO_SOURCE = "common practice, no source"


def name(step: Step) -> str:
    return f"{step.stage}-{step.id}-{'-'.join(sorted(step.applies_to)) or 'all'}"


def a_load(process: Process, step: Step) -> Load:
    named = {"food": "snap_beans", "food_name": "green beans", "pack": "hot", "jar": "quart", "canner_name": ""}
    return Load(id=1, number=1, planned=7, canner=1, process=process, opened_t=0.0, stage=step.stage, **named)


def test_a_step_has_its_reason_and_a_source_that_the_reference_knows(every):
    def check(step):
        assert step.say and step.brief and step.why
        known = sources()
        assert [each for each in step.source if each != NO_SOURCE and citation_id(each) not in known] == []

    every(check, STEPS)


def test_a_food_with_a_water_of_its_own_has_that_step_instead_of_the_usual_one():
    for name_, process in PROCESSES.items():
        water = [step.when for step in steps_of(Stage.PACK, process) if step.id == "water"]
        assert water == (["own_water"] if name_ == "own_water" else ["usual_water"] if process.is_pressure else [])


def test_a_step_can_be_said_for_every_load_that_has_it(every):
    def check(step, brief):
        for process in PROCESSES.values():
            if step.applies(process):
                said = words_of(load_language("en"), a_load(process, step), step, brief=brief)
                assert "{" not in said
                assert said.endswith((".", "?"))
                if step.caution:
                    assert said.startswith(step.caution)

    every(check, itertools.product(STEPS, [False, True]))


def test_a_step_is_short_and_never_says_safe(every):
    def check(step):
        assert len(step.say) <= 190
        assert len(step.brief) <= 90
        assert not re.search(r"\bsafe(ly|ty)?\b", f"{step.say} {step.brief} {step.why} {step.caution}".lower())

    every(check, STEPS)


def test_a_step_is_done_by_reports_that_fit_in_its_stage(every):
    def check(step):
        for report in step.done_by - {"timer"}:
            of_load = OF_STEAM.get(report, report) if "atmospheric-steam" in step.applies_to else report
            assert step.stage in REPORT_STAGES[of_load] or report == "heat_on"

    every(check, STEPS)


@pytest.mark.parametrize("process", PROCESSES.values(), ids=PROCESSES)
def test_every_stage_of_a_load_has_steps_with_names_of_their_own(process):
    for stage in Stage:
        ids = [step.id for step in steps_of(stage, process)]
        assert len(ids) == len(set(ids))
    skipped = {Stage.IDLE, Stage.PLAN, Stage.GEAR, Stage.START, Stage.CLOSED}
    skipped |= set() if process.is_pressure else {Stage.VENT}
    assert {stage for stage in Stage if not steps_of(stage, process)} == skipped


@pytest.mark.parametrize(
    ("process", "has", "lacks"),
    [
        ("dial", {"water", "salt", "canner_check"}, {"acid", "bath", "sterilize"}),
        ("weighted", {"water"}, {"salt", "acid"}),
        ("bath", {"bath", "acid"}, {"water", "canner_check", "sterilize", "salt"}),
        ("short_bath", {"sterilize"}, {"acid"}),
    ],
)
def test_a_load_gets_the_packing_steps_it_needs(process, has, lacks):
    ids = {step.id for step in steps_of(Stage.PACK, PROCESSES[process])}
    assert has <= ids
    assert not lacks & ids


def test_jars_are_boiled_first_only_under_ten_minutes():
    boiled = [
        minutes
        for minutes in (5, 9.5, 10, 35)
        if any(x.id == "sterilize" for x in steps_of(Stage.PACK, replace(PROCESSES["bath"], minutes=minutes)))
    ]
    assert boiled == [5, 9.5]


def test_the_water_is_a_challenge_that_comes_before_the_jars():
    ids = [step.id for step in steps_of(Stage.PACK, PROCESSES["dial"])]
    assert ids.index("water") < ids.index("packing") == len(ids) - 1
    checks = {step.id for step in STEPS if step.check}
    assert {"canner_check", "water", "jar_check", "sterilize", "acid", "water_over"} == checks


WRITTEN = {"id": "x", "stage": "pack", "say": "Do.", "brief": "Do.", "why": "So.", "source": ["table"]}


@pytest.mark.parametrize(
    ("wrong", "told"),
    [({"for": ["oven"]}, "'for' takes"), ({"is": ["loud"]}, "'is' takes"), ({"source": []}, "names no source")],
)
def test_a_step_that_is_written_wrong_is_named(wrong, told):
    assert _step(WRITTEN).id == "x"
    with pytest.raises(ValueError, match=f"step x.*{told}"):
        _step(WRITTEN | wrong)


def at(step_id: str, stage: Stage = Stage.PACK) -> Load:
    return replace(a_load(PROCESSES["dial"], STEPS[0]), stage=stage, step=step_id)


@pytest.mark.parametrize(
    ("old", "new", "skipped"),
    [
        (at("salt"), at("packing"), ["fill", "lids"]),
        (at("salt"), at("fill"), []),
        (at("salt"), at("lid", Stage.CANNER), ["fill", "lids", "packing"]),
        (at("none"), at("packing"), []),
    ],
)
def test_steps_between_two_were_skipped_and_neither_of_them(old, new, skipped):
    ids = [step.id for step in steps_of(Stage.PACK, old.process)]
    assert [each for each in [*ids, "no_such_step"] if skips(old, new, each)] == skipped


def test_a_load_goes_up_to_a_step_past_those_that_want_neither_check_nor_report():
    assert up_to(at("salt"), "packing").step == "packing"
    assert up_to(at("salt"), "salt").step == "salt"
    assert up_to(at("water"), "packing") is None
    assert up_to(at("packing"), "salt") is None


@pytest.mark.parametrize(("process", "water"), [("dial", "usual_water"), ("own_water", "own_water")])
def test_a_load_has_the_step_of_its_own_water_or_the_usual_one(process, water):
    steps = steps_of(Stage.PACK, PROCESSES[process])
    assert [step.when for step in steps if step.when in ("own_water", "usual_water")] == [water]
