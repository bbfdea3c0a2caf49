"""The data files themselves: every figure has a source that exists, every process the page of the guide."""

import json
import re
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

from kitchenvoice.reference import foods, lookup, notes, rule, rule_names, source_title
from kitchenvoice.reference.building import build
from kitchenvoice.reference.library import citation_id, product, product_ids, raw, sources
from kitchenvoice.reference.models import Product
from kitchenvoice.reference.processes import BoilingProcess, PressureProcess
from kitchenvoice.reference.senses import SENSES
from kitchenvoice.reference.validation import PRODUCT

FILES = Path(__file__).parents[2] / "kitchenvoice" / "reference" / "data"
EVERY = [product(food) for food in product_ids()]


def citations(value):
    """Yield every citation anywhere in a JSON value."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key in ("source", "older_source"):
                yield from [item] if isinstance(item, str) else item
            else:
                yield from citations(item)
    elif isinstance(value, list):
        for item in value:
            yield from citations(item)


def answers():
    """Yield every answer that the tables can give."""
    for food in foods():
        for pack in ("raw", "hot", "see-procedure"):
            for jar in ("half-pint", "twelve-ounce", "pint", "pint-and-half", "quart", "half-gallon"):
                for method, gauge in (("pressure", "dial"), ("pressure", "weighted"), ("boiling-water", None)):
                    for height in (0, 1_001, 2_001, 3_001, 4_001, 6_001, 8_000):
                        given = {"pack": pack, "jar": jar, "method": method, "gauge": gauge, "altitude_ft": height}
                        answer = lookup(food.id, **given)
                        if answer.status == "ok":
                            yield answer


ANSWERS = list(answers())


def test_every_citation_names_a_known_source(every):
    def check(path):
        for citation in citations(json.loads(path.read_bytes())):
            assert citation_id(citation) in sources(), citation
            assert citation_id(citation) not in source_title(citation)

    every(check, sorted(FILES.rglob("*.json")))


def test_every_block_of_a_product_has_a_source():
    for item in EVERY:
        for block in (item.headspace, item.salt, item.yields, *item.processes, *item.cautions, *item.notes):
            assert block.source, item.id
        assert item.acid is None or item.acid.source


def test_the_tables_are_all_there():
    assert len(EVERY) == 149
    assert sum(len(item.processes) for item in EVERY) == 267
    assert len(rule_names()) == 93
    assert len(notes()["disagreements"]) == 19


def test_no_number_reaches_an_answer_without_a_source():
    assert len(ANSWERS) > 3_500
    for answer in ANSWERS:
        for numbers, key in (
            ((answer.minutes, answer.psi), "process"),
            ((answer.headspace_in,), "headspace"),
            ((answer.salt_tsp_per_jar,), "salt"),
            ((answer.acid,), "acid"),
        ):
            if any(number is not None for number in numbers):
                cited = [citation_id(citation) for citation in answer.sources[key]]
                assert cited, (answer.food, key)
                assert set(cited) <= set(sources())


def test_nothing_rests_on_memory_or_on_what_was_not_read(every):
    def check(path):
        text = path.read_text("utf-8").lower()
        for words in ("memory", "not read", "partly", "partial", "unverified", "not checked"):
            assert words not in text

    every(check, sorted(path for path in FILES.rglob("*.json") if path.stem != SENSES))  # which has words of cooks


def test_every_answer_names_the_page_of_the_guide_first():
    for answer in ANSWERS:
        assert re.match(r"aib539_2015 \(Guide [1-7]:\d+", answer.source[0]), answer.food


def test_a_food_that_shares_the_process_of_another_has_exactly_that():
    same = [item for item in EVERY if item.same_as]
    assert len(same) == 9
    for item in same:
        theirs = {_figures(block) for block in product(item.same_as.food).processes}
        assert {_figures(block) for block in item.processes} <= theirs
        packs = {pack for block in item.processes for pack in block.packs}
        printed = {pack for block in product(item.same_as.food).processes for pack in block.packs}
        assert packs <= printed


def _figures(block):
    """Return what a block says, without its packs and sources."""
    if isinstance(block, PressureProcess):
        return (block.gauge, tuple(sorted(block.minutes.items())), block.bands)
    return tuple((band.from_ft, band.to_ft, tuple(sorted(band.minutes.items()))) for band in block.bands)


def test_altitude_bands_start_at_zero_and_leave_no_gap(every):
    def check(item):
        for block in item.processes:
            assert block.bands[0].from_ft == 0
            for below, above in zip(block.bands, block.bands[1:], strict=False):
                assert below.to_ft is not None
                assert above.from_ft == below.to_ft + 1
            assert block.bands[-1].to_ft in (None, 8_000)

    every(check, EVERY)


def test_bands_end_where_their_own_gauge_or_method_says(every):
    def check(item):
        for block in item.processes:
            edges = [band.to_ft for band in block.bands]
            if isinstance(block, BoilingProcess):
                assert edges in ([1_000, 3_000, 6_000, None], [1_000, 6_000, None])
            elif block.gauge == "dial":
                assert edges == [2_000, 4_000, 6_000, 8_000]
            else:
                assert edges == [1_000, None]
                assert {band.psi for band in block.bands} <= {5, 10, 15, None}

    every(check, EVERY)


def test_only_one_alternative_of_a_table_is_named_first():
    for item in EVERY:
        for gauge in ("dial", "weighted"):
            rows = [p for p in item.processes if isinstance(p, PressureProcess) and p.gauge == gauge and p.option]
            assert sum(row.primary for row in rows) == (1 if rows else 0)


@pytest.fixture(params=[PRODUCT.validate_python, lambda table: build(Product, table)], ids=["checking", "every day"])
def load(request):
    """Return the two ways in which a food comes to be: through pydantic, and through the loader of a look-up."""
    return request.param


def test_the_loader_of_a_look_up_reads_exactly_what_pydantic_reads(every):
    def check(item):
        assert PRODUCT.validate_json((FILES / "products" / f"{item.id}.json").read_bytes()) == item

    every(check, EVERY)


def test_a_boiling_water_table_for_a_low_acid_food_does_not_load(load):
    beans = raw_product("snap_beans")
    beans["processes"].append(raw_product("peaches")["processes"][0])
    with pytest.raises(ValueError, match="must not have a boiling-water process"):
        load(beans)


def test_a_tomato_without_its_acid_does_not_load(load):
    sauce = {**raw_product("tomato_sauce"), "acid": None}
    with pytest.raises(ValueError, match="the acid it needs is missing"):
        load(sauce)


def test_a_block_without_a_source_does_not_load(load):
    beans = raw_product("snap_beans")
    beans["processes"][0]["source"] = []
    with pytest.raises(ValueError, match="source"):
        load(beans)


def test_a_jar_that_is_printed_and_refused_does_not_load(load):
    corn = {**raw_product("corn_cream_style"), "no_jar": {"pint": "No pints."}}
    with pytest.raises(ValueError, match="can't all be its jars"):
        load(corn)


def test_a_process_without_the_page_of_the_guide_does_not_load(load):
    beans = raw_product("snap_beans")
    beans["processes"][0]["source"] = ["mu_ss"]
    with pytest.raises(ValueError, match="page of the guide"):
        load(beans)


def test_a_short_process_without_sterile_jars_does_not_load(load):
    jam = raw_product("jam_no_pectin")
    del jam["sterile_jars"]
    with pytest.raises(ValueError, match="sterile jars"):
        load(jam)


def test_a_food_without_a_process_does_not_load(load):
    with pytest.raises(ValueError, match="refused by name"):
        load({**raw_product("snap_beans"), "processes": []})


def _set(table, path, value):
    """Change one place inside a JSON value; `...` takes it away."""
    *way, last = path
    for step in way:
        table = table[step]
    if value is ...:
        del table[last]
    else:
        table[last] = value


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (["processes", 0, "bands", 0, "psi"], 0),
        (["processes", 0, "bands", 0, "psi"], 15.5),
        (["processes", 0, "bands", 0, "psi"], -11),
        (["processes", 0, "bands", 0, "psi"], "eleven"),
        (["processes", 0, "bands", 0, "psi"], float("nan")),
        (["processes", 0, "bands", 0, "from_ft"], -1),
        (["processes", 0, "bands", 0, "to_ft"], 20_001),
        (["processes", 0, "bands", 0, "to_ft"], 1_000.5),
        (["processes", 0, "bands", 1, "to_ft"], 100),
        (["processes", 0, "minutes", "quart"], 0),
        (["processes", 0, "minutes", "quart"], -25),
        (["processes", 0, "minutes", "quart"], None),
        (["processes", 0, "minutes", "quart"], float("inf")),
        (["processes", 0, "minutes"], ...),
        (["processes", 0, "gauge"], "guess"),
        (["processes", 0, "method"], "boiling_water"),
        (["processes", 0, "packs"], ["cold"]),
        (["processes", 0, "table"], ...),
        (["processes", 0, "evidence"], "seen_full"),
        (["processes", 0, "minuets"], 25),
        (["processes"], {}),
        (["headspace", "inches"], 4),
        (["headspace", "inches"], ...),
        (["headspace", "inches"], None),
        (["headspace", "solids"], 4),
        (["no_jar"], {"quart": "None."}),
        (["yields", "lb_per_quart"], [1.5]),
        (["acidity"], "some"),
        (["id"], 7),
        (["note"], "extra"),
    ],
    ids=str,
)
def test_a_table_with_a_figure_that_can_not_be_does_not_load(load, path, value):
    beans = raw_product("snap_beans")
    load(beans)
    _set(beans, path, value)
    with pytest.raises(ValueError):
        load(beans)


def test_products_can_not_be_changed():
    with pytest.raises(FrozenInstanceError):
        product("carrots").title = "Peaches"
    assert product("carrots").title != "Peaches"


def test_every_rule_loads_with_its_words_and_source():
    for name in rule_names():
        assert rule(name).text
        assert rule(name).source


def test_spoken_texts_never_promise_more_than_the_source():
    spoken = [c.text for item in EVERY for c in item.cautions]
    spoken += [entry["reason"] for entry in raw("refused")]
    spoken += [rule(name).text for name in rule_names()]
    assert not [text for text in spoken if "safe" in text.lower()]


def raw_product(food):
    """Return one product as it stands in its file."""
    return json.loads((FILES / "products" / f"{food}.json").read_bytes())
