"""Every cell of the tables against a second copy of the printed figures."""

from pathlib import Path

import pytest
import yaml

from kitchenvoice.reference import lookup
from kitchenvoice.reference.library import product, product_ids
from kitchenvoice.reference.models import JARS
from kitchenvoice.reference.processes import PressureProcess

LINES = yaml.safe_load((Path(__file__).with_name("data") / "cells.yaml").read_text(encoding="utf-8"))
BLOCKS = [[part.strip() for part in line.split("|")] for line in LINES]
DIAL, WEIGHTED = (0, 2_000, 2_001, 4_000, 4_001, 6_000, 6_001, 8_000), (0, 1_000, 1_001, 8_000)
FOUR, THREE = (0, 1_000, 1_001, 3_000, 3_001, 6_000, 6_001, 8_000), (0, 1_000, 1_001, 6_000, 6_001, 8_000)


def cells():
    """Yield food, method, gauge, pack, jar, altitude, minutes and psi of every printed cell at both edges."""
    for food, method, gauge, packs, minutes, psi in BLOCKS:
        for pack in packs.split():
            for jar, printed in (pair.split("=") for pair in minutes.split()):
                steps = psi.split() if method == "pressure" else printed.split("/")
                edges = {"dial": DIAL, "weighted": WEIGHTED}.get(gauge, FOUR if len(steps) == 4 else THREE)
                for index, feet in enumerate(edges):
                    step = steps[index // 2]
                    if step != "-":
                        yield food, method, gauge, pack, jar, feet, printed, step


def test_every_printed_cell_is_given_as_printed():
    counted = 0
    for food, method, gauge, pack, jar, feet, printed, step in cells():
        answer = lookup(food, pack=pack, jar=jar, method=method, gauge=gauge, altitude_ft=feet)
        assert answer.status == "ok", (food, method, gauge, pack, jar, feet, answer.reason)
        if method == "pressure":
            pairs = [(o.minutes, o.psi) for o in answer.options] or [(answer.minutes, answer.psi)]
            assert (float(printed), float(step)) in pairs, (food, gauge, pack, jar, feet)
        else:
            assert answer.minutes == float(step), (food, pack, jar, feet)
        counted += 1
    assert counted > 2_300


def test_the_package_prints_no_cell_that_the_second_copy_lacks(every):
    def check(food):
        blocks = [block for block in BLOCKS if block[0] == food]
        assert len(blocks) == len(product(food).processes)
        for printed, ours in zip(blocks, product(food).processes, strict=True):
            columns = {pair.split("=")[0] for pair in printed[4].split()}
            minutes = ours.minutes if isinstance(ours, PressureProcess) else ours.bands[0].minutes
            assert set(minutes) == columns
            assert list(ours.packs) == printed[3].split()

    every(check, product_ids())


def test_a_larger_jar_never_takes_less_time(every):
    def check(food):
        for block in product(food).processes:
            for minutes in [block.minutes] if isinstance(block, PressureProcess) else [b.minutes for b in block.bands]:
                printed = [minutes[jar] for jar in JARS if jar in minutes]
                assert printed == sorted(printed)

    every(check, product_ids())


BESIDE = yaml.safe_load((Path(__file__).with_name("data") / "beside.yaml").read_text(encoding="utf-8"))


def load_pounds(table):
    """Return the pounds printed for 7 quarts and for 9 pints."""
    both = (table.lb_per_7_quarts, table.lb_per_9_pints)
    return [list(pounds) if isinstance(pounds, tuple) else pounds for pounds in both]


def box(container):
    """Return a container as name, weight, and its printed range of jars."""
    return [container.name, container.weight_lb, *(container.quarts or container.pints)]


def test_headspace_salt_and_yields_are_as_printed(every):
    def check(food):
        item, printed = product(food), BESIDE[food]
        assert (item.headspace.inches, item.headspace.solids) == (printed["headspace"], printed.get("pieces"))
        assert item.salt.tsp == printed["salt"]
        if item.yields.styles:
            for style, figures in printed["pounds"].items():
                table = item.yields.styles[style]
                assert [*load_pounds(table), *box(table.container)[1:]] == figures
        else:
            assert load_pounds(item.yields) == printed["pounds"]
            assert (box(item.yields.container) if item.yields.container else None) == printed.get("container")
        assert [[r.jar, *r.jars] if r.jars else None for r in item.recipes] == printed.get("jars", [])

    every(check, product_ids())


@pytest.mark.parametrize("food", product_ids())
def test_the_acid_is_as_printed(food):
    acid, printed = product(food).acid, BESIDE[food].get("acid")
    if printed in (None, "in the recipe"):
        assert (acid is None, bool(acid and acid.recipe)) == (printed is None, printed is not None)
    elif printed != "per jar":
        assert printed == "2 Tbsp bottled lemon juice OR 1/2 tsp citric acid"
        quart = acid.per_jar["quart"]
        assert (quart.lemon_juice_tbsp, quart.citric_acid_tsp, quart.vinegar_tbsp) == (2, 0.5, 4)


@pytest.mark.parametrize(
    ("food", "jar", "lemon", "citric"),
    [
        ("figs", "pint", 1, 0.25),
        ("figs", "quart", 2, 0.5),
        ("asian_pears", "pint", 1, None),
        ("asian_pears", "quart", 2, None),
        ("crab", "half_pint", 2, 0.5),
        ("crab", "pint", 4, 1),
    ],
)
def test_a_food_with_acid_of_its_own_gets_what_the_guide_prints(food, jar, lemon, citric):
    acid = product(food).acid.per_jar[jar]
    assert (acid.lemon_juice_tbsp, acid.citric_acid_tsp, acid.vinegar_tbsp) == (lemon, citric, None)
