"""What must hold for every food and every input."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitchenvoice.reference import find_food, foods, lookup, metres_to_feet_up, spoken_names
from kitchenvoice.reference.library import product

FOODS = st.sampled_from([food.id for food in foods()])
JARS = st.sampled_from(["half-pint", "twelve-ounce", "pint", "pint-and-half", "quart", "half-gallon"])
PACKS = st.sampled_from(["raw", "hot", "see-procedure"])
GAUGES = st.sampled_from(["dial", "weighted"])
METHODS = st.sampled_from(["pressure", "boiling-water", "atmospheric-steam"])
HEIGHTS = st.integers(0, 8_000)
ODD = st.one_of(
    st.none(),
    st.text(max_size=30),
    st.floats(),
    st.integers(),
    st.booleans(),
    st.binary(max_size=5),
    st.lists(st.integers(), max_size=2),
    st.sampled_from(sorted(spoken_names())),
    st.sampled_from(["hot", "raw", "pint", "quart", "pressure", "boiling_water", "dial", "weighted", "500 ml"]),
)


@given(FOODS, JARS, PACKS, METHODS, GAUGES, HEIGHTS, HEIGHTS)
@settings(max_examples=200, deadline=None)
def test_minutes_and_pressure_never_fall_with_altitude(food, jar, pack, method, gauge, one, other):
    low, high = sorted((one, other))
    below = lookup(food, jar=jar, pack=pack, method=method, gauge=gauge, altitude_ft=low)
    above = lookup(food, jar=jar, pack=pack, method=method, gauge=gauge, altitude_ft=high)
    if below.status == above.status == "ok":
        pressure_of = {o.minutes: o.psi for o in below.options} or {below.minutes: below.psi or 0}
        for minutes, psi in ({o.minutes: o.psi for o in above.options} or {above.minutes: above.psi or 0}).items():
            if method == "pressure":
                assert psi >= pressure_of[minutes]
            else:
                assert minutes >= max(pressure_of)


@given(FOODS, JARS, PACKS, METHODS, GAUGES, HEIGHTS)
@settings(max_examples=200, deadline=None)
def test_an_answer_has_its_numbers_and_a_refusal_has_none(food, jar, pack, method, gauge, height):
    answer = lookup(food, jar=jar, pack=pack, method=method, gauge=gauge, altitude_ft=height)
    assert answer.status in ("ok", "refused")
    assert answer.source
    if answer.status == "ok":
        assert answer.minutes is not None
        assert (answer.psi is not None) == (method == "pressure")
        assert answer.headspace_text
        assert (answer.headspace_in is None) == (food == "fruit_baby_food")
        assert pack.replace("-", "_") in {p for block in product(food).processes for p in block.packs}
        if gauge == "weighted" and method == "pressure":
            assert answer.psi in (5, 10, 15)
    else:
        assert answer.minutes is answer.psi is answer.headspace_in is answer.salt_tsp_per_jar is answer.acid is None
        assert answer.reason


@given(
    FOODS,
    JARS,
    PACKS,
    GAUGES,
    HEIGHTS,
    st.sets(st.sampled_from(["jar", "pack", "method", "gauge", "altitude_ft"]), min_size=1),
)
@settings(max_examples=150, deadline=None)
def test_without_every_input_there_is_no_number(food, jar, pack, gauge, height, left_out):
    full = {"jar": jar, "pack": pack, "method": "pressure", "gauge": gauge, "altitude_ft": height}
    answer = lookup(food, **{k: v for k, v in full.items() if k not in left_out})
    assert answer.status in ("incomplete", "refused")
    assert answer.minutes is None
    if answer.status == "incomplete":
        assert set(answer.missing) <= left_out
        assert left_out - set(answer.missing) <= {"gauge"}


@given(
    ODD, ODD, ODD, ODD, ODD, ODD, st.dictionaries(st.sampled_from(["bones", "style", "option", "variety", "x"]), ODD)
)
@settings(max_examples=400, deadline=None)
def test_no_input_makes_the_look_up_raise(food, pack, jar, method, gauge, altitude, qualifiers):
    answer = lookup(food, pack=pack, jar=jar, method=method, gauge=gauge, altitude_ft=altitude, **qualifiers)
    assert answer.status in ("ok", "refused", "incomplete")
    assert json.loads(json.dumps(answer.as_dict(), allow_nan=False))["status"] == answer.status
    assert answer.status == "ok" or answer.reason
    assert "safe" not in " ".join((answer.reason or "", *answer.cautions)).lower()


@given(ODD)
@settings(deadline=None)
def test_no_text_makes_the_name_search_raise(text):
    assert find_food(text).kind in ("food", "ambiguous", "refused", "unknown")


@given(st.integers(0, 8_000_000))
def test_metres_are_rounded_up_and_never_lose_a_foot(millimetres):
    metres = millimetres / 1000
    feet = metres_to_feet_up(metres)
    assert feet * 3048 >= millimetres * 10 > (feet - 1) * 3048


@pytest.mark.parametrize(
    ("metres", "feet"), [(0, 0), (304.8, 1000), (305, 1001), (1600, 5250), (2438.4, 8000), (2438.5, 8001)]
)
def test_metres_in_feet(metres, feet):
    assert metres_to_feet_up(metres) == feet


@pytest.mark.parametrize("metres", [float("nan"), float("inf")])
def test_metres_that_are_no_number_say_what_to_do(metres):
    with pytest.raises(ValueError, match="Give it again"):
        metres_to_feet_up(metres)
