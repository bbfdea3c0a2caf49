"""Draw the picture of the board in the README: the real page in a real browser, over a scripted day.

python -m tests.board.draw FILE.png
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from playwright.sync_api import expect, sync_playwright

from .kitchen import TWO_LOADS, ServedDay

__all__ = ["draw"]

_SIZE = {"width": 1280, "height": 800}
_PATIENCE_MS = 30_000


def draw(file: Path) -> None:
    """Serve two loads, one in its hold and one in its vent, and write what a tablet shows of them."""
    program = shutil.which("chromium")
    if program is None:
        sys.exit("There is no Chromium. Run scripts/setup, or as root: apt-get install chromium")
    day = ServedDay(*TWO_LOADS, frozen=True)
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
            page = browser.new_page(viewport=_SIZE)
            page.goto(day.url)
            expect(page.locator("#live")).to_be_visible(timeout=_PATIENCE_MS)
            page.screenshot(path=file)
            browser.close()
    finally:
        day.close()


if __name__ == "__main__":
    draw(Path(sys.argv[1]))
