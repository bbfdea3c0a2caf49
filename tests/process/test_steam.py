"""A steam canner: a boiling-water process that its column tells of, and whose cover stays shut."""

import pytest
from cook import BATH, Cook

from kitchenvoice.process import OF_STEAM, Process, Stage, apply, steps_of
from kitchenvoice.process.steps import all_steps

STEAM = {**BATH, "method": "atmospheric-steam"}
TELLS = {"steam": True}


@pytest.fixture
def steam() -> Cook:
    cook = Cook()
    cook.start(STEAM)
    cook.report("jars_in")
    cook.report("heat_on")
    assert cook.load().stage is Stage.COME_UP
    return cook


def test_only_its_column_starts_its_time(steam):
    assert steam.report("boiling").kind == "steam_tells"
    for other in ("steam_steady", "weight_rocking", "weight_on"):
        assert steam.report(other).kind == "wrong_stage"
    assert steam.load().hold is None
    assert steam.report("boiling", **TELLS) is None
    assert steam.load().holding


def test_no_report_without_its_column_gets_past_the_engine_either(steam):
    event = steam._append("boiling", 1, {})
    after, facts = apply(steam.kitchen, event)
    assert not after.load(1).holding
    assert facts == ()


def test_a_column_is_none_of_boiling_water():
    cook = Cook()
    cook.start(BATH)
    cook.report("jars_in")
    cook.report("heat_on", yes=True)
    assert cook.report("boiling", **TELLS).kind == "wrong_stage"
    assert cook.report("boiling") is None
    assert cook.report("boil_lost", **TELLS).kind == "wrong_stage"
    assert cook.load().holding


@pytest.mark.parametrize("data", [TELLS, {}])
def test_its_time_is_lost_with_the_steam_and_starts_over_in_full(steam, data):
    steam.report("boiling", **TELLS)
    steam.wait(600)
    steam.report("boil_lost", **data)
    assert steam.heard("hold_lost")[-1].data["why"] == "steam"
    steam.report("boiling", **TELLS)
    steam.wait(60 * 35 - 1)
    assert steam.load().holding
    steam.wait(2)
    assert steam.load().processed_t is not None


def test_its_jars_rest_in_no_water(steam):
    steam.report("boiling", **TELLS)
    steam.wait(60 * 35)
    steam.report("heat_off")
    assert steam.load().step == "bath_open"
    steam.report("lid_off")
    assert steam.load().step == "unload"
    assert steam.load().timer("bath_rest") is None
    assert steam.report("jars_out") is None
    assert steam.load().stage is Stage.REST


def test_its_steps_speak_of_no_water_over_the_lids_and_of_no_boil():
    process = Process(method="atmospheric-steam", minutes=20)
    steps = [step for stage in Stage for step in steps_of(stage, process)]
    assert {step.stage for step in steps} >= {Stage.PACK, Stage.CANNER, Stage.COME_UP, Stage.HOLD, Stage.COOL}
    for step in steps:
        assert step.id not in ("water_over", "bath_rest", "venting")
        assert "boil" not in step.say.lower()
        assert "over the lids" not in step.say


def test_what_a_column_ends_is_what_the_boil_ends():
    ids = {step.id for step in all_steps() if "boiling-water" in step.applies_to and "boiling" in step.done_by}
    of_steam = [step for step in all_steps() if "atmospheric-steam" in step.applies_to and step.id in ids]
    assert {step.id for step in of_steam} == ids
    assert all("steam_steady" in step.done_by for step in of_steam)
    assert OF_STEAM == {"steam_steady": "boiling", "steam_stopped": "boil_lost"}


def test_what_it_is_watched_by():
    told = {"pressure": "weighted", "boiling-water": "bath", "atmospheric-steam": "steam"}
    assert {method: Process(method=method, minutes=20).watched for method in told} == told
    assert Process(method="pressure", minutes=20, gauge="dial").watched == "dial"
