"""Words and numbers given with a command: an amount, not a book that was pasted by mistake, and no "nan"."""

from __future__ import annotations

import math

import click

__all__ = ["require_number", "text"]

_MOST = 200


def text(given: str) -> str:
    """Return the text as it is; one of over 200 letters is refused with a sentence, unread."""
    if len(given) > _MOST:
        raise click.BadParameter(f"It has {len(given):,} letters, and {_MOST} is the most.")
    return given


def require_number(option: str, given: float) -> None:
    """Raises: BadParameter for "nan", which no range keeps out, and for "inf"."""
    if not math.isfinite(given):
        raise click.BadParameter(f"{given} isn't a number.", param_hint=f"'{option}'")
