"""The sheet of a food on paper: its figures, its recipe, and no amount that is only a matter of taste."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.card.sheet import rule_sections, sheet_sections
from kitchenvoice.cli.sheet import sheet_command
from kitchenvoice.paper import Table
from kitchenvoice.paper.pdf import pdf_sheets
from kitchenvoice.paper.text import text_page
from kitchenvoice.reference import foods, sheet

EVERY = [food.id for food in foods()]


@pytest.fixture(autouse=True)
def kitchen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path / "home"))
    return tmp_path


def words(food: str) -> str:
    return "\n".join(text_page(food, sheet_sections(sheet(food))))


@pytest.mark.parametrize("food", EVERY)
def test_the_sheet_of_every_food_has_each_figure_of_its_tables_and_no_id(food: str) -> None:
    made = sheet(food)
    page = words(food)
    tables = [block for part in sheet_sections(made) for block in part.blocks if isinstance(block, Table)]
    rows = {row for table in tables for row in table.rows}
    for line in made.processes:
        figures = tuple("not recommended" if figure is None else f"{figure:g}" for _, _, figure in line.bands)
        assert any(row[0] == line.jar and row[-len(figures) :] == figures for row in rows), line
    assert "Guide " in page
    for sign in ("_", "aib539", "None", "{"):
        assert sign not in page.partition("\n")[2]


@pytest.mark.parametrize("food", EVERY)
def test_what_makes_a_process_valid_has_its_amount_and_its_limit(food: str) -> None:
    made = sheet(food)
    rows = [
        row
        for part in sheet_sections(made)
        if part.title.startswith("Recipe")
        for block in part.blocks
        if isinstance(block, Table)
        for row in block.rows
    ]
    items = [item for recipe in made.recipes for item in recipe.ingredients]
    assert [row[1] for row in rows] == [item.what for item in items]
    for (amount, _, may), item in zip(rows, items, strict=True):
        assert (amount == "") == (item.keep == "free")
        assert (
            may
            == {
                "main": "what the rest goes by",
                "never_less": "never less",
                "never_more": "never more",
                "as_printed": "neither more nor less",
                "free": "to taste",
            }[item.keep]
        )


def test_a_sheet_reads_like_a_card() -> None:
    page = words("sauerkraut")
    assert "25 pounds  cabbage       what the rest goes by\n3/4 cup    canning salt  never less" in page
    assert "Recipe, for 9 quarts" in page
    assert "hot   10             15" in page


def test_the_rules_stand_under_headings_in_words_each_once_in_its_part() -> None:
    for section in rule_sections():
        named = [row[0] for block in section.blocks if isinstance(block, Table) for row in block.rows]
        assert len(set(named)) == len(named)
        for heading in [section.title, *named]:
            assert not re.search(r"_|\b(bw|psi|prep|max)\b|\b\d$|ise\b", heading, re.IGNORECASE), heading


def test_the_command_shows_writes_and_refuses(kitchen: Path) -> None:
    def run(*given: str) -> tuple[int, str]:
        done = CliRunner().invoke(sheet_command, list(given))
        return done.exit_code, done.stdout

    assert run("sauerkraut") == (0, words("sauerkraut").replace("sauerkraut", "Sauerkraut", 1) + "\n")
    assert json.loads(run("sauerkraut", "--json")[1])["food"] == "sauerkraut"
    code, said = run("rules")
    for told in (
        "at least four quart jars upright",
        "simmering water of 180 degrees",
        "at least 5 years",
        "boil 30 minutes",
    ):
        assert told in " ".join(said.split())
    assert code == 0
    assert json.loads(run("rules", "--json")[1])["before_eating.boil"]["figures"]["minutes"] == 10
    assert run("rules", "--out", str(kitchen / "rules.pdf"))[0] == 0
    code, said = run("salsa")
    assert (code, said.startswith("Which salsa: ")) == (5, True)
    code, said = run("pumpkin", "butter")
    assert (code, said.startswith("No tested process")) == (4, True)
    code, said = run("carots")
    assert (code, "Did you mean" in said) == (4, True)
    for name, starts in (("one.pdf", b"%PDF-"), ("one.html", b"<!doctype html>")):
        assert run("carrots", "--out", str(kitchen / name))[0] == 0
        assert (kitchen / name).read_bytes().startswith(starts)


def test_the_paper_is_that_of_the_kitchen_or_the_one_wanted(kitchen: Path) -> None:
    def width(*more: str) -> bytes:
        CliRunner().invoke(sheet_command, ["carrots", "--out", str(kitchen / "s.pdf"), *more])
        content = (kitchen / "s.pdf").read_bytes()
        return content[content.index(b"/MediaBox") :].split()[4]

    assert width() == b"612"
    assert width("--paper", "a4").startswith(b"595.27")
    (kitchen / "home").mkdir(exist_ok=True)
    (kitchen / "home" / "profile.toml").write_text('units = "metric"\n')
    assert width().startswith(b"595.27")
    assert width("--paper", "letter") == b"612"


def test_a_food_that_may_be_packed_in_syrup_says_how_it_is_mixed() -> None:
    assert "medium 8-1/4 and 3-3/4; heavy 7-3/4 and 5-1/4" in " ".join(words("peaches").split())
    assert "Syrup " not in words("mixed fruit cocktail") + words("carrots") + words("spiced crab apples")


def test_a_sheet_that_fits_one_page_takes_one() -> None:
    assert pdf_sheets("Peaches", sheet_sections(sheet("peaches")), "letter").count(b"/Type /Page\n") == 1
