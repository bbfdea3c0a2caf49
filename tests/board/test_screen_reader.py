"""The board as a screen reader has it: its order, its names, and nothing to object to for axe."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from . import kitchen
from .conftest import TABLET, look
from .kitchen import ServedDay

pytestmark = pytest.mark.browser

Serve = Callable[..., ServedDay]
Take = Callable[..., Page]

PHONE = {"width": 390, "height": 844}
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SCENES = {
    "before any load": kitchen.IDLE, "packing": kitchen.PACKING, "lost": kitchen.LOST, "doubt": kitchen.DOUBTED,
    "three calls": kitchen.TWO_CALLS, "eight loads": kitchen.EIGHT_CALLS,
}  # fmt: skip


def in_order(text: str, *parts: str) -> bool:
    """Tell whether these parts are in the text, in this order."""
    return re.search(".*".join(map(re.escape, parts)), text, re.DOTALL) is not None


@pytest.mark.parametrize("scene", SCENES)
def test_axe_finds_nothing_to_object_to(serve: Serve, tablet: Take, scene: str):
    page = look(tablet(reduced_motion="reduce"), serve(*SCENES[scene]))
    for viewport, scheme in ((TABLET, "light"), (PHONE, "dark")):
        page.set_viewport_size(viewport)
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}, "resultTypes": ["violations"]})
        assert [(each["id"], each["nodes"][0]["html"]) for each in found.response["violations"]] == []


@pytest.mark.parametrize("viewport", [TABLET, PHONE])
def test_it_is_read_calls_first_then_loads_then_what_can_be_said(serve: Serve, tablet: Take, viewport: dict[str, int]):
    page = look(tablet(viewport=viewport), serve(*kitchen.TWO_CALLS))
    tree = page.locator("main").aria_snapshot() + page.locator("aside").aria_snapshot()
    assert in_order(
        tree,
        'region "Calls"', "Carrots Venting is done", "Put the weight on.", 'button "Stop calling"',
        "Green beans The hold is done", 'button "Stop calling"', "Your timer is up", 'button "Stop calling"',
        'region "Loads"', 'article "Load 1: Green beans"', "The time is up", "Turn the heat off.", "Target", "11 psi",
        'article "Load 2: Carrots"', "The vent is done", "You are here", "Use a mitt.", "Put the 10 pound weight on",
        "then one of these", "steam stopped", "Heard", "set a timer for 6 minutes", "Said",
    )  # fmt: skip


def test_a_question_is_read_before_the_loads(serve: Serve, tablet: Take):
    page = look(tablet(), serve(*kitchen.DOUBTED))
    tree = page.locator("main").aria_snapshot()
    assert in_order(
        tree, 'region "Asked just now"', "Is the heat off?", "Answer: yes, or no.", 'region "Loads"',
        'article "Load 1: Green beans"', "In doubt", "Waiting for an answer: did it hold?",
    )  # fmt: skip


@pytest.mark.parametrize("viewport", [TABLET, PHONE])
def test_a_compact_load_has_all_its_words(serve: Serve, tablet: Take, viewport: dict[str, int]):
    day = serve(*kitchen.EIGHT_LOADS)
    tree = look(tablet(viewport=viewport), day).locator("main").aria_snapshot()
    order = [1, 2, 3, 4, 5, 6, 7, 8]  # the large one first, which is the first here
    assert [int(number) for number in re.findall(r'article "Load (\d)', tree)] == order
    assert 'article "rice timer"' in tree
    for load in day.latest.look().loads:
        for words in (load.stage, load.detail, *(each.value for each in load.particulars)):
            assert words in tree, (load.number, words)
    assert in_order(tree, 'article "Load 4', "Holding at a boil", "timer", "of boil to go", 'article "Load 5')


def test_decoration_is_not_read(serve: Serve, tablet: Take):
    tree = look(tablet(), serve(*kitchen.RESTARTED)).locator("body").aria_snapshot()
    assert "img" not in tree
    assert "progressbar" not in tree
    assert 'figure "Readings 11 psi, 12 psi, dropped to 9 psi' in tree
