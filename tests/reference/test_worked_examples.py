"""The look-up gives what was published, case by case, and refuses or asks where nothing was."""

from pathlib import Path

import pytest
import yaml

from kitchenvoice.reference import lookup, plan, rule

DATA = Path(__file__).with_name("data")
PROCESSES = yaml.safe_load((DATA / "process_cases.yaml").read_text(encoding="utf-8"))
REFUSALS = yaml.safe_load((DATA / "refusal_cases.yaml").read_text(encoding="utf-8"))
YIELDS = yaml.safe_load((DATA / "yield_cases.yaml").read_text(encoding="utf-8"))


def ids(cases):
    return ["-".join(map(str, case["inputs"].values())) for case in cases]


@pytest.mark.parametrize("case", PROCESSES, ids=ids(PROCESSES))
def test_the_published_process_is_given(case):
    given = dict(case["inputs"])
    answer = lookup(given.pop("product"), **given)
    assert answer.status == "ok", answer.reason
    assert answer.minutes == case["expected"]["minutes"]
    assert answer.psi == case["expected"].get("psi")
    assert answer.source
    if "expected_options" in case:
        assert [{"minutes": o.minutes, "psi": o.psi} for o in answer.options] == case["expected_options"]


@pytest.mark.parametrize("case", PROCESSES, ids=ids(PROCESSES))
def test_a_published_case_is_given_under_its_own_source(case):
    given = dict(case["inputs"])
    answer = lookup(given.pop("product"), **given)
    named = {source.split(" ")[0] for source in answer.source}
    assert named & set(case["source"]), (answer.source, case["source"])


NO_EVENT = [case for case in REFUSALS if "event" not in case["inputs"]]


@pytest.mark.parametrize("case", NO_EVENT, ids=ids(NO_EVENT))
def test_what_has_no_tested_process_is_refused_or_asked_about(case):
    given = dict(case["inputs"])
    answer = lookup(given.pop("product"), **given)
    if asked := case.get("asks"):
        assert answer.status == "incomplete"
        assert answer.missing[0] == asked
        assert answer.choices or asked == "altitude_ft"
    else:
        assert answer.status == "refused"
        assert answer.instead
    assert answer.minutes is None
    assert answer.psi is None
    assert answer.options == ()
    assert answer.reason
    assert answer.source


def test_a_pressure_drop_restarts_the_full_time():
    case = next(case for case in REFUSALS if "event" in case["inputs"])
    fell = rule("pressure_process.pressure_drop")
    assert fell.action == "restart_full_time"
    assert set(case["source"]) <= set(fell.source)
    assert rule("boiling_water_process.boil_stops").action == "restart_full_time"


@pytest.mark.parametrize("case", YIELDS, ids=[f"{c['food']}-{c['have']}" for c in YIELDS])
def test_the_published_yield_is_given(case):
    made = plan(case["food"], case["have"], case["jar"], 7, style=case.get("style"))
    assert made.status == "ok", made.reason
    assert made.jars is not None
    if "range" in case:
        assert [made.jars.low, made.jars.high] == case["range"]
    else:
        assert made.jars.typical == case["typical"]
        assert made.jars.low <= case["typical"] <= made.jars.high
    assert {s.split(" ")[0] for s in made.source} & set(case["source"])
