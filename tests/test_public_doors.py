"""Public names: every module's `__all__` is complete and in order."""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path

import pytest

import kitchenvoice

MODULES = sorted(info.name for info in pkgutil.walk_packages(kitchenvoice.__path__, "kitchenvoice."))
ROOMS = sorted(path.parent.name for path in Path(kitchenvoice.__path__[0]).glob("*/__init__.py"))


def in_order(names: list[str]) -> list[str]:
    """Sort as the linter does: constants, then classes, then the rest."""
    return sorted(names, key=lambda name: (not name.isupper(), not name[:1].isupper(), name))


@pytest.mark.parametrize("name", [name for name in MODULES if not name.endswith("__main__")])
def test_what_a_module_offers_is_there_and_in_order(name: str) -> None:
    module = importlib.import_module(name)
    offered = list(getattr(module, "__all__", ()))
    assert [each for each in offered if not hasattr(module, each)] == []
    assert offered == in_order(offered)
    assert len(set(offered)) == len(offered)


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_a_public_door(room: str) -> None:
    assert importlib.import_module(f"kitchenvoice.{room}").__all__
