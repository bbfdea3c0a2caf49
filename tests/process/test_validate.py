"""Events that are written wrong are refused with the name of the field."""

import math

import pytest
from cook import BATH, DIAL, WEIGHTED, Cook

from kitchenvoice.errors import BadInput
from kitchenvoice.process import Event, validate
from kitchenvoice.process.objections import REPORT_STAGES


def start(**changes) -> Event:
    cook = Cook()
    cook.start(DIAL)
    data = {**cook.history[0].data, **changes}
    return Event(seq=1, t=0.0, kind="load_start", load=1, data={k: v for k, v in data.items() if v != "missing"})


@pytest.mark.parametrize("process", [DIAL, WEIGHTED, BATH])
def test_a_load_as_the_dialogue_starts_it_is_taken(process):
    cook = Cook()
    cook.start(process)
    assert validate(cook.history[0]) is cook.history[0]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("food", "missing"),
        ("food", 7),
        ("food_name", ""),
        ("pack", None),
        ("jar", "bucket"),
        ("count", 0),
        ("count", 7.5),
        ("count", True),
        ("count", 100),
        ("canner", -1),
        ("method", "oven"),
        ("gauge", "missing"),
        ("gauge", "digital"),
        ("minutes", 0),
        ("minutes", -25),
        ("minutes", "25"),
        ("minutes", "missing"),
        ("psi", "missing"),
        ("psi", 0),
        ("psi", 26),
        ("target_psi", -1),
        ("altitude_ft", "missing"),
        ("altitude_ft", -5),
        ("source", 3),
        ("salt_tsp", -1),
        ("acid", 1),
    ],
)
def test_a_load_with_a_wrong_field_is_refused_by_name(field, value):
    with pytest.raises(BadInput, match=rf"\b{field}\b"):
        validate(start(**{field: value}))


@pytest.mark.parametrize("psi", [5, 10, 15, 6, 11, 12.5])
def test_a_weight_is_five_ten_or_fifteen(psi):
    event = start(gauge="weighted", psi=psi, target_psi=psi)
    if psi in (5, 10, 15):
        assert validate(event)
    else:
        with pytest.raises(BadInput, match="five, ten or fifteen"):
            validate(event)


def test_a_weight_is_not_corrected_like_a_dial():
    with pytest.raises(BadInput, match="target_psi"):
        validate(start(gauge="weighted", psi=10, target_psi=11))


def test_boiling_water_has_no_pressure():
    with pytest.raises(BadInput, match="psi"):
        validate(start(method="boiling-water"))


@pytest.mark.parametrize(
    ("kind", "data", "field"),
    [
        ("pressure_is", {}, "pressure"),
        ("pressure_is", {"pressure": "eleven"}, "pressure"),
        ("pressure_is", {"pressure": -1}, "pressure"),
        ("pressure_is", {"pressure": 26}, "pressure"),
        ("pressure_low", {"pressure": True}, "pressure"),
        ("packed", {"count": 1.5}, "count"),
        ("jars_in", {"count": 0}, "count"),
        ("jar_broke", {"count": -1}, "count"),
        ("seal_count", {"sealed": 7}, "failed"),
        ("seal_count", {"sealed": -1, "failed": 8}, "sealed"),
        ("tally", {"sealed": "three"}, "sealed"),
        ("jar_outcome", {}, "outcome"),
        ("jar_outcome", {"outcome": "eat"}, "outcome"),
        ("was_steady", {"ok": "yes"}, "ok"),
        ("timer_start", {"minutes": 0}, "minutes"),
        ("crock_start", {}, "food"),
        ("crock_start", {"food": "sauerkraut", "days_ago": -1}, "days_ago"),
        ("crock_end", {"food": ""}, "food"),
        ("crock_care", {"food": "sauerkraut"}, "care"),
        ("crock_care", {"food": "sauerkraut", "care": "eaten"}, "care"),
        ("crock_end", {"food": "sauerkraut", "crock": 0}, "crock"),
        ("timer_start", {}, "minutes"),
        ("timer_due", {"timer": "hold"}, "mark"),
        ("call_again", {}, "key"),
        ("scratched", {"seq": 0}, "seq"),
        ("session_start", {"off_s": -3}, "off_s"),
    ],
)
def test_a_report_with_a_wrong_field_is_refused_by_name(kind, data, field):
    with pytest.raises(BadInput, match=rf"\b{field}\b"):
        validate(Event(seq=1, t=0.0, kind=kind, load=1, data=data))


@pytest.mark.parametrize("value", [math.nan, math.inf, object(), {"deep": [math.nan]}, {1: "key"}, b"bytes"])
def test_nothing_is_taken_that_cannot_be_stored(value):
    with pytest.raises(BadInput, match="data"):
        validate(Event(seq=1, t=0.0, kind="anything", data={"x": value}))


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"seq": 0}, "seq"), ({"seq": True}, "seq"), ({"t": math.nan}, "t"), ({"t": -1.0}, "t"), ({"load": 0}, "load")],
)
def test_the_frame_of_an_event_is_looked_at_too(changes, field):
    with pytest.raises(BadInput, match=rf"\b{field}\b"):
        validate(Event(**{"seq": 1, "t": 0.0, "kind": "opened", **changes}))


@pytest.mark.parametrize("kind", sorted(REPORT_STAGES))
def test_a_report_about_a_load_names_its_load(kind):
    with pytest.raises(BadInput, match="load"):
        validate(Event(seq=1, t=0.0, kind=kind))
