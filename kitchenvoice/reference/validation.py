"""Check the published tables with pydantic and record that they passed: for makers and the self-test."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from kitchenvoice.errors import TablesDamaged

from .answer_models import Topic
from .cited import Rule, Source
from .library import DATA, RECORD, data_names
from .models import Product
from .name_models import Names, Refusal

__all__ = ["PRODUCT", "record_tables", "validate_tables"]

PRODUCT: TypeAdapter[Product] = TypeAdapter(Product)
_SHAPES: dict[str, TypeAdapter[Any]] = {
    "names.json": TypeAdapter(Names),
    "refused.json": TypeAdapter(tuple[Refusal, ...]),
    "rules.json": TypeAdapter(dict[str, Rule]),
    "sources.json": TypeAdapter(dict[str, Source]),
    "answers/leads.toml": TypeAdapter(dict[str, str | dict[str, str]]),
    "answers/nearness.toml": TypeAdapter(dict[str, str | dict[str, str]]),
    "answers/phrases.toml": TypeAdapter(dict[str, str]),
    "weighing.toml": TypeAdapter(dict[str, str]),
}
_IN_FOLDERS: dict[str, TypeAdapter[Any]] = {"products": PRODUCT, "answers": TypeAdapter(Topic)}
_ANY_OBJECT: TypeAdapter[Any] = TypeAdapter(dict[str, Any])


def validate_tables(data: Path = DATA) -> tuple[str, ...]:
    """Validate every data file and return the names of all.

    Raises:
        TablesDamaged: a file doesn't hold what its model declares; the message names the file and the first mistake.
    """
    names = data_names(data)
    for name in names:
        shape = _SHAPES.get(name) or _IN_FOLDERS.get(name.partition("/")[0], _ANY_OBJECT)
        try:
            read = _read(data / name, shape)
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            raise TablesDamaged(f"{name} is not a valid table: {error}.") from error
        except ValidationError as error:
            first = error.errors()[0]
            where = ".".join(str(part) for part in first["loc"])
            raise TablesDamaged(f"{name} is not a valid table: {where or 'the file'}: {first['msg']}.") from error
        if isinstance(read, Product) and f"products/{read.id}.json" != name:
            raise TablesDamaged(f"{name} holds the food {read.id}. Give the file that name.")
        if isinstance(read, Topic) and f"answers/{read.topic}.toml" != name:
            raise TablesDamaged(f"{name} holds the topic {read.topic}. Give the file that name.")
    return names


def _read(file: Path, shape: TypeAdapter[Any]) -> Any:
    if file.suffix == ".toml":
        return shape.validate_python(tomllib.loads(file.read_text(encoding="utf-8")))
    return shape.validate_json(file.read_bytes())


def record_tables(data: Path = DATA) -> int:
    """Validate every data file, record its SHA-256 in the form of sha256sum, and return how many there are.

    Raises:
        TablesDamaged: as :func:`validate_tables`; then nothing is recorded.
    """
    names = validate_tables(data)
    lines = [f"{hashlib.sha256((data / name).read_bytes()).hexdigest()}  {name}\n" for name in names]
    (data / RECORD).write_text("".join(lines), encoding="ascii")
    return len(names)
