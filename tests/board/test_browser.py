"""The board in a real Chromium."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, Response, expect

from kitchenvoice.board import Snapshot
from kitchenvoice.board.access import AccessControl
from kitchenvoice.board.clocks import face
from kitchenvoice.clock import SystemClock
from kitchenvoice.process import Timer

from . import kitchen
from .conftest import look
from .kitchen import ServedDay

pytestmark = pytest.mark.browser

Serve = Callable[..., ServedDay]
Take = Callable[..., Page]

SCENES = {
    "packing": kitchen.PACKING, "hold": kitchen.HOLDING, "lost": kitchen.LOST, "calls": kitchen.TWO_CALLS,
    "full": kitchen.FULL, "rest": kitchen.RESTING,
}  # fmt: skip
STALE_WITHIN_MS = 3000
SIZES = {"phone": (390, 844), "tablet": (1280, 800)}

TOO_WIDE = "document.documentElement.scrollWidth > innerWidth"
COLOURS = """() => {
  const found = [];
  const ground = (element) => {
    for (let e = element; e; e = e.parentElement) {
      const colour = getComputedStyle(e).backgroundColor;
      if (!/rgba\\(.*, 0\\)|transparent/.test(colour)) return colour;
    }
    return "none";
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    const text = walker.currentNode.data.trim();
    if (!text || element.closest("noscript, script") || !element.offsetParent) continue;
    found.push([text, getComputedStyle(element).color, ground(element)]);
  }
  return found;
}"""
EDGES = """() => {
  const found = [];
  const edge = (selector, property) => {
    for (const e of document.querySelectorAll(selector)) {
      const around = e.parentElement.closest(".load, body");
      found.push([selector, getComputedStyle(e)[property], getComputedStyle(around).backgroundColor]);
    }
  };
  edge("progress", "borderTopColor");
  edge("#looks [aria-pressed=true]", "borderTopColor");
  edge(".lid", "borderTopColor");
  edge(".lids i", "borderTopColor");
  edge(".note", "borderTopColor");
  return found;
}"""


def size_of(element: Locator) -> tuple[float, float]:
    """Return width and height in pixels, rounded to hundredths: the browser subtracts 32-bit floats."""
    box = element.bounding_box()
    assert box is not None
    return round(box["width"], 2), round(box["height"], 2)


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours (WCAG 2.2, relative luminance)."""

    def luminance(colour: str) -> float:
        parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


# ---------------------------------------------------------------- sizes


@pytest.mark.parametrize("size", ["phone", "tablet"])
def test_text_may_be_twice_as_large(serve: Serve, tablet: Take, size: str):
    """WCAG 2.2, 1.4.4."""
    width, height = SIZES[size]
    page = look(tablet(viewport={"width": width, "height": height}), serve(*kitchen.TWO_CALLS))
    before = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.step')).fontSize)")
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    after = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.step')).fontSize)")
    assert after > 1.5 * before
    assert not page.evaluate(TOO_WIDE)


def test_what_is_touched_is_large_enough(serve: Serve, tablet: Take):
    """WCAG 2.2, 2.5.5 (44 pixels); the button on a call is larger still, for wet hands."""
    page = look(tablet(viewport={"width": 390, "height": 844}), serve(*kitchen.TWO_CALLS))
    for button in page.locator("button").all():
        assert min(size_of(button)) >= 44
    _, height = size_of(page.get_by_role("button", name="Stop calling").first)
    assert height >= 72


# ---------------------------------------------------------------- colours


def test_the_contrast_formula_gives_the_published_values():
    """WCAG 2.2: 21 for black on white. #767676 on white is 4.54, the usual example (from memory)."""
    assert contrast("rgb(0, 0, 0)", "rgb(255, 255, 255)") == pytest.approx(21.0)
    assert contrast("rgb(118, 118, 118)", "rgb(255, 255, 255)") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("scene", ["packing", "lost", "calls"])
def test_text_stands_out_seven_to_one_and_edges_three_to_one(serve: Serve, tablet: Take, scene: str):
    """WCAG 2.2, 1.4.6 (enhanced) and 1.4.11, by day and by night, live and out of date."""
    day = serve(*SCENES[scene])
    page = look(tablet(reduced_motion="reduce"), day)
    for passed in ("live", "stale"):
        if passed == "stale":
            day.hang()
            expect(page.locator("body")).to_have_class("stale")
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
            texts, edges = page.evaluate(COLOURS), page.evaluate(EDGES)
            assert len(texts) > 20
            assert {selector for selector, _, _ in edges} >= {".lid"}
            for text, ink, ground in texts:
                assert contrast(ink, ground) >= 7.0, (text, ink, ground, scheme)
            for selector, line, ground in edges:
                assert contrast(line, ground) >= 3.0, (selector, line, ground, scheme)


def test_it_is_light_or_dark_by_the_room_or_by_hand_and_remembers(serve: Serve, tablet: Take):
    day = serve(*kitchen.HOLDING)
    page = look(tablet(color_scheme="dark"), day)
    ground = "getComputedStyle(document.body).backgroundColor"
    dark = page.evaluate(ground)
    page.emulate_media(color_scheme="light")
    light = page.evaluate(ground)
    assert contrast(dark, light) > 10
    page.get_by_role("button", name="dark").click()
    assert page.evaluate(ground) == dark
    look(page, day)
    assert page.evaluate(ground) == dark
    assert page.get_by_role("button", name="dark").get_attribute("aria-pressed") == "true"
    page.get_by_role("button", name="as this device").click()
    assert page.evaluate(ground) == light


def test_nothing_is_told_by_colour_alone(serve: Serve, tablet: Take):
    page = look(tablet(), serve(*kitchen.LOST))
    assert "!" in page.locator(".stage.amiss").inner_text()
    assert "below target" in page.locator(".alert dd").inner_text()
    assert page.locator("#live").inner_text() == "Live"


def test_with_less_motion_nothing_moves(serve: Serve, tablet: Take):
    page = look(tablet(reduced_motion="reduce"), serve(*kitchen.TWO_CALLS))
    moving = "document.getAnimations().length + [...document.querySelectorAll('*')].filter((e) => {"
    moving += (
        "const s = getComputedStyle(e); return s.animationName !== 'none' || s.transitionDuration !== '0s' }).length"
    )
    assert page.evaluate(moving) == 0
    page.emulate_media(reduced_motion="no-preference")
    assert page.evaluate(moving) > 0


# ---------------------------------------------------------------- hands and ears


def test_it_can_be_used_from_the_keyboard_alone(serve: Serve, tablet: Take):
    day = serve(*kitchen.TWO_CALLS)
    page = look(tablet(), day)
    reached = []
    for _ in range(4):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.innerText"))
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert float(outline.removesuffix("px")) >= 3, reached
    assert reached == ["as this device", "light", "dark", "Stop calling"]
    page.keyboard.press("Enter")
    expect(page.locator(".call")).to_have_count(2)
    assert day.answered == ["vent_done:2"]
    assert page.evaluate("document.activeElement.innerText") == "Stop calling"  # the next call's
    page.keyboard.press("Space")
    expect(page.locator(".call")).to_have_count(1)


def test_a_call_that_is_answered_on_one_board_is_gone_from_the_other(serve: Serve, tablet: Take):
    day = serve(*kitchen.TWO_CALLS)
    one, other = look(tablet(), day), look(tablet(viewport={"width": 390, "height": 844}), day)
    one.locator(".call", has_text="The hold is done").get_by_role("button").click()
    for page in (one, other):
        expect(page.locator(".call")).to_have_count(2)
        expect(page.get_by_text("The hold is done")).to_have_count(0)
    assert day.answered == ["hold_done:1"]
    expect(one.locator(".said")).to_contain_text("Green beans. Heat off.")


def test_a_step_is_told_to_a_screen_reader_politely_and_a_call_at_once(serve: Serve, tablet: Take):
    day = serve(*kitchen.VENTING)
    page = look(tablet(), day)
    expect(page.locator("#step-told")).to_have_text(re.compile("Green beans. Let it vent."))
    expect(page.locator("#call-told")).to_be_empty()
    day.play("@ 00:25:01")
    expect(page.locator("#step-told")).to_have_text(re.compile("Use a mitt. The vent is hot. Put the weight on"))
    expect(page.locator("#call-told")).to_have_text("Green beans Venting is done. Put the weight on.")
    assert page.locator("[aria-live=polite]").get_attribute("id") == "step-told"
    assert page.locator("[aria-live=assertive]").get_attribute("id") == "call-told"


def test_what_changes_is_shown_without_being_asked_for(serve: Serve, tablet: Take):
    day = serve(*kitchen.PACKING)
    page = look(tablet(), day)
    expect(page.locator("dl")).to_contain_text("3 of 7 packed")
    day.play("three more")
    expect(page.locator("dl")).to_contain_text("6 of 7 packed")
    assert page.locator(".lids .full").count() == 6


# ---------------------------------------------------------------- clocks


def test_the_page_writes_times_as_the_server_does(serve: Serve, tablet: Take):
    left = [0.4, 1.0, 59.9, 60.0, 600.0, 3599.5, 5999.9, 6000.0, 10_800.0, 10_800.9, 10_860.0, 43_140.0, 86_400.0]

    def many(seen: Snapshot) -> Snapshot:
        timers = tuple(Timer(name=f"timer {n}", started_t=seen.t, seconds=s) for n, s in enumerate(left))
        return replace(seen, kitchen=replace(seen.kitchen, timers=timers))

    page = tablet()
    page.add_init_script("performance.now = () => 1_000_000")  # it counts nothing on by itself
    look(page, serve(*kitchen.IDLE, change=many, frozen=True))
    expect(page.locator(".time[data-text]")).to_have_count(len(left))
    for n, seconds in enumerate(left):
        clock = page.locator(f"[data-clock=timer-{n}]")
        figures = clock.locator(".time b").all_inner_texts()
        units = [*clock.locator(".time small").all_inner_texts(), *clock.locator(".unit").all_inner_texts()]
        assert list(zip(figures, [unit for unit in units if unit], strict=True)) == list(face(seconds))


def test_a_clock_counts_on_and_never_backwards(serve: Serve, tablet: Take):
    page = look(tablet(), serve(*kitchen.HOLDING))
    seen = page.evaluate(
        """() => new Promise((done) => {
          const seen = [];
          const timer = setInterval(() => {
            seen.push([document.querySelector(".time").innerText, performance.now() / 1000]);
            if (seen.length === 50) { clearInterval(timer); done(seen); }
          }, 50);
        })"""
    )
    seconds = [int(text.split(":")[0]) * 60 + int(text.split(":")[1]) for text, _ in seen]
    assert all(later <= before for before, later in itertools.pairwise(seconds))
    assert seconds[0] - seconds[-1] == pytest.approx(seen[-1][1] - seen[0][1], abs=1.2)
    assert seconds[0] > seconds[-1]


# ---------------------------------------------------------------- out of date


def stale_within_three_seconds(page: Page, words: str) -> None:
    """Wait for the notice; then no time may be shown and nothing be pressed. The page itself tells how soon it came."""
    expect(page.locator("#notice")).to_contain_text(words)
    assert 0 < page.evaluate("window.toldAt - window.lastLive") <= STALE_WITHIN_MS
    assert page.locator("#live").is_hidden()
    assert not re.search(r"\d:\d\d", page.locator("body").inner_text())
    for button in page.locator(".call button").all():
        assert button.is_disabled()


def test_a_session_that_hangs_is_told_within_three_seconds_and_is_back_by_itself(serve: Serve, tablet: Take):
    day = serve(*kitchen.TWO_CALLS, "set a timer for twenty minutes")
    page = look(tablet(), day)
    expect(page.locator(".time")).to_have_text(re.compile(r"\d:\d\d"))
    day.hang()
    stale_within_three_seconds(page, "kitchenvoice hasn’t answered for")
    day.go_on()
    expect(page.locator("#notice")).to_be_empty()
    expect(page.locator(".time")).to_have_text(re.compile(r"\d:\d\d"))
    expect(page.locator(".call button").first).to_be_enabled()


def test_the_end_of_a_session_is_told(serve: Serve, tablet: Take):
    day = serve(*kitchen.HOLDING)
    page = look(tablet(), day)
    day.close()
    stale_within_three_seconds(page, "The session has ended.")


def test_a_tablet_that_wakes_up_shows_no_time_until_it_has_a_fresh_one(serve: Serve, tablet: Take):
    """The clock of the page is moved by hand: half an hour passes in it without a message."""
    page = tablet()
    page.clock.install()
    look(page, serve(*kitchen.HOLDING))
    page.evaluate(
        """() => new MutationObserver(() => {
          if (document.body.classList.contains("stale")) window.shown = document.querySelector(".time").innerText;
        }).observe(document.body, {attributes: true})"""
    )
    page.clock.fast_forward("30:00")
    assert page.evaluate("window.shown") == "–:––"
    expect(page.locator(".time")).to_have_text(re.compile(r"\d:\d\d"))


# ---------------------------------------------------------------- without scripts


def test_without_scripts_the_step_and_the_clock_are_there_and_made_anew(serve: Serve, tablet: Take):
    day = serve(*kitchen.VENTING)
    page = tablet(java_script_enabled=False)
    page.goto(day.url)
    expect(page.locator(".step")).to_contain_text("Let it vent.")
    expect(page.locator(".time")).to_have_text(re.compile(r"^(10:00|9:5\d)$"))
    day.play("@ 00:25:01")
    expect(page.locator(".step")).to_contain_text("Put the weight on")
    page.get_by_role("button", name="Stop calling").click()
    expect(page.locator(".call")).to_have_count(0)
    assert day.answered == ["vent_done:1"]


# ---------------------------------------------------------------- who may see it, and what it loads


def test_the_wrong_code_is_refused_and_the_right_one_opens_the_board(serve: Serve, tablet: Take):
    codes: list[str] = []
    day = serve(*kitchen.HOLDING, make_access=lambda: AccessControl(SystemClock().now, codes.append))
    page = tablet()
    page.goto(day.url)
    assert "Green beans" not in page.content()
    page.get_by_label("Code").fill("00000000" if codes[0] != "0000 0000" else "11111111")
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("That isn’t the code.")
    assert "Green beans" not in page.content()
    page.get_by_label("Code").fill(codes[0])
    page.keyboard.press("Enter")
    expect(page.locator("#live")).to_be_visible()
    (cookie,) = page.context.cookies()
    assert (cookie["httpOnly"], cookie["sameSite"]) == (True, "Strict")
    second = tablet()
    second.goto(day.url)
    second.get_by_label("Code").fill(codes[0])
    second.keyboard.press("Enter")
    expect(second.get_by_role("alert")).to_be_visible()  # it was for the first board only
    second.get_by_label("Code").fill(codes[1])
    second.keyboard.press("Enter")
    expect(second.locator("#live")).to_be_visible()


def test_nothing_is_fetched_from_elsewhere_and_nothing_may_be(serve: Serve, tablet: Take):
    day = serve(*kitchen.TWO_CALLS)
    page = tablet()
    asked: list[str] = []
    answers: list[Response] = []
    complaints: list[Any] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("response", lambda answer: answers.append(answer))
    page.on("pageerror", lambda error: complaints.append(error))
    page.on("console", lambda message: complaints.append(message.text))
    look(page, day)
    page.get_by_role("button", name="Stop calling").first.click()
    expect(page.locator(".call")).to_have_count(2)
    assert all(url.startswith(day.url) for url in asked)
    assert {url.removeprefix(day.url) for url in asked} >= {"", "board.css", "dark.css", "board.js", "feed", "answered"}
    assert all("default-src 'none'" in answer.headers["content-security-policy"] for answer in answers)
    assert complaints == []


def test_a_script_that_gets_onto_the_page_does_not_run(serve: Serve, tablet: Take):
    page = look(tablet(), serve(*kitchen.HOLDING))
    page.evaluate(
        """() => {
          const script = document.createElement("script");
          script.textContent = "document.title = 'ran'";
          document.body.append(script);
        }"""
    )
    assert page.title() == "kitchenvoice board"
