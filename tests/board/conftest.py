"""Shared fixtures of the board's tests: a real Chromium, and served days."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from .kitchen import ServedDay

TABLET = {"width": 1280, "height": 800}
PATIENCE_MS = 30_000
WITNESS = """
  const Stream = EventSource;
  window.EventSource = class extends Stream {
    constructor(url) {
      super(url);
      this.addEventListener("message", (event) => {
        if (JSON.parse(event.data).live) [window.lastLive, window.toldAt] = [performance.now(), null];
      });
    }
  };
  new MutationObserver(() => {
    if (document.getElementById("notice")?.textContent) window.toldAt ??= performance.now();
  }).observe(document, {childList: true, subtree: true, characterData: true});
"""
"""Records in the page when the last live message came, and when it first showed trouble."""


def look(page: Page, day: ServedDay) -> Page:
    """Open the board and wait until it is live."""
    page.goto(day.url)
    expect(page.locator("#live")).to_be_visible()
    return page


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, headless. Without its sandbox where tests run as root."""
    program = shutil.which("chromium")
    assert program is not None, "There is no Chromium. Run scripts/setup, or as root: apt-get install chromium"
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture
def tablet(chromium: Browser) -> Iterator[Callable[..., Page]]:
    """Make tablets: separate browsers, with the settings given."""
    contexts = []

    def take(**settings: Any) -> Page:
        context = chromium.new_context(**{"viewport": TABLET, **settings})
        context.set_default_timeout(PATIENCE_MS)
        if settings.get("java_script_enabled", True):
            context.add_init_script(WITNESS)
        contexts.append(context)
        return context.new_page()

    yield take
    for context in contexts:
        context.close()


@pytest.fixture
def serve() -> Iterator[Callable[..., ServedDay]]:
    """Serve a day on a board."""
    served = []

    def begin(*lines: str, **settings: Any) -> ServedDay:
        served.append(ServedDay(*lines, **settings))
        return served[-1]

    yield begin
    for day in served:
        day.close()
