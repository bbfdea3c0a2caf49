"""Text given with a command: a name or an amount, not a book that was pasted by mistake."""

from __future__ import annotations

import click

__all__ = ["text"]

_MOST = 200


def text(given: str) -> str:
    """Return the text as it is; one of over 200 letters is refused with a sentence, unread."""
    if len(given) > _MOST:
        raise click.BadParameter(f"It has {len(given):,} letters, and {_MOST} is the most.")
    return given
