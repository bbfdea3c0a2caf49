"""Build frozen dataclasses from JSON values, strictly and without pydantic, so that a look-up starts at once.

Understands what :mod:`.models` is made of: dataclasses, unions, Literal, tuple, dict with string keys, str, int, float,
bool, None and Any. Nothing is guessed: a field that is missing, unknown or of another type is a ValueError.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from types import UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

__all__ = ["build"]

T = TypeVar("T")
Reader = Callable[[Any], Any]


def build(kind: type[T], value: object) -> T:
    """Return a dataclass of this kind from a JSON object.

    Raises:
        ValueError: the object isn't exactly what the dataclass declares.
    """
    if not isinstance(value, dict):
        raise ValueError(f"{kind.__name__} has to be an object")
    readers, needed = _fields(kind)  # type: ignore[arg-type]  # mypy: a class is hashable
    if needed - value.keys() or value.keys() - readers.keys():
        raise ValueError(f"{kind.__name__}: {sorted(readers.keys() ^ value.keys())} are missing or unknown")
    return kind(**{name: readers[name](item) for name, item in value.items()})


@cache
def _fields(kind: type) -> tuple[dict[str, Reader], frozenset[str]]:
    """Return how to read every field, and the names of those without a default."""
    hints, known = get_type_hints(kind), fields(kind)
    needed = frozenset(f.name for f in known if f.default is MISSING and f.default_factory is MISSING)
    return {f.name: _reader(hints[f.name]) for f in known}, needed


@cache
def _reader(hint: Any) -> Reader:
    """Return the function that takes a JSON value as this type, or raises ValueError."""
    origin, inside = get_origin(hint), get_args(hint)
    if hint is Any:
        return lambda value: value
    if origin in (Union, UnionType):
        return _either([_reader(each) for each in inside])
    if is_dataclass(hint) and isinstance(hint, type):
        return lambda value: build(hint, value)
    if origin is tuple and inside[-1] is Ellipsis:
        return _many(_reader(inside[0]))
    if origin is tuple:
        return _several([_reader(each) for each in inside])
    if origin is dict:
        return _by_name(_reader(inside[1]))
    if origin is Literal:
        return _plain(hint, lambda value: isinstance(value, str) and value in inside)
    if hint is float:
        number = _plain(hint, lambda value: type(value) in (int, float) and math.isfinite(value))
        return lambda value: float(number(value))
    return _plain(hint, lambda value: type(value) is hint)


def _plain(hint: Any, fits: Callable[[Any], bool]) -> Reader:
    def read(value: Any) -> Any:
        if not fits(value):
            raise ValueError(f"{value!r:.60} is not {hint}")
        return value

    return read


def _either(readers: list[Reader]) -> Reader:
    def read(value: Any) -> Any:
        problems = []
        for each in readers:
            try:
                return each(value)
            except ValueError as error:
                problems.append(str(error))
        raise ValueError("; ".join(problems))

    return read


def _many(reader: Reader) -> Reader:
    def read(value: Any) -> tuple[Any, ...]:
        return tuple(reader(item) for item in _listed(value))

    return read


def _several(readers: list[Reader]) -> Reader:
    def read(value: Any) -> tuple[Any, ...]:
        return tuple(reader(item) for reader, item in zip(readers, _listed(value), strict=True))

    return read


def _by_name(reader: Reader) -> Reader:
    def read(value: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValueError(f"{value!r:.60} is not an object")
        return {name: reader(item) for name, item in value.items()}

    return read


def _listed(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise ValueError(f"{value!r:.60} is not a list")
    return value
