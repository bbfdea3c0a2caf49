"""One question, another answer: while it vents, holds, cools or rests, in boiling water, and by the other gauge."""

import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from kitchenvoice.reference import Situation, families, reply
from kitchenvoice.reference.knowledge import family

OWN = {"hold_minutes": "25", "headspace": "1 inch", "psi": "11", "salt": "1 teaspoon"}
DIAL = Situation(method="pressure", gauge="dial", acidity="low", slots=OWN)
LEFT = {**OWN, "save_left": "6 hours", "rest_left": "9 hours"}
PEACHES = Situation(method="boiling-water", acidity="acid", slots={"hold_minutes": "25", "headspace": "1/2 inch"})
STEAM = replace(PEACHES, method="atmospheric-steam")
WEIGHTED = replace(DIAL, gauge="weighted")
HERE = {
    "idle": Situation(stage="idle"),
    "pack": replace(DIAL, stage="pack"),
    "canner": replace(DIAL, stage="canner"),
    "vent": replace(DIAL, stage="vent", canner="vent"),
    "come_up": replace(DIAL, stage="come_up", canner="shut"),
    "hold": replace(DIAL, stage="hold", canner="shut"),
    "cool": replace(DIAL, stage="cool", canner="cool"),
    "zero": replace(DIAL, stage="cool", at_zero=True),
    "rest": replace(DIAL, stage="rest", slots=LEFT),
    "count": replace(DIAL, stage="count", slots=LEFT),
    "weighted vent": replace(WEIGHTED, stage="vent", canner="vent"),
    "weighted": replace(WEIGHTED, stage="hold", canner="shut"),
    "weighted come_up": replace(WEIGHTED, stage="come_up", canner="shut"),
    **{f"bath {stage}": replace(PEACHES, stage=stage) for stage in ("canner", "come_up", "hold", "cool", "rest")},
    **{f"steam {stage}": replace(STEAM, stage=stage) for stage in ("canner", "come_up", "hold", "cool")},
}
ROWS = [
    (stage, name, *words)
    for stage, rows in tomllib.loads((Path(__file__).parent / "data" / "by_stage.toml").read_text()).items()
    for name, words in rows.items()
]
ONLY_PRESSURE = r"\bweight|gauge|\bvent|\bdial|\block(ed)?\b|at zero"


def test_an_answer_is_of_the_stage_it_is_asked_in(every):
    def check(stage, name, wanted, wrong):
        text = reply(name, HERE[stage]).text
        assert wanted in text
        assert wrong not in text

    every(check, ROWS)
    assert len(ROWS) > 60


def test_while_it_vents_nothing_says_to_turn_down_the_heat_or_names_a_pressure_to_keep(every):
    def check(name, here):
        text = reply(name, here).text
        assert not re.search(
            r"heat (a little )?down|turn it down|at 11 pounds or|Keep the dial|shows less|its mark", text
        )

    every(check, [(name, HERE[stage]) for name in families() for stage in ("vent", "weighted vent")])


OF_OTHERS = {
    "fish_quarts", "pressure_canner_for_boiling_water", "venting_meaning", "weight_meaning",  # general
    "gauge_in_red", "lid_stuck", "plug_blew", "weight_fell_off",  # whatever canner is meant, it is left shut
}  # fmt: skip


@pytest.mark.parametrize("stage", [stage for stage in HERE if stage.startswith(("bath", "steam"))])
def test_nothing_of_a_canner_without_pressure_is_told_of_weight_gauge_or_vent(every, stage):
    def check(name):
        text = re.sub(r"(has|needs) no [a-z, ]*|isn't locked", "", reply(name, HERE[stage]).text)
        assert not re.search(ONLY_PRESSURE, text)

    of_canner = {each.id for each in families().values() if each.at_canner or each.shut or each.heats or each.pressure}
    every(check, [(name,) for name in sorted(of_canner - OF_OTHERS)])
    assert len(of_canner) > 60


def test_another_canner_under_pressure_comes_before_what_boiling_water_lacks():
    assert reply("weight_off", HERE["bath hold"]).text.startswith("Boiling-water canning has no pressure")
    assert reply("weight_off", replace(HERE["bath hold"], canner="shut")).text.startswith("Leave it on until")
    assert reply("nudge_weight", replace(HERE["bath hold"], canner="cool")).text.startswith(
        "Leave the lid and the weight"
    )


@pytest.mark.parametrize("name", ["not_sealed_what_now", "reprocess", "put_in_fridge", "freeze_unsealed", "lid_moves"])
def test_the_hours_for_a_failed_jar_are_told_with_their_beginning_or_what_is_left(name):
    assert family(name).within_day
    assert "hours of processing" in family(name).answer
    assert "6 hours left" in reply(name, HERE["count"]).text
    assert "hours left" not in reply(name, replace(HERE["count"], slots=OWN)).text
