"""Build frozen dataclasses from JSON values, strictly and without pydantic, so that a look-up starts at once.

Understands what :mod:`.models` is made of: dataclasses, unions, Literal, tuple, dict with string keys, str, int, float,
bool, None and Any. Nothing is guessed: a field that is missing, unknown or of another type is a ValueError.
"""

from __future__ import annotations

import math
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

__all__ = ["build"]

T = TypeVar("T")


def build(kind: type[T], value: object) -> T:
    """Return a dataclass of this kind from a JSON object.

    Raises:
        ValueError: the object isn't exactly what the dataclass declares.
    """
    if not isinstance(value, dict):
        raise ValueError(f"{kind.__name__} has to be an object")
    declared, needed = _declared(kind)  # type: ignore[arg-type]  # mypy: a class is hashable
    if needed - value.keys() or value.keys() - declared.keys():
        raise ValueError(f"{kind.__name__}: {sorted(declared.keys() ^ value.keys())} are missing or unknown")
    return kind(**{name: _fit(declared[name], item) for name, item in value.items()})


@cache
def _declared(kind: type) -> tuple[dict[str, Any], frozenset[str]]:
    """Return the type of every field, and the names of those without a default."""
    hints, known = get_type_hints(kind), fields(kind)
    needed = frozenset(f.name for f in known if f.default is MISSING and f.default_factory is MISSING)
    return {f.name: hints[f.name] for f in known}, needed


def _fit(hint: Any, value: Any) -> Any:
    origin = get_origin(hint)
    if hint is Any:
        return value
    if origin in (Union, UnionType):
        return _first_that_fits(get_args(hint), value)
    if is_dataclass(hint) and isinstance(hint, type):
        return build(hint, value)
    if origin is tuple and isinstance(value, list):
        return _tuple(get_args(hint), value)
    if origin is dict and isinstance(value, dict):
        return {key: _fit(get_args(hint)[1], item) for key, item in value.items()}
    if origin is Literal and isinstance(value, str) and value in get_args(hint):
        return value
    if hint is float and type(value) in (int, float) and math.isfinite(value):
        return float(value)
    if type(value) is hint:
        return value
    raise ValueError(f"{value!r:.60} is not {hint}")


def _first_that_fits(hints: tuple[Any, ...], value: Any) -> Any:
    problems = []
    for hint in hints:
        try:
            return _fit(hint, value)
        except ValueError as error:
            problems.append(str(error))
    raise ValueError("; ".join(problems))


def _tuple(hints: tuple[Any, ...], values: list[Any]) -> tuple[Any, ...]:
    if hints[-1] is Ellipsis:
        return tuple(_fit(hints[0], value) for value in values)
    return tuple(_fit(hint, value) for hint, value in zip(hints, values, strict=True))
