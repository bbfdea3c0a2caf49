"""scripts/compare_guide: tables are parsed completely or not at all, and every cell is compared."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from kitchenvoice.reference.library import product, raw

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "scripts"))

from guide.compare import compare  # noqa: E402
from guide.layout import Row, tables  # noqa: E402
from guide.report import report  # noqa: E402
from guide.rules import compare_rules, figures_of, printed  # noqa: E402

ODD = "\N{REPLACEMENT CHARACTER}"
"""pdftotext's output for a space of some fonts."""

BEETS = """
        Recommended process time for Beets in a
        dial-gauge pressure canner
                                               Canner Pressure (PSI) at Altitudes of
        Style       Jar         Process        0-          2,001-        4,001-       6,001-
        of Pack     Size        Time           2,000 ft    4,000 ft      6,000 ft     8,000 ft
        Hot         Pints       30 min         11 lb       12 lb         13 lb        14 lb
                    Quarts      35             11          12            13           14             4-9
""".replace("- ", "– ").replace("-\n", "–\n")
JUICE = """
        Recommended process time for Juice in a
        weighted-gauge pressure canner
                                               Canner Pressure (PSI) at Altitudes of
        Style       Jar         Process        0–                Above
        of Pack     Size        Time           1,000 ft          1,000 ft
        Hot         Pints       20 min         5 lb              10 lb
        and         or          15             10                15
        Raw         Quarts      10             15                Not recommended
"""
KRAUT = """
        Recommended process time for Kraut in a boiling-water canner

                                 Process Time at Altitudes of                            6
        Style       Jar          0–           1,001–      Above
        of Pack     Size         1,000 ft     6,000 ft    6,000 ft
        Another caption
        Hot         Half-pints   10 min       15          20
                    or Pints


                                                                 Fermented Foods and Pickled Vegetables
        Raw         Pints        20           25          30
                    Quarts       25           30          35
"""
STACKED = """
        Recommended process time for Sauce in a boiling-water canner
                                 Process Time at Altitudes of
        Style
        of Pack
                    Jar
                    Size
                                 0–
                                 1,000 ft
                                              1,001–
                                              6,000 ft
                                                          Above
                                                          6,000 ft
        See         12-ounce     10 min       15          20
        above       or Pints
"""
SOUPS = """
        Recommended process time for Soups in a weighted-gauge pressure canner
                                               Canner Pressure (PSI) at Altitudes of
        Style       Jar         Process        0–                Above
        of Pack     Size        Time           1,000 ft          1,000 ft
        Hot         Pints       60* min        10 lb             15 lb
                    Quarts      75*            10                15

        *Caution: Process 100 minutes if soup contains seafoods.
"""
LISTED = """
Process times for some acid foods in a weighted-gauge pressure canner

                                                 Canner Pressure (PSI) at Altitudes of
Type           Style     Jar         Process      0–                 Above
of Fruit       of Pack   Size        Time (Min)   1,000 ft           1,000 ft
Berries,       Hot       Pints       8            5 lb               10 lb
whole                    or Quarts
               Raw       Pints       8            5                  10
               Raw       Quarts      10           5                  10
Pears          Hot       Pints       10           5                  10
                         or Quarts
2-32
"""


def only(text: str, guide: int = 4):
    """Return the one table of a text."""
    (table,) = tables(guide, "\f" * 8 + text.replace(" process ", f"{ODD}process{ODD}"))
    return table


def test_a_table_is_read_with_its_page_bands_and_rows():
    table = only(BEETS)
    assert (table.page, table.title, table.kind) == ("4-9", "Beets", "dial")
    assert table.bands == ((0, 2_000), (2_001, 4_000), (4_001, 6_000), (6_001, 8_000))
    assert table.rows == (
        Row(("hot",), ("pint",), 30, (11, 12, 13, 14)),
        Row(("hot",), ("quart",), 35, (11, 12, 13, 14)),
    )


def test_alternatives_of_one_table_share_their_packs_and_jars():
    table = only(JUICE)
    assert table.bands == ((0, 1_000), (1_001, None))
    assert {(row.packs, row.jars) for row in table.rows} == {(("hot", "raw"), ("pint", "quart"))}
    assert [(row.minutes, row.cells) for row in table.rows] == [(20, (5, 10)), (15, (10, 15)), (10, (15, None))]


def test_margins_and_one_left_over_line_are_passed_over():
    table = only(KRAUT, guide=6)
    assert [(row.packs, row.jars, row.cells) for row in table.rows] == [
        (("hot",), ("half_pint", "pint"), (10, 15, 20)),
        (("raw",), ("pint",), (20, 25, 30)),
        (("raw",), ("quart",), (25, 30, 35)),
    ]


def test_a_head_whose_words_stand_under_each_other_is_read():
    table = only(STACKED)
    assert table.bands == ((0, 1_000), (1_001, 6_000), (6_001, None))
    assert table.rows == (Row(("see_procedure",), ("twelve_ounce", "pint"), None, (10, 15, 20)),)


def test_a_footnote_with_minutes_of_its_own_makes_another_table():
    plain, noted = tables(4, SOUPS)
    assert [row.minutes for row in plain.rows] == [60, 75]
    assert (noted.title, [row.minutes for row in noted.rows]) == ("Soups, seafoods", [100, 100])


def test_foods_listed_under_one_head_are_tables_of_their_own():
    berries, pears = tables(2, LISTED)
    assert (berries.title, pears.title) == ("Berries, whole", "Pears")
    assert [(row.packs, row.jars, row.minutes) for row in berries.rows] == [
        (("hot",), ("pint", "quart"), 8),
        (("raw",), ("pint",), 8),
        (("raw",), ("quart",), 10),
    ]
    assert [(row.jars, row.minutes) for row in pears.rows] == [(("pint", "quart"), 10)]


@pytest.mark.parametrize(
    "spoilt",
    [
        KRAUT.replace("        Another caption\n", "        Another caption\n        and one more\n"),
        BEETS.replace("dial-gauge pressure canner", "dial-gauge pot"),
        BEETS.replace("Canner Pressure (PSI) at", "two cups of sugar"),
        BEETS.replace("8,000 ft", ""),
        "Table for Example A\n" + BEETS,
    ],
    ids=["two lines between", "no title", "no head", "a band without its end", "an example"],
)
def test_a_table_that_is_not_whole_is_no_table(spoilt):
    assert list(tables(4, spoilt)) == []


def test_a_row_with_a_figure_too_few_is_left_out():
    assert [row.minutes for row in only(BEETS.replace("35             11", "35               ")).rows] == [30]


def test_agreeing_cells_are_counted_and_what_has_no_table_is_named():
    found = compare([product("beets")], [only(BEETS)])
    assert (found.agreeing, found.differing, found.missing) == (10, [], [])
    assert found.unread == ["beets: Beets, weighted (aib539_2015 (Guide 4:9))"]


def test_a_cell_that_differs_is_named_with_both_figures():
    found = compare([product("beets")], [only(BEETS.replace("35             11", "36             11"))])
    assert found.agreeing == 5
    assert found.differing == [
        "beets, Beets (4-9), dial, hot, quart: 35 minutes at 11/12/13/14 on board, 36 minutes at 11/12/13/14 there"
    ]


def test_a_band_that_ends_elsewhere_is_a_difference():
    found = compare([product("beets")], [only(BEETS.replace("2,000 ft", "2,500 ft"))])
    assert len(found.differing) == 2


def test_a_row_of_the_guide_that_is_not_on_board_is_named():
    raw = BEETS.replace("                    Quarts      35", "        Raw         Quarts      35")
    assert compare([product("beets")], [only(raw)]).missing == ["4-9 Beets, dial: raw, quart"]
    assert compare([], [only(BEETS)]).missing == ["4-9 Beets, dial: hot, pint", "4-9 Beets, dial: hot, quart"]


def test_a_jar_that_stands_in_a_sentence_only_is_told_apart():
    table = replace(only(BEETS), title="Fish in Pint Jars", rows=(Row(("raw",), ("pint",), 100, (11, 12, 13, 14)),))
    found = compare([product("fish_pints")], [table])
    assert (found.agreeing, len(found.told), found.differing) == (5, 2, [])


def test_two_versions_of_a_table_in_the_guide_are_a_difference():
    other = only(BEETS.replace("30 min", "31 min"))
    found = compare([product("beets")], [other, only(BEETS)])
    assert any("two versions" in line for line in found.differing)


def test_the_report_has_every_number_and_every_line():
    text = report(compare([product("beets")], [only(BEETS)]), compare_rules(SPACES, {1: ""}))
    assert f"| figures of the rules, differing | {len(printed())} |" in text
    assert "| agreeing | 10 |" in text
    assert "- beets: Beets, weighted" in text
    assert text.count("none") == 2


SPACES = {
    "jars_and_lids.headspace_general": {
        "figures": {"jams_inches": 0.25, "low_acid_inches": [1, 1.25]},
        "source": ["a_book (Guide 1:12, 1:13)"],
    },
    "equipment.gasket": {"figures": {"gasket_years": 3}, "source": ["another_book"]},
}
SENTENCE = """
                                                                                  1
       leaving 1/4-inch for jams, and
       from 1- to 1-1/4-inches in low
                                                                   Principles of Home Canning
       acid foods.
"""


def of_rules(rules=SPACES, sentence=SENTENCE, page=13):
    """Return what is found about the figures of these rules, without those that have no rule here."""
    found = compare_rules(rules, {1: "\f" * (page - 1) + sentence.replace(" in ", f"{ODD}in{ODD}")})
    absent = [line for line in found.differing if "not on board" in line]
    assert len(absent) == len(printed()) - 2
    return found.agreeing, [line for line in found.differing if line not in absent], found.elsewhere


def test_a_figure_of_a_rule_is_read_out_of_its_sentence():
    assert of_rules() == (3, [], ["equipment.gasket.gasket_years: 3 (its source is no guide)"])


@pytest.mark.parametrize(
    ("ours", "theirs", "page", "told"),
    [
        ("0.25", "1/2-inch for jams", 13, "jams_inches (1-13): 0.25 on board, 0.5 there"),
        ("0.2", "1/4-inch for jams", 13, "jams_inches (1-13): 0.2 on board, 0.25 there"),
        ("0.25", "1/4-inch for honey", 13, "jams_inches (1-13): 0.25 on board, the words aren't there"),
        ("0.25", "1/4-inch for jams", 12, "jams_inches (1-13): 0.25 on board, the words aren't there"),
        ("0.25", "1/4-inch for jams, leaving 1/8-inch for jams", 13, "0.25 on board, the words aren't there"),
    ],
    ids=["false there", "false here", "other words", "another page", "two figures"],
)
def test_a_wrong_figure_of_a_rule_is_found(ours, theirs, page, told):
    rules = {**SPACES, "jars_and_lids.headspace_general": dict(SPACES["jars_and_lids.headspace_general"])}
    rules["jars_and_lids.headspace_general"]["figures"] = {"jams_inches": float(ours), "low_acid_inches": [1, 1.25]}
    _, differing, _ = of_rules(rules, SENTENCE.replace("leaving 1/4-inch for jams", f"leaving {theirs}"), page)
    assert told in differing[0]


def test_a_rule_that_names_another_page_is_told():
    rules = {name: {**rule, "source": ["a_book (Guide 1:12)"]} for name, rule in SPACES.items()}
    assert len(of_rules(rules)[1]) == 2


def test_every_figure_of_a_rule_whose_source_is_a_page_of_the_guide_is_compared():
    places = {each.name for each in printed()}
    assert places == {name for name, _, pages in figures_of(raw("rules")) if pages}


@pytest.mark.parametrize(
    ("ending", "guides", "said"),
    [("txt", [2], "no text and no PDF of guide 1"), ("pdf", range(1, 8), "can't be read"), ("txt", range(1, 8), None)],
)
def test_a_folder_that_can_not_be_compared_is_told_in_a_sentence(tmp_path, ending, guides, said):
    for guide in guides:
        (tmp_path / f"GUIDE0{guide}.{ending}").write_bytes(b"\xff" if said is None else b"")
    script = [sys.executable, str(ROOT / "scripts" / "compare_guide"), str(tmp_path)]
    before = (ROOT / "tests" / "bench" / "guide.md").read_bytes()
    done = subprocess.run(script, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 3
    assert (said or "can't be read") in done.stderr
    assert "Traceback" not in done.stderr
    assert (ROOT / "tests" / "bench" / "guide.md").read_bytes() == before
