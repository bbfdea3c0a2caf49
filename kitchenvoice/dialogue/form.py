"""The known facts of a load that is being started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from kitchenvoice.reference import food_name
from kitchenvoice.reference.names import decided, find_food

__all__ = ["SLOTS", "LoadForm", "food_by_jar", "foods_named"]

SLOTS = ("food", "pack", "jar", "count", "canner", "gauge", "method")
"""What can be said of it."""


def food_by_jar(group: str, jar: str | None) -> str | None:
    """Return the food of a question that the jar settles, if it does: fish in quarts isn't fish in pints."""
    return decided(find_food(group), {}, jar)


def foods_named(group: str) -> list[str]:
    """Return the names of the foods that a name can mean."""
    return [food_name(each) for each in find_food(group).candidates]


@dataclass(frozen=True, slots=True)
class LoadForm:
    """Known particulars of the load to be started. `as_before`: the gauge is the one that the load before had.

    `told_busy` is the canner of which it was told that it has another load in it, `offered` the place of the table's
    alternative that was offered last, `altitude` what was heard of it and is read back.
    """

    food: str | None = None
    pack: str | None = None
    jar: str | None = None
    count: int | None = None
    canner: int | None = None
    method: str | None = None
    gauge: str | None = None
    option: int | None = None
    offered: int = 0
    as_before: bool = False
    told_busy: int | None = None
    altitude: Mapping[str, Any] | None = None
    altitude_ok: bool | None = None
    confirmed: bool = False
    heard: str = ""

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> LoadForm:
        """Return the form that these values hold."""
        known = {each.name for each in fields(cls)}
        return cls(**{name: value for name, value in values.items() if name in known})

    def as_values(self) -> dict[str, Any]:
        """Return all of it as plain values."""
        return asdict(self)

    def taking(self, slots: Mapping[str, Any]) -> LoadForm:
        """Return the form with the latest answer filled in."""
        known = {name: slots[name] for name in SLOTS if slots.get(name) is not None}
        return replace(self, **known, as_before=self.as_before and "gauge" not in known)
