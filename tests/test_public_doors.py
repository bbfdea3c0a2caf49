"""Public names: every module's `__all__` is complete and in order."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from pathlib import Path

import kitchenvoice

MODULES = sorted(info.name for info in pkgutil.walk_packages(kitchenvoice.__path__, "kitchenvoice."))
MODULES.remove("kitchenvoice.__main__")
ROOMS = sorted(path.parent.name for path in Path(kitchenvoice.__path__[0]).glob("*/__init__.py"))


def in_order(names: list[str]) -> list[str]:
    """Sort as the linter does: constants, then classes, then the rest."""
    return sorted(names, key=lambda name: (not name.isupper(), not name[:1].isupper(), name))


def test_what_a_module_offers_is_there_once_and_in_order() -> None:
    wrong = {}
    for name in MODULES:
        module = importlib.import_module(name)
        if all(each.startswith("__") or inspect.ismodule(value) for each, value in vars(module).items()):
            continue  # a folder with its docstring alone
        offered = list(getattr(module, "__all__", ["has no __all__"]))
        missing = [each for each in offered if not hasattr(module, each)]
        if missing or offered != in_order(offered) or len(set(offered)) != len(offered):
            wrong[name] = missing or offered
    assert wrong == {}


def test_every_room_has_a_public_door() -> None:
    assert [room for room in ROOMS if not importlib.import_module(f"kitchenvoice.{room}").__all__] == []
