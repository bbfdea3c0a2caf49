"""What is known of a load that is being started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

__all__ = ["Form"]

_SLOTS = ("food", "pack", "jar", "count", "canner", "gauge", "method")


@dataclass(frozen=True, slots=True)
class Form:
    """What is known of the load to be started. `as_before`: the gauge is the one that the load before had.

    `told_busy` is the canner of which she was told that it has another load in it.
    """

    food: str | None = None
    pack: str | None = None
    jar: str | None = None
    count: int | None = None
    canner: int | None = None
    method: str | None = None
    gauge: str | None = None
    option: int | None = None
    as_before: bool = False
    told_busy: int | None = None
    heard: str = ""

    def taking(self, slots: Mapping[str, Any]) -> Form:
        """Return the form with what was just said filled in."""
        known = {name: slots[name] for name in _SLOTS if slots.get(name) is not None}
        return replace(self, **known, as_before=self.as_before and "gauge" not in known)
