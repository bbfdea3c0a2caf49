"""`dataclasses.replace` for loads and kitchens: to set each field of a frozen one anew took a fifth of a day's time."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any

__all__ = ["replace"]

if TYPE_CHECKING:
    from dataclasses import replace
else:

    def replace(old: Any, **changes: Any) -> Any:
        """Return a copy with these fields changed; faster than dataclasses.replace, but for classes with slots."""
        if not hasattr(old, "__dict__"):
            return dataclasses.replace(old, **changes)
        new = object.__new__(type(old))
        new.__dict__.update(old.__dict__, **changes)
        return new
