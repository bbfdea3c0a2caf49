"""Public names: every module's `__all__` is complete and in order."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

import kitchenvoice

MODULES = sorted(info.name for info in pkgutil.walk_packages(kitchenvoice.__path__, "kitchenvoice."))
MODULES.remove("kitchenvoice.__main__")
ROOMS = sorted(path.parent.name for path in Path(kitchenvoice.__path__[0]).glob("*/__init__.py"))

SUBJECTS = {"crocks", "sheets"}
"""Files of one name in two rooms that share their subject. A file of `cli` has the name of its command."""


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


def named_types(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Yield classes and names for types, with what a name stands for: the same one may be given in several rooms."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, "class"
    for node in tree.body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        value = getattr(node, "value", None)
        named = isinstance(target, ast.Name) and target.id[0].isupper() and not target.id.isupper()
        if named and isinstance(value, ast.Subscript | ast.BinOp):
            yield target.id, ast.unparse(value)


def test_no_class_name_is_taken_twice_and_no_file_name_for_two_jobs() -> None:
    classes, files = defaultdict[str, list[str]](list), defaultdict[str, list[str]](list)
    for name in MODULES:
        path, (_, room, *inner) = Path(inspect.getfile(importlib.import_module(name))), name.split(".")
        for each, what in named_types(ast.parse(path.read_text("utf-8"))):
            if what == "class" or what not in classes[each]:
                classes[each].append(what)
        if path.stem != "__init__" and (room != "cli" or not inner) and path.stem not in SUBJECTS:
            files[path.stem].append(name)
    assert {name: places for name, places in (classes | files).items() if len(places) > 1} == {}
