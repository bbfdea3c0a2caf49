"""The page's HTML, without a browser."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

import kitchenvoice.board
from kitchenvoice.board import TalkLine, View, view_of
from kitchenvoice.board.feed import Feed
from kitchenvoice.board.page import code_page, left_of, page, regions
from kitchenvoice.board.sizes import FAR_MM, LEAST_ARC_MIN, PREFERRED_ARC_MIN, font_px, height_mm

from . import kitchen
from .kitchen import Day

STATIC = Path(kitchenvoice.board.__file__).parent / "static"
EVIL = "<img src=x onerror=alert(1)> & \"quotes\" 'too' </p><script>alert(1)</script>"


def shown(*lines: str) -> View:
    """Return the view of a day."""
    return view_of(Day(*lines).seen, age_s=0.0, live=True)


class Reading(HTMLParser):
    """Elements of a page."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def test_the_page_says_everything_without_scripts_and_is_made_anew():
    html = page(shown(*kitchen.HOLDING))
    read = Reading(html)
    for words in ("Green beans", "22:59", "of hold to go", "Keep it at 11", "11 psi", "12 psi", "7 in", "Holding"):
        assert words in read.text
    assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in html


def test_words_that_were_heard_cannot_become_markup():
    view = shown(*kitchen.TWO_CALLS)
    line = TalkLine(text=EVIL, t=0.0)
    calls = tuple(replace(call, key=EVIL, name=EVIL) for call in view.calls)
    loads = tuple(replace(load, name=EVIL, step=EVIL, detail=EVIL, stage=EVIL) for load in view.loads)
    evil = replace(
        view, heard=line, said=line, calls=calls, loads=loads, question=EVIL, phrases=(EVIL,), notice=EVIL, trouble=EVIL
    )
    tags = [tag for tag, _ in Reading(page(evil)).tags]
    assert "img" not in tags
    assert tags.count("script") == 1
    keys = [attrs["value"] for tag, attrs in Reading(page(evil)).tags if attrs.get("name") == "key"]
    assert keys == [EVIL] * 3


def test_nothing_on_the_page_comes_from_elsewhere_or_stands_in_line():
    for html in (page(shown(*kitchen.FULL)), code_page(wrong=True)):
        for tag, attrs in Reading(html).tags:
            assert "style" not in attrs
            assert not [name for name in attrs if name.startswith("on")]
            for name in ("src", "href", "action"):
                assert (attrs.get(name) or "/").startswith("/"), tag
                assert not (attrs.get(name) or "/").startswith("//"), tag
    for file in STATIC.iterdir():
        text = file.read_text()
        names_of_kinds = {"http://www.w3.org/2000/svg"}
        assert set(re.findall(r"https?://[^\s\"')]+", text)) <= names_of_kinds, file.name
        assert "@import" not in text
        assert "url(" not in text


def test_the_page_has_landmarks_headings_in_order_and_live_regions():
    read = Reading(page(shown(*kitchen.TWO_CALLS)))
    tags = [tag for tag, _ in read.tags]
    for landmark in ("header", "main", "aside"):
        assert tags.count(landmark) == 1
    assert tags.count("h1") == 1
    assert tags.index("h1") < tags.index("h2")
    live = {attrs["id"]: attrs["aria-live"] for _, attrs in read.tags if "aria-live" in attrs}
    assert live == {"step-told": "polite", "call-told": "assertive"}
    assert [attrs["id"] for _, attrs in read.tags if attrs.get("role") == "alert"] == ["notice"]


def test_a_stale_page_shows_no_time_and_its_button_cannot_be_pressed():
    view = view_of(Day(*kitchen.TWO_CALLS, "answer the phone").seen, age_s=5.0, live=False)
    html = page(view)
    assert not re.search(r"\d:\d\d", Reading(html).text)
    assert html.count("<button disabled>") == len(view.calls)


# ---------------------------------------------------------------- the stream


def fields(message: bytes) -> dict[str, object]:
    """Read a server-sent event."""
    assert message.startswith(b"data: ")
    assert message.endswith(b"\n\n")
    assert message.count(b"\n") == 2
    return json.loads(message.removeprefix(b"data: "))


def test_at_first_everything_is_sent_then_only_what_changed_and_always_the_clocks():
    feed, day = Feed(), Day(*kitchen.HOLDING)
    first = fields(feed.message(view_of(day.seen, age_s=0.0, live=True), 10.0))
    assert set(first["parts"]) == {"notice", "calls", "asked", "loads", "say", "talk"}
    assert first["left"] == {"hold-1": [1379.0, 1500.0]}
    later = view_of(day.seen, age_s=1.0, live=True)
    assert not feed.is_news(later)
    second = fields(feed.message(later, 11.0))
    assert (second["parts"], second["left"], second["sent"]) == ({}, {"hold-1": [1378.0, 1500.0]}, 11.0)
    assert "step" not in second
    day.play("@ 00:34:00", "the pressure dropped to nine")
    lost = view_of(day.seen, age_s=0.0, live=True)
    assert feed.is_news(lost)
    third = fields(feed.message(lost, 12.0))
    assert third["left"] == {}
    assert third["call"] == "Green beans The hold has stopped. It starts over in full with your report."
    assert third["step"].startswith("Green beans. Turn the heat up gently.")


def test_a_stream_of_a_stale_board_carries_no_time():
    message = fields(Feed().message(view_of(Day(*kitchen.HOLDING).seen, age_s=9.0, live=False), 1.0))
    assert (message["live"], message["left"]) == (False, {})


def test_parts_are_the_same_while_only_time_runs_and_the_page_has_the_times():
    view = shown(*kitchen.HOLDING)
    assert "22:59" not in regions(view, times=False)["loads"]
    assert "22:59" in regions(view, times=True)["loads"]
    assert left_of(view) == {"hold-1": (1379.0, 1500.0)}


# ---------------------------------------------------------------- sizes


@pytest.mark.parametrize("arc_min", [LEAST_ARC_MIN, PREFERRED_ARC_MIN])
def test_the_height_agrees_with_the_published_formula(arc_min):
    """U.S. NRC, NUREG-0700 rev. 2, 1.3.1-4: height = 6.283 D MA / 21600."""
    assert height_mm(FAR_MM, arc_min) == pytest.approx(6.283 * FAR_MM * arc_min / 21_600, rel=1e-4)


def test_three_metres_want_figures_of_nineteen_millimetres():
    assert height_mm(FAR_MM, PREFERRED_ARC_MIN) == pytest.approx(19.2, abs=0.05)
    assert font_px(FAR_MM, PREFERRED_ARC_MIN) == pytest.approx(161.3, abs=0.1)


def test_every_colour_of_the_light_page_has_its_dark_one():
    light, dark = (re.findall(r"--[\w-]+(?=: #)", (STATIC / name).read_text()) for name in ("board.css", "dark.css"))
    assert light == dark
    assert len(dark) == 14
