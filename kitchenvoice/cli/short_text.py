"""Text given with a command: a name or an amount, not a book that was pasted by mistake."""

from __future__ import annotations

import click

__all__ = ["SHORT_TEXT", "ShortText"]


class ShortText(click.ParamType[str]):
    """Text of at most so many letters; anything longer is refused with a sentence, unread."""

    name = "text"

    def __init__(self, most: int = 200) -> None:
        self.most = most

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the text as it is."""
        if len(value) > self.most:
            self.fail(f"It has {len(value):,} letters, and {self.most:,} is the most.", param, ctx)
        return value


SHORT_TEXT = ShortText()
