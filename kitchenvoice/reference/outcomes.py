"""Refusals: the unpublished process, the reason, and a tested alternative."""

from __future__ import annotations

from dataclasses import replace

from .answer import Answer
from .names import food_name, refused_entry

__all__ = ["named_refusal", "refuse"]


def refuse(reason: str, food: str | None = None, instead: tuple[str, ...] = (), source: tuple[str, ...] = ()) -> Answer:
    """Refuse with a reason, what would be tested instead, and the source of the refusal."""
    tail = f" Instead: {', or '.join(instead)}." if instead else ""
    return Answer(
        "refused",
        food=food,
        food_name=food_name(food) if food else None,
        reason=reason + tail,
        instead=instead,
        source=tuple(dict.fromkeys(source)) or ("design_note",),
    )


def named_refusal(entry_id: str, food: str | None = None) -> Answer:
    """Refuse a food, an appliance or a jar by its own name; ``food`` is the product asked for, if any."""
    entry = refused_entry(entry_id)
    if entry is None:
        raise KeyError(entry_id)
    answer = refuse(entry["reason"], food, tuple(entry["instead"]), tuple(entry["source"]))
    return answer if food else replace(answer, food_name=entry["spoken"])
