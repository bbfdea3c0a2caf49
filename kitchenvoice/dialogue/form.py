"""What is known of a load that is being started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

__all__ = ["Form"]

_SLOTS = ("food", "pack", "jar", "count", "canner", "gauge", "method")


@dataclass(frozen=True, slots=True)
class Form:
    """What is known of the load to be started."""

    food: str | None = None
    pack: str | None = None
    jar: str | None = None
    count: int | None = None
    canner: int | None = None
    method: str | None = None
    gauge: str | None = None
    option: int | None = None
    heard: str = ""

    def taking(self, slots: Mapping[str, Any]) -> Form:
        """Return the form with what was just said filled in."""
        known = {name: slots[name] for name in _SLOTS if slots.get(name) is not None}
        return replace(self, **known)
